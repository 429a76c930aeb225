"""Ultraviolet beside light: proportions of doses, by sums made by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.ultraviolet import logged_ultraviolet, mixed_proportion
from stillwall.record import Record
from tests.exposure.light_records import record_of

SECONDS = np.arange(0, 3600 * 5, 3600)


def test_a_mixture_is_weighted_by_dose():
    found = mixed_proportion(
        (np.array([75.0]), np.array([10.0]), np.array([0.0])),
        (np.array([1000.0]), np.array([3000.0]), np.array([1000.0])),
    )
    assert found == pytest.approx([(75.0 * 1000 + 10.0 * 3000) / 5000])
    assert mixed_proportion((np.array([75.0]),), (np.array([0.0]),)) == pytest.approx([0.0])


def test_a_logged_proportion_is_that_of_the_doses_in_the_light():
    lux, uv = np.array([20.0, 21.0, 100.0, 300.0, 0.0]), np.array([900.0, 60.0, 50.0, 40.0, 800.0])
    found = logged_ultraviolet(record_of(SECONDS, lux, uv=uv, accuracy=0.2))
    # 20 lx and less is mostly noise.
    assert found.proportion_uw_lm == pytest.approx((60.0 * 21 + 50.0 * 100 + 40.0 * 300) / 421)
    assert found.irradiance_mw_m2 == pytest.approx(np.quantile(uv * lux / 1000.0, 0.95))
    assert (found.readings, found.logger, found.accuracy) == (5, "logger-1", 0.2)


def test_a_logged_irradiance_is_divided_by_the_light():
    lux, uv = np.array([20.0, 50.0, 100.0, 200.0, 0.0]), np.array([9.0, 4.0, 6.0, 10.0, 8.0])
    found = logged_ultraviolet(record_of(SECONDS, lux, uv=uv, uv_unit="mW/m2"))
    assert found.proportion_uw_lm == pytest.approx(1000.0 * 20.0 / 350.0)
    assert found.irradiance_mw_m2 == pytest.approx(np.quantile(uv, 0.95))


def test_readings_below_zero_and_no_numbers_are_left_out():
    lux = np.array([100.0, 100.0, 100.0, 100.0, 100.0])
    made = record_of(SECONDS, lux, uv=np.array([-5.0, np.nan, 0.0, 40.0, 80.0]))
    made.channels["ultraviolet"].excluded[:] = False
    found = logged_ultraviolet(made)
    assert found.readings == 3
    assert found.proportion_uw_lm == pytest.approx(40.0)


def test_light_is_read_between_its_readings():
    made = record_of(
        SECONDS, np.array([100.0, 300.0, 100.0, 300.0, 100.0]), uv=np.full(5, 10.0), uv_unit="mW/m2"
    )
    late = replace(
        made.channels["ultraviolet"], times=made.channels["ultraviolet"].times + np.timedelta64(1800, "s")
    )
    found = logged_ultraviolet(Record("wall", made.channels | {"ultraviolet": late}))
    # Half-way between 100 and 300 lx, and 100 lx after the last.
    assert found.proportion_uw_lm == pytest.approx(1000.0 * 50.0 / (4 * 200.0 + 100.0))


def test_what_cannot_be_told_is_not_told():
    lux = np.full(5, 100.0)
    assert logged_ultraviolet(record_of(SECONDS, lux)) is None
    assert logged_ultraviolet(record_of(SECONDS, lux, uv=np.full(5, np.nan))) is None
    bad = record_of(SECONDS, lux, uv=np.full(5, -1.0))
    assert logged_ultraviolet(bad) is None
    for unit in ("uW/lm", "mW/m2"):
        dark = record_of(SECONDS, np.full(5, 20.0), uv=np.full(5, 40.0), uv_unit=unit)
        assert logged_ultraviolet(dark) is None
    made = record_of(SECONDS, lux, uv=np.full(5, 40.0))
    alone = Record("wall", {"ultraviolet": made.channels["ultraviolet"]})
    found = logged_ultraviolet(alone)
    assert (found.proportion_uw_lm, found.irradiance_mw_m2) == (40.0, 0.0)
    power = record_of(SECONDS, lux, uv=np.full(5, 40.0), uv_unit="mW/m2")
    assert logged_ultraviolet(Record("wall", {"ultraviolet": power.channels["ultraviolet"]})) is None

"""The load of ageing: hand figures, averaging as damage, sensors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.hazards import ageing
from stillwall.record import Record
from tests.hazards.climate_cases import YEAR_H, case, hours, record

H = np.arange(YEAR_H)
PAPER = {"medium": "rag-paper", "kind": "paper"}


def test_the_rate_at_22_degrees_and_55_per_cent_by_hand():
    # Michalski's life for 70 kJ/mol is 0.7272; the house allows 1.5.
    load = ageing.load(case(record(22.0, 55.0)))
    assert load.exposure.value == pytest.approx(1 / 0.7272, rel=1e-3)
    assert load.ratio == pytest.approx(1 / 0.7272 / 1.5, rel=1e-3)
    assert "1.38 times as fast as at 20 °C and 50 %RH" in load.reason


def test_half_a_year_warm_is_averaged_as_damage():
    # Days at 15 and at 25 degC in turn, 100 kJ/mol: 1 / 0.8063.
    load = ageing.load(case(record(np.where(H // 24 % 2 == 0, 15.0, 25.0), 50.0), **PAPER))
    assert load.exposure.value == pytest.approx(1 / 0.8063, rel=0.01)


def test_the_activation_energy_is_a_span_and_not_a_point():
    paper = ageing.load(case(record(26.0, 50.0), **PAPER))
    varnish = ageing.load(case(record(26.0, 50.0)))
    assert paper.high - paper.low > 0.1
    assert varnish.high - varnish.low < 1e-6
    # At 20 degC the activation energy does not matter.
    level = ageing.load(case(record(20.0, 50.0), **PAPER))
    assert level.high - level.low < 1e-6


def test_a_thermometer_that_is_half_a_kelvin_off_moves_the_rate_by_five_per_cent():
    load = ageing.load(case(record(20.0, 50.0, accuracy=(0.5, 0.0))))
    # 70 kJ/mol: exp(70000 / 8.314 / 293.15^2 x 0.5) = 1.050.
    assert load.high / load.ratio == pytest.approx(1.050, abs=0.003)


def test_stone_does_not_age_and_an_unlogged_place_is_assumed():
    assert ageing.load(case(record(), medium="marble", kind="bust")) is None
    empty = ageing.load(case(Record(place="north-wall", channels={})))
    assert empty.evidence == "assumed"
    assert empty.chance_over > 0.1


def test_a_winters_record_does_not_stand_for_the_year():
    winter = hours(24 * 59)
    load = ageing.load(case(record(18.0, 45.0, winter)))
    assert load.evidence == "assumed"
    assert load.high > 1.3 * load.ratio


@given(st.floats(0, 35), st.floats(12, 80), st.floats(0, 5), st.floats(0, 10))
def test_warmer_or_damper_never_ages_more_slowly(temperature, humidity, warmer, damper):
    low = ageing.load(case(record(temperature, humidity, hours(24 * 30)), count=32))
    high = ageing.load(case(record(temperature + warmer, humidity + damper, hours(24 * 30)), count=32))
    assert (high.draws >= low.draws - 1e-9).all()

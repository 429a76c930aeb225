"""Dose from irregular readings: only what was measured, never a night that nobody saw."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.exposure.dose import (
    HalfHours,
    half_hours,
    integrate,
    longest_bridged_gap_s,
    night_offset_lux,
    running_dose,
    saturated_share,
    sensor_step_lux,
)

readings = st.lists(st.tuples(st.integers(60, 20_000), st.floats(0.0, 1e5)), min_size=2, max_size=60).map(
    lambda pairs: (np.cumsum([float(step) for step, _ in pairs]), np.array([lux for _, lux in pairs]))
)


@given(readings)
def test_running_dose_never_falls_and_covers_no_gap(data):
    times, lux = data
    dose, covered = running_dose(times, lux, max_gap_s=3600.0)
    assert (np.diff(dose) >= -1e-9).all()
    steps = np.diff(times)
    assert covered[-1] == pytest.approx(steps[steps <= 3600.0].sum() / 3600.0)
    assert dose[-1] <= lux.max() * covered[-1] + 1e-6


@given(readings, st.floats(0.1, 10.0))
def test_dose_scales_with_light_and_adds_over_time(data, factor):
    times, lux = data
    whole = integrate(times, lux, max_gap_s=7200.0)
    assert integrate(times, factor * lux, max_gap_s=7200.0).dose_lux_h == pytest.approx(
        factor * whole.dose_lux_h, rel=1e-9, abs=1e-9
    )
    cut = len(times) // 2
    halves = [
        integrate(t, v, max_gap_s=7200.0)
        for t, v in ((times[: cut + 1], lux[: cut + 1]), (times[cut:], lux[cut:]))
    ]
    assert sum(half.dose_lux_h for half in halves) == pytest.approx(whole.dose_lux_h, rel=1e-9, abs=1e-9)


@given(readings)
def test_half_hours_keep_the_whole_dose_and_all_hours(data):
    times, lux = data
    cells = half_hours(times, lux, max_gap_s=7200.0)
    whole = integrate(times, lux, max_gap_s=7200.0)
    assert cells.dose_lux_h.sum() == pytest.approx(whole.dose_lux_h, rel=1e-9, abs=1e-6)
    assert cells.covered_h.sum() == pytest.approx(whole.covered_h, rel=1e-9, abs=1e-9)
    assert cells.covered_h.max() <= 0.5 + 1e-9
    assert cells.dose_lux_h.min() >= -1e-9


def test_a_missing_night_is_neither_dark_nor_lit():
    times = np.concatenate([np.arange(0, 18 * 3600, 600.0), np.arange(30 * 3600, 42 * 3600, 600.0)])
    cells = half_hours(times, np.full(len(times), 100.0))
    assert np.isnan(cells.mean_lux[0, 37:]).all()
    assert np.isnan(cells.mean_lux[1, :11]).all()
    assert integrate(times, np.full(len(times), 100.0)).covered_h < 30.0


def test_trapezoid_step_and_mean_differ_as_they_should():
    times, lux = np.array([0.0, 3600.0, 7200.0]), np.array([0.0, 60.0, 100.0])
    assert integrate(times, lux).dose_lux_h == pytest.approx(110.0)
    assert integrate(times, lux, method="step").dose_lux_h == pytest.approx(60.0)
    assert integrate(times, lux, method="mean_before").dose_lux_h == pytest.approx(160.0)


def test_gap_that_is_bridged():
    assert longest_bridged_gap_s(np.array([0.0])) == 1800.0
    assert longest_bridged_gap_s(np.arange(0.0, 9000.0, 300.0)) == 1800.0
    assert longest_bridged_gap_s(np.arange(0.0, 36_000.0, 3600.0)) == 7200.0


def test_nothing_and_unequal_lengths():
    assert integrate(np.zeros(0), np.zeros(0)).dose_lux_h == 0.0
    assert integrate(np.array([5.0]), np.array([100.0])).covered_h == 0.0
    with pytest.raises(ValueError, match="2 times for 1 readings"):
        running_dose(np.array([0.0, 1.0]), np.array([1.0]))


def test_offset_is_what_every_dark_reading_shows_and_a_lamp_is_not():
    dark = np.concatenate([np.full(80, 2.0), np.full(20, 60.0)])
    assert night_offset_lux(dark) == pytest.approx(2.0)
    assert night_offset_lux(np.full(100, 40.0)) == 0.0
    assert night_offset_lux(np.full(5, 2.0)) == 0.0
    assert night_offset_lux(np.full(100, np.nan)) == 0.0


@pytest.mark.parametrize("step", [1.0, 10.764, 11.8])
def test_step_of_the_converter_is_found(step):
    lux = np.floor(np.random.default_rng(4).gamma(1.2, 90.0, 5000) / step) * step
    assert sensor_step_lux(lux) == pytest.approx(step, rel=1e-3)


def test_saturation_is_many_readings_at_one_top():
    lux = np.concatenate([np.linspace(0, 900, 90), np.full(10, 1000.0)])
    assert saturated_share(lux) == pytest.approx(0.1)
    assert saturated_share(np.linspace(0, 900, 100)) == 0.0
    assert saturated_share(np.linspace(0, 900, 100), full_scale_lux=850.0) == pytest.approx(0.06)
    assert saturated_share(np.zeros(0)) == 0.0
    assert saturated_share(np.full(50, 60.0)) == 0.0


def test_mean_of_a_half_hour_needs_half_of_it():
    cells = HalfHours(0, np.array([[10.0, 10.0]]), np.array([[0.5, 0.2]]))
    assert cells.mean_lux[0, 0] == pytest.approx(20.0)
    assert np.isnan(cells.mean_lux[0, 1])


def test_half_an_hour_is_always_bridged_and_two_ordinary_steps_are():
    assert longest_bridged_gap_s(np.zeros(0)) == 1800.0
    assert longest_bridged_gap_s(np.array([0.0])) == 1800.0
    assert longest_bridged_gap_s(np.arange(5) * 899.0) == 1800.0
    assert longest_bridged_gap_s(np.arange(5) * 901.0) == 1802.0


def test_a_night_offset_needs_ten_readings_and_is_at_most_five_lux():
    assert night_offset_lux(np.full(9, 2.0)) == 0.0
    assert night_offset_lux(np.append(np.full(10, 2.0), np.nan)) == 2.0
    assert night_offset_lux(np.full(20, 5.0)) == 5.0
    assert night_offset_lux(np.full(20, 5.1)) == 0.0
    # The lowest tenth, not the lowest: one reading in eleven.
    assert night_offset_lux(np.append(np.full(10, 2.0), 1.0)) == 2.0


def test_saturation_without_a_known_scale_needs_five_equal_tops_above_500_lux():
    rest = np.arange(95.0)
    assert saturated_share(np.zeros(0)) == 0.0
    assert saturated_share(np.append(rest, np.full(5, 500.0))) == 0.05
    assert saturated_share(np.append(rest, np.full(5, 499.0))) == 0.0
    assert saturated_share(np.append(rest, np.full(4, 900.0))) == 0.0
    assert saturated_share(np.append(rest, np.full(5, 900.0)), 1000.0) == 0.0
    assert saturated_share(np.append(rest, [90.0]), 90.0) == pytest.approx(6 / 96)


def test_the_step_of_a_converter_is_read_from_every_few_of_many_values():
    values = np.tile([0.0, 4.0, 8.0, 12.0, 40.0], 2400)
    assert sensor_step_lux(values) == 4.0
    assert sensor_step_lux(np.array([0.0, 4.0, 8.0, 8.0])) == 0.0
    assert sensor_step_lux(np.array([0.0, 4.0, 8.0, 12.0])) == 4.0

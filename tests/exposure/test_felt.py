"""Felt humidity against its closed forms, and against a plain loop over irregular readings with gaps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import lfilter

from stillwall.exposure.felt import UNSEEN_SHARE, felt, sine_response, step_fraction, time_constant
from stillwall.exposure.readings import readings
from tests.hazards.climate_cases import hours, record


def taken_at(seconds, values):
    return readings(record(None, values, np.asarray(seconds).astype("datetime64[s]")), "humidity")


def plain_loop(seconds, values, t95_h, gap_s):
    """The recursion as it is written, one reading at a time."""
    tau_s = t95_h * 3600 / np.log(20)
    followed, unseen = [values[0]], [1.0]
    for index in range(1, len(values)):
        step = seconds[index] - seconds[index - 1]
        share = 1 - np.exp(-step / tau_s)
        followed.append(followed[-1] + share * (values[index] - followed[-1]))
        unseen.append(unseen[-1] * (1 - share) + (share if step > gap_s else 0.0))
    return np.array(followed), np.array(unseen)


@pytest.mark.parametrize("t95_h", [1.0, 4.0, 24.0, 103.2, 624.0])
@pytest.mark.parametrize("step_s", [300, 600, 3600])
def test_a_step_follows_its_exponential(t95_h, step_s):
    count = 40 * 24 * 3600 // step_s
    values = np.where(np.arange(count) > count // 2, 60.0, 50.0)
    found = felt(taken_at(np.arange(count) * step_s, values), t95_h)
    elapsed_h = np.arange(1, count - count // 2) * step_s / 3600
    expected = 50 + 10 * (1 - np.exp(-elapsed_h / time_constant(t95_h)))
    np.testing.assert_allclose(found.values[count // 2 + 1 :], expected, rtol=1e-9)


def test_t95_is_the_time_to_95_per_cent_and_the_half_time_is_ln_2_of_tau():
    assert step_fraction(24.0, 24.0) == pytest.approx(0.95)
    assert step_fraction(24.0, time_constant(24.0) * np.log(2)) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("t95_h", "daily", "weekly", "yearly"),
    [
        (6, 0.886, 0.997, 1.000),
        (24, 0.430, 0.958, 1.000),
        (103.2, 0.110, 0.613, 1.000),
        (240, 0.048, 0.317, 0.998),
        (360, 0.032, 0.217, 0.996),
        (624, 0.018, 0.127, 0.989),
        (960, 0.012, 0.083, 0.975),
    ],
)
def test_share_of_a_sine_that_is_felt(t95_h, daily, weekly, yearly):
    # Closed form 1 / sqrt(1 + (2 pi tau / P)^2), worked by hand.
    for period_h, share in ((24, daily), (168, weekly), (8760, yearly)):
        assert sine_response(t95_h, period_h)[0] == pytest.approx(share, abs=0.0006)


def test_a_finely_sampled_sine_has_the_amplitude_and_lag_of_the_closed_form():
    seconds = np.arange(0, 60 * 86_400, 60)
    values = 50 + 10 * np.sin(2 * np.pi * seconds / 86_400)
    found = felt(taken_at(seconds, values), 24.0).values[-86_400 // 60 :]
    share, lag_h = sine_response(24.0, 24.0)
    assert np.ptp(found) / 20 == pytest.approx(share, rel=1e-3)
    peak_h = (seconds[-86_400 // 60 :][found.argmax()] % 86_400) / 3600
    assert (peak_h - 6.0) % 24 == pytest.approx(lag_h, abs=0.05)


@settings(max_examples=40)
@given(st.integers(0, 10_000), st.sampled_from([0.3, 4.0, 24.0, 300.0]), st.booleans(), st.integers(0, 6))
def test_any_times_and_gaps_give_what_a_plain_loop_gives(seed, t95_h, jittered, gaps):
    generator = np.random.default_rng(seed)
    steps = generator.integers(200, 400, 800) if jittered else np.full(800, 300)
    steps[generator.integers(0, 800, gaps)] = generator.integers(3_000, 400_000, gaps)
    seconds = np.cumsum(steps)
    values = 50 + np.cumsum(generator.normal(0, 1, 800))
    air = taken_at(seconds, values)
    found = felt(air, t95_h)
    expected, unseen = plain_loop(seconds, values, t95_h, air.gap_s)
    np.testing.assert_allclose(found.values, expected, rtol=1e-8)
    clear = np.abs(unseen - UNSEEN_SHARE) > 1e-9
    np.testing.assert_array_equal(found.counted[clear], (unseen <= UNSEEN_SHARE)[clear])


def test_the_first_t95_does_not_count_however_wrong_the_first_value():
    values = np.full(1000, 50.0)
    values[0] = 95.0
    found = felt(taken_at(np.arange(1000) * 3600, values), 24.0)
    assert not found.counted[:24].any()
    assert found.counted[24:].all()
    assert found.warm_up_hours == pytest.approx(24.0)
    assert found.readings.values.max() < 50 + 45 * 0.05 + 1e-9


def test_a_gap_counts_by_its_length_and_not_by_its_samples():
    seconds = np.concatenate((np.arange(1000), np.arange(1000) + 1480)) * 3600
    found = felt(taken_at(seconds, np.full(2000, 50.0)), 240.0)
    assert found.counted[999]
    # Twenty days unseen: all but 0.05 squared of the value rests on air that nobody measured.
    assert not found.counted[1000:1230].any()
    assert found.counted[1245:].all()


def test_a_short_gap_costs_a_slow_object_little():
    seconds = np.concatenate((np.arange(1000), np.arange(1000) + 1008)) * 3600
    found = felt(taken_at(seconds, np.full(2000, 50.0)), 624.0)
    assert found.counted[1000:].mean() > 0.9
    assert felt(taken_at(seconds, np.full(2000, 50.0)), 0.0).counted.all()


def test_order_and_unit_of_time_do_not_matter():
    values = 50 + 10 * np.sin(np.arange(500) / 7)
    fine = felt(readings(record(None, values, hours(500)), "humidity"), 24.0)
    nanoseconds = record(None, values, hours(500).astype("datetime64[ns]"))
    np.testing.assert_array_equal(felt(readings(nanoseconds, "humidity"), 24.0).values, fine.values)


@pytest.mark.parametrize("count", [2, 31, 32, 33, 34, 1024, 1057, 40_000])
@pytest.mark.parametrize("t95_h", [0.02, 1.0, 48.0, 2920.0, 200_000.0])
def test_even_steps_of_any_number_are_those_of_a_digital_filter(count, t95_h):
    # scipy.signal.lfilter: the direct form of the same recursion, from the first reading on.
    values = 60 + np.cumsum(np.random.default_rng(count).normal(0, 0.3, count))
    keep = np.exp(-300 * np.log(20) / (3600 * t95_h))
    expected, _ = lfilter([1 - keep], [1, -keep], values, zi=[keep * values[0]])
    found = felt(taken_at(np.arange(count) * 300, values), t95_h)
    np.testing.assert_allclose(found.values, expected, rtol=1e-10)

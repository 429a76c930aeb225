"""The band of EN 15757 against a slow reading of its own text, and on a real house."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.exposure.own_history import own_history
from tests.hazards.climate_cases import START, hours, record

DATA = Path(__file__).parents[3] / "shared" / "data" / "logs"
# Figures of a script over the house records, written apart from this project: 30-day averages over 721
# hourly readings, percentiles by linear interpolation over the hours of 2011.
HOUSES_2011 = {
    "house-R3_indoor1": (29.7703, 52.1312, -5.8741, 6.1047),
    "house-R3_indoor2": (28.2359, 51.5470, -6.0117, 6.3556),
    "house-R4_indoor1": (24.3453, 61.3372, -4.8403, 4.9956),
    "house-R4_indoor2": (24.9161, 62.9288, -5.0852, 5.1394),
}


def by_the_text(times, values):
    """Straight from the words: for each reading average all readings from 15 days before to 15 days after."""
    fifteen = np.timedelta64(15, "D")
    departures = []
    for moment, value in zip(times, values, strict=True):
        if moment - fifteen < times[0] or moment + fifteen > times[-1]:
            continue
        inside = (times >= moment - fifteen) & (times <= moment + fifteen)
        departures.append(value - values[inside].sum() / inside.sum())
    ordered = sorted(departures)

    def percentile(share):
        place = share / 100 * (len(ordered) - 1)
        below = int(place)
        above = min(below + 1, len(ordered) - 1)
        return ordered[below] + (place - below) * (ordered[above] - ordered[below])

    return percentile(7), percentile(93), len(departures)


@settings(max_examples=8)
@given(st.integers(0, 1000), st.integers(24 * 40, 24 * 100))
def test_agrees_with_the_slow_reading_of_the_text(seed, count):
    generator = np.random.default_rng(seed)
    values = 50 + np.cumsum(generator.normal(0, 0.4, count)) + generator.gamma(1, 4, count)
    found = own_history(record(None, values, hours(count)))
    low, high, points = by_the_text(hours(count), values)
    assert (found.lower_percentile, found.upper_percentile) == pytest.approx((low, high), abs=1e-9)
    assert found.points == points == count - 720


def test_each_side_keeps_its_own_floor():
    # A record that dips and never peaks: wide below, floor above.
    hour = np.arange(24 * 400)
    values = np.where(hour % 240 < 40, 20.0, 60.0)
    found = own_history(record(None, values, hours(len(hour))))
    assert found.lower < -10
    assert found.upper == 10.0


def test_record_length_and_interval_decide_whether_it_may_be_used():
    year = 365 * 24 + 1
    assert own_history(record(None, np.full(year, 50.0), hours(year))).long_enough is False
    thirteen = 395 * 24 + 1
    assert own_history(record(None, np.full(thirteen, 50.0), hours(thirteen))).long_enough
    slow = hours(thirteen * 2, 7200)
    assert own_history(record(None, np.full(len(slow), 50.0), slow)).long_enough is False


def test_a_record_of_thirty_days_has_no_band():
    assert own_history(record(None, np.full(720, 50.0), hours(720))) is None


def test_a_stretched_window_would_take_in_another_season():
    # Two stretches of 40 days with half a year between: a window of 721 counts would join them.
    times = np.concatenate((hours(960), hours(960, start=START + np.timedelta64(200, "D"))))
    values = np.concatenate((np.full(960, 30.0), np.full(960, 70.0)))
    found = own_history(record(None, values, times))
    assert found.lower_percentile == pytest.approx(0.0, abs=1e-9)
    assert found.upper_percentile == pytest.approx(0.0, abs=1e-9)
    # 240 hours have whole windows on both sides; 90 more have three quarters of the half towards the gap.
    assert found.points == 2 * (240 + 90)


def test_a_year_on_a_finer_clock_gives_the_same_band():
    fine = hours(9500, 600)
    wave = 50 + 10 * np.sin(2 * np.pi * np.arange(len(fine)) / 6 / 24)
    found = own_history(record(None, wave, fine))
    coarse = own_history(record(None, wave[::6], hours(9500)))
    assert found.upper_percentile == pytest.approx(coarse.upper_percentile, rel=0.03)


@pytest.mark.skipif(not DATA.is_dir(), reason="the real logs are not here")
@pytest.mark.parametrize("house", sorted(HOUSES_2011))
def test_real_houses(house):
    with (DATA / f"{house}.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    times = np.array([row["t_UTC+2"] for row in rows], "datetime64[s]")
    humidity = np.array([float(row["RH"]) for row in rows])
    # The hours of 2011 and the half windows at their ends.
    year = (times >= np.datetime64("2010-12-17")) & (times <= np.datetime64("2012-01-15T23:00"))
    found = own_history(record(None, humidity[year], times[year]))
    expected = HOUSES_2011[house]
    facts = json.loads((DATA / "facts.json").read_text("utf-8"))[f"{house}.csv"]["year"]
    assert (facts["moving_average_30d_min"], facts["p93_of_deviation"]) == (expected[0], expected[3])
    assert found.points == 8760
    computed = (found.mean_low, found.mean_high, found.lower_percentile, found.upper_percentile)
    assert computed == pytest.approx(expected, abs=1e-4)

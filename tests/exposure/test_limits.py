"""Bands about a centre, and how far a place reaches from it, by hand."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.exposure.limits import Source, limits, tighter, widened
from stillwall.exposure.reach import extremes, reach
from stillwall.exposure.readings import quantiles, readings
from stillwall.exposure.seasons import SEASONS, seasonal, seasons_of_stay, unseen
from stillwall.reference.guidelines import Band
from stillwall.reference.library import load_library
from stillwall.reference.sources import Citation
from tests.hazards.climate_cases import YEAR_H, hours, record

HERE = Citation(key="judgement", checked="derived")
HOUSE = Source("guideline", "the house")
GUIDELINES = load_library().guidelines
H = np.arange(YEAR_H)


def seasonal_of(values, times=None):
    return seasonal(readings(record(None, values, times), "humidity"))


def test_a_band_of_level_has_its_middle_for_a_centre():
    made = limits(Band(low=40, high=60, source=HERE), HOUSE, open_side_centre=50)
    assert (made.low, made.centre, made.high, made.half_width, made.assumed) == (40, 50, 60, 10, False)


def test_a_band_open_at_one_side_keeps_its_own_side_only():
    made = limits(Band(high=30, source=HERE), Source("medium", "wax"), open_side_centre=20)
    assert (made.low, made.centre, made.high, made.half_width) == (None, 20, 30, 10)
    cold = reach(np.array([2.0]), np.array([25.0]), made.centre, made.low, made.high)
    assert cold == pytest.approx([0.5])


def test_an_outer_limit_caps_the_sum_but_never_past_the_centre():
    band = GUIDELINES["ashrae-2019-a1"].humidity
    damp = limits(band, HOUSE, history=seasonal_of(np.full(YEAR_H, 58.0)), open_side_centre=50)
    assert (damp.low, damp.high) == pytest.approx((43.0, 65.0))
    # A collection used to 70 %RH lies outside the outer limit: the short-term part is left to it.
    wet = limits(band, HOUSE, history=seasonal_of(np.full(YEAR_H, 70.0)), open_side_centre=50)
    assert (wet.centre, wet.high) == pytest.approx((70.0, 75.0))


def test_asymmetric_seasons_of_temperature():
    band = GUIDELINES["ashrae-2019-b"].temperature
    made = limits(band, HOUSE, open_side_centre=20)
    assert (made.low, made.centre, made.high) == (21 - 20 - 5, 21, 30)
    assert made.assumed


def test_a_band_of_fixed_level_moves_with_a_history_only_where_asked():
    band, history = Band(low=40, high=60, source=HERE), seasonal_of(np.full(YEAR_H, 45.0))
    moved = limits(band, HOUSE, history=history, recentre=True, open_side_centre=50)
    assert (moved.low, moved.centre, moved.high) == pytest.approx((35, 45, 55))
    fixed = limits(band, HOUSE, history=history, open_side_centre=50)
    assert (fixed.low, fixed.high) == (40, 60)
    lender = limits(band, Source("lender", "the lender"), history=history, recentre=True, open_side_centre=50)
    assert (lender.low, lender.high) == (40, 60)


def test_the_more_particular_of_two_bands_as_wide_governs():
    general, own = Band(low=40, high=60, source=HERE), Band(low=30, high=50, source=HERE)
    assert tighter(general, own) == "own"
    assert tighter(Band(low=45, high=55, source=HERE), own) == "general"
    assert tighter(general, None) == "general"
    assert tighter(None, own) == "own"
    assert tighter(None, None) == "neither"


def test_widening_stops_at_the_floor_and_the_ceiling():
    made = limits(Band(low=40, high=60, source=HERE), HOUSE, open_side_centre=50)
    lived = seasonal_of(50 + 35 * np.sin(2 * np.pi * H / YEAR_H))
    wide = widened(made, lived, 25, 75)
    assert (wide.low, wide.high, wide.proofed) == (25, 75, (15, 15))
    calm = widened(made, seasonal_of(np.full(YEAR_H, 50.0)), 25, 75)
    assert (calm.low, calm.high, calm.proofed) == (40, 60, (0, 0))


def test_seasons_of_a_stay():
    assert seasons_of_stay(dt.date(2026, 1, 5), None) == (0, 1, 2, 3)
    assert seasons_of_stay(dt.date(2026, 1, 5), dt.date(2026, 2, 20)) == (0,)
    assert seasons_of_stay(dt.date(2026, 11, 20), dt.date(2027, 3, 2)) == (0, 1, 3)
    assert unseen((True, False, True, False), (0, 1)) == (SEASONS[1],)


def test_an_unseen_season_is_as_wide_as_the_widest_seen_and_moved_by_its_spread():
    winter = seasonal_of(np.tile([40.0, 60.0], 45 * 12), hours(24 * 45))
    assert winter.seen == (True, False, False, False)
    draws = np.array([-1.0, 0.0, 2.0])
    found = extremes(winter, (0, 2), lambda index: draws, 10.0)
    # Seen in half of its days, winter itself may go 10 sqrt(1 - 45/90.25) = 7.1 farther for each deviation.
    farther = 10 * np.sqrt(1 - 45 / 90.25)
    assert found.high == pytest.approx([60, 60, max(60 + 2 * farther, 80)], abs=0.2)
    assert found.low == pytest.approx([min(40 - farther, 30), 40, 40], abs=0.2)


@given(st.lists(st.floats(-50, 150), min_size=1, max_size=60), st.sampled_from([0.02, 0.5, 0.95, 0.98]))
def test_quantiles_are_numpys_and_equal_weights_change_nothing(values, share):
    array = np.array(values)
    expected = float(np.percentile(array, 100 * share))
    assert float(quantiles(array, None, (share,))[0]) == pytest.approx(expected, abs=1e-9)
    assert float(quantiles(array, np.ones(len(array)), (share,))[0]) == pytest.approx(expected, abs=1e-9)


@given(st.integers(1, 12))
def test_all_hours_of_the_year_fall_in_one_season(month):
    day = np.datetime64(f"2025-{month:02d}-15T00:00:00", "s")
    found = seasonal_of(np.full(72, 50.0), day + np.arange(72).astype("timedelta64[h]"))
    assert sum(share > 0 for share in found.coverage) == 1
    assert found.first == int((day - np.datetime64(0, "s")).astype(int))
    assert found.days == 3

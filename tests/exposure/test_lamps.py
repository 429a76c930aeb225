"""Electric light told from daylight in half-hours made by hand, on either side of each stated threshold."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.exposure.daylight_reference import Outdoors
from stillwall.exposure.dose import HalfHours
from stillwall.exposure.lamps import LampFacts, LampSchedule, lamp_schedule

SLOTS = 48
MONDAY = 20_094
EVENING = range(40, 44)
"""20:00 to 22:00."""


def sky(days=28, first=MONDAY, half_day=12, low=()):
    """The sun up from ``24 - half_day`` to ``24 + half_day``; slots of ``low`` with a sun that is just down."""
    slot = np.arange(SLOTS)
    up = np.abs(slot - 23.5) < half_day
    height = np.where(up, 30.0, -20.0)
    reference = np.where(up, 20_000.0, 0.0)
    for at in low:
        height[at], reference[at] = -3.0, 100.0
    whole = np.ones((days, 1))
    return Outdoors(
        first,
        whole * height,
        whole * 0.0 * height,
        whole * reference,
        whole * height < -6.0,
        whole * height < -12.0,
        np.broadcast_to(slot, (days, SLOTS)),
        np.broadcast_to(((first + 3 + np.arange(days)) % 7)[:, None], (days, SLOTS)),
    )


def cells(lux, first=MONDAY):
    """Half-hours of a mean level; NaN for those without readings."""
    lux = np.asarray(lux, float)
    covered = np.where(np.isfinite(lux), 0.5, 0.0)
    return HalfHours(first, np.nan_to_num(lux) * covered, covered)


def room(outside, lamps=None, ratio=0.005):
    """Daylight by a ratio, and lamps by ``lamps[(day, slot)]``."""
    lux = ratio * outside.reference_lux
    for (day, slot), level in (lamps or {}).items():
        lux[day, slot] += level
    return lux


def evenings(level, days=range(28), slots=EVENING):
    return {(day, slot): level(day) if callable(level) else level for day in days for slot in slots}


def schedule(lux, outside, *, dark_in_year=None, lamps=()):
    dark = outside.dark[0] if dark_in_year is None else dark_in_year
    return lamp_schedule(cells(lux), outside, np.asarray(dark), tuple(lamps))


@pytest.mark.parametrize(("level", "lit"), [(2.9, False), (3.1, True), (60.0, True)])
def test_what_is_over_three_lux_in_the_dark_is_a_lamp(level, lit):
    outside = sky()
    found = schedule(room(outside, evenings(level)), outside)
    expected = np.zeros(SLOTS)
    expected[list(EVENING)] = level if lit else 0.0
    assert found.level_lux == pytest.approx(np.tile(expected, (7, 1)))
    assert found.lit_level_lux == pytest.approx(level if lit else 0.0)
    assert found.daily_h == pytest.approx(2.0 if lit else 0.0)
    assert not found.hidden.any()
    assert not found.from_survey


def test_each_day_of_the_week_has_its_own_level_from_three_weeks_on():
    for days, own in ((21, True), (20, False)):
        outside = sky(days)
        found = schedule(room(outside, evenings(lambda day: 10.0 * (day % 7 + 1), range(days))), outside)
        if own:
            assert found.level_lux[:, 41] == pytest.approx(10.0 * np.arange(1.0, 8.0))
        else:
            # Working days together, and weekends: days 0 to 19 hold three of Monday to Friday and three of Saturday.
            week = [10.0 * (day % 7 + 1) for day in range(days) if day % 7 < 5]
            rest = [10.0 * (day % 7 + 1) for day in range(days) if day % 7 >= 5]
            assert found.level_lux[:, 41] == pytest.approx([np.mean(week)] * 5 + [np.mean(rest)] * 2)


def test_a_day_of_the_week_without_readings_takes_the_mean_of_the_others():
    outside = sky()
    lux = room(outside, evenings(lambda day: 10.0 * (day % 7 + 1)))
    lux[1::7] = np.nan
    found = schedule(lux, outside)
    assert found.level_lux[1, 41] == pytest.approx(10.0 * np.mean([1, 3, 4, 5, 6, 7]))
    assert found.level_lux[2, 41] == pytest.approx(30.0)


@pytest.mark.parametrize(("seen", "hidden"), [(2, False), (1, True)])
def test_a_half_hour_counts_from_two_readings_on(seen, hidden):
    outside = sky()
    lux = room(outside, evenings(60.0))
    # Nothing beside it is lit, so that nothing can be carried on.
    lux[seen:, 3] = np.nan
    lux[seen:, 2] = np.nan
    found = schedule(lux, outside)
    assert found.hidden[3] is np.bool_(hidden)
    assert found.level_lux[:, 3].max() == 0.0


def test_hours_that_summer_hides_burn_like_a_lit_neighbour():
    # Readings of summer: dark from 21:00 on. In winter it is dark from 16:00 on.
    outside = sky(half_day=18)
    assert outside.dark[0].nonzero()[0].tolist() == [0, 1, 2, 3, 4, 5, 42, 43, 44, 45, 46, 47]
    in_year = np.abs(np.arange(SLOTS) - 23.5) > 8
    found = schedule(room(outside, evenings(60.0, slots=range(42, 46))), outside, dark_in_year=in_year)
    assert found.dusk_lux[:, 32:42] == pytest.approx(np.full((7, 10), 60.0))
    assert not found.dusk_lux[:, :32].any()
    # In the morning the last slot that was seen is dark: nothing shows whether the hidden ones are.
    assert found.hidden.nonzero()[0].tolist() == list(range(6, 16))
    # On a winter day the carried lamp burns where it is dark, and only there.
    winter = sky(half_day=8)
    lit = found.lamp_lux(winter)
    assert lit[0, 32:46] == pytest.approx(np.full(14, 60.0))
    assert found.lamp_lux(outside)[0, 32:42] == pytest.approx(np.zeros(10))


def test_without_a_lit_neighbour_hidden_hours_stay_open():
    outside = sky(half_day=18)
    in_year = np.abs(np.arange(SLOTS) - 23.5) > 8
    found = schedule(room(outside), outside, dark_in_year=in_year)
    assert found.hidden.nonzero()[0].tolist() == [*range(6, 16), *range(32, 42)]
    assert not found.dusk_lux.any()


def test_where_night_was_never_seen_all_dark_hours_are_hidden():
    outside = sky(half_day=25)
    in_year = np.abs(np.arange(SLOTS) - 23.5) > 8
    found = schedule(room(outside), outside, dark_in_year=in_year)
    assert found.hidden.tolist() == in_year.tolist()


@pytest.mark.parametrize(("dull", "burns"), [(0.89, False), (0.91, True), (1.99, True), (2.01, False)])
def test_a_lamp_burns_on_by_day_where_dull_readings_show_about_its_level(dull, burns):
    outside = sky()
    lux = room(outside, evenings(60.0, slots=range(36, 40)))
    # The dullest tenth of the readings at 17:30 and 17:00, in daylight: three of 28 days.
    for slot in (35, 34):
        lux[:, slot] = 500.0
        lux[:3, slot] = 60.0 * dull
    found = schedule(lux, outside)
    assert found.level_lux[:, 34:36] == pytest.approx(np.full((7, 2), 60.0 if burns else 0.0))
    assert found.level_lux[:, 36] == pytest.approx(np.full(7, 60.0))


def test_a_lamp_of_the_morning_burns_on_towards_noon():
    outside = sky()
    lux = room(outside, evenings(60.0, slots=range(8, 12)), ratio=0.02)
    lux[:, 12:15] = 70.0
    found = schedule(lux, outside)
    assert found.level_lux[0, 8:16].tolist() == pytest.approx([60.0] * 7 + [0.0])


def test_the_dullest_tenth_is_the_third_of_28_readings():
    outside = sky()
    lux = room(outside, evenings(60.0, slots=range(36, 40)))
    lux[:, 35] = 500.0
    lux[:2, 35] = 70.0
    assert schedule(lux, outside).level_lux[0, 35] == 0.0
    lux[:3, 35] = 70.0
    assert schedule(lux, outside).level_lux[0, 35] == pytest.approx(60.0)


@pytest.mark.parametrize(("level", "lit"), [(4.9, False), (5.1, True), (20.0, True)])
def test_at_dusk_a_lamp_outshines_what_daylight_may_be(level, lit):
    # A room at 0.5 %: about sunset 1,000 lx outdoors may be 5 lx indoors, and a reference of 100 lx gives 0.5.
    outside = sky(low=(36, 37))
    lux = room(outside, evenings(level, slots=(36, 37)))
    found = schedule(lux, outside)
    expected = level if lit else 0.0
    assert found.level_lux[:, 36] == pytest.approx(np.full(7, expected), abs=1e-9)


def test_at_dusk_the_level_is_that_of_the_nearest_dark_half_hour():
    outside = sky(low=(36, 37))
    lux = room(outside, evenings(60.0, slots=range(36, 44)))
    found = schedule(lux, outside)
    assert found.level_lux[0, 36:44] == pytest.approx(np.full(8, 60.0))
    # Not where dull readings lie under it: then it is what was seen above daylight, 30 lx.
    lux = room(outside, evenings(60.0, slots=range(38, 44)) | evenings(30.0, slots=(36, 37)))
    found = schedule(lux, outside)
    assert found.level_lux[0, 36:39] == pytest.approx([30.0, 30.0, 60.0])


def test_the_survey_s_hours_stand_where_nothing_was_seen():
    outside = sky(half_day=18)
    in_year = np.abs(np.arange(SLOTS) - 23.5) > 8
    lamps = [
        LampFacts(level_lux=40.0, from_h=16.0, to_h=22.0),
        LampFacts(level_lux=10.0, from_h=16.0, to_h=17.0, days_per_year=73.0),
        LampFacts(level_lux=500.0),
    ]
    found = schedule(
        room(outside, evenings(60.0, slots=range(42, 46))), outside, dark_in_year=in_year, lamps=lamps
    )
    assert found.from_survey
    assert not found.hidden.any()
    assert not found.dusk_lux.any()
    # Seen: 60 lx from 21:00 on; surveyed before, a fifth of the days with 10 lx more.
    assert found.level_lux[0, 30:46] == pytest.approx([0.0, 0.0, 42.0, 42.0] + [40.0] * 8 + [60.0] * 4)
    # Hours without a level burn at the level seen.
    hours_only = [LampFacts(from_h=16.0, to_h=22.0, days_per_year=9999.0)]
    found = schedule(
        room(outside, evenings(60.0, slots=range(42, 46))), outside, dark_in_year=in_year, lamps=hours_only
    )
    assert found.level_lux[0, 33] == pytest.approx(60.0)
    # A level without hours says nothing, and neither do hours without any level.
    for useless in (LampFacts(level_lux=40.0), LampFacts(from_h=16.0, to_h=22.0)):
        found = schedule(room(outside), outside, dark_in_year=in_year, lamps=[useless])
        assert not found.from_survey


def test_hours_of_the_clock():
    evening = LampFacts(from_h=17.0, to_h=22.0)
    assert evening.slots().nonzero()[0].tolist() == list(range(34, 44))
    assert evening.daily_h == 5.0
    night = LampFacts(from_h=22.0, to_h=1.5)
    assert night.slots().nonzero()[0].tolist() == [0, 1, 2, 44, 45, 46, 47]
    assert night.daily_h == 3.5
    assert LampFacts(from_h=17.25, to_h=22.25).slots().nonzero()[0].tolist() == list(range(34, 44))
    assert LampFacts(from_h=9.0, to_h=9.0).slots().sum() == 0
    assert LampFacts(hours_per_day=4.0, from_h=17.0, to_h=22.0).daily_h == 4.0
    assert LampFacts(from_h=17.0).slots() is None
    assert LampFacts(to_h=17.0).daily_h is None
    assert LampFacts().slots() is None


def test_the_typical_level_is_the_middle_of_lit_half_hours():
    level = np.zeros((7, SLOTS))
    level[:, 40], level[:, 41], level[0, 42] = 20.0, 60.0, 3.0
    made = LampSchedule(level, np.zeros((7, SLOTS)), np.zeros(SLOTS, bool), from_survey=False)
    assert made.lit_level_lux == 40.0
    # 7 x 80 + 3 lx in half-hours of a week, at 40 lx.
    assert made.daily_h == pytest.approx(563.0 * 0.5 / 7.0 / 40.0)


def test_a_room_without_daylight_takes_no_ratio():
    outside = sky()
    lux = room(outside, evenings(60.0), ratio=0.0)
    assert schedule(lux, outside).level_lux[0, 41] == pytest.approx(60.0)
    night_only = np.where(outside.dark, lux, np.nan)
    assert schedule(night_only, outside).level_lux[0, 41] == pytest.approx(60.0)

"""A year of sun on a wall, summed up moment by moment from the lit shares that rays give."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.daylight_reference import Location
from stillwall.exposure.sky import clear_beam_w_m2
from stillwall.exposure.sun_on_wall import (
    Shade,
    SunCalendar,
    SunWindow,
    WallSun,
    sun_calendar,
    sun_on,
    wall_patch,
)
from stillwall.exposure.sun_patch import Target, Window, incidence_cosine, lit_fraction
from stillwall.exposure.sun_position import sun_position
from stillwall.record import Record

PLACE = Location(52.0, 5.0, "Europe/Amsterdam")
NOTHING = Record("wall", {})
JANUARY_2026 = (dt.date(2026, 1, 1) - dt.date(1970, 1, 1)).days
SOUTH = Window(180.0, 1.0, 2.2, 0.9, 2.4, 0.2, horizon_deg=6.0, glazed_share=0.8, transmittance=0.7)
FACING = SunWindow(SOUTH, "facing", 4.0, 5.0)
WEST = SunWindow(replace(SOUTH, bearing_deg=270.0), "right", 5.0, None, side_sd_m=0.1)
SPACE = (1.0, 2.5, 1.0, 2.0)
LUMENS, SUNSHINE = 100.0, 0.4


def moments():
    """The middle day of each week of 2026, in steps of 20 minutes: week, seconds of UTC."""
    for week in range(52):
        for step in range(72):
            yield week, (JANUARY_2026 + 7 * week + 3) * 86_400.0 + (step + 0.5) * 1200.0


def local_hour(seconds):
    # Summer time of 2026: from 29 March to 25 October, 01:00 UTC; by the day here.
    summer = (
        dt.datetime(2026, 3, 29, tzinfo=dt.UTC).timestamp()
        <= seconds
        < dt.datetime(2026, 10, 25, tzinfo=dt.UTC).timestamp()
    )
    return (seconds / 3600.0 + (2.0 if summer else 1.0)) % 24.0


def target_of(entry, space=SPACE):
    left, right, bottom, top = space
    if entry.mirror_m is not None:
        left, right = entry.mirror_m - right, entry.mirror_m - left
    return Target(entry.relation, entry.plane_m, left, right, bottom, top)


def summed(windows, level=0.0, drawn=lambda hour, entry: 1.0):
    week_lux_h, hours, peak, clock = np.zeros(52), 0.0, 0.0, []
    step_h = 7.0 * 365.0 / 364.0 / 3.0
    every = list(moments())
    seconds = np.array([second for _, second in every])
    sun = sun_position(seconds, 52.0, 5.0)
    beam = clear_beam_w_m2(sun.elevation_deg)
    up = sun.elevation_deg > 0.5
    lit_by = []
    for entry in windows:
        window, target = entry.varied(level), target_of(entry)
        share = np.where(up, lit_fraction(sun.elevation_deg, sun.azimuth_deg, window, target), 0.0)
        w_m2 = (
            beam * window.transmittance * incidence_cosine(sun.elevation_deg, sun.azimuth_deg, window, target)
        )
        lit_by.append((entry, share, w_m2))
    for at, (week, second) in enumerate(every):
        hour, any_lit = local_hour(second), False
        for entry, share, w_m2 in lit_by:
            factor = drawn(hour, entry)
            week_lux_h[week] += (
                share[at] * w_m2[at] * factor * LUMENS * SUNSHINE * entry.window.glazed_share * step_h
            )
            if share[at] > 0.02:
                peak = max(peak, w_m2[at] * factor)
                any_lit |= factor > 0.05
        if any_lit:
            hours += step_h
            clock.append(hour)
    return week_lux_h, hours, peak, clock


@pytest.mark.parametrize("windows", [(FACING,), (WEST,), (FACING, WEST)])
def test_a_year_is_the_sum_of_its_moments(windows):
    found = sun_on(NOTHING, WallSun(PLACE, windows, 0.0, 5.0), *SPACE)
    week_lux_h, hours, peak, clock = summed(windows)
    assert found.week_lux_h == pytest.approx(week_lux_h)
    assert found.week_lux_h.max() > 0.0
    for at, level in enumerate((-1.645, 0.0, 1.645)):
        _, hours, peak, _ = summed(windows, level)
        assert (found.hours[at], found.peak_w_m2[at]) == pytest.approx((hours, peak))
    assert found.clock_h == pytest.approx((min(clock), max(clock)))


@pytest.mark.parametrize(("start", "end"), [(11.0, 15.0), (15.0, 11.0), (12.0, 12.0)])
@pytest.mark.parametrize("transmittance", [0.04, 0.3])
def test_a_blind_is_drawn_by_its_hours(start, end, transmittance):
    entry = replace(FACING, shade=Shade(transmittance, start, end))

    def drawn(hour, _):
        inside = start <= hour < end if start <= end else hour >= start or hour < end
        return transmittance if inside else 1.0

    found = sun_on(NOTHING, WallSun(PLACE, (entry,), 0.0, 5.0), *SPACE)
    week_lux_h, hours, peak, clock = summed((entry,), 0.0, drawn)
    assert found.week_lux_h == pytest.approx(week_lux_h)
    # Behind a dense one there is no sun to speak of.
    assert (found.hours[1], found.peak_w_m2[1]) == pytest.approx((hours, peak))
    assert found.clock_h == pytest.approx((min(clock), max(clock)))


def test_a_blind_is_drawn_all_day_where_no_hours_are_given():
    entry = replace(FACING, shade=Shade(0.5))
    bare = sun_on(NOTHING, WallSun(PLACE, (FACING,), 0.0, 5.0), *SPACE)
    behind = sun_on(NOTHING, WallSun(PLACE, (entry,), 0.0, 5.0), *SPACE)
    assert behind.week_lux_h == pytest.approx(0.5 * bare.week_lux_h)


def test_uncertain_dimensions_open_the_window_or_close_it():
    more, less = FACING.varied(1.645), FACING.varied(-1.645)
    # A bearing of 3 degrees moves a patch on a wall 4 m away by 4 tan 3.
    side = 1.645 * np.hypot(0.05, 4.0 * np.tan(np.radians(3.0)))
    assert (more.left_m, more.right_m) == pytest.approx((1.0 - side, 2.2 + side))
    assert (more.sill_m, more.head_m, more.horizon_deg) == pytest.approx(
        (0.9 - 0.08225, 2.4 + 0.08225, 6.0 - 1.645)
    )
    assert (less.left_m, less.horizon_deg) == pytest.approx((1.0 + side, 6.0 + 1.645))
    assert FACING.varied(0.0) == SOUTH
    # On a side wall two metres stand for the reach.
    side = 1.645 * np.hypot(0.1, 2.0 * np.tan(np.radians(3.0)))
    assert WEST.varied(1.645).left_m == pytest.approx(1.0 - side)
    assert replace(FACING, horizon_sd_deg=9.0).varied(1.645).horizon_deg == 0.0
    # A slit closes altogether, and another window beside it still counts.
    slit = replace(FACING, window=replace(SOUTH, right_m=1.1))
    low = replace(FACING, window=replace(SOUTH, head_m=0.95))
    for closed in (slit, low):
        found = sun_on(NOTHING, WallSun(PLACE, (closed, WEST), 0.0, 5.0), *SPACE)
        alone = sun_on(NOTHING, WallSun(PLACE, (WEST,), 0.0, 5.0), *SPACE)
        assert found.hours[0] == alone.hours[0] > 0.0


def test_without_a_latitude_or_in_the_shade_there_is_no_sun():
    unknown = sun_on(NOTHING, WallSun(Location(None, 5.0, "UTC"), (FACING,), 0.0, 5.0), *SPACE)
    assert not unknown.hours.any()
    assert unknown.clock_h is None
    north = replace(FACING, window=replace(SOUTH, bearing_deg=0.0, horizon_deg=60.0))
    found = sun_on(NOTHING, WallSun(PLACE, (north,), 0.0, 5.0), *SPACE)
    assert not found.week_lux_h.any()
    assert found.clock_h is None


def test_the_calendar_is_the_lit_share_by_the_local_clock():
    first = (dt.date(2026, 10, 23) - dt.date(1970, 1, 1)).days
    low = (1.0, 2.5, 0.0, 1.0)
    both = (FACING, replace(WEST, shade=Shade(0.04, 0.0, 16.0)))
    found = sun_calendar(WallSun(PLACE, both, 0.0, 5.0), *low, first_day=first, days=4, slots=48)
    assert found.lit.shape == (4, 48)
    assert (found.first_day, found.slot_h) == (first, 0.5)
    for day in range(4):
        # Summer time ends on the third of these days.
        ahead = 1.0 if day >= 2 else 2.0
        for slot in range(48):
            hour = (slot + 0.5) / 2.0
            seconds = (first + day) * 86_400.0 + (hour - ahead) * 3600.0
            sun = sun_position(np.array([seconds]), 52.0, 5.0)
            expected = 0.0
            if sun.elevation_deg[0] > 0.5:
                for entry in both:
                    if entry.shade is None or hour >= 16.0:
                        expected += lit_fraction(
                            sun.elevation_deg, sun.azimuth_deg, entry.window, target_of(entry, low)
                        )[0]
            assert found.lit[day, slot] == pytest.approx(min(expected, 1.0), abs=1e-12)
    assert found.lit.max() > 0.1
    assert found.hours == pytest.approx((found.lit > 0.02).sum() * 0.5)
    nowhere = sun_calendar(WallSun(Location(), (FACING,), 0.0, 5.0), *SPACE, days=2)
    assert nowhere.lit.shape == (2, 96)
    assert not nowhere.lit.any()
    assert nowhere.first_day == JANUARY_2026
    assert sun_calendar(WallSun(PLACE, (), 0.0, 5.0), *SPACE).lit.shape == (365, 96)


def test_spells_are_runs_of_days_with_their_hours():
    lit = np.zeros((6, 24))
    lit[0, 9] = lit[1, 11] = lit[1, 10] = lit[5, 23] = 0.5
    lit[3, 4] = 0.02
    found = SunCalendar(100, lit)
    assert found.spells() == ((100, 101, 9.0, 12.0), (105, 105, 23.0, 24.0))
    assert found.hours == 4.0
    assert SunCalendar(100, np.zeros((3, 24))).spells() == ()


def test_two_windows_light_a_wall_at_most_once():
    twice = sun_calendar(WallSun(PLACE, (FACING, FACING), 0.0, 5.0), *SPACE, days=200, slots=48)
    once = sun_calendar(WallSun(PLACE, (FACING,), 0.0, 5.0), *SPACE, days=200, slots=48)
    assert twice.lit == pytest.approx(np.minimum(2.0 * once.lit, 1.0))


def test_a_patch_at_a_moment_lies_where_its_rays_fall():
    # 1 February 2026, 12:00 UTC: the sun at about 20.5 degrees, a little west of south.
    noon = dt.datetime(2026, 2, 1, 12, tzinfo=dt.UTC).timestamp()
    found = wall_patch(WallSun(PLACE, (FACING, WEST), 0.0, 5.0), noon)
    sun = sun_position(np.array([noon]), 52.0, 5.0)
    assert (found.unix_s, found.elevation_deg, found.azimuth_deg) == pytest.approx(
        (noon, sun.elevation_deg[0], sun.azimuth_deg[0])
    )
    assert len(found.corners_m) == 1
    height = np.radians(found.elevation_deg)
    turn = np.radians(found.azimuth_deg - 180.0)
    sideways, upward = np.tan(turn), np.tan(height) / np.cos(turn)
    # Sun from the right of who looks out: the left edge of the opening is cut by nothing, the right by the reveal.
    left, right = SOUTH.left_m, SOUTH.right_m - 0.2 * sideways
    sill, head = SOUTH.sill_m, SOUTH.head_m - 0.2 * upward
    across = {5.0 - (edge - 4.0 * sideways) for edge in (left, right)}
    up = {max(edge - 4.0 * upward, 0.0) for edge in (sill, head)}
    corners = np.array(found.corners_m[0])
    assert sorted({round(x, 6) for x in corners[:, 0]}) == pytest.approx(sorted(across), abs=1e-5)
    assert sorted({round(z, 6) for z in corners[:, 1]}) == pytest.approx(sorted(up), abs=1e-5)


def test_coordinates_run_from_the_wall_s_own_left_corner():
    assert FACING.target(1.0, 1.5, 0.8, 2.0) == Target("facing", 4.0, 3.5, 4.0, 0.8, 2.0)
    assert WEST.target(1.0, 1.5, 0.8, 2.0) == Target("right", 5.0, 1.0, 1.5, 0.8, 2.0)
    assert FACING.on_wall(((3.5, 1.0), (4.0, 2.0))) == ((1.5, 1.0), (1.0, 2.0))
    assert WEST.on_wall(((3.5, 1.0),)) == ((3.5, 1.0),)

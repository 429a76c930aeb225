"""The parts of a year's light against sums made by hand over logs of which each part is known."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from stillwall.exposure.annual_dose import annual_dose
from stillwall.exposure.daylight_reference import Location, WindowFace, outdoors
from stillwall.exposure.lamps import LampFacts
from stillwall.exposure.light_year import SPREADS, LightSite, nothing_logged
from stillwall.exposure.season_kriging import season_posterior
from tests.exposure.light_records import DAY_S, clock, record_of

MONDAY = 20_094
"""6 January 2025."""
PLACE = Location(52.0, 5.0, "UTC")
"""Its local clock is that of the readings, so that hours are plain."""
STEP_S = 300
RATIO = 0.004


def sky(days=364, first=MONDAY, place=PLACE, windows=()):
    return outdoors(first, days, place, windows, utc=True)


def daylight(seconds, first=MONDAY, place=PLACE, windows=()):
    """A small share of the light outdoors, even within each half-hour."""
    days = int(seconds[-1] // DAY_S) - first + 1
    reference = sky(days, first, place, windows).reference_lux.ravel()
    return RATIO * reference[(seconds - first * DAY_S) // 1800]


def hour(seconds):
    return seconds / 3600.0 % 24.0


def evening(seconds, lux, start=18.0, end=22.0):
    return np.where((hour(seconds) >= start) & (hour(seconds) < end), lux, 0.0)


def parts_of(seconds, lux, site=None, **more):
    annual = annual_dose(record_of(seconds, lux, **more), site or LightSite(PLACE, method="step"))
    assert annual.parts is not None
    return annual, annual.parts


def test_each_week_of_a_whole_year_is_its_own_sum():
    seconds = clock(MONDAY, 364, STEP_S)
    day, lamp = daylight(seconds), evening(seconds, 60.0)
    annual, parts = parts_of(seconds, day + lamp)
    week = (seconds // DAY_S - MONDAY) // 7
    for made, lux in ((parts.daylight_lux_h, day), (parts.electric_lux_h, lamp)):
        # The last reading has nobody to hold until.
        assert made[:51] == pytest.approx(np.bincount(week, lux / 12.0)[:51], rel=1e-6)
    assert parts.seen.all()
    assert (annual.weeks_seen, annual.expected_share) == (52, pytest.approx(1.0))
    assert annual.measured_lux_h == pytest.approx((day + lamp).sum() / 12.0, rel=1e-6)
    assert annual.measured_h == pytest.approx(364 * 24, abs=0.1)
    assert parts.expected_lux_h == pytest.approx(sky().reference_lux.reshape(52, -1).sum(axis=1) / 2.0)
    assert parts.filled_lux_h[:51].max() < 1e-6
    assert annual.lamp_level_lux == pytest.approx(60.0)
    assert annual.lamp_daily_h == pytest.approx(4.0)
    peak = int(np.argmax(day + lamp))
    assert annual.peak_lux == pytest.approx((day + lamp)[peak])
    assert annual.peak_at == np.datetime64(int(seconds[peak]), "s")
    assert (annual.first, annual.last) == (
        np.datetime64(int(seconds[0]), "s"),
        np.datetime64(int(seconds[-1]), "s"),
    )
    assert annual.basis == "latitude"


def test_the_schedule_of_lamps_is_split_by_dark_and_day():
    seconds = clock(MONDAY, 364, STEP_S)
    _, parts = parts_of(seconds, daylight(seconds) + evening(seconds, 60.0, 15.0, 22.0))
    year = sky()
    lit = np.isin(np.arange(48), np.arange(30, 44))
    dark = (year.dark & lit).reshape(52, -1).sum(axis=1) * 0.5 * 60.0
    light = (~year.dark & lit).reshape(52, -1).sum(axis=1) * 0.5 * 60.0
    assert parts.lamp_dark_lux_h == pytest.approx(dark, rel=0.02)
    assert parts.lamp_day_lux_h == pytest.approx(light, rel=0.02)


def test_two_years_are_one_mean_year_and_the_days_over_are_left_out():
    seconds = clock(MONDAY, 2 * 364 + 20, STEP_S)
    second = seconds >= (MONDAY + 364) * DAY_S
    reference = np.concatenate([daylight(clock(MONDAY, 364, STEP_S))] * 3)[: len(seconds)]
    _, parts = parts_of(seconds, np.where(second, 3.0, 1.0) * reference)
    single = np.bincount(np.arange(104_832) // 2016, reference[:104_832] / 12.0)
    assert parts.daylight_lux_h == pytest.approx(2.0 * single, rel=0.03)
    _, lit = parts_of(seconds, reference + evening(seconds, 60.0))
    assert lit.electric_lux_h == pytest.approx(np.full(52, 7 * 4 * 60.0), rel=0.02)


def _cut(seconds, lost):
    keep = ~lost(seconds)
    return seconds[keep]


@pytest.mark.parametrize("days_lost", [1, 2, 3])
def test_days_that_a_seen_week_lacks_are_filled_by_their_share_of_the_light_outdoors(days_lost):
    whole = clock(MONDAY, 364, STEP_S)
    day = (whole // DAY_S - MONDAY).astype(int)
    lost = (day // 7 == 20) & (day % 7 < days_lost)
    seconds = whole[~lost]
    _, parts = parts_of(seconds, daylight(whole)[~lost])
    reference = sky().reference_lux.sum(axis=1)[140:147] / 2.0
    share = reference[days_lost:].sum() / reference.sum()
    assert parts.seen[20]
    # Edges of the hole cost half an hour at most.
    assert parts.daylight_lux_h[20] == pytest.approx(RATIO * reference.sum(), rel=0.01)
    assert parts.filled_lux_h[20] == pytest.approx(RATIO * reference.sum() * (1 - share), rel=0.03)
    assert parts.filled_lux_h[[19, 21]] == pytest.approx([0.0, 0.0], abs=1.0)


@pytest.mark.parametrize(("days_kept", "told"), [(4, True), (3, False)])
def test_a_week_is_seen_from_half_of_its_light_on(days_kept, told):
    whole = clock(MONDAY, 364, STEP_S)
    day = (whole // DAY_S - MONDAY).astype(int)
    kept = (day // 7 != 24) | (day % 7 < days_kept)
    _, parts = parts_of(whole[kept], daylight(whole)[kept])
    assert parts.seen[24] is np.bool_(told)
    assert parts.seen.sum() == 51 + told
    if not told:
        assert parts.daylight_lux_h[24] == parts.electric_lux_h[24] == 0.0
        assert len(parts.posterior.mean) == 1


def test_where_no_week_is_half_seen_the_best_ones_are_taken():
    whole = clock(MONDAY + 150, 7, STEP_S)
    kept = (whole // DAY_S - MONDAY - 150) < 2
    annual, parts = parts_of(whole[kept], daylight(whole, MONDAY + 150)[kept])
    assert annual.weeks_seen == 1
    reference = sky(7, MONDAY + 150).reference_lux.sum() / 2.0
    assert parts.daylight_lux_h[0] == pytest.approx(RATIO * reference, rel=0.02)


def test_lamps_of_hours_that_a_seen_week_lacks_burn_as_on_other_evenings():
    whole = clock(MONDAY, 364, STEP_S)
    day = (whole // DAY_S - MONDAY).astype(int)
    lost = (day == 140) & (hour(whole) >= 17.0)
    lux = daylight(whole) + evening(whole, 60.0, 18.0, 24.0)
    _, parts = parts_of(whole[~lost], lux[~lost])
    assert parts.electric_lux_h[20] == pytest.approx(7 * 6 * 60.0, rel=0.02)


def test_unseen_weeks_are_carried_from_seen_ones_with_their_own_noise():
    whole = clock(MONDAY, 140, STEP_S)
    day = (whole // DAY_S - MONDAY).astype(int)
    lost = (day // 7 == 3) & (day % 7 < 3)
    lux = daylight(whole) * (1.0 + 0.2 * (day // 7 % 2))
    _, parts = parts_of(whole[~lost], lux[~lost])
    middle = np.array([(MONDAY + 7 * week - 20_089) % 365 + 3.5 for week in range(52)])
    seen = parts.seen
    assert seen.sum() == 20
    lacks = np.where(np.arange(52) == 3, parts.filled_lux_h / np.maximum(parts.daylight_lux_h, 1e-9), 0.0)[
        seen
    ]
    spread = SPREADS["horizontal"]
    expected = season_posterior(
        middle[seen],
        np.log(parts.daylight_lux_h[seen] / parts.expected_lux_h[seen]),
        spread,
        middle[~seen],
        np.hypot(spread.week_sd, 0.35 * lacks),
    )
    assert parts.posterior.mean == pytest.approx(expected.mean, abs=2e-3)
    assert parts.posterior.covariance == pytest.approx(expected.covariance, abs=1e-4)


@pytest.mark.parametrize(
    ("site", "name", "basis"),
    [
        (LightSite(PLACE), "horizontal", "latitude"),
        (LightSite(PLACE, (WindowFace(180.0),)), "facade", "windows"),
        (LightSite(Location(None, None, "UTC"), (WindowFace(180.0),)), "horizontal", "latitude_unknown"),
        (LightSite(PLACE, (WindowFace(180.0),), sun_possible=True), "sun", "windows"),
        (LightSite(PLACE, sun_possible=True, sun_week_lux_h=(9.0,) * 52), "horizontal", "latitude"),
        (LightSite(PLACE, sun_possible=True, sun_week_lux_h=(0.0,) * 52), "sun", "latitude"),
    ],
)
def test_what_is_known_of_the_windows_sets_the_spread(site, name, basis):
    seconds = clock(MONDAY, 35, STEP_S)
    annual, parts = parts_of(seconds, daylight(seconds), site)
    assert parts.week_sd == SPREADS[name].week_sd
    assert annual.basis == basis


def sunny(days, level=6000.0):
    """Daylight, and sun on the sensor at noon of every other day."""
    seconds = clock(MONDAY, days, STEP_S)
    noon = (hour(seconds) >= 12.0) & (hour(seconds) < 12.5) & (seconds // DAY_S % 2 == 0)
    return seconds, daylight(seconds), noon, np.where(noon, level, daylight(seconds))


def test_sun_found_in_the_log_is_daylight_where_no_geometry_is_known():
    seconds, day, noon, lux = sunny(28)
    annual, parts = parts_of(seconds, lux)
    assert annual.sun.found
    assert parts.week_sd == SPREADS["sun"].week_sd
    assert parts.sun_log_share is None
    week = (seconds // DAY_S - MONDAY) // 7
    assert parts.daylight_lux_h[:3] == pytest.approx(np.bincount(week, lux / 12.0)[:3], rel=1e-6)
    assert not parts.sun_lux_h.any()
    assert noon.any()
    assert day.max() < 6000.0


def test_sun_found_in_the_log_is_taken_out_of_daylight_where_geometry_foresees_it():
    seconds, day, noon, lux = sunny(28)
    site = LightSite(PLACE, method="step", sun_week_lux_h=tuple(1000.0 + 10.0 * n for n in range(52)))
    _, parts = parts_of(seconds, lux, site)
    week = (seconds // DAY_S - MONDAY) // 7
    above = np.bincount(week, np.where(noon, lux - day, 0.0) / 12.0)
    assert parts.sun_lux_h[:3] == pytest.approx(above[:3], rel=0.01)
    assert parts.daylight_lux_h[:3] == pytest.approx(np.bincount(week, day / 12.0)[:3], rel=0.01)
    middle = np.array([(MONDAY + 7 * n - 20_089) % 365 + 3.5 for n in range(52)])
    calendar = np.interp(middle, 7.0 * np.arange(52) + 3.5, site.sun_week_lux_h, period=365.0)
    assert parts.sun_expected_lux_h == pytest.approx(calendar)
    # The share that lands: a normal prior of -0.8 and 1.4 as a logarithm, met by four weeks of spread 0.7.
    ratio = parts.sun_lux_h[:4].sum() / calendar[:4].sum()
    precision = 1.4**-2 + 4 / 0.7**2
    assert parts.sun_log_share == pytest.approx((1.4**-2 * -0.8 + 4 / 0.7**2 * np.log(ratio)) / precision)
    assert parts.sun_log_sd == pytest.approx(precision**-0.5)


def test_sun_that_never_came_lowers_its_share_to_a_fiftieth_at_most():
    seconds = clock(MONDAY, 28, STEP_S)
    site = LightSite(PLACE, sun_week_lux_h=(1000.0,) * 52)
    _, parts = parts_of(seconds, daylight(seconds), site)
    precision = 1.4**-2 + 4 / 0.7**2
    assert parts.sun_log_share == pytest.approx((1.4**-2 * -0.8 + 4 / 0.7**2 * np.log(0.02)) / precision)
    # Where the sun is foreseen in other weeks only, nothing was tested.
    summer = tuple(1000.0 if 20 <= n < 30 else 10.0 for n in range(52))
    _, parts = parts_of(seconds, daylight(seconds), LightSite(PLACE, sun_week_lux_h=summer))
    assert (parts.sun_log_share, parts.sun_log_sd) == pytest.approx((-0.8, 1.4))


@pytest.mark.parametrize(
    ("start", "days", "june", "december"),
    [
        ("2025-05-01", 60, True, False),
        ("2025-07-07", 60, True, False),
        ("2025-07-28", 60, False, False),
        ("2025-11-05", 45, False, True),
        ("2026-01-15", 60, False, True),
        ("2026-01-30", 40, False, False),
        ("2025-06-01", 24, False, False),
        ("2025-06-01", 28, True, False),
    ],
)
def test_four_weeks_within_sixty_days_of_a_solstice_show_it(start, days, june, december):
    first = (dt.date.fromisoformat(start) - dt.date(1970, 1, 1)).days
    seconds = clock(first, days, 1800)
    annual, _ = parts_of(seconds, daylight(seconds, first))
    assert (annual.june_seen, annual.december_seen) == (june, december)


@pytest.mark.parametrize(
    ("opens", "closes", "hours"), [(9.0, 18.0, 9.0), (20.0, 2.0, 6.0), (0.0, 24.0, 24.0)]
)
def test_what_falls_in_opening_hours(opens, closes, hours):
    seconds = clock(MONDAY, 364, STEP_S)
    day, lamp = daylight(seconds), evening(seconds, 60.0, 17.0, 23.0)
    site = LightSite(PLACE, method="step", open_from_h=opens, open_to_h=closes)
    annual, _ = parts_of(seconds, day + lamp, site)
    now = hour(seconds)
    is_open = (now >= opens) & (now < closes) if opens < closes else (now >= opens) | (now < closes)
    assert annual.open_h == hours
    assert annual.open_daylight_share == pytest.approx(day[is_open].sum() / day.sum(), abs=0.01)
    assert annual.open_electric_share == pytest.approx(lamp[is_open].sum() / lamp.sum(), abs=0.01)


def test_without_lamps_their_share_is_one():
    seconds = clock(MONDAY, 364, STEP_S)
    annual, _ = parts_of(seconds, daylight(seconds))
    assert annual.open_electric_share == 1.0
    assert annual.hidden_lamp_h == 0.0
    assert annual.lamp_level_lux == annual.lamp_daily_h == 0.0


def test_a_coarse_sensor_leaves_half_a_step_in_every_unlit_hour_of_the_day():
    seconds = clock(MONDAY, 28, STEP_S)
    number = np.arange(len(seconds))
    lux = 8.0 * sum((number % every == 0).astype(float) for every in (996, 1992, 3984, 7968))
    annual, parts = parts_of(seconds, lux)
    assert annual.step_lux == 8.0
    light = (~sky(28).dark).sum() * 0.5 / 4.0
    # A week's half-hours of the day, half an hour each, half a step in the mean: 1 in 40 shows a step.
    assert parts.coarse_lux_h == pytest.approx(0.5 * 8.0 * light, rel=0.05)


def test_readings_below_zero_are_dark_and_the_night_offset_is_found_far_from_dusk():
    seconds = clock(MONDAY, 364, STEP_S)
    shift = 1.5
    annual, parts = parts_of(seconds, daylight(seconds) + shift)
    assert annual.offset_lux == pytest.approx(shift)
    assert parts.daylight_lux_h[30] == pytest.approx(
        RATIO * sky().reference_lux[210:217].sum() / 2, rel=0.002
    )
    below, _ = parts_of(seconds, daylight(seconds) - 0.001)
    assert below.offset_lux == 0.0
    # No night astronomical: at 65 N in June the sun is never twelve degrees down, and hardly six.
    north = Location(58.0, 5.0, "UTC")
    june = (dt.date(2025, 6, 10) - dt.date(1970, 1, 1)).days
    bright = clock(june, 20, STEP_S)
    found, _ = parts_of(bright, daylight(bright, june, north) + shift, LightSite(north))
    assert found.offset_lux == pytest.approx(shift, abs=0.3)


def test_a_wall_sees_daylight_where_it_is_brighter_by_day_than_by_night():
    seconds = clock(MONDAY, 28, STEP_S)
    day = daylight(seconds)
    bright = sky(28).reference_lux > 5000.0
    typical = np.median(np.where(bright, RATIO * sky(28).reference_lux, np.nan)[bright])
    for level, told in ((1.9, False), (2.1, True)):
        annual, _ = parts_of(seconds, day * level / typical)
        assert annual.daylight_seen is told
    # Beside a strong lamp, 15 % of its level.
    for level, told in ((14.0, False), (16.0, True)):
        annual, _ = parts_of(seconds, day * level / typical + evening(seconds, 100.0, 0.0, 24.0))
        assert annual.daylight_seen is told


def test_the_light_of_polar_summer_has_no_night_to_compare_with():
    june = (dt.date(2025, 6, 10) - dt.date(1970, 1, 1)).days
    north = Location(69.6, 18.9, "UTC")
    seconds = clock(june, 20, STEP_S)
    annual, _ = parts_of(seconds, daylight(seconds, june, north), LightSite(north))
    assert annual.daylight_seen
    assert annual.offset_lux == 0.0


def test_the_survey_s_lamps_and_a_known_scale_are_told():
    seconds = clock(MONDAY + 160, 28, STEP_S)
    lux = np.minimum(daylight(seconds, MONDAY + 160), 40.0)
    lamps = (LampFacts(level_lux=50.0, from_h=17.0, to_h=22.0),)
    annual, parts = parts_of(seconds, lux, LightSite(PLACE, lamps=lamps, full_scale_lux=40.0, method="step"))
    assert annual.lamps_from_survey
    assert parts.lamps_from_survey
    assert annual.saturated_share == pytest.approx((lux >= 40.0).mean())
    assert annual.lamp_level_lux == pytest.approx(50.0)


def test_a_site_of_which_nothing_is_known_is_judged():
    seconds = clock(MONDAY, 28, STEP_S)
    annual, _ = parts_of(seconds, daylight(seconds), LightSite())
    assert annual.basis == "latitude_unknown"
    empty = nothing_logged()
    assert (empty.weeks_seen, empty.measured_h, empty.expected_share, empty.peak_at) == (0, 0.0, 0.0, None)
    assert not any((empty.june_seen, empty.december_seen, empty.daylight_seen, empty.sun.found))


def test_in_polar_night_a_week_is_seen_by_its_hours():
    # 75 N: no light outdoors from early November to February; half of a week's days are not half seen.
    north = Location(75.0, 18.9, "UTC")
    november = (dt.date(2025, 12, 1) - dt.date(1970, 1, 1)).days
    for days, weeks in ((21, 3), (18, 3), (17, 2)):
        seconds = clock(november, days, STEP_S)
        annual, parts = parts_of(seconds, np.full(len(seconds), 0.5), LightSite(north))
        assert annual.weeks_seen == weeks
        assert parts.seen[:weeks].all()

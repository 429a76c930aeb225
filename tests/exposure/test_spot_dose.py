"""A year from hand-held readings, part by part: what goes into the carrying over the year, and the lamps.

Spreads by the word for the sky and ranges of unknown lamps are the judgement that ``spot_readings.py`` states,
written down a second time.
"""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from stillwall.exposure.daylight_reference import MEAN_LATITUDES_DEG, Location, WindowFace
from stillwall.exposure.lamps import LampFacts
from stillwall.exposure.light_year import SPREADS, LightSite
from stillwall.exposure.season_kriging import season_posterior
from stillwall.exposure.sky import clear_sky, facade_reference_lux, horizontal_reference_lux
from stillwall.exposure.spot_readings import SpotReading, paired_ratio, spot_dose
from stillwall.exposure.sun_position import sun_position
from stillwall.record import Record
from tests.exposure.light_records import record_of

PLACE = Location(52.0, 5.0, "Europe/Amsterdam")
NOTHING = Record("wall", {})
LOG90 = 1.645


def clock(text):
    """Seconds since 1970 of a clock on the wall."""
    return dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC).timestamp()


def at(text, lux, sky=None, lamps=None):
    return SpotReading(clock(text), lux, sky, lamps)


def outdoors(text, sunshine, *, latitude=52.0, longitude=5.0, ahead_h=1.0, bearings=()):
    """Reference light at a moment of the local clock, ``ahead_h`` before UTC."""
    sun = sun_position(np.array([clock(text) - 3600.0 * ahead_h]), latitude, longitude)
    sky = clear_sky(sun.elevation_deg)
    if not bearings:
        return float(horizontal_reference_lux(sky, sunshine)[0])
    area = sum(size for _, size in bearings)
    return float(
        sum(
            size * facade_reference_lux(sky, sun.azimuth_deg, bearing, sunshine)[0]
            for bearing, size in bearings
        )
        / area
    )


def week_days(first):
    """Day of the year in the middle of each of 52 weeks from a date on."""
    begin = dt.date.fromisoformat(first)
    days = [begin + dt.timedelta(days=7 * week) for week in range(52)]
    return np.array([(day - dt.date(day.year, 1, 1)).days + 3.5 for day in days])


@pytest.mark.parametrize(
    ("sky", "sunshine", "sd"),
    [("overcast", 0.0, 0.45), ("mixed", 0.5, 0.75), ("clear", 1.0, 0.70), (None, 0.4, 0.90)],
)
def test_a_reading_is_a_ratio_to_the_sky_that_was_seen(sky, sunshine, sd):
    found = spot_dose(NOTHING, (at("2026-02-10T12:00", 80.0, sky),), LightSite(PLACE)).parts.posterior
    ratio = np.log(80.0 / outdoors("2026-02-10T12:00", sunshine))
    expected = season_posterior(
        np.array([40.0]), np.array([ratio]), SPREADS["horizontal"], week_days("2026-02-10"), np.array([sd])
    )
    assert found.mean == pytest.approx(expected.mean)
    # Shared by all readings: 0.24 as a logarithm.
    assert found.covariance == pytest.approx(expected.covariance + 0.24**2)


def test_readings_of_summer_time_and_of_several_skies_and_faces():
    windows = (WindowFace(180.0, 2.0), WindowFace(90.0, 1.0))
    bearings = [(180.0, 2.0), (90.0, 1.0)]
    readings = (at("2026-03-20T11:00", 60.0, "clear"), at("2026-07-01T15:00", 90.0, "overcast"))
    found = spot_dose(NOTHING, readings, LightSite(PLACE, windows)).parts
    ratios = [
        np.log(60.0 / outdoors("2026-03-20T11:00", 1.0, bearings=bearings)),
        np.log(90.0 / outdoors("2026-07-01T15:00", 0.0, ahead_h=2.0, bearings=bearings)),
    ]
    expected = season_posterior(
        np.array([78.0, 181.0]),
        np.array(ratios),
        SPREADS["facade"],
        week_days("2026-03-20"),
        np.array([0.70, 0.45]),
    )
    assert found.posterior.mean == pytest.approx(expected.mean)
    assert not found.seen.any()
    assert found.week_sd == SPREADS["facade"].week_sd
    assert found.first_day == (dt.date(2026, 3, 20) - dt.date(1970, 1, 1)).days


def test_an_unknown_latitude_is_the_mean_of_thirty_to_sixty_degrees():
    # The longitude of a zone is that of its standard time: 15 degrees an hour.
    site = LightSite(Location(None, None, "Europe/Amsterdam"))
    found = spot_dose(NOTHING, (at("2026-02-10T12:00", 80.0, "overcast"),), site)
    level = np.mean(
        [outdoors("2026-02-10T12:00", 0.0, latitude=north, longitude=15.0) for north in MEAN_LATITUDES_DEG]
    )
    expected = season_posterior(
        np.array([40.0]),
        np.array([np.log(80.0 / level)]),
        SPREADS["horizontal"],
        week_days("2026-02-10"),
        np.array([0.45]),
    )
    assert found.parts.posterior.mean == pytest.approx(expected.mean)
    assert found.annual.basis == "latitude_unknown"
    south = LightSite(Location(None, None, "Australia/Sydney"))
    level = np.mean(
        [
            outdoors("2026-02-10T12:00", 0.0, latitude=-north, longitude=150.0, ahead_h=11.0)
            for north in MEAN_LATITUDES_DEG
        ]
    )
    found = spot_dose(NOTHING, (at("2026-02-10T12:00", 80.0, "overcast"),), south)
    expected = season_posterior(
        np.array([40.0]),
        np.array([np.log(80.0 / level)]),
        SPREADS["horizontal"],
        week_days("2026-02-10"),
        np.array([0.45]),
    )
    assert found.parts.posterior.mean == pytest.approx(expected.mean)


def test_lamps_that_burn_by_day_are_taken_off_but_never_more_than_85_per_cent():
    night = at("2026-02-10T21:00", 50.0, "night", "on")
    for lux, kept in ((80.0, 30.0), (52.0, 0.15 * 52.0), (1.0, 0.5)):
        day = at("2026-02-10T12:00", lux, "overcast", "on")
        found = spot_dose(NOTHING, (day, night), LightSite(PLACE)).parts.posterior
        ratio = np.log(kept / outdoors("2026-02-10T12:00", 0.0))
        expected = season_posterior(
            np.array([40.0]),
            np.array([ratio]),
            SPREADS["horizontal"],
            week_days("2026-02-10"),
            np.array([0.45]),
        )
        assert found.mean == pytest.approx(expected.mean)


def test_readings_by_night_alone_leave_daylight_to_a_wide_prior():
    found = spot_dose(NOTHING, (at("2026-02-10T21:00", 50.0, None, "on"),), LightSite(PLACE))
    assert (found.day_readings, found.night_readings) == (0, 1)
    assert not found.annual.daylight_seen
    expected = season_posterior(
        week_days("2026-02-10")[:1],
        np.log([2e-3]),
        SPREADS["horizontal"],
        week_days("2026-02-10"),
        np.array([1.6]),
    )
    assert found.parts.posterior.mean == pytest.approx(expected.mean)
    assert found.parts.posterior.covariance == pytest.approx(expected.covariance)


def test_dusk_is_neither_day_nor_night():
    # The sun sets at 17:55 at 52 N, 5 E, on 20 February; it is 3 degrees down about twenty minutes later.
    words = {"17:50": (0, 0), "18:05": (0, 0), "18:30": (0, 1), "15:00": (1, 0)}
    for hour, counts in words.items():
        found = spot_dose(NOTHING, (at(f"2026-02-20T{hour}", 5.0),), LightSite(PLACE))
        assert (found.day_readings, found.night_readings) == counts, hour
    # Somebody says that it is night.
    told = spot_dose(NOTHING, (at("2026-02-20T15:00", 5.0, "night"),), LightSite(PLACE))
    assert (told.day_readings, told.night_readings) == (0, 1)


def guess(readings, lamps=()):
    found = spot_dose(NOTHING, tuple(readings), LightSite(PLACE, lamps=tuple(lamps)))
    return (found.lamps.low_lux_h, found.lamps.mid_lux_h, found.lamps.high_lux_h), found


def spread(level, hours):
    """Weekly dose of a log-normal product: middles multiplied, logarithms of the sides added by squares."""
    middle = 7.0 * level[1] * hours[1]
    below = np.hypot(np.log(level[1] / level[0]), np.log(hours[1] / hours[0]))
    above = np.hypot(np.log(level[2] / level[1]), np.log(hours[2] / hours[1]))
    return middle * np.exp(-below), middle, middle * np.exp(above)


UNKNOWN_HOURS, UNKNOWN_LUX = (2.0, 5.0, 14.0), (10.0, 50.0, 250.0)


def test_lamps_of_which_nothing_is_known_have_a_wide_guess():
    found, dose = guess([at("2026-02-10T12:00", 80.0)])
    assert found == pytest.approx(spread(UNKNOWN_LUX, UNKNOWN_HOURS))
    assert not dose.parts.lamps_from_survey


def test_readings_after_dark_give_the_level():
    readings = [
        at(f"2026-02-{10 + n}T21:00", lux, "night", "on") for n, lux in enumerate((40.0, 60.0, 56.0, 44.0))
    ]
    factor = np.exp(LOG90 * 0.25 / 2.0)
    found, _ = guess(readings)
    assert found == pytest.approx(spread((50.0 / factor, 50.0, 50.0 * factor), UNKNOWN_HOURS))
    # With the lamps out a reading says nothing of their level; without a word they are taken to burn.
    found, _ = guess([at("2026-02-10T21:00", 0.3, "night", "off")])
    assert found == pytest.approx(spread(UNKNOWN_LUX, UNKNOWN_HOURS))
    factor = np.exp(LOG90 * 0.25)
    found, dose = guess([at("2026-02-10T21:00", 0.0, "night")])
    assert found == pytest.approx(spread((0.2 / factor, 0.2, 0.2 * factor), UNKNOWN_HOURS))
    assert dose.annual.lamp_level_lux == pytest.approx(0.2)


def test_the_survey_gives_levels_and_hours():
    lamps = [
        LampFacts(level_lux=30.0, from_h=17.0, to_h=22.0, days_per_year=292.0),
        LampFacts(level_lux=20.0, hours_per_day=4.0),
        LampFacts(),
    ]
    found, dose = guess([at("2026-02-10T12:00", 80.0)], lamps)
    # Lamps add; the longest burning one gives the hours, and one of them burns every day.
    assert found == pytest.approx(spread((0.7 * 50.0, 50.0, 1.4 * 50.0), (0.8 * 5.0, 5.0, 1.2 * 5.0)))
    assert dose.parts.lamps_from_survey
    found, _ = guess([at("2026-02-10T12:00", 80.0)], [LampFacts(from_h=17.0, to_h=22.0, days_per_year=73.0)])
    assert found == pytest.approx(spread(UNKNOWN_LUX, (0.8, 1.0, 1.2)))


def test_a_reading_beside_the_rooms_logger_gives_a_ratio():
    # The log's clock is UTC: 12:00 in Amsterdam in winter is 11:00, in summer 10:00.
    seconds = [
        clock("2026-02-10T11:00"),
        clock("2026-02-10T11:10"),
        clock("2026-07-01T10:00"),
        clock("2026-07-01T10:10"),
    ]
    made = record_of(seconds, [100.0, 200.0, 50.0, 70.0])
    zone = "Europe/Amsterdam"
    assert paired_ratio(made, (at("2026-02-10T12:05", 75.0),), zone) == pytest.approx(0.5)
    assert paired_ratio(made, (at("2026-07-01T12:00", 75.0),), zone) == pytest.approx(1.5)
    both = (at("2026-02-10T12:05", 75.0), at("2026-07-01T12:00", 75.0), at("2026-07-01T12:10", 140.0))
    assert paired_ratio(made, both, zone) == pytest.approx(1.5)
    # Within half an hour of a reading of the log, not of its ends alone.
    assert paired_ratio(made, (at("2026-02-10T12:40", 100.0),), zone) is not None
    assert paired_ratio(made, (at("2026-02-10T12:41", 100.0),), zone) is None
    assert paired_ratio(made, (at("2026-02-10T11:30", 100.0),), zone) == pytest.approx(1.0)
    assert paired_ratio(made, (at("2026-02-10T11:29", 100.0),), zone) is None
    own_clock = record_of(seconds, [100.0, 200.0, 50.0, 70.0], utc=False)
    assert paired_ratio(own_clock, (at("2026-02-10T11:05", 75.0),), zone) == pytest.approx(0.5)


def test_no_ratio_where_the_log_is_dark_or_missing():
    seconds = [clock("2026-02-10T11:00"), clock("2026-02-10T11:10")]
    reading = (at("2026-02-10T11:00", 40.0),)
    assert paired_ratio(record_of(seconds, [5.0, 5.0]), reading, None) is None
    assert paired_ratio(record_of(seconds, [5.1, 5.1]), reading, None) == pytest.approx(40.0 / 5.1)
    assert paired_ratio(record_of(seconds, [50.0, 50.0]), (at("2026-02-10T11:00", 0.0),), None) is None
    assert paired_ratio(record_of(seconds[:1], [50.0]), reading, None) is None
    assert paired_ratio(NOTHING, reading, None) is None
    assert paired_ratio(record_of(seconds, [50.0, 50.0]), (), None) is None


def test_what_is_told_of_the_readings():
    readings = (
        at("2026-02-12T12:00", 80.0),
        at("2026-02-10T12:00", 300.0),
        at("2026-02-11T21:00", 20.0, "night"),
    )
    site = LightSite(
        PLACE, open_from_h=22.0, open_to_h=6.0, sun_week_lux_h=tuple(float(n) for n in range(52))
    )
    found = spot_dose(NOTHING, readings, site)
    annual = found.annual
    assert (annual.peak_lux, annual.open_h) == (300.0, 8.0)
    assert annual.peak_at == np.datetime64("2026-02-10T12:00")
    assert (annual.first, annual.last) == (
        np.datetime64("2026-02-10T12:00"),
        np.datetime64("2026-02-12T12:00"),
    )
    assert annual.daylight_seen
    assert annual.basis == "latitude"
    # Judgement: most daylight and less of the lamps' light falls into opening hours.
    assert (annual.open_daylight_share, annual.open_electric_share) == (0.75, 0.4)
    calendar = np.interp(week_days("2026-02-12"), 7.0 * np.arange(52) + 3.5, np.arange(52.0), period=365.0)
    assert found.parts.sun_expected_lux_h == pytest.approx(calendar)
    assert (found.parts.sun_log_share, found.parts.sun_log_sd) == (-0.8, 1.4)
    whole_day = spot_dose(NOTHING, readings, LightSite(PLACE, open_from_h=0.0, open_to_h=24.0))
    assert whole_day.annual.open_h == 24.0
    assert whole_day.parts.sun_log_share is None
    assert spot_dose(NOTHING, (), site) is None

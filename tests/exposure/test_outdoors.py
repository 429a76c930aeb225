"""Light outdoors in half-hours of the readings' clock, against the sun's place moment by moment."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from stillwall.exposure.daylight_reference import Location, WindowFace, outdoors
from stillwall.exposure.sky import clear_sky, facade_reference_lux, horizontal_reference_lux
from stillwall.exposure.sun_position import sun_position
from tests.exposure.test_annual_parts import MONDAY

MARCH = (dt.date(2025, 3, 28) - dt.date(1970, 1, 1)).days
PLACE = Location(52.0, 5.0, "Europe/Amsterdam")


def middles(first, days):
    """Seconds in the middle of the half-hours of whole days."""
    return first * 86_400.0 + (np.arange(days * 48) + 0.5) * 1800.0


def at(found, name):
    return getattr(found, name).ravel()


def test_slots_and_days_of_the_week_are_those_of_the_local_clock():
    # Summer time begins on Sunday, 30 March 2025; the offset is that of each day's noon.
    found = outdoors(MARCH, 5, PLACE, (), utc=True)
    zone = ZoneInfo("Europe/Amsterdam")
    for n, second in enumerate(middles(MARCH, 5)):
        day = dt.datetime.fromtimestamp(second, dt.UTC)
        noon = day.replace(hour=12, minute=0, second=0)
        local = day + noon.astimezone(zone).utcoffset()
        assert at(found, "local_slot")[n] == local.hour * 2 + local.minute // 30
        assert at(found, "weekday")[n] == local.weekday()


def test_a_file_s_own_clock_is_left_as_it_is():
    found = outdoors(MONDAY, 7, PLACE, (), utc=False)
    assert at(found, "local_slot").tolist() == list(range(48)) * 7
    assert at(found, "weekday").tolist() == np.repeat(np.arange(7), 48).tolist()


@pytest.mark.parametrize(
    ("location", "utc", "longitude"),
    [
        (PLACE, True, 5.0),
        # Without a longitude the zone's standard time gives it, in winter and in summer.
        (Location(52.0, None, "Europe/Amsterdam"), True, 15.0),
        (Location(52.0, None, "Asia/Tokyo"), True, 135.0),
        (Location(52.0, None, None), True, 0.0),
        # A clock of the place is solar time but for what the place lies off its zone's meridian.
        (PLACE, False, 5.0 - 15.0),
        (Location(52.0, 5.0, None), False, 5.0 - 0.0),
        (Location(52.0, 22.0, None), False, 22.0 - 15.0),
        (Location(52.0, None, "Europe/Amsterdam"), False, 0.0),
    ],
)
@pytest.mark.parametrize("first", [MONDAY, MARCH + 90])
def test_where_the_sun_stands(location, utc, longitude, first):
    found = outdoors(first, 2, location, (), utc=utc)
    sun = sun_position(middles(first, 2), 52.0, longitude)
    assert at(found, "elevation_deg") == pytest.approx(sun.elevation_deg, abs=2e-3)
    turned = (at(found, "azimuth_deg") - sun.azimuth_deg + 180.0) % 360.0 - 180.0
    assert turned == pytest.approx(np.zeros(96), abs=0.02)
    assert at(found, "reference_lux") == pytest.approx(
        horizontal_reference_lux(clear_sky(at(found, "elevation_deg")))
    )
    assert (at(found, "dark") == (sun.elevation_deg < -6.0)).mean() > 0.97
    assert (at(found, "deep_night") == (sun.elevation_deg < -12.0)).mean() > 0.97
    assert found.first_day == first


def test_windows_weigh_by_their_areas():
    faces = (WindowFace(180.0, 3.0), WindowFace(90.0, 1.0))
    found = outdoors(MONDAY, 2, PLACE, faces, utc=True)
    sky = clear_sky(at(found, "elevation_deg"))
    by_face = [facade_reference_lux(sky, at(found, "azimuth_deg"), face.bearing_deg) for face in faces]
    assert at(found, "reference_lux") == pytest.approx((3.0 * by_face[0] + by_face[1]) / 4.0)
    alone = outdoors(MONDAY, 2, PLACE, faces[:1], utc=True)
    assert at(alone, "reference_lux") == pytest.approx(by_face[0])


@pytest.mark.parametrize(
    ("zone", "sign", "longitude"), [("UTC", 1.0, 0.0), ("Australia/Sydney", -1.0, 150.0)]
)
def test_an_unknown_latitude_is_a_mean_and_dark_where_all_are_dark(zone, sign, longitude):
    found = outdoors(MONDAY, 2, Location(None, None, zone), (WindowFace(180.0),), utc=True)
    heights, references = [], []
    for north in (30.0, 37.5, 45.0, 52.5, 60.0):
        sun = sun_position(middles(MONDAY, 2), sign * north, longitude)
        heights.append(sun.elevation_deg)
        references.append(horizontal_reference_lux(clear_sky(sun.elevation_deg)))
    assert at(found, "reference_lux") == pytest.approx(np.mean(references, axis=0), rel=1e-3, abs=1.0)
    assert at(found, "elevation_deg") == pytest.approx(heights[2], abs=2e-3)
    highest = np.max(heights, axis=0)
    sure = np.abs(highest + 6.0) > 0.01
    assert (at(found, "dark") == (highest < -6.0))[sure].all()
    sure = np.abs(highest + 12.0) > 0.01
    assert (at(found, "deep_night") == (highest < -12.0))[sure].all()


def test_south_of_the_equator():
    assert Location(-1.0).southern
    assert not Location(0.0).southern
    assert not Location(1.0, None, "Australia/Sydney").southern
    assert Location(None, None, "America/Lima").southern

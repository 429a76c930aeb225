"""The sun's place against pvlib's SPA (Reda and Andreas 2004, Solar Energy 76, 577; 0.0003 degree)."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pvlib.spa
import pytest

from stillwall.exposure.sun_position import (
    latitude_from_day_length,
    refraction_deg,
    sun_over_days,
    sun_position,
)

LATITUDES = np.array([-89.0, -75.0, -66.6, -54.0, -42.0, -33.9, -23.4, -10.0, 0.0, 12.0, 23.5, 35.0, 45.0])
LATITUDES = np.concatenate([LATITUDES, [51.5, 56.0, 60.0, 65.7, 70.0, 80.0, 89.0]])
# The stated error of the formula; on this grid it is 0.016 degree of arc.
STATED_DEG = 0.02


def _grid():
    """5,000 moments of 1990 to 2060 spread over all hours and days, 250 at each of 20 latitudes."""
    number = np.arange(5000)
    start = pd.Timestamp("1990-01-01", tz="UTC").timestamp()
    span = pd.Timestamp("2061-01-01", tz="UTC").timestamp() - start
    # The golden ratio spreads the moments evenly without a pattern of days or hours.
    seconds = start + span * ((number * 0.6180339887498949) % 1.0)
    longitude = -180.0 + 360.0 * ((number * 0.7548776662466927) % 1.0)
    return seconds, LATITUDES[number % len(LATITUDES)], longitude


def _spa(seconds: np.ndarray, latitude: np.ndarray, longitude: np.ndarray):
    """Elevation without refraction and azimuth by SPA."""
    # Pressure 0: no refraction. 67 s from universal to terrestrial time.
    found = pvlib.spa.solar_position_numpy(seconds, latitude, longitude, 0.0, 0.0, 12.0, 67.0, 0.5667, 1)
    return found[3], found[4]


@pytest.fixture(scope="module")
def compared():
    seconds, latitude, longitude = _grid()
    spa_elevation, spa_azimuth = _spa(seconds, latitude, longitude)
    points = zip(seconds, latitude, longitude, strict=True)
    ours = [sun_position(np.array([moment]), north, east) for moment, north, east in points]
    return (
        spa_elevation,
        spa_azimuth,
        np.array([each.elevation_deg[0] for each in ours]),
        np.array([each.azimuth_deg[0] for each in ours]),
    )


def test_elevation_on_5000_points_of_both_hemispheres_and_polar_days(compared):
    spa, _, ours, _ = compared
    assert len(spa) == 5000
    assert np.abs(ours - spa).max() <= STATED_DEG


def test_place_in_the_sky_where_the_sun_is_high_enough_to_matter(compared):
    spa_elevation, spa_azimuth, elevation, azimuth = compared
    high = spa_elevation > 5.0
    turn = (azimuth - spa_azimuth + 180.0) % 360.0 - 180.0
    # Azimuth counts by the arc that it moves the sun: near the zenith a degree of it is next to nothing.
    arc = np.hypot(elevation - spa_elevation, turn * np.cos(np.radians(spa_elevation)))
    assert high.sum() > 2000
    assert arc[high].max() <= 0.1
    assert arc[high].max() <= STATED_DEG


def test_azimuth_runs_from_north_to_north(compared):
    _, _, _, azimuth = compared
    assert azimuth.min() >= 0.0
    assert azimuth.max() < 360.0


@pytest.mark.parametrize(("latitude", "longitude"), [(52.0, 5.0), (-33.9, 151.2), (69.0, 19.0)])
def test_daily_ephemeris_agrees_with_the_full_one(latitude, longitude):
    first_day, days, slots = 20_454, 365, 48
    grid = sun_over_days(first_day, days, slots, latitude, longitude)
    seconds = (first_day + (np.arange(days * slots) + 0.5) / slots) * 86_400.0
    full = sun_position(seconds, latitude, longitude)
    assert np.abs(grid.elevation_deg.ravel() - full.elevation_deg).max() < 0.001


def test_midnight_sun_and_polar_night():
    seconds = pd.date_range("2026-06-21", periods=96, freq="15min", tz="UTC")
    summer = sun_position(seconds.as_unit("s").asi8.astype(float), 70.0, 20.0)
    assert summer.elevation_deg.min() > 0.0
    seconds = pd.date_range("2026-12-21", periods=96, freq="15min", tz="UTC")
    winter = sun_position(seconds.as_unit("s").asi8.astype(float), 70.0, 20.0)
    assert winter.elevation_deg.max() < 0.0


def test_refraction_at_the_horizon_and_higher_up():
    # Astronomical Almanac: 34 arc minutes at the horizon for an apparent altitude of zero, 5 at 10 degrees.
    assert refraction_deg(np.array([-0.5667]))[0] == pytest.approx(34 / 60, abs=0.02)
    assert refraction_deg(np.array([10.0]))[0] == pytest.approx(5.3 / 60, abs=0.005)


@pytest.mark.parametrize("latitude", [-55.0, -20.0, 5.0, 40.0, 60.0])
@pytest.mark.parametrize("declination", [-23.0, -12.0, 12.0, 23.0])
def test_latitude_comes_back_from_the_length_of_its_day(latitude, declination):
    half_day = np.degrees(np.arccos(-np.tan(np.radians(latitude)) * np.tan(np.radians(declination))))
    assert latitude_from_day_length(half_day / 7.5, declination) == pytest.approx(latitude, abs=1e-9)


def test_latitude_is_not_guessed_near_the_equinox():
    assert latitude_from_day_length(12.5, 4.0) is None
    assert latitude_from_day_length(24.0, 20.0) is None

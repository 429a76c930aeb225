"""The sun's place by Meeus, transcribed again as plain polynomials, far from our own century; and refraction.

J. Meeus, Astronomical Algorithms, 2nd ed. 1998, ch. 25 and 28, with its worked example 25.a.
"""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from stillwall.exposure.sun_position import (
    declination_and_equation_of_time,
    latitude_from_day_length,
    refraction_deg,
    sun_over_days,
    sun_position,
)

J2000_S = dt.datetime(2000, 1, 1, 12, tzinfo=dt.UTC).timestamp()
CENTURY_S = 36_525 * 86_400.0


def meeus(t):
    """Declination [deg] and equation of time [min]."""
    longitude = np.radians(280.46646 + 36000.76983 * t + 0.0003032 * t**2)
    anomaly = np.radians(357.52911 + 35999.05029 * t - 0.0001537 * t**2)
    e = 0.016708634 - 0.000042037 * t - 0.0000001267 * t**2
    centre = (
        (1.914602 - 0.004817 * t - 0.000014 * t**2) * np.sin(anomaly)
        + (0.019993 - 0.000101 * t) * np.sin(2 * anomaly)
        + 0.000289 * np.sin(3 * anomaly)
    )
    node = np.radians(125.04 - 1934.136 * t)
    apparent = longitude + np.radians(centre - 0.00569 - 0.00478 * np.sin(node))
    seconds = 21.448 - 46.8150 * t - 0.00059 * t**2 + 0.001813 * t**3
    tilt = np.radians(23 + 26 / 60 + seconds / 3600 + 0.00256 * np.cos(node))
    y = np.tan(tilt / 2) ** 2
    equation = (
        y * np.sin(2 * longitude)
        - 2 * e * np.sin(anomaly)
        + 4 * e * y * np.sin(anomaly) * np.cos(2 * longitude)
        - y**2 / 2 * np.sin(4 * longitude)
        - 5 / 4 * e**2 * np.sin(2 * anomaly)
    )
    return np.degrees(np.arcsin(np.sin(tilt) * np.sin(apparent))), 4 * np.degrees(equation)


@pytest.mark.parametrize("centuries", [-20.0, -0.07, 0.26, 15.0])
def test_declination_and_equation_of_time(centuries):
    t = centuries + np.linspace(0.0, 0.01, 53)
    declination, equation = declination_and_equation_of_time(J2000_S + t * CENTURY_S)
    expected = meeus(t)
    assert np.degrees(declination) == pytest.approx(expected[0], abs=2e-7)
    assert equation == pytest.approx(expected[1], abs=2e-7)


def test_the_worked_example():
    # 1992 October 13, 0h TD: declination -7.78507 degrees.
    moment = dt.datetime(1992, 10, 13, tzinfo=dt.UTC).timestamp()
    declination, _ = declination_and_equation_of_time(np.array([moment]))
    assert np.degrees(declination)[0] == pytest.approx(-7.78507, abs=1e-5)


def test_whole_days_are_the_moments_in_the_middle_of_their_slots():
    days = sun_over_days(20_089, 3, 48, -33.9, 151.2)
    moments = (20_089 + np.arange(3)[:, None]) * 86_400.0 + (np.arange(48) + 0.5) * 1800.0
    each = sun_position(moments.ravel(), -33.9, 151.2)
    assert days.elevation_deg.ravel() == pytest.approx(each.elevation_deg, abs=1e-3)
    assert days.azimuth_deg.ravel() == pytest.approx(each.azimuth_deg, abs=5e-3)
    assert each.azimuth_deg.min() >= 0.0
    assert each.azimuth_deg.max() < 360.0


def test_refraction_of_the_horizon_and_above():
    # Saemundsson, Sky and Telescope 72, 1986: 1.02 / tan(h + 10.3 / (h + 5.11)) minutes of arc; 29' at the horizon.
    height = np.array([-0.5, 0.0, 1.0, 10.0, 45.0, 84.9])
    expected = 1.02 / 60.0 / np.tan(np.radians(height + 10.3 / (height + 5.11)))
    assert refraction_deg(height) == pytest.approx(expected)
    assert refraction_deg(np.array([0.0]))[0] * 60 == pytest.approx(29.0, abs=0.1)
    assert refraction_deg(np.array([-0.7, -0.6, 85.0, 90.0])).tolist() == [0.0] * 4


@pytest.mark.parametrize("latitude", [-50.0, -20.0, 15.0, 40.0, 60.0])
@pytest.mark.parametrize("declination", [-23.0, -7.0, 7.0, 20.0])
def test_latitude_from_the_length_of_the_day(latitude, declination):
    product = -np.tan(np.radians(latitude)) * np.tan(np.radians(declination))
    day_h = 2 * np.degrees(np.arccos(product)) / 15
    assert latitude_from_day_length(day_h, declination) == pytest.approx(latitude)


def test_near_the_equinox_and_in_polar_day_nothing_follows():
    assert latitude_from_day_length(12.0, 5.9) is None
    assert latitude_from_day_length(12.0, -6.0) == pytest.approx(0.0, abs=1e-9)
    assert latitude_from_day_length(0.0, 20.0) is None
    assert latitude_from_day_length(24.0, 20.0) is None
    assert latitude_from_day_length(0.5, 20.0) is not None
    assert latitude_from_day_length(23.9, 20.0) is not None

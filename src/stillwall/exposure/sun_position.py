"""Where the sun stands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SECONDS_PER_DAY = 86_400.0
UNIX_EPOCH_JULIAN_DAY = 2_440_587.5


@dataclass(frozen=True, slots=True, eq=False)
class SunPosition:
    """Sun seen from one place: geometric elevation and azimuth clockwise from north. [deg]"""

    elevation_deg: Floats
    azimuth_deg: Floats


def declination_and_equation_of_time(unix_s: Floats) -> tuple[Floats, Floats]:
    """Apparent declination [rad] and equation of time [min] at moments in UTC.

    Low-accuracy solar coordinates of Meeus, "Astronomical Algorithms" (2nd ed. 1998, ch. 25 and 28), in
    the arrangement published by the solar calculator of the US National Oceanic and Atmospheric
    Administration. ``unix_s``: seconds since 1970-01-01T00:00Z, any shape.
    """
    t = (
        np.asarray(unix_s, dtype=np.float64) / SECONDS_PER_DAY + UNIX_EPOCH_JULIAN_DAY - 2_451_545.0
    ) / 36_525
    mean_longitude = np.radians(280.46646 + t * (36_000.76983 + t * 0.0003032))
    anomaly = np.radians(357.52911 + t * (35_999.05029 - 0.0001537 * t))
    eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t)
    centre = np.radians(
        np.sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + np.sin(2 * anomaly) * (0.019993 - 0.000101 * t)
        + np.sin(3 * anomaly) * 0.000289
    )
    node = np.radians(125.04 - 1934.136 * t)
    longitude = mean_longitude + centre - np.radians(0.00569 + 0.00478 * np.sin(node))
    obliquity = np.radians(
        23 + (26 + (21.448 - t * (46.815 + t * (0.00059 - t * 0.001813))) / 60) / 60 + 0.00256 * np.cos(node)
    )
    declination: Floats = np.arcsin(np.sin(obliquity) * np.sin(longitude))
    y = np.tan(obliquity / 2) ** 2
    equation_rad = (
        y * np.sin(2 * mean_longitude)
        - 2 * eccentricity * np.sin(anomaly)
        + 4 * eccentricity * y * np.sin(anomaly) * np.cos(2 * mean_longitude)
        - 0.5 * y**2 * np.sin(4 * mean_longitude)
        - 1.25 * eccentricity**2 * np.sin(2 * anomaly)
    )
    equation_min: Floats = 4 * np.degrees(equation_rad)
    return declination, equation_min


def sun_position(unix_s: Floats, latitude_deg: float, longitude_deg: float) -> SunPosition:
    """Geometric position of the sun at moments in UTC, without refraction.

    Parameters
    ----------
    unix_s
        Seconds since 1970-01-01T00:00Z, shape (n,).
    latitude_deg, longitude_deg
        North and east positive. [deg]
    """
    seconds = np.asarray(unix_s, dtype=np.float64)
    declination, equation_min = declination_and_equation_of_time(seconds)
    return _seen_from(seconds, declination, equation_min, latitude_deg, longitude_deg)


def sun_over_days(
    first_day: int, days: int, slots: int, latitude_deg: float, longitude_deg: float
) -> SunPosition:
    """Position at the middle of equal slots of whole UTC days, shape (days, slots).

    Declination and equation of time are computed once a day and run straight in between, which
    moves the sun by less than 0.001 degree. ``first_day`` counts days since 1970-01-01.
    """
    midnights: Floats = np.asarray((first_day + np.arange(days + 1)) * SECONDS_PER_DAY, dtype=np.float64)
    declination, equation_min = declination_and_equation_of_time(midnights)
    share = (np.arange(slots) + 0.5) / slots
    seconds = midnights[:-1, None] + share * SECONDS_PER_DAY
    return _seen_from(
        seconds,
        declination[:-1, None] + np.diff(declination)[:, None] * share,
        equation_min[:-1, None] + np.diff(equation_min)[:, None] * share,
        latitude_deg,
        longitude_deg,
    )


def _seen_from(
    seconds: Floats, declination: Floats, equation_min: Floats, latitude_deg: float, longitude_deg: float
) -> SunPosition:
    hour_angle = np.radians((seconds % SECONDS_PER_DAY) / 240.0 + equation_min / 4.0 + longitude_deg - 180.0)
    latitude = np.radians(latitude_deg)
    cos_hour, sin_hour = np.cos(hour_angle), np.sin(hour_angle)
    sin_declination, cos_declination = np.sin(declination), np.cos(declination)
    sin_elevation = np.sin(latitude) * sin_declination + np.cos(latitude) * cos_declination * cos_hour
    west = sin_hour * cos_declination
    south = cos_hour * np.sin(latitude) * cos_declination - sin_declination * np.cos(latitude)
    return SunPosition(
        elevation_deg=np.degrees(np.arcsin(np.clip(sin_elevation, -1.0, 1.0))),
        azimuth_deg=(np.degrees(np.arctan2(west, south)) + 180.0) % 360.0,
    )


def refraction_deg(elevation_deg: Floats) -> Floats:
    """How much the air lifts the sun that stands at a geometric elevation. [deg]

    Saemundsson's formula (Sky and Telescope 72, 1986, p. 70), zero under the horizon's own refraction.
    """
    elevation = np.asarray(elevation_deg, dtype=np.float64)
    lift = 1.02 / np.tan(np.radians(elevation + 10.3 / (elevation + 5.11))) / 60.0
    return np.where((elevation > -0.6) & (elevation < 85.0), lift, 0.0)


def latitude_from_day_length(day_h: float, declination_deg: float) -> float | None:
    """Northern-positive latitude at which the day is as long as seen; None where the season cannot tell.

    ``cos H = -tan(latitude) tan(declination)`` with H half the day. Within 6 degrees of the equinox
    the day is equally long everywhere, so nothing follows. [h], [deg] -> [deg]
    """
    if abs(declination_deg) < 6.0 or not 0.0 < day_h < 24.0:
        return None
    half_day = np.radians(7.5 * day_h)
    return float(np.degrees(np.arctan(-np.cos(half_day) / np.tan(np.radians(declination_deg)))))

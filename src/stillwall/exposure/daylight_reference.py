"""What outdoor light a wall's daylight is measured against, for the place and windows that are known."""

from __future__ import annotations

import zoneinfo
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.dose import SLOTS
from stillwall.exposure.sky import clear_sky, facade_reference_lux, horizontal_reference_lux
from stillwall.exposure.sun_position import sun_over_days

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MEAN_LATITUDES_DEG = (30.0, 37.5, 45.0, 52.5, 60.0)
"""Where the latitude is unknown the reference is the mean over these."""
SOUTHERN_ZONES = (
    "Australia/",
    "Antarctica/",
    "Pacific/Auckland",
    "Pacific/Chatham",
    "Africa/Johannesburg",
    "Africa/Maputo",
    "Africa/Harare",
    "America/Argentina/",
    "America/Sao_Paulo",
    "America/Santiago",
    "America/Montevideo",
    "America/Asuncion",
    "America/La_Paz",
    "America/Lima",
)


@dataclass(frozen=True, slots=True)
class WindowFace:
    """The face that a window looks out of: true bearing [deg] and glazed area [m2]."""

    bearing_deg: float
    area_m2: float = 1.0


@dataclass(frozen=True, slots=True)
class Location:
    """Where a building stands, as far as it is known. ``zone`` is an IANA name, ``+01:00`` or ``+0100``."""

    latitude_deg: float | None = None
    longitude_deg: float | None = None
    zone: str | None = None

    @property
    def southern(self) -> bool:
        """Whether the place lies south of the equator, by latitude, else by the zone's name."""
        if self.latitude_deg is not None:
            return self.latitude_deg < 0
        return self.zone is not None and self.zone.startswith(SOUTHERN_ZONES)


@lru_cache(maxsize=256)
def zone_offsets_h(zone: str | None, first_day: int, days: int) -> tuple[float, ...]:
    """Local clock minus UTC at noon of each day; zeros where the zone is not known. [h]"""
    if zone is None:
        return (0.0,) * days
    if zone[:1] in "+-":
        sign = -1.0 if zone[0] == "-" else 1.0
        digits = zone[1:].replace(":", "")
        return (sign * (float(digits[:2]) + float(digits[2:] or 0) / 60.0),) * days
    place = zoneinfo.ZoneInfo(zone)
    noon = datetime(1970, 1, 1, 12, tzinfo=UTC) + timedelta(days=first_day)
    offsets = []
    for day in range(days):
        shift = (noon + timedelta(days=day)).astimezone(place).utcoffset()
        offsets.append(0.0 if shift is None else shift.total_seconds() / 3600.0)
    return tuple(offsets)


@dataclass(frozen=True, slots=True, eq=False)
class Outdoors:
    """Sun and reference light in the half-hours of a run of days, each of shape (days, 48).

    ``elevation_deg`` and ``azimuth_deg`` are those of the one latitude taken where it is unknown;
    ``dark`` then asks that the sun be down at every believable one.
    """

    first_day: int
    elevation_deg: Floats
    azimuth_deg: Floats
    reference_lux: Floats
    dark: NDArray[np.bool_]
    deep_night: NDArray[np.bool_]
    local_slot: Ints
    weekday: Ints


@lru_cache(maxsize=4)
def outdoors(
    first_day: int, days: int, location: Location, windows: tuple[WindowFace, ...], *, utc: bool
) -> Outdoors:
    """Sun and reference illuminance for whole days of the readings' clock.

    With the latitude known and windows given, the reference is the mean over their faces, weighted by
    area; else that of open ground; with the latitude unknown, its mean over 30 to 60 degrees. The last few
    results are remembered, since many places of a building share theirs; nobody may write into them.
    """
    offsets = np.asarray(zone_offsets_h(location.zone if utc else None, first_day, days))
    longitude = _clock_longitude(location, first_day, utc=utc)
    if location.latitude_deg is None:
        sign = -1.0 if location.southern else 1.0
        latitudes = [sign * latitude for latitude in MEAN_LATITUDES_DEG]
    else:
        latitudes = [location.latitude_deg]
    elevations = []
    references = []
    azimuth = np.zeros(0)
    for latitude in latitudes:
        sun = sun_over_days(first_day, days, SLOTS, latitude, longitude)
        sky = clear_sky(sun.elevation_deg)
        if windows and location.latitude_deg is not None:
            weight = sum(window.area_m2 for window in windows)
            facade = [
                window.area_m2 * facade_reference_lux(sky, sun.azimuth_deg, window.bearing_deg)
                for window in windows
            ]
            references.append(sum(facade[1:], start=facade[0]) / weight)
        else:
            references.append(horizontal_reference_lux(sky))
        elevations.append(sun.elevation_deg)
        azimuth = sun.azimuth_deg
    highest = np.maximum.reduce(elevations)
    slot = np.arange(days * SLOTS).reshape(days, SLOTS) + np.rint(2 * offsets).astype(np.int64)[:, None]
    return Outdoors(
        first_day=first_day,
        elevation_deg=elevations[len(elevations) // 2],
        azimuth_deg=azimuth,
        reference_lux=np.asarray(sum(references[1:], start=references[0]) / len(references)),
        dark=highest < -6.0,
        deep_night=highest < -12.0,
        local_slot=slot % SLOTS,
        weekday=(first_day + slot // SLOTS + 3) % 7,
    )


def _clock_longitude(location: Location, first_day: int, *, utc: bool) -> float:
    """Longitude that turns the readings' clock, taken as UTC, into solar time. [deg]"""
    standard = min(zone_offsets_h(location.zone, first_day, 366)) if location.zone is not None else None
    if utc:
        if location.longitude_deg is not None:
            return location.longitude_deg
        return 0.0 if standard is None else 15.0 * standard
    if location.longitude_deg is None:
        return 0.0
    meridian = 15.0 * (standard if standard is not None else round(location.longitude_deg / 15.0))
    return location.longitude_deg - meridian

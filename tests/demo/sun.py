"""Sun, sky and the light that they put on an inside wall.

Position of the sun: the low-precision formulas of the Astronomical Almanac (Michalsky, Solar Energy 40,
1988) and the spherical triangle; good to a fiftieth of a degree. Illuminance of sun and sky: the clear and
overcast formulas of the IES recommended practice for daylight availability (RP-21-84), from memory,
mixed by the share of clear sky. A wall inside gets a fixed share of the sky's light through its windows, a
little of the sunlight that enters the room at all, and the sun itself where the line from the sensor to
the sun passes a pane.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .clock import Floats, Times, day_of_year, hour_of_day
from .weather import LATITUDE, LONGITUDE, Weather


@dataclass(frozen=True)
class Pane:
    """A window of a rectangular room. [m, deg]

    ``side`` is the wall it stands in; ``at`` runs from that wall's left corner, facing it from inside.
    """

    side: str
    at: float
    width: float
    sill: float
    height: float
    obstruction: float = 0.0
    transmittance: float = 0.75

    def start(self, room_width: float, room_depth: float) -> float:
        """Where it begins along x (north, south) or along y (east, west)."""
        if self.side in ("north", "west"):
            return self.at
        return (room_depth if self.side == "east" else room_width) - self.at - self.width


@dataclass(frozen=True)
class LightAt:
    """A light sensor on a wall: where it is, and what shares of outside light reach it.

    x runs to the right and y to the back of a room of ``width`` by ``depth``; its north,
    at ``bearing``, is up.
    """

    x: float
    y: float
    z: float
    side: str
    sky_share: float
    """Illuminance on the wall over horizontal illuminance of the sky outside."""
    glow_share: float
    """The same for sunlight that falls through the windows on floor and furniture."""
    panes: tuple[Pane, ...]
    width: float
    depth: float
    bearing: float = 0.0


@dataclass(frozen=True)
class Sky:
    """Sun and sky on a grid of times."""

    elevation: Floats
    azimuth: Floats
    sun_normal_lux: Floats
    sky_lux: Floats


NORMAL = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}


def sun_position(times: Times) -> tuple[Floats, Floats]:
    """Elevation and azimuth from north, clockwise. [deg]"""
    days = (times - np.datetime64("2000-01-01T12:00:00")).astype("timedelta64[s]").astype(np.int64) / 86400
    mean_longitude = 280.460 + 0.9856474 * days
    anomaly = np.radians(357.528 + 0.9856003 * days)
    ecliptic = np.radians(mean_longitude + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    obliquity = np.radians(23.439 - 4e-7 * days)
    declination = np.arcsin(np.sin(obliquity) * np.sin(ecliptic))
    ascension = np.degrees(np.arctan2(np.cos(obliquity) * np.sin(ecliptic), np.cos(ecliptic)))
    hour_angle = np.radians(mean_longitude - ascension + 15 * (hour_of_day(times) - 12) + LONGITUDE)
    latitude = np.radians(LATITUDE)
    sine = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(
        hour_angle
    )
    east = -np.cos(declination) * np.sin(hour_angle)
    north = np.cos(latitude) * np.sin(declination) - np.sin(latitude) * np.cos(declination) * np.cos(
        hour_angle
    )
    return np.degrees(np.arcsin(sine)), np.degrees(np.arctan2(east, north)) % 360


def make_sky(weather: Weather) -> Sky:
    """Illuminance of sun and sky under the weather's clouds."""
    elevation, azimuth = sun_position(weather.times)
    sine = np.sin(np.radians(np.maximum(elevation, 0.0)))
    day = day_of_year(weather.times)
    extraterrestrial = 127_500 * (1 + 0.034 * np.cos(2 * np.pi * (day - 2) / 365))
    clear = weather.clearness
    beam = extraterrestrial * np.exp(-0.21 / np.maximum(sine, 0.02)) * np.clip((clear - 0.35) / 0.5, 0, 1)
    up = elevation > 0
    twilight = 400 * np.exp(np.minimum(elevation, 0.0) / 1.6)
    clear_sky = 800 + 15_500 * np.sqrt(sine)
    cloudy_sky = (300 + 21_000 * sine) * weather.cloud_light
    diffuse = np.where(up, clear * clear_sky + (1 - clear) * cloudy_sky, twilight)
    return Sky(elevation, azimuth, np.where(up, beam, 0.0), diffuse)


def daylight_on_wall(sky: Sky, at: LightAt, open_share: Floats) -> Floats:
    """Daylight on a wall. ``open_share`` is what the blinds let through, 0 to 1. [lx]"""
    relative = np.radians(sky.azimuth - at.bearing)
    elevation = np.radians(sky.elevation)
    toward_x = np.sin(relative) * np.cos(elevation)
    toward_y = np.cos(relative) * np.cos(elevation)
    toward_z = np.sin(elevation)
    wall = np.radians(NORMAL[at.side] + 180)
    facing_wall = np.maximum(toward_x * np.sin(wall) + toward_y * np.cos(wall), 0)
    total = at.sky_share * sky.sky_lux
    for pane in at.panes:
        outward = np.radians(NORMAL[pane.side])
        on_pane = np.maximum(toward_x * np.sin(outward) + toward_y * np.cos(outward), 0)
        seen = sky.elevation > pane.obstruction
        total = total + np.where(
            seen, at.glow_share * pane.width * pane.height * on_pane * sky.sun_normal_lux, 0
        )
        across = pane.side in ("east", "west")
        distance = {"east": at.width - at.x, "west": at.x, "north": at.depth - at.y, "south": at.y}[pane.side]
        if distance <= 0.05:
            continue
        start = pane.start(at.width, at.depth)
        reach = distance / np.maximum(on_pane, 1e-6)
        along = (at.y + reach * toward_y) if across else (at.x + reach * toward_x)
        height = at.z + reach * toward_z
        through = (
            seen
            & (on_pane > 0.01)
            & (along > start)
            & (along < start + pane.width)
            & (height > pane.sill)
            & (height < pane.sill + pane.height)
        )
        total = total + np.where(through, pane.transmittance * facing_wall * sky.sun_normal_lux, 0)
    return total * open_share

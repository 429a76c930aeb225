"""Light at the demo's walls: where the sensor or the meter is held, windows, lamps and blinds.

Lengths are those of the survey, in metres (its feet times 0.3048).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .clock import Floats
from .occupancy import Calendar
from .sun import LightAt, Pane, Sky, daylight_on_wall

FOOT = 0.3048
FILMED, PLAIN = 14.0, 310.0
"""Ultraviolet of daylight behind glass with and without film; of the lamps. [uW/lm]"""
LAMP_UV = 4.0


@dataclass(frozen=True)
class Lamps:
    """Electric light on a wall: how much, from when to when, on which share of days."""

    lux: float
    start: float
    end: float
    share_of_days: float = 1.0
    closed_weekday: int | None = None


@dataclass(frozen=True)
class WallLight:
    """All that lights one wall."""

    at: LightAt
    lamps: tuple[Lamps, ...]
    blinds_open: tuple[float, float] | None = None
    """Local hours between which the blinds are up; None where there are none."""
    daylight_uv: float = FILMED
    """Ultraviolet of the daylight that comes in. [uW/lm]"""


def _pane(side: str, at: float, height: float, width: float, sill: float, obstruction: float = 0.0) -> Pane:
    return Pane(side, at * FOOT, width * FOOT, sill * FOOT, height * FOOT, obstruction)


def _at(
    side: str,
    x: float,
    y: float,
    z: float,
    room: tuple[float, float],
    sky: float,
    glow: float,
    panes: tuple[Pane, ...],
    bearing: float = 0.0,
) -> LightAt:
    width, depth = room[0] * FOOT, room[1] * FOOT
    return LightAt(x * FOOT, y * FOOT, z * FOOT, side, sky, glow, panes, width, depth, bearing)


HOUSE = 8.0
"""Bearing of the Reading House's north side. [deg]"""
GALLERY = (25.0, 33.0)
GALLERY_PANES = (_pane("west", 3, 7, 4, 4, 24), _pane("west", 9, 7, 4, 4, 24))
BALLROOM = (62.0, 36.0)
BALLROOM_PANES = tuple(_pane("south", at, 11, 5, 3, 5) for at in (6, 20, 36, 50))
HALL = (22.0, 30.0)
HALL_PANES = (_pane("south", 3, 6, 3, 4, 24),)
DINING = (20.0, 28.0)
DINING_PANES = (_pane("east", 14, 7, 4, 3, 28), _pane("east", 21, 7, 4, 3, 28))
LIBRARY = (31.0, 15.5)
LIBRARY_PANES = (_pane("west", 5, 7, 4, 3, 26),)
LANDING = (12.0, 17.5)
LANDING_PANES = (_pane("north", 4, 8, 4, 6, 6),)
DRAWING = (20.0, 24.0)
DRAWING_PANES = (_pane("east", 5, 8, 4, 2.5, 4), _pane("east", 14, 8, 4, 2.5, 4))
LOBBY = (14.0, 14.0)
LOBBY_PANES = (_pane("north", 5, 4, 3, 4, 10),)
MEETING = (34.0, 22.0)
MEETING_PANES = tuple(_pane("south", at, 7, 4, 3.5, 31) for at in (10, 18, 26))

WALLS: dict[str, WallLight] = {
    "orangery-north": WallLight(
        _at("north", 15, 33, 5, GALLERY, 0.0028, 2.5e-4, GALLERY_PANES),
        (Lamps(125, 9.5, 17.1, 1.0, 0),),
        (9.5, 17.0),
    ),
    "orangery-east": WallLight(
        _at("east", 25, 20, 5, GALLERY, 0.0060, 4e-4, GALLERY_PANES),
        (Lamps(110, 9.5, 17.1, 1.0, 0),),
        (9.5, 17.0),
    ),
    "ballroom-north": WallLight(
        _at("north", 31, 36, 7.5, BALLROOM, 0.0060, 6e-5, BALLROOM_PANES),
        (Lamps(40, 8.5, 10, 0.8),),
        (9.0, 17.0),
        daylight_uv=PLAIN,
    ),
    "ballroom-west": WallLight(
        _at("west", 0, 26, 5, BALLROOM, 0.0040, 6e-5, BALLROOM_PANES),
        (Lamps(40, 8.5, 10, 0.8),),
        (9.0, 17.0),
        daylight_uv=PLAIN,
    ),
    "hall-west": WallLight(
        _at("west", 0, 17, 6, HALL, 0.0022, 2e-4, HALL_PANES, HOUSE), (Lamps(90, 12.0, 22.0, 1.0),)
    ),
    "dining-north": WallLight(
        _at("north", 9, 28, 5, DINING, 0.0042, 2e-4, DINING_PANES, HOUSE), (Lamps(95, 12.0, 22.2, 0.9, 0),)
    ),
    "dining-south": WallLight(
        _at("south", 10, 0, 5.5, DINING, 0.0040, 2e-4, DINING_PANES, HOUSE), (Lamps(95, 12.0, 22.2, 0.9, 0),)
    ),
    "library-overmantel": WallLight(
        _at("north", 15.5, 15.5, 6.5, LIBRARY, 0.0010, 1e-4, LIBRARY_PANES, HOUSE),
        (Lamps(36, 15.0, 22.0, 0.8),),
    ),
    "library-facing": WallLight(
        _at("south", 15.5, 0, 5, LIBRARY, 0.0010, 1e-4, LIBRARY_PANES, HOUSE), (Lamps(36, 15.0, 22.0, 0.8),)
    ),
    "stair-landing": WallLight(
        _at("east", 12, 9, 6, LANDING, 0.0058, 1e-4, LANDING_PANES, HOUSE), (Lamps(72, 12.0, 22.1, 1.0),)
    ),
    "drawing-west": WallLight(
        _at("west", 0.15, 11, 5.2, DRAWING, 0.0075, 3e-4, DRAWING_PANES, HOUSE),
        (Lamps(38, 17.0, 21.5, 0.45),),
        daylight_uv=PLAIN,
    ),
    "drawing-overmantel": WallLight(
        _at("north", 10, 24, 6, DRAWING, 0.0062, 3e-4, DRAWING_PANES, HOUSE),
        (Lamps(38, 17.0, 21.5, 0.45),),
        daylight_uv=PLAIN,
    ),
    "lobby-south": WallLight(
        _at("south", 11, 0, 5, LOBBY, 0.0040, 1e-4, LOBBY_PANES),
        (Lamps(90, 12.0, 22.0, 1.0, 0),),
        daylight_uv=PLAIN,
    ),
    "seed-dais": WallLight(
        _at("east", 34, 12, 6, MEETING, 0.0021, 5e-5, MEETING_PANES),
        (Lamps(120, 9.0, 21.0, 0.8, 0),),
        (10.0, 16.0),
    ),
    "seed-north": WallLight(
        _at("north", 17, 22, 6, MEETING, 0.0030, 1e-4, MEETING_PANES),
        (Lamps(45, 18.5, 21.5, 0.35),),
        (10.0, 16.0),
    ),
    "hall-pedestal": WallLight(
        _at("east", 22, 20, 4.5, HALL, 0.0022, 2e-4, HALL_PANES, HOUSE), (Lamps(70, 12.0, 22.0, 1.0),)
    ),
    "gallery-pedestal": WallLight(
        _at("south", 13, 8, 4.5, GALLERY, 0.0040, 3e-4, GALLERY_PANES),
        (Lamps(120, 9.5, 17.1, 1.0, 0),),
        (9.5, 17.0),
    ),
}


def illuminance_lux(wall: WallLight, sky: Sky, calendar: Calendar, seed: int) -> Floats:
    """Light at a wall on the simulation's grid."""
    rng = np.random.Generator(np.random.PCG64(seed))
    hours = wall.blinds_open
    shares = np.ones(len(calendar.times)) if hours is None else np.where(calendar.between(*hours), 1.0, 0.03)
    return daylight_on_wall(sky, wall.at, shares) + lamps_lux(wall, calendar, rng)


def lamps_lux(wall: WallLight, calendar: Calendar, rng: np.random.Generator) -> Floats:
    """Electric light at a wall, switched by people who are some minutes early or late."""
    total = np.zeros(len(calendar.times))
    for lamps in wall.lamps:
        begin = lamps.start + 0.3 * (calendar.daily(rng) - 0.5)
        end = lamps.end + 0.4 * (calendar.daily(rng) - 0.5)
        lit = (calendar.hour >= begin) & (calendar.hour < end) & (calendar.daily(rng) < lamps.share_of_days)
        if lamps.closed_weekday is not None:
            lit &= calendar.weekday != lamps.closed_weekday
        total = total + np.where(lit, lamps.lux, 0.0)
    return total

"""Invented rooms with windows, trees, blinds and lamps, and the light on one of their walls over a year."""

from __future__ import annotations

from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from .weather import Sky

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SimulatedYear:
    """Light on a wall in half-hours, daylight, sun and lamps apart. [lx]"""

    sky: Sky
    bearings: tuple[float, ...]
    believed: tuple[float, ...]
    """The bearings as a surveyor wrote them down. [deg]"""
    daylight: Floats
    sun: Floats
    lamps: Floats
    tree: bool
    blind_changed: bool
    window: tuple[float, float, float, float, float]
    """Left, right, sill, head and reveal of the window that sends sun to the wall. [m]"""
    depth_m: float
    length_m: float
    at_m: float
    """Where the sensor is on the wall opposite, from the window wall's left corner; 1.5 m up. [m]"""

    @property
    def lux(self) -> Floats:
        """All light."""
        return self.daylight + self.sun + self.lamps


def _clock(sky: Sky) -> tuple[Floats, NDArray[np.int64], NDArray[np.int64]]:
    """Hour of the local clock, day number and weekday of each half-hour."""
    local = pd.to_datetime(sky.seconds, unit="s", utc=True).tz_convert(ZoneInfo(sky.zone))
    hour = (local.hour + local.minute / 60.0).to_numpy()
    return hour, (local.day_of_year - 1).to_numpy(), local.day_of_week.to_numpy()


def simulate(sky: Sky, seed: int, *, with_sun: bool = False, change_blind: bool = False) -> SimulatedYear:
    """One room. ``with_sun``: the sun may fall on the sensor; ``change_blind``: a blind's use changes."""
    draw = np.random.default_rng(seed)
    hour, day, weekday = _clock(sky)
    days = 366
    count = 2 if draw.random() < 0.3 else 1
    poleward = 0.0 if sky.latitude > 0 else 180.0
    bearings = tuple(float(b) for b in draw.uniform(0, 360, count))
    if with_sun:
        bearings = (float((poleward + 180.0 + draw.uniform(-100, 100)) % 360.0),)
    tree = bool(draw.random() < 0.2) and not with_sun
    daylight, beam_seen = _through_windows(sky, bearings, draw)
    if tree:
        daylight = daylight * _leaves(sky, day, draw)
    blind = _blind(sky, beam_seen, hour, day, draw)
    if change_blind:
        change = int(draw.integers(60, 300))
        other = _blind(sky, beam_seen, hour, day, draw, always=True)
        blind = np.where(day < change, blind, other)
    ratio = float(np.exp(draw.uniform(np.log(0.002), np.log(0.06))))
    habit = np.exp(0.12 * draw.standard_normal(days))[day]
    daylight = ratio * daylight * blind * habit
    lamps = _lamps(sky, hour, day, weekday, draw)
    window, depth, length, at = _plan(draw)
    sun = np.zeros(len(daylight))
    if with_sun:
        sun = _sun_on_sensor(sky, bearings[0], window, depth, at, draw) * blind
    believed = tuple(float((b + 6.0 * draw.standard_normal()) % 360.0) for b in bearings)
    return SimulatedYear(
        sky, bearings, believed, daylight, sun, lamps, tree, change_blind, window, depth, length, at
    )


def _through_windows(
    sky: Sky, bearings: tuple[float, ...], draw: np.random.Generator
) -> tuple[Floats, Floats]:
    """Light that enters, and the beam on the glass. [lx]

    The sky's brightness is split after Hay and Davies: a share that goes with the clearness comes from
    round the sun, the rest from everywhere. Beam efficacy falls towards the horizon.
    """
    elevation = np.radians(np.maximum(sky.elevation, 0.0))
    beam_lm = (52.0 + 52.0 * (1.0 - np.exp(-np.maximum(sky.elevation, 0.0) / 14.0))) * sky.beam
    sky_lm = draw.uniform(112.0, 134.0) * sky.diffuse
    albedo = draw.uniform(0.08, 0.3)
    skyline = draw.uniform(0.0, 28.0)
    bumps = draw.uniform(0.0, 8.0) * np.sin(
        np.radians(sky.azimuth) * draw.integers(1, 4) + draw.uniform(0, 6)
    )
    ahead = sky.elevation > np.maximum(skyline + bumps, 1.0)
    seen_sky = 0.5 * (1.0 + np.cos(np.radians(skyline)) ** 2) - 0.5
    around_sun = np.clip(sky.beam / 1361.0, 0.0, 0.8)
    floor_share = draw.uniform(0.3, 2.0)
    total, beams = np.zeros(len(beam_lm)), np.zeros(len(beam_lm))
    for bearing in bearings:
        facing = np.cos(elevation) * np.cos(np.radians(sky.azimuth - bearing))
        on_glass = np.where(ahead, np.maximum(facing, 0.0), 0.0)
        near = sky_lm * around_sun * on_glass / np.maximum(np.sin(elevation), 0.09)
        far = sky_lm * (1.0 - around_sun) * seen_sky
        ground = albedo * 0.5 * (sky_lm + beam_lm * np.sin(elevation))
        glass = 1.0 - (1.0 - np.clip(facing, 0.0, 1.0)) ** 5
        total += far + np.minimum(near, 3.0 * sky_lm) + ground + floor_share * beam_lm * on_glass * glass
        beams += beam_lm * on_glass
    return total / len(bearings), beams / len(bearings)


def _leaves(sky: Sky, day: NDArray[np.int64], draw: np.random.Generator) -> Floats:
    season = day if sky.latitude > 0 else (day + 182) % 365
    out = draw.normal(125, 12)
    off = draw.normal(300, 12)
    bare, leafy = draw.uniform(0.6, 0.9), draw.uniform(0.2, 0.6)
    grown = 1.0 / (1.0 + np.exp(-(season - out) / 6.0)) * (1.0 / (1.0 + np.exp((season - off) / 7.0)))
    return bare + (leafy - bare) * grown


def _blind(
    sky: Sky,
    beam_seen: Floats,
    hour: Floats,
    day: NDArray[np.int64],
    draw: np.random.Generator,
    *,
    always: bool = False,
) -> Floats:
    kind = draw.choice(
        ["none", "sunny", "hours", "half"], p=[0.0, 0.4, 0.3, 0.3] if always else [0.45, 0.25, 0.2, 0.1]
    )
    passes = draw.uniform(0.05, 0.35)
    if kind == "none":
        return np.ones(len(hour))
    if kind == "half":
        return np.full(len(hour), draw.uniform(0.3, 0.7))
    if kind == "hours":
        opened, closed = draw.uniform(7.0, 10.5), draw.uniform(16.0, 21.0)
        return np.where((hour >= opened) & (hour < closed), 1.0, passes)
    diligent = draw.uniform(0.4, 1.0)
    does = (draw.random(366) < diligent)[day]
    return np.where((beam_seen > draw.uniform(8e3, 3e4)) & does, passes, 1.0)


def _lamps(
    sky: Sky, hour: Floats, day: NDArray[np.int64], weekday: NDArray[np.int64], draw: np.random.Generator
) -> Floats:
    kind = draw.choice(
        ["none", "evening", "dusk", "opening", "all-day", "sensor"], p=[0.1, 0.3, 0.15, 0.25, 0.1, 0.1]
    )
    level = float(np.exp(draw.normal(np.log(45.0), 0.8)))
    outdoors = 110.0 * sky.whole
    jitter = draw.normal(0.0, 0.4, 366)[day]
    if kind == "none":
        return np.zeros(len(hour))
    if kind == "evening":
        on, off = draw.uniform(16.5, 19.0), draw.uniform(21.0, 23.9)
        lit = (hour >= on + jitter) & (hour < min(off, 23.9))
    elif kind == "dusk":
        lit = (
            (outdoors < draw.uniform(500, 6000)) & (hour > 12.0) & (hour < draw.uniform(21.5, 23.9) + jitter)
        )
    elif kind == "opening":
        closed_day = int(draw.integers(0, 7))
        lit = (hour >= draw.uniform(8.0, 10.5)) & (hour < draw.uniform(16.5, 20.0)) & (weekday != closed_day)
    elif kind == "all-day":
        lit = (hour >= draw.uniform(7.0, 9.0)) & (hour < draw.uniform(21.0, 23.5))
    else:
        lit = (hour >= 8.0) & (hour < 22.0) & (draw.random(len(hour)) < draw.uniform(0.1, 0.5))
    away = np.zeros(366, dtype=bool)
    start = int(draw.integers(0, 350))
    away[start : start + int(draw.integers(0, 18))] = True
    away |= draw.random(366) < draw.uniform(0.0, 0.12)
    return np.where(lit & ~away[day], level, 0.0)


def _plan(draw: np.random.Generator) -> tuple[tuple[float, float, float, float, float], float, float, float]:
    length, depth = draw.uniform(4.0, 8.0), draw.uniform(3.0, 7.0)
    width = draw.uniform(0.8, 2.0)
    left = draw.uniform(0.3, length - width - 0.3)
    sill = draw.uniform(0.5, 1.1)
    head = sill + draw.uniform(1.1, 1.9)
    at = np.clip(left + width / 2 + draw.normal(0.0, 1.0), 0.3, length - 0.3)
    return (left, left + width, sill, head, draw.uniform(0.05, 0.35)), depth, length, float(at)


def _sun_on_sensor(
    sky: Sky,
    bearing: float,
    window: tuple[float, float, float, float, float],
    depth: float,
    at: float,
    draw: np.random.Generator,
) -> Floats:
    """Beam that reaches a sensor on the wall opposite, by the ray from it to the sun. [lx]"""
    left, right, sill, head, reveal = window
    turn = np.radians((sky.azimuth - bearing + 180.0) % 360.0 - 180.0)
    elevation = np.radians(sky.elevation)
    front = (np.abs(turn) < 1.5) & (sky.elevation > draw.uniform(3.0, 12.0))
    side, rise = (
        np.tan(np.where(front, turn, 0.0)),
        np.tan(np.where(front, elevation, 0.0)) / np.cos(np.where(front, turn, 0.0)),
    )
    lit = front.copy()
    for y in (depth, depth + reveal):
        across, up = at + y * side, 1.5 + y * rise
        lit &= (across > left) & (across < right) & (up > sill) & (up < head)
    facing = np.cos(elevation) * np.cos(turn)
    return np.where(lit, 105.0 * sky.beam * draw.uniform(0.5, 0.8) * np.maximum(facing, 0.0), 0.0)

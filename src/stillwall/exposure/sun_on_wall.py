"""Direct sun on a wall over the year: which parts of it, when, and how much."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.daylight_reference import Location, zone_offsets_h
from stillwall.exposure.sky import BEAM_LM_PER_W, SUNSHINE_SHARE, clear_beam_w_m2
from stillwall.exposure.sun_patch import (
    Relation,
    Target,
    Window,
    cells_of,
    facing_cosine,
    lit_cells,
    patch_on_target,
    rays,
)
from stillwall.exposure.sun_position import sun_position
from stillwall.record import Record

Floats = NDArray[np.float64]

LEVELS = (-1.645, 0.0, 1.645)
"""Standard normal points of the room's uncertain dimensions at which the sun is traced."""
STEP_MIN = 20
LEAST_LIT = 0.02
REFERENCE_DAY = 20_454
"""1 January 2026 in days since 1970-01-01; the sun of another year stands within 0.3 degree."""


@dataclass(frozen=True, slots=True)
class Shade:
    """A blind that is drawn between two hours of the local clock, or whenever the sun shines."""

    transmittance: float
    from_h: float = 0.0
    to_h: float = 24.0


@dataclass(frozen=True, slots=True)
class SunWindow:
    """One window as it stands to one wall.

    ``plane_m`` is that of :class:`~stillwall.exposure.sun_patch.Target`. ``mirror_m`` is the length from
    which the frame's coordinate is taken away where it runs against the wall's own left-to-right. The last
    figures are standard deviations of what was measured.
    """

    window: Window
    relation: Relation
    plane_m: float
    mirror_m: float | None
    side_sd_m: float = 0.05
    height_sd_m: float = 0.05
    bearing_sd_deg: float = 3.0
    horizon_sd_deg: float = 1.0
    shade: Shade | None = None

    def target(self, left_m: float, right_m: float, bottom_m: float, top_m: float) -> Target:
        """A rectangle of the wall, from its left corner, in the frame of the window."""
        if self.mirror_m is None:
            return Target(self.relation, self.plane_m, left_m, right_m, bottom_m, top_m)
        return Target(
            self.relation,
            self.plane_m,
            self.mirror_m - right_m,
            self.mirror_m - left_m,
            bottom_m,
            top_m,
        )

    def on_wall(self, corners: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
        """Corners in the window's frame, from the wall's own left corner."""
        if self.mirror_m is None:
            return corners
        return tuple((self.mirror_m - along, height) for along, height in corners)

    def varied(self, level: float) -> Window:
        """The window with every uncertain dimension ``level`` standard deviations towards more sun."""
        reach = self.plane_m if self.relation == "facing" else 2.0
        side = float(np.hypot(self.side_sd_m, reach * np.tan(np.radians(self.bearing_sd_deg))))
        return replace(
            self.window,
            left_m=self.window.left_m - level * side,
            right_m=self.window.right_m + level * side,
            sill_m=self.window.sill_m - level * self.height_sd_m,
            head_m=self.window.head_m + level * self.height_sd_m,
            horizon_deg=max(self.window.horizon_deg - level * self.horizon_sd_deg, 0.0),
        )


@dataclass(frozen=True, slots=True)
class WallSun:
    """All windows from which sun may reach a wall, and the stretch of wall that matters. [m]"""

    location: Location
    windows: tuple[SunWindow, ...]
    left_m: float
    right_m: float
    bottom_m: float = 0.4
    top_m: float = 2.8


@dataclass(frozen=True, slots=True, eq=False)
class SunOn:
    """Direct sun on a rectangle of a wall over a year.

    Attributes
    ----------
    hours, peak_w_m2 : shape (levels,)
        Hours a year in which a part is lit under clear skies, and greatest irradiance of the lit part
        [W/m2], by :data:`LEVELS` of the uncertain dimensions.
    week_lux_h : shape (52,)
        Expected dose by week from 1 January, clouds and all, at the measured dimensions. [lx h]
    clock_h
        First and last hour of the local clock at which it is lit in any season, None where never. [h]
    """

    hours: Floats
    peak_w_m2: Floats
    week_lux_h: Floats
    clock_h: tuple[float, float] | None


@dataclass(frozen=True, slots=True, eq=False)
class _Sweep:
    """The sun of a year: the middle day of every week in steps of 20 min, while it is up."""

    elevation_deg: Floats
    azimuth_deg: Floats
    beam_w_m2: Floats
    week: NDArray[np.int64]
    clock_h: Floats


@lru_cache(maxsize=64)
def _sweep(location: Location) -> _Sweep:
    slots = 1440 // STEP_MIN
    day = REFERENCE_DAY + 7 * np.arange(52)[:, None] + 3
    seconds = (day * 86_400.0 + (np.arange(slots) + 0.5) * STEP_MIN * 60.0).ravel()
    sun = sun_position(seconds, location.latitude_deg or 0.0, location.longitude_deg or 0.0)
    up = sun.elevation_deg > 0.5
    elevation = sun.elevation_deg[up]
    week = np.repeat(np.arange(52), slots)[up]
    clock_h = _clock_h(seconds[up], location)
    return _Sweep(elevation, sun.azimuth_deg[up], clear_beam_w_m2(elevation), week, clock_h)


def sun_on(
    record: Record, wall: WallSun, left_m: float, right_m: float, bottom_m: float, top_m: float
) -> SunOn:
    """Direct sun on a rectangle of a wall by geometry alone; the record is not looked at.

    The rectangle is given from the wall's left corner and the floor. Uncertain dimensions move the
    openings' edges, all towards more sun or all towards less.
    """
    del record
    hours, peak, week = np.zeros(len(LEVELS)), np.zeros(len(LEVELS)), np.zeros(52)
    if wall.location.latitude_deg is None:
        return SunOn(hours, peak, week, None)
    sweep = _sweep(wall.location)
    step_h = 7.0 * STEP_MIN / 60.0 * 365.0 / 364.0
    measured = np.zeros(len(sweep.week), dtype=bool)
    for level, z in enumerate(LEVELS):
        any_lit = np.zeros(len(sweep.week), dtype=bool)
        for entry in wall.windows:
            window = entry.varied(z)
            if window.right_m <= window.left_m or window.head_m <= window.sill_m:
                continue
            ray = rays(sweep.elevation_deg, sweep.azimuth_deg, window)
            target = entry.target(left_m, right_m, bottom_m, top_m)
            lit = lit_cells(ray, window, entry.relation, entry.plane_m, cells_of(target))[0]
            drawn = _shade_factor(entry.shade, sweep.clock_h)
            w_m2 = sweep.beam_w_m2 * window.transmittance * facing_cosine(ray, entry.relation) * drawn
            some = lit > LEAST_LIT
            any_lit |= some & (drawn > 0.05)
            peak[level] = max(peak[level], float(np.where(some, w_m2, 0.0).max()))
            if z == 0.0:
                lux = lit * w_m2 * BEAM_LM_PER_W * SUNSHINE_SHARE * window.glazed_share
                week += np.bincount(sweep.week, weights=lux, minlength=52) * step_h
        hours[level] = any_lit.sum() * step_h
        if z == 0.0:
            measured = any_lit
    lit_clock = sweep.clock_h[measured]
    clock = (float(lit_clock.min()), float(lit_clock.max())) if len(lit_clock) else None
    return SunOn(hours, peak, week, clock)


def _shade_factor(shade: Shade | None, clock_h: Floats) -> Floats:
    if shade is None:
        return np.ones(len(clock_h))
    if shade.from_h <= shade.to_h:
        drawn = (clock_h >= shade.from_h) & (clock_h < shade.to_h)
    else:
        drawn = (clock_h >= shade.from_h) | (clock_h < shade.to_h)
    return np.asarray(np.where(drawn, shade.transmittance, 1.0))


def _clock_h(seconds: Floats, location: Location) -> Floats:
    """Hour of the local clock of moments in UTC. [h]"""
    days = (seconds // 86_400).astype(np.int64)
    first = int(days.min())
    offsets = np.asarray(zone_offsets_h(location.zone, first, int(days.max()) - first + 1))
    made: Floats = (seconds / 3600.0 + offsets[days - first]) % 24.0
    return made


@dataclass(frozen=True, slots=True, eq=False)
class SunCalendar:
    """Lit share of a rectangle under a clear sky, by day and slot of the local clock.

    ``lit`` has shape (days, slots); ``first_day`` counts days since 1970-01-01.
    """

    first_day: int
    lit: Floats

    @property
    def slot_h(self) -> float:
        """Length of a slot. [h]"""
        return 24.0 / int(self.lit.shape[1])

    @property
    def hours(self) -> float:
        """Hours in which any part is lit under a clear sky. [h]"""
        return float((self.lit > LEAST_LIT).sum() * self.slot_h)

    def spells(self) -> tuple[tuple[int, int, float, float], ...]:
        """Runs of days with sun: first and last day (since 1970-01-01), earliest and latest hour [h]."""
        some = (self.lit > LEAST_LIT).any(axis=1)
        change = np.diff(np.concatenate([[0], some.astype(np.int8), [0]]))
        made = []
        for start, end in zip(np.flatnonzero(change == 1), np.flatnonzero(change == -1), strict=True):
            slots = np.flatnonzero((self.lit[start:end] > LEAST_LIT).any(axis=0))
            made.append(
                (
                    self.first_day + int(start),
                    self.first_day + int(end) - 1,
                    float(slots[0] * self.slot_h),
                    float((slots[-1] + 1) * self.slot_h),
                )
            )
        return tuple(made)


def sun_calendar(
    wall: WallSun,
    left_m: float,
    right_m: float,
    bottom_m: float,
    top_m: float,
    *,
    first_day: int = REFERENCE_DAY,
    days: int = 365,
    slots: int = 96,
) -> SunCalendar:
    """When the sun lands on a rectangle of a wall, at the measured dimensions."""
    lit = np.zeros(days * slots)
    if wall.location.latitude_deg is not None and wall.windows:
        offsets = np.repeat(np.asarray(zone_offsets_h(wall.location.zone, first_day, days)), slots)
        local = first_day * 86_400.0 + (np.arange(days * slots) + 0.5) * 86_400.0 / slots
        sun = sun_position(
            local - 3600.0 * offsets, wall.location.latitude_deg, wall.location.longitude_deg or 0.0
        )
        high = np.flatnonzero(sun.elevation_deg > 0.5)
        elevation, azimuth = sun.elevation_deg[high], sun.azimuth_deg[high]
        clock_h = (local[high] / 3600.0) % 24.0
        shares = []
        for entry in wall.windows:
            target = entry.target(left_m, right_m, bottom_m, top_m)
            ray = rays(elevation, azimuth, entry.window)
            lit_here = lit_cells(ray, entry.window, entry.relation, entry.plane_m, cells_of(target))[0]
            shares.append(np.where(_shade_factor(entry.shade, clock_h) > 0.05, lit_here, 0.0))
        lit[high] = np.minimum(sum(shares[1:], start=shares[0]), 1.0)
    return SunCalendar(first_day, lit.reshape(days, slots))


@dataclass(frozen=True, slots=True)
class WallPatch:
    """Patches of sun on a wall at one moment: corners from its left corner and the floor. [m]"""

    unix_s: float
    elevation_deg: float
    azimuth_deg: float
    corners_m: tuple[tuple[tuple[float, float], ...], ...]


def wall_patch(wall: WallSun, unix_s: float) -> WallPatch:
    """Where the sun lies on a wall at a moment in UTC."""
    sun = sun_position(
        np.array([unix_s]), wall.location.latitude_deg or 0.0, wall.location.longitude_deg or 0.0
    )
    elevation, azimuth = float(sun.elevation_deg[0]), float(sun.azimuth_deg[0])
    made = []
    for entry in wall.windows:
        target = entry.target(wall.left_m, wall.right_m, 0.0, max(wall.top_m, 3.0))
        corners = patch_on_target(elevation, azimuth, entry.window, target)
        if len(corners) >= 3:
            made.append(entry.on_wall(corners))
    return WallPatch(unix_s, elevation, azimuth, tuple(made))

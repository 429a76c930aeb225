"""Direct sun on a wall over the year: which parts of it, when, and how much."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.daylight_reference import Location, zone_offsets_h
from stillwall.exposure.sky import BEAM_LM_PER_W, SUNSHINE_SHARE, clear_beam_w_m2
from stillwall.exposure.sun_patch import (
    Cells,
    Relation,
    Target,
    Window,
    facing_cosine,
    lit_cells,
    patch_on_target,
    rays,
)
from stillwall.exposure.sun_position import sun_position
from stillwall.record import Record

Floats = NDArray[np.float64]

LEVELS = (-1.645, 0.0, 1.645)
"""Standard normal points of the room's uncertain dimensions at which the map is drawn."""
STEP_MIN = 20
CELL_M = 0.35
MOST_CELLS = 8
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
class SunMap:
    """Direct sun on the cells of a wall over a year of clear skies.

    Attributes
    ----------
    edges_m, heights_m
        Edges of the cells along the wall, shape (m + 1,), and up, shape (k + 1,). [m]
    hours : shape (levels, m, k)
        Hours a year in which part of the cell is lit under a clear sky.
    peak_w_m2 : shape (levels, m, k)
        Greatest irradiance by the beam on the lit part. [W/m2]
    dose_lux_h : shape (m, k)
        Expected dose a year, clouds and all, at the measured dimensions. [lx h]
    week_lux_h : shape (52,)
        The same by week from 1 January, at the middle of the wall, 1.5 m up. [lx h]
    """

    edges_m: Floats
    heights_m: Floats
    hours: Floats
    peak_w_m2: Floats
    dose_lux_h: Floats
    week_lux_h: Floats
    clock_h: tuple[float, float] | None
    """First and last hour of the local clock at which the middle of the wall is lit, in any season. [h]"""

    def over(self, left_m: float, right_m: float, bottom_m: float, top_m: float) -> tuple[Floats, Floats]:
        """Hours a year and peak irradiance [W/m2] of the most exposed part of a rectangle, by level."""
        across = _touched(self.edges_m, left_m, right_m)
        up = _touched(self.heights_m, bottom_m, top_m)
        return (
            self.hours[:, across, up].max(axis=(1, 2)),
            self.peak_w_m2[:, across, up].max(axis=(1, 2)),
        )


def _touched(edges: Floats, low: float, high: float) -> slice:
    first = int(np.clip(np.searchsorted(edges, low + 1e-9, side="right") - 1, 0, len(edges) - 2))
    last = int(np.clip(np.searchsorted(edges, high - 1e-9, side="left"), first + 1, len(edges) - 1))
    return slice(first, last)


def sun_map(record: Record, wall: WallSun) -> SunMap:
    """Direct sun on a wall by geometry alone; the record is not looked at.

    Sweeps the middle day of every week in steps of 20 min. Uncertain dimensions move the opening's
    edges, all towards more sun or all towards less.
    """
    del record
    edges = _edges(wall.left_m, wall.right_m)
    heights = _edges(wall.bottom_m, wall.top_m)
    shape = (len(edges) - 1, len(heights) - 1)
    hours = np.zeros((len(LEVELS), *shape))
    peak = np.zeros((len(LEVELS), *shape))
    dose = np.zeros(shape)
    week = np.zeros(52)
    lit_clock: list[float] = []
    if wall.location.latitude_deg is None:
        return SunMap(edges, heights, hours, peak, dose, week, None)
    slots = 1440 // STEP_MIN
    day = REFERENCE_DAY + 7 * np.arange(52)[:, None] + 3
    seconds = (day * 86_400.0 + (np.arange(slots) + 0.5) * STEP_MIN * 60.0).ravel()
    sun = sun_position(seconds, wall.location.latitude_deg, wall.location.longitude_deg or 0.0)
    high = sun.elevation_deg > 0.5
    elevation, azimuth = sun.elevation_deg[high], sun.azimuth_deg[high]
    beam = clear_beam_w_m2(elevation)
    number = np.repeat(np.arange(52), slots)[high]
    clock_h = _clock_h(seconds[high], wall.location)
    step_h = 7.0 * STEP_MIN / 60.0 * 365.0 / 364.0
    for level, z in enumerate(LEVELS):
        any_lit = np.zeros((shape[0] * shape[1], len(elevation)), dtype=bool)
        for entry in wall.windows:
            window = entry.varied(z)
            ray = rays(elevation, azimuth, window)
            here = np.flatnonzero(ray.enters)
            if len(here) == 0 or window.right_m <= window.left_m or window.head_m <= window.sill_m:
                continue
            ray = rays(elevation[here], azimuth[here], window)
            lit = lit_cells(ray, window, entry.relation, entry.plane_m, _grid(edges, heights, entry))
            drawn = _shade_factor(entry.shade, clock_h[here])
            w_m2 = beam[here] * window.transmittance * facing_cosine(ray, entry.relation) * drawn
            some = lit > LEAST_LIT
            any_lit[:, here] |= some & (drawn > 0.05)
            peak[level] = np.maximum(peak[level], np.where(some, w_m2, 0.0).max(axis=1).reshape(shape))
            if z == 0.0:
                lux = w_m2 * BEAM_LM_PER_W * SUNSHINE_SHARE * window.glazed_share
                dose += (lit * lux).sum(axis=1).reshape(shape) * step_h
                middle = entry.target(
                    0.5 * (wall.left_m + wall.right_m) - 0.1,
                    0.5 * (wall.left_m + wall.right_m) + 0.1,
                    1.4,
                    1.6,
                )
                cell = Cells(*(np.array([x]) for x in (middle.from_m, middle.to_m, 1.4, 1.6)))
                at_middle = lit_cells(ray, window, entry.relation, entry.plane_m, cell)[0]
                lit_clock.extend(clock_h[here][at_middle > LEAST_LIT])
                week += np.bincount(number[here], weights=at_middle * lux, minlength=52) * step_h
        hours[level] = any_lit.sum(axis=1).reshape(shape) * step_h
    clock = (float(min(lit_clock)), float(max(lit_clock))) if lit_clock else None
    return SunMap(edges, heights, hours, peak, dose, week, clock)


def _edges(low: float, high: float) -> Floats:
    count = int(np.clip(round((high - low) / CELL_M), 2, MOST_CELLS))
    return np.linspace(low, high, count + 1)


def _grid(edges: Floats, heights: Floats, entry: SunWindow) -> Cells:
    left, bottom = (grid.ravel() for grid in np.meshgrid(edges[:-1], heights[:-1], indexing="ij"))
    right, top = (grid.ravel() for grid in np.meshgrid(edges[1:], heights[1:], indexing="ij"))
    if entry.mirror_m is None:
        return Cells(left, right, bottom, top)
    return Cells(entry.mirror_m - right, entry.mirror_m - left, bottom, top)


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
            cell = Cells(*(np.array([x]) for x in (target.from_m, target.to_m, bottom_m, top_m)))
            ray = rays(elevation, azimuth, entry.window)
            lit_here = lit_cells(ray, entry.window, entry.relation, entry.plane_m, cell)[0]
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

"""Electric light told apart from daylight: what burns in the dark burns by the clock all year."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.daylight_reference import Outdoors
from stillwall.exposure.dose import SLOTS, HalfHours

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

LIT_LUX = 3.0
"""Mean level in the dark above which a half-hour counts as lit."""
BRIGHT_REFERENCE_LUX = 2000.0
SUNSET_LUX = 1000.0
"""Light outdoors about sunset; less of it than a room's share cannot be told from a lamp. [lx]"""
LEAST_OF_LAMP, MOST_OF_LAMP = 0.9, 2.0
"""Dull daylit readings over a lamp's level between which the lamp is taken to burn."""


@dataclass(frozen=True, slots=True)
class LampFacts:
    """What a survey says of lamps at a wall: level [lx], clock hours from..to, hours a day, days a year."""

    level_lux: float | None = None
    from_h: float | None = None
    to_h: float | None = None
    hours_per_day: float | None = None
    days_per_year: float | None = None

    def slots(self) -> Mask | None:
        """Half-hours in which it burns, shape (48,), or None where the hours are not known."""
        if self.from_h is None or self.to_h is None:
            return None
        middle = (np.arange(SLOTS) + 0.5) / 2.0
        if self.from_h <= self.to_h:
            return (middle >= self.from_h) & (middle < self.to_h)
        return (middle >= self.from_h) | (middle < self.to_h)

    @property
    def daily_h(self) -> float | None:
        """Hours a day. [h]"""
        if self.hours_per_day is not None:
            return self.hours_per_day
        return None if self.from_h is None or self.to_h is None else (self.to_h - self.from_h) % 24.0


@dataclass(frozen=True, slots=True, eq=False)
class LampSchedule:
    """Electric light by weekday and half-hour of the local clock.

    Attributes
    ----------
    level_lux : shape (7, 48)
        Mean level, Monday first; 0 where nothing burns.
    dusk_lux : shape (7, 48)
        Level that half-hours hidden by daylight have when it is dark, carried on from a lit neighbour.
    hidden : shape (48,)
        Half-hours that are dark in another season, were daylit in every reading, and of which
        neither a neighbour nor the survey says anything.
    """

    level_lux: Floats
    dusk_lux: Floats
    hidden: Mask
    from_survey: bool

    def lamp_lux(self, sky: Outdoors) -> Floats:
        """Electric light in every half-hour of a run of days, shape (days, 48). [lx]"""
        return _lamp_lux(self, sky)

    @property
    def lit_level_lux(self) -> float:
        """Typical level while lit; 0 where nothing is ever lit. [lx]"""
        lit = self.level_lux[self.level_lux > LIT_LUX]
        return float(np.median(lit)) if len(lit) else 0.0

    @property
    def daily_h(self) -> float:
        """Hours of a mean day that give the electric dose at the typical level. [h]"""
        level = self.lit_level_lux
        return float(self.level_lux.sum() * 0.5 / 7.0 / level) if level else 0.0


@lru_cache(maxsize=2)
def _lamp_lux(schedule: LampSchedule, sky: Outdoors) -> Floats:
    slot = sky.weekday * SLOTS + sky.local_slot
    dusk = np.where(sky.dark, schedule.dusk_lux.ravel()[slot], 0.0)
    made: Floats = schedule.level_lux.ravel()[slot] + dusk
    return made


def lamp_schedule(
    cells: HalfHours, sky: Outdoors, dark_slots_of_year: Mask, lamps: tuple[LampFacts, ...]
) -> LampSchedule:
    """Lamp level by weekday and half-hour.

    From readings with the sun more than 6 degrees down; at dusk also from what exceeds the daylight
    that the room's own ratio to outdoor light explains. Half-hours without such readings follow the
    survey's schedule, else the nearest half-hour on their side of noon that is lit.

    Parameters
    ----------
    cells
        Readings in half-hours, offset taken off.
    dark_slots_of_year
        Half-hours of the local clock that are dark in some season, shape (48,).
    """
    lux = cells.mean_lux
    known = np.isfinite(lux)
    bright = known & (sky.reference_lux > BRIGHT_REFERENCE_LUX)
    ratio = float(np.median(lux[bright] / sky.reference_lux[bright])) if bright.any() else 0.0
    expected = ratio * sky.reference_lux
    dark = known & sky.dark
    dusk = known & ~sky.dark & (sky.elevation_deg < 4.0)
    # A reference at low sun is good to a factor of three; and a lamp must outshine the light near sunset.
    beyond = np.maximum(3.0 * expected, max(LIT_LUX, SUNSET_LUX * ratio))
    above = np.where(dusk & (lux - expected > beyond), lux - expected, 0.0)
    weekly_classes = 7 if cells.days >= 21 else 2
    group = sky.weekday if weekly_classes == 7 else (sky.weekday >= 5).astype(np.int64)
    level, count = _mean_by(group, sky.local_slot, np.where(dark, lux, 0.0), dark, weekly_classes)
    seen = count.sum(axis=0) >= 2
    dusk_level, dusk_count = _mean_by(group, sky.local_slot, above, dusk, weekly_classes)
    by_dusk = ~seen & (dusk_count.sum(axis=0) >= 2)
    low_lux = _low_by_slot(lux, sky.local_slot)
    level = _with_dusk(level, dusk_level, seen, by_dusk, low_lux)
    seen = seen | by_dusk
    if weekly_classes == 2:
        level = np.repeat(level, [5, 2], axis=0)
    level = np.where((level > LIT_LUX) & seen[None, :], level, 0.0)
    surveyed = _surveyed_level(lamps, level)
    day = ~seen & ~dark_slots_of_year
    hidden = ~seen & dark_slots_of_year
    if surveyed is not None:
        level = np.where((~seen)[None, :], surveyed[None, :], level)
        return LampSchedule(level, np.zeros((7, SLOTS)), np.zeros(SLOTS, dtype=bool), from_survey=True)
    return _follow_neighbours(level, seen, hidden, day, low_lux)


def _mean_by(
    group: NDArray[np.int64], slot: NDArray[np.int64], values: Floats, use: Mask, groups: int
) -> tuple[Floats, Floats]:
    """Mean of the used values by group and slot; a group without any takes the mean of all groups."""
    key = (group * SLOTS + slot)[use]
    total = np.bincount(key, weights=values[use], minlength=groups * SLOTS).reshape(groups, SLOTS)
    count = np.bincount(key, minlength=groups * SLOTS).reshape(groups, SLOTS).astype(np.float64)
    pooled = total.sum(axis=0) / np.maximum(count.sum(axis=0), 1.0)
    return np.where(count > 0, total / np.maximum(count, 1.0), pooled[None, :]), count


def _with_dusk(level: Floats, dusk_level: Floats, seen: Mask, by_dusk: Mask, low_lux: Floats) -> Floats:
    """Levels with those of half-hours that only dusk shows: the nearest dark one's where they allow it.

    At dusk some daylight is taken off a reading, too much of it where a lamp burns all day.
    """
    made = level.copy()
    lit = np.flatnonzero(seen & (level.max(axis=0) > LIT_LUX))
    for slot in np.flatnonzero(by_dusk):
        made[:, slot] = dusk_level[:, slot]
        if len(lit) and dusk_level[:, slot].max() > LIT_LUX:
            near = level[:, lit[np.argmin(np.abs(lit - slot))]]
            if low_lux[slot] >= LEAST_OF_LAMP * float(near[near > LIT_LUX].mean()):
                made[:, slot] = near
    return made


def _low_by_slot(lux: Floats, slot: NDArray[np.int64]) -> Floats:
    """10th percentile of the readings of each half-hour of the clock; infinite where there are none."""
    low = np.full(SLOTS, np.inf)
    known = np.isfinite(lux)
    codes = slot[known].astype(np.int8)
    order = np.argsort(codes, kind="stable")
    values = lux[known][order]
    edges = np.concatenate(([0], np.cumsum(np.bincount(codes, minlength=SLOTS))))
    for number in range(SLOTS):
        here = values[edges[number] : edges[number + 1]]
        if len(here):
            low[number] = np.partition(here, len(here) // 10)[len(here) // 10]
    return low


def _surveyed_level(lamps: tuple[LampFacts, ...], level: Floats) -> Floats | None:
    """Mean level by half-hour that the survey's lamps give, or None where it gives no hours."""
    lit = level[level > LIT_LUX]
    seen_level = float(np.median(lit)) if len(lit) else None
    total = np.zeros(SLOTS)
    any_known = False
    for lamp in lamps:
        slots = lamp.slots()
        lux = lamp.level_lux if lamp.level_lux is not None else seen_level
        if slots is None or lux is None:
            continue
        any_known = True
        share = 1.0 if lamp.days_per_year is None else min(1.0, lamp.days_per_year / 365.0)
        total = total + np.where(slots, lux * share, 0.0)
    return total if any_known else None


def _follow_neighbours(level: Floats, seen: Mask, hidden: Mask, day: Mask, low_lux: Floats) -> LampSchedule:
    """Carry lit half-hours on into those that daylight hides, walking from night towards noon.

    Half-hours that are dark in another season are carried to wherever the last seen one is lit. In
    half-hours of the day a lamp is taken to burn on where the dullest tenth of the readings show about its
    level: less, and it is out; far more, and daylight hides it and counts for more.
    """
    by_day = _burning_on(level, day, low_lux)
    dusk = np.zeros_like(level)
    left = hidden.copy()
    noon = SLOTS // 2
    for walk in (range(noon), range(SLOTS - 1, noon - 1, -1)):
        last: Floats | None = None
        for slot in walk:
            if seen[slot]:
                last = level[:, slot]
            elif last is None:
                continue
            elif float(last.max()) <= LIT_LUX:
                if not hidden[slot]:
                    break
            elif hidden[slot]:
                dusk[:, slot] = last
                left[slot] = False
            else:
                break
    return LampSchedule(by_day, dusk, left, from_survey=False)


def _burning_on(level: Floats, day: Mask, low_lux: Floats) -> Floats:
    """Levels with lit half-hours carried on into neighbouring ones of the day, from both sides."""
    made = level.copy()
    for walk, back in ((range(1, SLOTS), -1), (range(SLOTS - 2, -1, -1), 1)):
        for slot in walk:
            before = made[:, slot + back]
            if not day[slot] or made[:, slot].max() > LIT_LUX or before.max() <= LIT_LUX:
                continue
            burning = float(before[before > LIT_LUX].mean())
            if LEAST_OF_LAMP * burning <= low_lux[slot] <= MOST_OF_LAMP * burning:
                made[:, slot] = before
    return made

"""Growth and decline of mould as an index over time.

The index runs from 0, none, over 1, seen in a microscope, and 3, seen by eye, to 6, dense.
A. Hukka and H. A. Viitanen, Wood Science and Technology 33, 1999, 475-485; classes of T. Ojanen and others,
Buildings XI, 2010. Coefficients from memory, most of them cross-read against one public implementation.
J. Berger and others (2018) doubt the parameters outside the materials to which they were fitted.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

WARMEST_C: Final = 50.0
_APPROACH: Final = 2.3
_HOURS_PER_WEEK: Final = 168.0
_FAST_DECLINE: Final = 0.00133
_FAST_HOURS: Final = 6.0
_SLOW_DECLINE: Final = 0.000667
_REST_HOURS: Final = 24.0
_HOUR_S: Final = 3600


@dataclass(frozen=True, slots=True)
class MouldClass:
    """How a kind of surface grows mould.

    ``early`` and ``late`` are the factors of growth below and above index 1; ``a``, ``b``, ``c`` give the
    largest index; ``least_pct`` is the lowest critical humidity; ``decline`` scales the decline.
    """

    early: float
    late: float
    a: float
    b: float
    c: float
    least_pct: float
    decline: float


def critical_humidity(temperature_c: ArrayLike, least_pct: float = 80.0) -> Floats:
    """Surface humidity above which mould can grow. [%]"""
    t = np.asarray(temperature_c, np.float64)
    cold = 100.0 + t * (-3.13 + t * (0.160 - 0.00267 * t))
    return np.maximum(np.where(t <= 20.0, cold, 80.0), least_pct)


def weeks_to_start(
    temperature_c: ArrayLike, humidity_pct: ArrayLike, species: float = 0.0, sawn: float = 0.0
) -> Floats:
    """Weeks to index 1 in a constant climate, on pine (``species`` 0) or spruce (1). [week]"""
    t, rh = np.asarray(temperature_c, np.float64), np.asarray(humidity_pct, np.float64)
    made: Floats = np.exp(-0.68 * np.log(t) - 13.9 * np.log(rh) + 0.14 * species - 0.33 * sawn + 66.02)
    return made


def weeks_to_visible(temperature_c: ArrayLike, humidity_pct: ArrayLike, species: float = 0.0) -> Floats:
    """Weeks to index 3 in a constant climate, in the original model (from memory). [week]"""
    t, rh = np.asarray(temperature_c, np.float64), np.asarray(humidity_pct, np.float64)
    made: Floats = np.exp(-0.74 * np.log(t) - 12.72 * np.log(rh) + 0.06 * species + 61.50)
    return made


def largest_index(temperature_c: ArrayLike, humidity_pct: ArrayLike, kind: MouldClass) -> Floats:
    """Index that a constant climate ends at, at least 0. [1]"""
    critical = critical_humidity(temperature_c, kind.least_pct)
    return _ceiling(critical, np.asarray(humidity_pct, np.float64), kind)


def _ceiling(critical_pct: Floats, humidity_pct: Floats, kind: MouldClass) -> Floats:
    x = (critical_pct - humidity_pct) / (critical_pct - 100.0)
    return np.maximum(kind.a + x * (kind.b - kind.c * x), 0.0)


def decline(dry_hours: ArrayLike, kind: MouldClass) -> Floats:
    """Fall of the index over a spell without growth: fast for 6 h, none to 24 h, slow after. [1]"""
    dry = np.asarray(dry_hours, np.float64)
    slow = np.maximum(dry - _REST_HOURS, 0.0)
    made: Floats = kind.decline * (_FAST_DECLINE * np.minimum(dry, _FAST_HOURS) + _SLOW_DECLINE * slow)
    return made


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """The index at the end of each hour in which mould grew.

    ``hours`` counts hours from the first reading; ``index`` has the same shape; ``growing_hours`` is the time
    above the critical humidity; ``peak`` is the highest index.
    """

    hours: Integers
    index: Floats
    growing_hours: float
    peak: float


@dataclass(frozen=True, slots=True, eq=False)
class HourGrid:
    """The clock hours that a record's readings fall in.

    ``at`` is the hour of each reading, an index into ``hour``, which counts hours from the first reading;
    ``weights`` is the time that each reading stands for and ``observed`` the time measured in each hour. [h]
    """

    at: Integers
    hour: Integers
    weights: Floats
    observed: Floats


def hour_grid(seconds: Integers, reading_hours: Floats) -> HourGrid:
    """The hours of readings at increasing seconds, each standing for ``reading_hours``."""
    hour = (seconds - seconds[0]) // _HOUR_S
    starts = np.concatenate(([0], np.flatnonzero(hour[1:] != hour[:-1]) + 1))
    counts = np.diff(np.append(starts, len(hour)))
    return HourGrid(
        at=np.repeat(np.arange(len(starts)), counts),
        hour=hour[starts],
        weights=reading_hours,
        observed=np.add.reduceat(reading_hours, starts),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Damp:
    """The readings of a record at which mould might grow, with the hours that they fall in."""

    grid: HourGrid
    temperature_c: Floats
    humidity_pct: Floats
    critical_pct: Floats
    weights: Floats
    at: Integers


def damp_readings(grid: HourGrid, temperature_c: Floats, humidity_pct: Floats, least_pct: float) -> Damp:
    """Pick out readings of at least ``least_pct`` humidity, above 0 and below 50 degC."""
    mask = humidity_pct >= least_pct
    mask &= temperature_c > 0.0
    mask &= temperature_c < WARMEST_C
    places = np.flatnonzero(mask)
    t = temperature_c[places]
    return Damp(
        grid=grid,
        temperature_c=t,
        humidity_pct=humidity_pct[places],
        critical_pct=critical_humidity(t, 0.0),
        weights=grid.weights[places],
        at=grid.at[places],
    )


def mould_course(damp: Damp, kind: MouldClass, offset_pct: float = 0.0, start: float = 0.0) -> Course:
    """
    The index over a record whose humidity is moved by ``offset_pct``, from ``start`` on.

    Growth in ``dM/dt = r (1 - exp(2.3 (M - Mmax)))`` is linear in ``v = exp(-2.3 M)``:
    ``dv/dt = -2.3 r (v - exp(-2.3 Mmax))``, which is stepped exactly with the hour's growth. Growth within an
    hour is summed over its readings and never taken from a mean of humidity, so that short damp spells
    count. Time in gaps neither grows nor declines.
    """
    humidity = damp.humidity_pct + offset_pct
    critical = np.maximum(damp.critical_pct, kind.least_pct)
    grows = np.flatnonzero(humidity >= critical)
    if not len(grows):
        return Course(np.empty(0, np.int64), np.empty(0), 0.0, start)
    rh, weights, at = np.minimum(humidity[grows], 100.0), damp.weights[grows], damp.at[grows]
    first = np.concatenate(([0], np.flatnonzero(at[1:] != at[:-1]) + 1))
    amounts = weights / (_HOURS_PER_WEEK * weeks_to_start(damp.temperature_c[grows], rh))
    pulled = amounts * np.exp(-_APPROACH * _ceiling(critical[grows], rh, kind))
    wet = np.add.reduceat(weights, first)
    total = np.add.reduceat(amounts, first)
    grew = at[first]
    dry = damp.grid.observed.copy()
    dry[grew] = np.maximum(dry[grew] - wet, 0.0)
    spells = np.diff(np.cumsum(dry)[grew], prepend=0.0)
    index = _stepped(decline(spells, kind), total, np.add.reduceat(pulled, first) / total, kind, start)
    return Course(damp.grid.hour[grew], index, float(weights.sum()), max(float(index.max()), start))


def _stepped(falls: Floats, amounts: Floats, ceilings: Floats, kind: MouldClass, start: float) -> Floats:
    """Index after each growing hour: a fall over the dry time before it, then its growth."""
    early = np.exp(-_APPROACH * kind.early * amounts)
    late = np.exp(-_APPROACH * kind.late * amounts)
    steps = zip(
        np.exp(_APPROACH * falls).tolist(),
        early.tolist(),
        ((1.0 - early) * ceilings).tolist(),
        late.tolist(),
        ((1.0 - late) * ceilings).tolist(),
        strict=True,
    )
    one = float(np.exp(-_APPROACH))
    v = float(np.exp(-_APPROACH * start))
    course = []
    for fall, early_keep, early_add, late_keep, late_add in steps:
        v *= fall
        if v > 1.0:
            v = 1.0
        grown = v * early_keep + early_add if v > one else v * late_keep + late_add
        if grown < v:
            v = grown
        course.append(v)
    made: Floats = -np.log(np.array(course)) / _APPROACH
    return made

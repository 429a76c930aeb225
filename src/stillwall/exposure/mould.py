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

from stillwall.exposure.readings import chosen, take

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
_SPAN: Final = 1000


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
    return np.maximum(cold * (t <= 20.0) + 80.0 * (t > 20.0), least_pct)


def weeks_to_start(
    temperature_c: ArrayLike, humidity_pct: ArrayLike, species: float = 0.0, sawn: float = 0.0
) -> Floats:
    """Weeks to index 1 in a constant climate, on pine (``species`` 0) or spruce (1). [week]"""
    t, rh = np.asarray(temperature_c, np.float64), np.asarray(humidity_pct, np.float64)
    made: Floats = np.exp(_log_weeks(t, rh) + (0.14 * species - 0.33 * sawn))
    return made


def _log_weeks(temperature_c: Floats, humidity_pct: Floats) -> Floats:
    """Logarithm of the weeks to index 1 on pine that is not sawn."""
    made: Floats = np.asarray(np.log(humidity_pct))
    made *= -13.9
    made += -0.68 * np.log(temperature_c)
    made += 66.02
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
    made: Floats = np.asarray(x * -kind.c)
    made += kind.b
    made *= x
    made += kind.a
    return np.maximum(made, 0.0)


def decline(dry_hours: ArrayLike, kind: MouldClass) -> Floats:
    """Fall of the index over a spell without growth: fast for 6 h, none to 24 h, slow after. [1]"""
    dry = np.asarray(dry_hours, np.float64)
    slow = np.maximum(dry - _REST_HOURS, 0.0)
    made: Floats = kind.decline * (_FAST_DECLINE * np.minimum(dry, _FAST_HOURS) + _SLOW_DECLINE * slow)
    return made


@dataclass(frozen=True, slots=True)
class Course:
    """The index over a record: its highest value, and its value after the last hour in which mould grew.

    ``growing_hours`` is the time above the critical humidity.
    """

    growing_hours: float
    peak: float
    last: float


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


def damp_readings(
    grid: HourGrid, temperature_c: Floats, humidity_pct: Floats, kind: MouldClass, offset_pct: float = 0.0
) -> Damp:
    """Pick out readings, above 0 and below 50 degC, of at least critical humidity if moved by an offset."""
    critical = critical_humidity(temperature_c, kind.least_pct)
    mask = (humidity_pct + offset_pct if offset_pct else humidity_pct) >= critical
    mask &= temperature_c > 0.0
    mask &= temperature_c < WARMEST_C
    part = chosen(mask)
    return Damp(
        grid=grid,
        temperature_c=take(temperature_c, part),
        humidity_pct=take(humidity_pct, part),
        critical_pct=take(critical, part),
        weights=take(grid.weights, part),
        at=take(grid.at, part),
    )


def mould_course(damp: Damp, kind: MouldClass, offset_pct: float = 0.0, start: float = 0.0) -> Course:
    """
    The index over a record whose humidity is moved by ``offset_pct``, from ``start`` on.

    The readings were picked out for an offset that is no smaller.

    Growth in ``dM/dt = r (1 - exp(2.3 (M - Mmax)))`` is linear in ``v = exp(-2.3 M)``:
    ``dv/dt = -2.3 r (v - exp(-2.3 Mmax))``, which is stepped exactly with the hour's growth. Growth within an
    hour is summed over its readings and never taken from a mean of humidity, so that short damp spells
    count. Time in gaps neither grows nor declines.
    """
    humidity = damp.humidity_pct + offset_pct if offset_pct else damp.humidity_pct
    part = chosen(humidity >= damp.critical_pct)
    weights, at = take(damp.weights, part), take(damp.at, part)
    if not len(at):
        return Course(0.0, start, start)
    amounts, pulled = _growth(
        take(damp.temperature_c, part), take(humidity, part), take(damp.critical_pct, part), weights, kind
    )
    first = np.concatenate(([0], np.flatnonzero(at[1:] != at[:-1]) + 1))
    wet = np.add.reduceat(weights, first)
    total = np.add.reduceat(amounts, first)
    grew = at[first]
    dry = damp.grid.observed.copy()
    dry[grew] = np.maximum(dry[grew] - wet, 0.0)
    spells = np.diff(np.cumsum(dry)[grew], prepend=0.0)
    ceilings = np.add.reduceat(pulled, first) / total
    peak, last = _stepped(decline(spells, kind), total, ceilings, kind, start)
    return Course(float(weights.sum()), peak, last)


def _growth(
    temperature_c: Floats, humidity_pct: Floats, critical_pct: Floats, hours: Floats, kind: MouldClass
) -> tuple[Floats, Floats]:
    """Growth of each reading far below its ceiling, and the same weighed by ``exp(-2.3 Mmax)``."""
    humidity = np.minimum(humidity_pct, 100.0)
    amounts = _log_weeks(temperature_c, humidity)
    np.negative(amounts, out=amounts)
    np.exp(amounts, out=amounts)
    amounts *= hours
    amounts /= _HOURS_PER_WEEK
    pulled = _ceiling(critical_pct, humidity, kind)
    pulled *= -_APPROACH
    np.exp(pulled, out=pulled)
    pulled *= amounts
    return amounts, pulled


def _stepped(
    falls: Floats, amounts: Floats, ceilings: Floats, kind: MouldClass, start: float
) -> tuple[float, float]:
    """Highest and last index over growing hours: a fall over the dry time before each, then its growth.

    In ``v = exp(-2.3 M)``. Hours whose ceiling the index is above at any rate are passed over: from the
    index at the beginning of a span it can only have fallen by what dry time takes.
    """
    early = np.exp(-_APPROACH * kind.early * amounts)
    late = np.exp(-_APPROACH * kind.late * amounts)
    one, v = float(np.exp(-_APPROACH)), float(np.exp(-_APPROACH * start))
    least = v
    for begin in range(0, len(falls), _SPAN):
        span = slice(begin, begin + _SPAN)
        fallen = np.cumsum(_APPROACH * falls[span])
        grows = np.flatnonzero(ceilings[span] < np.minimum(v * np.exp(fallen), 1.0))
        steps = zip(
            np.exp(np.diff(fallen[grows], prepend=0.0)).tolist(),
            ceilings[span][grows].tolist(),
            early[span][grows].tolist(),
            late[span][grows].tolist(),
            strict=True,
        )
        for fall, ceiling, early_keep, late_keep in steps:
            v *= fall
            if v > 1.0:
                v = 1.0
            if ceiling < v:
                v = ceiling + (v - ceiling) * (early_keep if v > one else late_keep)
                if v < least:
                    least = v
        v = min(v * float(np.exp(fallen[-1] - (fallen[grows[-1]] if len(grows) else 0.0))), 1.0)
    return float(-np.log(least) / _APPROACH), float(-np.log(v) / _APPROACH)

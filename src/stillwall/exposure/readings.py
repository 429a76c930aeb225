"""Readings of the air at one place, with the time that each stands for.

A step longer than :data:`LONGEST_STEP_H` is a gap: nothing is known inside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.local_clock import DAY_S, local_seconds
from stillwall.exposure.moist_air import humidity_from_vapour, saturation_pressure
from stillwall.record import Channel, Record, Role, Times, middle

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Value = TypeVar("Value", np.float64, np.int64, np.bool_)

LONGEST_STEP_H: Final = 3.0
"""Steps up to this long are bridged, longer ones are gaps; a log slower than this sets its own."""
HOUR_S: Final = 3600.0
_UNEVEN_SHARE: Final = 0.02
_FEW_RUNS: Final = 16
_HUMIDITY_PER_DEW_K: Final = 3.2
"""A kelvin of dew point at 20 degC and 50 %RH. [%RH/K]"""


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """One quantity at one place, gaps left open.

    Attributes
    ----------
    seconds, local_seconds : int64, shape (n,)
        Since 1970, of the record's clock and of the local clock.
    values : float64, shape (n,)
    hours : float64, shape (n,)
        What each reading stands for: half the step on either side; next to a gap, half the usual step.
    gap_s : float
        Steps longer than this are gaps.
    even : bool
        Whether all readings stand for the same time, but for a few.
    logger, accuracy
        Name of the source of error, and half width of its 90 % interval.
    """

    seconds: Integers
    local_seconds: Integers
    values: Floats
    hours: Floats
    gap_s: float
    even: bool
    logger: str
    accuracy: float

    @property
    def total_hours(self) -> float:
        """Hours that the readings cover."""
        return float(self.hours.sum())

    def of(self, values: Floats, keep: NDArray[np.bool_] | None = None) -> Readings:
        """The same times with other values, and only those of ``keep``."""
        part = slice(None) if keep is None else chosen(keep)
        return Readings(
            take(self.seconds, part),
            take(self.local_seconds, part),
            take(values, part),
            take(self.hours, part),
            self.gap_s,
            self.even,
            self.logger,
            self.accuracy,
        )


Part = slice | tuple[slice, ...] | Integers
"""Which places of an array are meant: one run, a few runs, or each by its index."""


def chosen(keep: NDArray[np.bool_]) -> Part:
    """The places that are kept, for :func:`take`: as runs where they are few, which are quicker to take."""
    if not len(keep):
        return slice(0)
    edges = np.flatnonzero(keep[1:] != keep[:-1]) + 1
    if len(edges) > 2 * _FEW_RUNS:
        return np.flatnonzero(keep)
    bounds = [0, *edges.tolist(), len(keep)]
    runs = [slice(first, last) for first, last in pairwise(bounds) if keep[first]]
    if len(runs) > 1:
        return tuple(runs)
    return runs[0] if runs else slice(0)


def take(values: NDArray[Value], part: Part) -> NDArray[Value]:
    """The values at some places; a view where they are one run."""
    if isinstance(part, tuple):
        return np.concatenate([values[run] for run in part])
    return values[part]


@dataclass(frozen=True, slots=True, eq=False)
class Air:
    """Temperature and humidity on the times of the humidity.

    Both carry the same ``hours``; readings without a partner within a gap's length are left out.
    """

    temperature: Readings
    humidity: Readings


@lru_cache(maxsize=16)
def readings(record: Record, role: Role) -> Readings | None:
    """The usable readings of a role, or None with fewer than two; humidity also from a logged dew point."""
    channel = record.get(role)
    if channel is None and role == "humidity":
        return _humidity_from_dew_point(record)
    return None if channel is None else _made(record, channel)


def sensor(record: Record, role: Role) -> tuple[str, float] | None:
    """Name of the source of a role's calibration error, and its accuracy; None where it is not logged."""
    taken = readings(record, role)
    return None if taken is None else (taken.logger, taken.accuracy)


@lru_cache(maxsize=4)
def by_hour(taken: Readings) -> Readings:
    """The same readings as means of clock hours, at the first reading of each; gaps stay open."""
    hour = taken.seconds // int(HOUR_S)
    starts = np.concatenate(([0], np.flatnonzero(hour[1:] != hour[:-1]) + 1))
    if len(starts) < 2 or len(starts) == len(hour):
        return taken
    hours = np.add.reduceat(taken.hours, starts)
    return Readings(
        seconds=hour[starts] * int(HOUR_S),
        local_seconds=taken.local_seconds[starts],
        values=np.add.reduceat(taken.values * taken.hours, starts) / hours,
        hours=hours,
        gap_s=taken.gap_s,
        even=taken.even,
        logger=taken.logger,
        accuracy=taken.accuracy,
    )


@lru_cache(maxsize=8)
def air(record: Record) -> Air | None:
    """Temperature and humidity together, or None where they are never logged at the same time."""
    temperature, humidity = readings(record, "temperature"), readings(record, "humidity")
    if temperature is None or humidity is None:
        return None
    if temperature.seconds is humidity.seconds or np.array_equal(temperature.seconds, humidity.seconds):
        return Air(temperature, humidity)
    matched, known = at_times(temperature, humidity.seconds)
    if int(known.sum()) < 2:
        return None
    kept = humidity.of(humidity.values, known)
    return Air(
        Readings(
            kept.seconds,
            kept.local_seconds,
            matched[known],
            kept.hours,
            kept.gap_s,
            kept.even,
            temperature.logger,
            temperature.accuracy,
        ),
        kept,
    )


@lru_cache(maxsize=2)
def saturation(temperature: Readings) -> Floats:
    """Saturation vapour pressure at temperatures. [Pa]"""
    return saturation_pressure(temperature.values)


def at_times(source: Readings, seconds: Integers) -> tuple[Floats, NDArray[np.bool_]]:
    """Values of ``source`` at other times by linear interpolation, and where they are known.

    Known means: inside a step that is no gap, or within half a usual step of a reading.
    """
    after = np.searchsorted(source.seconds, seconds).clip(1, len(source.seconds) - 1)
    before = after - 1
    step = source.seconds[after] - source.seconds[before]
    inside = (seconds >= source.seconds[before]) & (seconds <= source.seconds[after])
    usual = usual_step_s(source.seconds)
    nearest = np.minimum(np.abs(seconds - source.seconds[before]), np.abs(seconds - source.seconds[after]))
    known = (inside & (step <= source.gap_s)) | (nearest <= usual / 2)
    return np.interp(seconds, source.seconds, source.values), known


def quantiles(values: Floats, hours: Floats | None, shares: tuple[float, ...]) -> Floats:
    """Quantiles by time, linear between ordered values (type 7 of Hyndman and Fan where steps are even).

    ``hours`` weighs the values; None takes all as equal. shape (len(shares),)
    """
    if hours is None:
        ordered = np.sort(values)
        place = np.asarray(shares) * (len(ordered) - 1)
        below = place.astype(np.int64)
        above = np.minimum(below + 1, len(ordered) - 1)
        made: Floats = ordered[below] + (place - below) * (ordered[above] - ordered[below])
        return made
    order = np.argsort(values, kind="stable")
    ordered, weights = values[order], hours[order]
    through = np.cumsum(weights) - weights / 2 - weights[0] / 2
    total = through[-1] if through[-1] > 0 else 1.0
    return np.interp(shares, through / total, ordered)


def day_slices(local: Integers) -> tuple[Integers, Integers]:
    """Local days of increasing local seconds: day numbers since 1970, and where each begins.

    Where the clock is put back over midnight the hour counts to the later day.
    """
    days = local // DAY_S
    changes = np.flatnonzero(days[1:] != days[:-1]) + 1
    starts = np.concatenate(([0], changes))
    numbers = np.maximum.accumulate(days[starts])
    fresh = np.concatenate(([True], numbers[1:] != numbers[:-1]))
    return numbers[fresh], starts[fresh]


def usual_step_s(seconds: Integers | Floats) -> float:
    """The middle one of the steps between at least two times. [s]"""
    return middle(np.diff(seconds))


def steps_hours(seconds: Integers) -> tuple[Floats, float]:
    """Hours that each of at least two readings stands for, and the length of a gap. [h], [s]"""
    steps = np.diff(seconds).astype(np.float64)
    usual = middle(steps)
    gap_s = max(LONGEST_STEP_H * HOUR_S, 2 * usual)
    steps[steps > gap_s] = usual
    hours = np.empty(len(seconds))
    hours[1:-1] = steps[:-1] + steps[1:]
    hours[0] = usual + steps[0]
    hours[-1] = steps[-1] + usual
    return hours / (2 * HOUR_S), gap_s


def _made(record: Record, channel: Channel) -> Readings | None:
    times, values = channel.kept
    finite = np.isfinite(values)
    if not finite.all():
        times, values = times[finite], values[finite]
    if len(times) < 2:
        return None
    clock = _clock(record, times, utc=channel.utc)
    return Readings(
        seconds=clock.seconds,
        local_seconds=clock.local_seconds,
        values=np.asarray(values, np.float64),
        hours=clock.hours,
        gap_s=clock.gap_s,
        even=clock.even,
        logger=channel.logger,
        accuracy=channel.accuracy,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Clock:
    """Times of readings, in UTC or not, and what follows from them alone."""

    times: Times
    utc: bool
    seconds: Integers
    local_seconds: Integers
    hours: Floats
    gap_s: float
    even: bool


@lru_cache(maxsize=2)
def _clocks(record: Record) -> list[_Clock]:
    """What is known of the times in a record: its quantities mostly share them."""
    del record
    return []


def _clock(record: Record, times: Times, *, utc: bool) -> _Clock:
    known = _clocks(record)
    for clock in known:
        if clock.utc == utc and (clock.times is times or np.array_equal(clock.times, times)):
            return clock
    seconds = times.astype("datetime64[s]").astype(np.int64)
    hours, gap_s = steps_hours(seconds)
    uneven = float(np.abs(hours - middle(hours)).sum())
    known.append(
        _Clock(
            times=times,
            utc=utc,
            seconds=seconds,
            local_seconds=local_seconds(seconds, record.zone) if utc else seconds,
            hours=hours,
            gap_s=gap_s,
            even=uneven < _UNEVEN_SHARE * float(hours.sum()),
        )
    )
    return known[-1]


def _humidity_from_dew_point(record: Record) -> Readings | None:
    dew, temperature = readings(record, "dew_point"), readings(record, "temperature")
    if dew is None or temperature is None:
        return None
    matched, known = at_times(temperature, dew.seconds)
    if int(known.sum()) < 2:
        return None
    made = dew.of(humidity_from_vapour(matched, saturation_pressure(dew.values)), known)
    return replace(made, accuracy=dew.accuracy * _HUMIDITY_PER_DEW_K)


@dataclass(frozen=True, slots=True)
class TemperatureLogged:
    """Whether temperature is logged at a place, by its own logger, and whether anything is outdoors."""

    here: bool
    own: bool
    outdoors: bool


def temperature_logged(record: Record) -> TemperatureLogged:
    """Whose loggers a place's temperature comes from."""
    return TemperatureLogged(
        here="temperature" in record,
        own="temperature" not in record.from_room,
        outdoors=record.outdoors is not None,
    )

"""What a record comes to at the surface of its wall: monthly humidity, mould, time above a threshold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.moist_air import saturation_pressure
from stillwall.exposure.mould import HourGrid, MouldClass, damp_readings, hour_grid, mould_course
from stillwall.exposure.readings import Air, Readings, air, at_times, readings, saturation
from stillwall.exposure.seasons import SEEN_SHARE, days_of
from stillwall.exposure.surface import surface_temperature
from stillwall.record import Record

Floats = NDArray[np.float64]

_MONTH_SHARE: Final = 0.75
_MONTH_HOURS: Final = 30.44 * 24
_COLDEST_DAY: Final = 15.0
_YEAR_DAYS: Final = 365.25
UNSEEN_OFFSETS_PCT: Final = (6.0, 12.0, 18.0)
"""How much damper than the record an unseen season is tried at. [%RH]"""


@dataclass(frozen=True, slots=True)
class OutdoorClimate:
    """A stated yearly course of outdoor temperature, for a wall without an outdoor log.

    ``mean_c`` and ``amplitude_k`` describe a sine that is coldest in mid January, or in mid July where
    ``southern``.
    """

    mean_c: float
    amplitude_k: float
    southern: bool

    def at(self, local_seconds: NDArray[np.int64]) -> Floats:
        """Temperature at local seconds since 1970. [degC]"""
        if not self.amplitude_k:
            return np.full(len(local_seconds), self.mean_c)
        turn = 2 * np.pi / _YEAR_DAYS * (local_seconds / 86_400.0 - _COLDEST_DAY)
        sign = 1.0 if self.southern else -1.0
        made: Floats = self.mean_c + sign * self.amplitude_k * np.cos(turn)
        return made


@lru_cache(maxsize=2)
def outdoor_temperature(record: Record, taken: Readings, assumed: OutdoorClimate) -> tuple[Floats, float]:
    """Outdoor temperature at the times of readings, and the share of them for which it was logged."""
    outdoors = None if record.outdoors is None else readings(record.outdoors, "temperature")
    if outdoors is None:
        return assumed.at(taken.local_seconds), 0.0
    logged, known = at_times(outdoors, taken.seconds)
    if known.all():
        return logged, 1.0
    return np.where(known, logged, assumed.at(taken.local_seconds)), float(known.mean())


@dataclass(frozen=True, slots=True)
class Months:
    """Means of single months with at least three quarters of their hours.

    Attributes
    ----------
    month : tuple of int
        Calendar months, 1 to 12, in order of time.
    inside_c, vapour_pa, outside_c, surface_c : tuple of float
        Means of temperature and of vapour pressure; never of relative humidity. ``surface_c`` is NaN where
        the surface is not logged.
    outdoors_logged : float
        Share of the time with an outdoor log. [1]
    coverage : tuple of 4 floats
        Share of each season's days. [1]
    """

    month: tuple[int, ...]
    inside_c: tuple[float, ...]
    vapour_pa: tuple[float, ...]
    outside_c: tuple[float, ...]
    surface_c: tuple[float, ...]
    outdoors_logged: float
    coverage: tuple[float, float, float, float]


def months(record: Record, assumed: OutdoorClimate) -> Months | None:
    """Monthly means for the surface of an outside wall; None without a single whole month of both."""
    both = air(record)
    if both is None:
        return None
    outside, share = outdoor_temperature(record, both.humidity, assumed)
    temperature, hours = both.temperature.values, both.humidity.hours
    vapour = both.humidity.values / 100.0 * saturation(both.temperature)
    days = days_of(both.humidity)
    in_month = days.numbers.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)
    firsts = np.concatenate(([0], np.flatnonzero(np.diff(in_month)) + 1))
    edges = days.starts[firsts]
    covered = np.add.reduceat(hours, edges)
    good = covered >= _MONTH_SHARE * _MONTH_HOURS
    if not good.any():
        return None
    surface = _surface_means(record, both, edges)

    def means(values: Floats) -> tuple[float, ...]:
        return tuple(map(float, (np.add.reduceat(values * hours, edges) / covered)[good]))

    return Months(
        month=tuple(int(number % 12 + 1) for number in in_month[firsts][good]),
        inside_c=means(temperature),
        vapour_pa=means(vapour),
        outside_c=means(outside),
        surface_c=tuple(map(float, surface[good])),
        outdoors_logged=share,
        coverage=days.coverage,
    )


def _surface_means(record: Record, both: Air, edges: NDArray[np.int64]) -> Floats:
    logged = readings(record, "surface_temperature")
    if logged is None:
        return np.full(len(edges), np.nan)
    values, known = at_times(logged, both.humidity.seconds)
    hours = np.where(known, both.humidity.hours, 0.0)
    covered = np.add.reduceat(hours, edges)
    sums = np.add.reduceat(np.where(known, values, 0.0) * hours, edges)
    enough = covered >= _MONTH_SHARE * _MONTH_HOURS
    made: Floats = np.divide(sums, covered, out=np.full(len(edges), np.nan), where=enough)
    return made


@dataclass(frozen=True, slots=True)
class SurfaceMould:
    """Highest mould index by temperature factor (rows) and by offset of the humidity (columns).

    Attributes
    ----------
    peak : tuple of tuples of float
        Shape (factors, offsets). [1]
    growing_hours : float
        Hours above the critical humidity, for the middle factor and no offset. [h]
    total_hours : float
        Hours with readings. [h]
    offsets_pct : tuple of float
        Offsets of the air's humidity, increasing. [%RH]
    outdoors_logged : float
        Share of the time with an outdoor log; 1 where no wall is in play. [1]
    coverage : tuple of 4 floats
        Share of each season's days. [1]
    """

    peak: tuple[tuple[float, ...], ...]
    growing_hours: float
    total_hours: float
    offsets_pct: tuple[float, ...]
    outdoors_logged: float
    coverage: tuple[float, float, float, float]


def surface_mould(
    record: Record,
    kind: MouldClass,
    factors: tuple[float, ...],
    assumed: OutdoorClimate | None,
    offsets: tuple[float, ...],
) -> SurfaceMould | None:
    """
    Mould on a surface, for each temperature factor of the wall and each offset of the sensor.

    Parameters
    ----------
    factors
        Temperature factors, increasing; a single 1 is a surface as warm as the air.
    assumed
        Outdoor climate where none is logged; not used for a surface as warm as the air.
    offsets
        Offsets of the humidity in units of the logger's accuracy, increasing, 0 among them. A logger
        without error takes them as 0. A record that has not seen the whole year is moved by
        :data:`UNSEEN_OFFSETS_PCT` besides, for what the rest of the year may be like.

    Returns
    -------
    SurfaceMould or None
        None where temperature and humidity are not logged together.
    """
    both = air(record)
    if both is None:
        return None
    taken = both.humidity
    coverage = days_of(taken).coverage
    steps = {0.0, *(offset * taken.accuracy for offset in offsets)}
    if min(coverage) < SEEN_SHARE:
        steps |= set(UNSEEN_OFFSETS_PCT)
    return _surface_mould(record, both, kind, factors, assumed, tuple(sorted(steps)), coverage)


def _surface_mould(
    record: Record,
    both: Air,
    kind: MouldClass,
    factors: tuple[float, ...],
    assumed: OutdoorClimate | None,
    steps: tuple[float, ...],
    coverage: tuple[float, float, float, float],
) -> SurfaceMould:
    taken, inside = both.humidity, both.temperature.values
    outside, share = np.empty(0), 1.0
    if factors != (1.0,) and assumed is not None:
        outside, share = outdoor_temperature(record, taken, assumed)
    logged = _logged_surface(record, taken)
    saturated = saturation(both.temperature) if logged is not None or factors != (1.0,) else np.empty(0)
    grid = _hours(taken)
    peaks: list[tuple[float, ...]] = []
    growing = 0.0
    for place, factor in enumerate(factors):
        surface, humidity, ratio = inside, taken.values, 1.0
        if factor != 1.0:
            surface = surface_temperature(inside, outside, factor)
        if logged is not None:
            surface = np.where(np.isnan(logged), surface, logged)
        if surface is not inside:
            cooling = saturated / saturation_pressure(surface)
            humidity, ratio = taken.values * cooling, float(cooling.mean()) if len(steps) > 1 else 1.0
        damp = damp_readings(grid, surface, humidity, kind, steps[-1] * ratio)
        courses = [mould_course(damp, kind, step * ratio) for step in steps]
        peaks.append(tuple(course.peak for course in courses))
        if place == len(factors) // 2:
            growing = courses[steps.index(0.0)].growing_hours
    return SurfaceMould(
        peak=tuple(peaks),
        growing_hours=growing,
        total_hours=taken.total_hours,
        offsets_pct=steps,
        outdoors_logged=share,
        coverage=coverage,
    )


@lru_cache(maxsize=2)
def _hours(taken: Readings) -> HourGrid:
    return hour_grid(taken.seconds, taken.hours)


def _logged_surface(record: Record, taken: Readings) -> Floats | None:
    logged = readings(record, "surface_temperature")
    if logged is None:
        return None
    values, known = at_times(logged, taken.seconds)
    return np.where(known, values, np.nan)

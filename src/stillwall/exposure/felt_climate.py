"""What a place's readings come to, season by season: levels and swings, each computed once per record."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.felt import Felt, felt
from stillwall.exposure.readings import (
    HOUR_S,
    Readings,
    by_hour,
    chosen,
    day_slices,
    quantiles,
    readings,
    take,
)
from stillwall.exposure.seasons import Seasonal, coverage_by_season, month_of_day, season_of_month, seasonal
from stillwall.record import Record

Floats = NDArray[np.float64]

SWING_SHARE = 0.95
"""Share of days whose swing is no larger than the one that is judged."""
_DAY_SHARE = 0.9
_WINDOW_SHARE = 0.9
_MOST_SLOTS = 4


def temperature_seasons(record: Record) -> Seasonal | None:
    """Air temperature by season, or None where it is not logged. [degC]"""
    taken = readings(record, "temperature")
    return None if taken is None else seasonal(taken)


def humidity_seasons(record: Record, t95_h: float, hourly: bool = False) -> Seasonal | None:
    """Humidity felt with a 95 % response time, by season, warm-up left out; None where none counts. [%RH]

    ``hourly`` takes means of hours, which is quicker and enough for a line of sensitivity.
    """
    taken = readings(record, "humidity")
    if taken is None:
        return None
    taken = by_hour(taken) if hourly else taken
    counted = felt(taken, t95_h).readings
    return seasonal(counted) if len(counted.values) else None


@dataclass(frozen=True, slots=True)
class Swings:
    """Daily swings of felt humidity and its gradient through the object, by season; NaN where none counts.

    Attributes
    ----------
    half_swing : tuple of 4 floats
        95th percentile of the days' largest departure of surface-felt humidity from its centred mean of
        ``window_h`` hours. [%RH]
    half_range : tuple of 4 floats
        95th percentile of half the days' range of the same: the other reading of "in 24 hours". [%RH]
    gradient : tuple of 4 floats
        95th percentile of the days' largest difference between surface and bulk. [%RH]
    mean_pct : float
        Mean of surface-felt humidity.
    bulk_range : float
        Largest less smallest bulk-felt humidity. [%RH], NaN where none counts
    coverage
        Share of each season's days that count. [1]
    days
        Days that count.
    window_h
        Hours of the mean from which departures are taken.
    """

    half_swing: tuple[float, float, float, float]
    half_range: tuple[float, float, float, float]
    gradient: tuple[float, float, float, float]
    mean_pct: float
    bulk_range: float
    coverage: tuple[float, float, float, float]
    days: int
    window_h: float


def humidity_swings(
    record: Record, surface_t95_h: float, bulk_t95_h: float, window_h: float = 24.0, hourly: bool = False
) -> Swings | None:
    """
    Daily swings of the humidity that an object feels.

    "Ten per cent in 24 hours" is taken as a departure of at most ten from the mean of the 24 hours about
    each moment, and not as a range of ten; for a sine both come to its amplitude. A day counts with 90 %
    of its readings felt and inside whole windows. Where no day has a whole window of ``window_h`` the
    window is 24 h, and the result says so. None where no day counts. ``hourly`` takes means of hours, which
    is quicker and enough for a line of sensitivity.
    """
    taken = readings(record, "humidity")
    if taken is None:
        return None
    taken = by_hour(taken) if hourly else taken
    surface = felt(taken, surface_t95_h)
    bulk = surface if bulk_t95_h == surface_t95_h else felt(taken, bulk_t95_h)
    for window in dict.fromkeys((window_h, 24.0)):
        mean, whole = centred_mean(taken, surface.values, window)
        usable = surface.counted & whole
        if usable.any():
            made = _swings(taken, surface.values, mean, usable, window, bulk)
            if made is not None:
                return made
    return None


def centred_mean(taken: Readings, values: Floats, window_h: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Mean by time over a window centred on each reading, and where 90 % of the window was measured.

    The window is one of time and not of counts, and it is never shrunk at an end or across a gap.
    """
    half = round(window_h * HOUR_S / 2)
    step = int(np.diff(taken.seconds).min())
    slots = (int(taken.seconds[-1]) - int(taken.seconds[0])) // step + 1
    if half >= step and slots <= _MOST_SLOTS * len(values):
        since = taken.seconds - taken.seconds[0]
        at = since // step
        if slots == len(values) or (at * step == since).all():
            return _slot_mean(values, at, step, slots, half)
    hours = np.concatenate(([0.0], np.cumsum(taken.hours)))
    sums = np.concatenate(([0.0], np.cumsum(taken.hours * values)))
    first = np.searchsorted(taken.seconds, taken.seconds - half)
    last = np.searchsorted(taken.seconds, taken.seconds + half, "right")
    covered = hours[last] - hours[first]
    inside = (taken.seconds - half >= taken.seconds[0]) & (taken.seconds + half <= taken.seconds[-1])
    inside &= covered >= _WINDOW_SHARE * window_h
    mean: Floats = np.divide(sums[last] - sums[first], covered, out=values.copy(), where=inside)
    return mean, inside


def _slot_mean(
    values: Floats, at: NDArray[np.int64], step: int, slots: int, half: int
) -> tuple[Floats, NDArray[np.bool_]]:
    """The same for readings on a grid with empty slots; half of a slot on the window's edge lies outside."""
    reach = half // step
    mean, inside = np.empty(slots), np.zeros(slots, np.bool_)
    if slots <= 2 * reach:
        return values.copy(), inside[: len(values)]
    middle = slice(reach, slots - reach)
    on_edge = half % step == 0
    whole = 2.0 * reach if on_edge else 2.0 * reach + 1.0
    mean[:reach], mean[slots - reach :] = np.nan, np.nan
    if slots == len(values):
        mean[middle], inside[middle] = _windowed(values, reach, on_edge) / whole, True
        return mean, inside
    dense, filled = np.zeros(slots), np.zeros(slots)
    dense[at], filled[at] = values, 1.0
    counts = _windowed(filled, reach, on_edge)
    mean[middle] = _windowed(dense, reach, on_edge) / np.maximum(counts, 0.5)
    inside[middle] = counts >= _WINDOW_SHARE * whole
    return mean[at], inside[at]


def _windowed(values: Floats, reach: int, on_edge: bool) -> Floats:
    """Sum over ``reach`` slots either side, halves of the outermost two where they lie on the edge."""
    sums = np.cumsum(values)
    inner = len(values) - 2 * reach
    made: Floats = sums[2 * reach :] - sums[:inner]
    if on_edge:
        made -= (values[2 * reach :] - values[:inner]) / 2
    else:
        made += values[:inner]
    return made


def _swings(
    taken: Readings,
    surface: Floats,
    mean: Floats,
    usable: NDArray[np.bool_],
    window_h: float,
    bulk: Felt,
) -> Swings | None:
    part = chosen(usable)
    kept, hours, inner = take(surface, part), take(taken.hours, part), take(bulk.values, part)
    numbers, starts = day_slices(take(taken.local_seconds, part))
    day_hours = np.add.reduceat(hours, starts)
    good = day_hours >= _DAY_SHARE * 24.0
    if not good.any():
        return None
    departure = np.maximum.reduceat(np.abs(kept - take(mean, part)), starts)
    span = np.maximum.reduceat(kept, starts) - np.minimum.reduceat(kept, starts)
    gradient, with_bulk = _gradient(kept, inner, take(bulk.counted, part), starts)
    season = season_of_month(month_of_day(numbers))
    counted = bulk.readings.values
    return Swings(
        half_swing=_by_season(departure, season, good),
        half_range=_by_season(span / 2, season, good),
        gradient=_by_season(gradient, season, good & with_bulk),
        mean_pct=float((kept * hours).sum() / hours.sum()),
        bulk_range=float(np.ptp(counted)) if len(counted) else float("nan"),
        coverage=coverage_by_season(numbers[good], day_hours[good]),
        days=int(good.sum()),
        window_h=window_h,
    )


def _gradient(
    surface: Floats, bulk: Floats, counted: NDArray[np.bool_], starts: NDArray[np.int64]
) -> tuple[Floats, NDArray[np.bool_]]:
    """Largest difference of surface and bulk in each day, and the days that have a bulk that counts."""
    difference = np.abs(surface - bulk)
    if not counted.all():
        difference[~counted] = -1.0
    daily = np.maximum.reduceat(difference, starts)
    return np.maximum(daily, 0.0), daily >= 0.0


def _by_season(
    daily: Floats, season: NDArray[np.int64], good: NDArray[np.bool_]
) -> tuple[float, float, float, float]:
    return tuple(  # type: ignore[return-value]
        float(quantiles(daily[chosen], None, (SWING_SHARE,))[0]) if chosen.any() else float("nan")
        for chosen in (good & (season == index) for index in range(4))
    )

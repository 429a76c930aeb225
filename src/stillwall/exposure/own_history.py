"""The band of EN 15757: short-term departures that a record has lived with, about its seasonal course.

EN 15757:2010, for organic hygroscopic materials and mechanical damage only. Percentiles and floor are from
memory. The paper from which it grew (Bratasz, Camuffo and Kozlowski 2007) cut 16 % of the departures as one
standard deviation; the standard cuts 7 % on each side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.readings import Readings, readings, usual_step_s
from stillwall.record import Record

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

_HOUR_S: Final = 3600
_WINDOW_SHARE: Final = 0.85
_HALF_SHARE: Final = 0.75
_DAYS_PER_MONTH: Final = 365.25 / 12
_MONTHS_SHARE: Final = 393 / 13 / _DAYS_PER_MONTH
"""Thirteen months of the calendar have at least 393 days."""
_LONGEST_SPAN: Final = 24 * 366 * 100


@dataclass(frozen=True, slots=True, eq=False)
class OwnHistory:
    """The band of a record.

    Attributes
    ----------
    lower_percentile, upper_percentile : float
        Percentiles of the departures from the moving mean. [%RH]
    lower, upper : float
        Limits used: each side alone no narrower than the floor. [%RH]
    points : int
        Hours that have a moving mean.
    mean_low, mean_high : float
        Lowest and highest moving mean. [%RH]
    months : float
        Length of the record. [month]
    long_enough : bool
        Whether the record is as long and as fine as the standard asks.
    share_outside : float
        Share of the hours outside the limits. [1]
    day_s, day_mean : shape (days,)
        Moving mean at the first hour of each day that has one: seconds since 1970, [%RH].
    """

    lower_percentile: float
    upper_percentile: float
    lower: float
    upper: float
    points: int
    mean_low: float
    mean_high: float
    months: float
    long_enough: bool
    share_outside: float
    day_s: Integers
    day_mean: Floats


def own_history(
    record: Record,
    window_days: float = 30.0,
    lower_percentile: float = 7.0,
    upper_percentile: float = 93.0,
    floor: float = 10.0,
    least_months: float = 13.0,
    longest_interval_h: float = 1.0,
) -> OwnHistory | None:
    """
    The band of a humidity record; None where no hour has a whole window.

    Readings are averaged by the hour, slower ones by their own interval; gaps stay open. The moving mean
    takes all hours from half a window before to half a window after, 721 for hourly readings and 30 days;
    the first and the last 15 days have none, since a shrunken window would make its own departures vanish.
    Percentiles are linear between ordered values (type 7 of Hyndman and Fan).
    """
    taken = readings(record, "humidity")
    if taken is None:
        return None
    interval_h = usual_step_s(taken.seconds) / _HOUR_S
    step_h = max(1, int(np.ceil(interval_h)))
    grid, first_step = hourly(taken, step_h)
    if not len(grid):
        return None
    mean = moving_mean(grid, round(window_days * 24 / 2 / step_h))
    usable = ~np.isnan(mean) & ~np.isnan(grid)
    if not usable.any():
        return None
    departures = (grid - mean)[usable]
    low, high = np.percentile(departures, [lower_percentile, upper_percentile])
    lower, upper = min(float(low), -floor), max(float(high), floor)
    outside = (departures < lower) | (departures > upper)
    months = float(taken.seconds[-1] - taken.seconds[0]) / 86_400.0 / _DAYS_PER_MONTH
    places = np.flatnonzero(usable)
    days = (first_step + places) * step_h // 24
    firsts = places[np.concatenate(([True], days[1:] != days[:-1]))]
    return OwnHistory(
        lower_percentile=float(low),
        upper_percentile=float(high),
        lower=lower,
        upper=upper,
        points=int(usable.sum()),
        mean_low=float(mean[usable].min()),
        mean_high=float(mean[usable].max()),
        months=months,
        long_enough=months >= least_months * _MONTHS_SHARE and interval_h <= longest_interval_h,
        share_outside=float(outside.mean()),
        day_s=(first_step + firsts) * step_h * _HOUR_S,
        day_mean=mean[firsts],
    )


def own_limits(record: Record, *rule: float) -> tuple[float, float, float, float] | None:
    """Lowest and highest moving mean, and the limits about it, of a record that is long enough; else None.

    ``rule`` are the parameters of :func:`own_history` after the record.
    """
    found = own_history(record, *rule)
    if found is None or not found.long_enough:
        return None
    return found.mean_low, found.mean_high, found.lower, found.upper


def hourly(taken: Readings, step_h: int = 1) -> tuple[Floats, int]:
    """Means by clock hour, or by steps of ``step_h``, on an unbroken grid, and its first step.

    NaN where a step has no reading.

    Empty for a record that spans more than a century, which no logger does.
    """
    hour = taken.seconds // (_HOUR_S * step_h)
    first = int(hour[0])
    count = int(hour[-1]) - first + 1
    if count > _LONGEST_SPAN:
        return np.empty(0), first
    at = hour - first
    sums, counts = np.bincount(at, taken.values, count), np.bincount(at, minlength=count)
    return np.divide(sums, counts, out=np.full(count, np.nan), where=counts > 0), first


def moving_mean(grid: Floats, half: int) -> Floats:
    """Centred mean over ``2 half + 1`` hours, NaN unless the window is whole.

    Whole means: inside the record, 85 % measured, and 75 % of either half.
    """
    count = len(grid)
    made = np.full(count, np.nan)
    if count <= 2 * half:
        return made
    known = ~np.isnan(grid)
    sums = np.concatenate(([0.0], np.cumsum(np.where(known, grid, 0.0))))
    counts = np.concatenate(([0], np.cumsum(known)))
    centre = np.arange(half, count - half)
    first, last = centre - half, centre + half + 1
    number = counts[last] - counts[first]
    before, after = counts[centre] - counts[first], counts[last] - counts[centre + 1]
    whole = number >= _WINDOW_SHARE * (2 * half + 1)
    whole &= (before >= _HALF_SHARE * half) & (after >= _HALF_SHARE * half)
    mean = np.divide(sums[last] - sums[first], number, out=np.full(len(centre), np.nan), where=whole)
    made[half : count - half] = mean
    return made

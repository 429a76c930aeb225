"""Percentiles by season, and which seasons a record has seen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.readings import Readings, day_slices, quantiles

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

SEASONS: Final = ("December to February", "March to May", "June to August", "September to November")
SEASON_DAYS: Final = (90.25, 92.0, 92.0, 91.0)
LOW_SHARE: Final = 0.02
HIGH_SHARE: Final = 0.98
SEEN_SHARE: Final = 0.46
"""A season counts as seen once this share of its days, six weeks, has readings."""
_DAY_HOURS: Final = 18.0
_MONTH_SHARE: Final = 0.75
_MONTH_DAYS: Final = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


@dataclass(frozen=True, slots=True)
class Seasonal:
    """What a quantity does by season. NaN where a season has no reading.

    Attributes
    ----------
    low, high : tuple of 4 floats
        Percentiles of each season's readings by time, all years together.
    coverage : tuple of 4 floats
        Share of each season's calendar days that have at least 18 hours of readings. [1]
    mean : float
        Mean over the year, from the means of calendar months; over the months there are.
    months : int
        Calendar months in that mean.
    days : int
        Days with readings.
    first, last : int
        First and last second.
    """

    low: tuple[float, float, float, float]
    high: tuple[float, float, float, float]
    coverage: tuple[float, float, float, float]
    mean: float
    months: int
    days: int
    first: int
    last: int

    @property
    def seen(self) -> tuple[bool, bool, bool, bool]:
        """Which seasons have been seen for at least six weeks."""
        return tuple(share >= SEEN_SHARE for share in self.coverage)  # type: ignore[return-value]

    @property
    def full_year(self) -> bool:
        """Whether all four seasons have been seen."""
        return all(self.seen)


def seasonal(taken: Readings, low_share: float = LOW_SHARE, high_share: float = HIGH_SHARE) -> Seasonal:
    """Percentiles by season, and the yearly mean, of at least one reading."""
    hours = None if taken.even else taken.hours
    days = days_of(taken)
    ends = np.append(days.starts[1:], len(taken.values))
    low, high = [np.nan] * 4, [np.nan] * 4
    for index in range(4):
        runs = _runs(days.season == index)
        if runs:
            pieces = [slice(int(days.starts[a]), int(ends[b - 1])) for a, b in runs]
            values = np.concatenate([taken.values[piece] for piece in pieces])
            weights = None if hours is None else np.concatenate([hours[piece] for piece in pieces])
            low[index], high[index] = map(float, quantiles(values, weights, (low_share, high_share)))
    mean, used = _yearly_mean(taken, days)
    return Seasonal(
        low=tuple(low),  # type: ignore[arg-type]
        high=tuple(high),  # type: ignore[arg-type]
        coverage=days.coverage,
        mean=mean,
        months=used,
        days=len(days.numbers),
        first=int(taken.seconds[0]),
        last=int(taken.seconds[-1]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Days:
    """The local days of readings.

    Attributes
    ----------
    numbers, starts : int64, shape (days,)
        Days since 1970, and the index of each one's first reading.
    months, season : int64, shape (days,)
        Calendar month, 1 to 12, and index into :data:`SEASONS`.
    hours : float64, shape (days,)
        Hours with readings. [h]
    coverage : tuple of 4 floats
        Share of each season's calendar days that have at least 18 hours of readings. [1]
    """

    numbers: Integers
    starts: Integers
    months: Integers
    season: Integers
    hours: Floats
    coverage: tuple[float, float, float, float]


@lru_cache(maxsize=8)
def days_of(taken: Readings) -> Days:
    """The days of at least one reading."""
    numbers, starts = day_slices(taken.local_seconds)
    months, hours = month_of_day(numbers), np.add.reduceat(taken.hours, starts)
    return Days(numbers, starts, months, season_of_month(months), hours, coverage_by_season(numbers, hours))


def _yearly_mean(taken: Readings, days: Days) -> tuple[float, int]:
    sums = np.bincount(days.months, np.add.reduceat(taken.values * taken.hours, days.starts), 13)[1:]
    hours = np.bincount(days.months, days.hours, 13)[1:]
    enough = hours >= _MONTH_SHARE * 24 * _MONTH_DAYS
    if not enough.any():
        enough = hours > 0
    means = sums[enough] / hours[enough]
    return float(np.average(means, weights=_MONTH_DAYS[enough])), int(enough.sum())


def coverage_by_season(day_numbers: Integers, day_hours: Floats) -> tuple[float, float, float, float]:
    """Share of each season's calendar days with at least 18 hours of readings, all years together."""
    good = day_numbers[day_hours >= _DAY_HOURS]
    if not len(good):
        return (0.0, 0.0, 0.0, 0.0)
    days = good.astype("datetime64[D]")
    in_year = (days - days.astype("datetime64[M]").astype("datetime64[D]")).astype(np.int64)
    months = month_of_day(good)
    calendar = np.unique(months * 32 + in_year)
    counts = np.bincount(season_of_month(calendar // 32), minlength=4)
    return tuple(min(1.0, float(n) / d) for n, d in zip(counts, SEASON_DAYS, strict=True))  # type: ignore[return-value]


def month_of_day(day_numbers: Integers) -> Integers:
    """Calendar month, 1 to 12, of days since 1970."""
    months: Integers = day_numbers.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64) % 12 + 1
    return months


def season_of_month(months: Integers) -> Integers:
    """Index into :data:`SEASONS` of calendar months."""
    index: Integers = months % 12 // 3
    return index


def seasons_of_stay(start: date, end: date | None) -> tuple[int, ...]:
    """Seasons that a stay touches; all four where it is open or lasts a year."""
    if end is None or (end - start).days >= 365:
        return (0, 1, 2, 3)
    days = range((end - start).days + 1)
    return tuple(sorted({(start + timedelta(days=day)).month % 12 // 3 for day in days}))


def unseen(seen: Iterable[bool], needed: tuple[int, ...]) -> tuple[str, ...]:
    """Names of needed seasons that have not been seen."""
    known = tuple(seen)
    return tuple(SEASONS[index] for index in needed if not known[index])


def _runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], mask, [False])).astype(np.int8)))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]

"""Has a room changed since the same season a year ago? Daily means of two seasons, weather set aside.

A difference of two seasonal means says little by itself: days resemble the days before them, and no two
years have the same weather. Where the air outdoors is logged, the daily means are regressed on it and
only what is left counts; the errors are inflated for autocorrelation, and an allowance is added for
weather that the regression does not reach. Without outdoor readings that allowance is far wider.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from stillwall.exposure.readings import Readings, day_slices

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Mask = NDArray[np.bool_]

FULL_DAY_H = 12.0
"""A day counts with at least this many hours of readings."""
LEAST_DAYS = 14
"""A season is compared once this many days of each year have readings."""
OUTDOOR_DAYS = (0.0, 1.5, 6.0)
"""Time constants with which a room follows the air outdoors. Judgement: air change, furniture, fabric. [d]"""
Z90 = 1.6448536269514722


@dataclass(frozen=True, slots=True, eq=False)
class Daily:
    """Daily means. ``days`` counts from 1970 in local time. Shape (n,) each."""

    days: Integers
    values: Floats


@dataclass(frozen=True, slots=True)
class Change:
    """The change of a daily mean from last year's season to this one.

    Attributes
    ----------
    change, low, high
        Estimate and 90 % interval, in the unit of the quantity.
    sd
        Standard deviation, weather's allowance included.
    since_day
        Day since 1970 on which the change most likely began; None where it spans the season.
    adjusted
        Whether outdoor readings were used.
    days_now, days_before
        Days compared.
    """

    change: float
    low: float
    high: float
    sd: float
    since_day: int | None
    adjusted: bool
    days_now: int
    days_before: int

    @property
    def score(self) -> float:
        """Size of the change in standard deviations."""
        return abs(self.change) / self.sd if self.sd > 0 else 0.0


def daily_means(taken: Readings, keep: Mask | None = None) -> Daily:
    """Means by local day, of days with half a day of readings (or of what ``keep`` leaves of one)."""
    days, starts = day_slices(taken.local_seconds)
    weight = taken.hours if keep is None else taken.hours * keep
    hours = np.add.reduceat(weight, starts)
    sums = np.add.reduceat(weight * taken.values, starts)
    enough = hours >= (FULL_DAY_H if keep is None else 1.0)
    return Daily(days[enough], sums[enough] / hours[enough])


def outdoor_drivers(
    outdoors: Daily, days: Integers, *, hinges: tuple[float, ...] = ()
) -> tuple[Floats, Mask]:
    """What a room's daily mean follows: outdoor mean and running means; shape (n, k), and where known.

    Each of ``hinges`` adds the part of the slower running mean below a value, since a heated room follows
    the air outdoors in winter otherwise than in summer, and nobody knows where its heating begins.
    """
    first, last = int(outdoors.days[0]), int(outdoors.days[-1])
    grid = np.arange(first, last + 1)
    filled = np.interp(grid, outdoors.days, outdoors.values)
    columns = []
    for memory in OUTDOOR_DAYS:
        share = 1.0 if memory == 0 else 1.0 - np.exp(-1.0 / memory)
        followed, _ = scipy.signal.lfilter(
            [share], [1.0, share - 1.0], filled, zi=[(1.0 - share) * filled[0]]
        )
        columns.append(followed)
    columns += [np.minimum(columns[1] - hinge, 0.0) for hinge in hinges]
    at = np.clip(days - first, 0, len(grid) - 1)
    gap = np.abs(
        outdoors.days[np.clip(np.searchsorted(outdoors.days, days), 0, len(outdoors.days) - 1)] - days
    )
    known = (days >= first) & (days <= last) & (gap <= 2)
    return np.column_stack(columns)[at], known


def compare(
    before: Daily, now: Daily, *, spread: float, drivers: tuple[Floats, Floats] | None = None
) -> Change | None:
    """Compare two seasons.

    Parameters
    ----------
    before, now
        Daily means of last year's and of this year's season.
    spread
        Standard deviation of what differs between two years without any change in the building.
    drivers
        What the daily means follow, for ``before`` and ``now``: shapes (n_before, k), (n_now, k).

    Returns
    -------
    Change or None
        None with fewer than :data:`LEAST_DAYS` days in either season.
    """
    if min(len(before.days), len(now.days)) < LEAST_DAYS:
        return None
    values = np.concatenate([before.values, now.values])
    step = np.concatenate([np.zeros(len(before.days)), np.ones(len(now.days))])
    columns = [np.ones(len(values)), step]
    if drivers is not None:
        columns += list(_standardised(np.concatenate(drivers)).T)
    design = np.column_stack(columns)
    solution, _, rank, _ = np.linalg.lstsq(design, values, rcond=None)
    residuals = values - design @ solution
    freedom = max(1, len(values) - int(rank))
    inverse = np.linalg.pinv(design.T @ design)
    groups = [(before.days, residuals[: len(before.days)]), (now.days, residuals[len(before.days) :])]
    inflation = _inflation(groups)
    variance = float(residuals @ residuals) / freedom * float(inverse[1, 1]) * inflation
    sd = float(np.sqrt(max(variance, 0.0) + spread**2))
    change = float(solution[1])
    rest = now.values - (design @ solution)[len(before.days) :] + change
    return Change(
        change=change,
        low=change - Z90 * sd,
        high=change + Z90 * sd,
        sd=sd,
        since_day=_since(now.days, rest),
        adjusted=drivers is not None,
        days_now=len(now.days),
        days_before=len(before.days),
    )


def _standardised(columns: Floats) -> Floats:
    spread = columns.std(axis=0)
    made: Floats = (columns - columns.mean(axis=0)) / np.where(spread > 0, spread, 1.0)
    return made


def _inflation(groups: list[tuple[Integers, Floats]]) -> float:
    """Factor on the variance of a mean for first-order autocorrelation, bias of short series removed.

    (1 + r) / (1 - r) after Wilks, Statistical Methods in the Atmospheric Sciences; r raised by
    (1 + 4 r) / n after Kendall 1954, Biometrika 41, 403 (both from memory, to be confirmed).
    """
    top = bottom = 0.0
    count = 0
    for days, residuals in groups:
        neighbours = np.flatnonzero(np.diff(days) == 1)
        top += float(residuals[neighbours] @ residuals[neighbours + 1])
        bottom += float(residuals[neighbours] @ residuals[neighbours])
        count += len(neighbours)
    if count < 3 or bottom <= 0:
        return 1.0
    raw = top / bottom
    correlation = min(max(raw + (1 + 4 * raw) / count, 0.0), 0.9)
    return (1 + correlation) / (1 - correlation)


def _since(days: Integers, rest: Floats) -> int | None:
    """The first day of the later part, where one step inside the season fits much better than none."""
    count = len(rest)
    edge = max(5, count // 10)
    if count < 2 * edge + 2:
        return None
    total = np.cumsum(rest)
    splits = np.arange(edge, count - edge)
    before = total[splits - 1] / splits
    after = (total[-1] - total[splits - 1]) / (count - splits)
    gain = splits * (count - splits) / count * (after - before) ** 2
    best = int(np.argmax(gain))
    whole = float(((rest - rest.mean()) ** 2).sum())
    if whole <= 0 or gain[best] / whole < 0.5:
        return None
    return int(days[splits[best]])


def drift(one: Daily, other: Daily) -> tuple[float, float] | None:
    """Slope of the difference of two loggers in one room, with its standard deviation. [unit/a]

    None where they share fewer than 60 days.
    """
    common, mine, theirs = np.intersect1d(one.days, other.days, return_indices=True)
    if len(common) < 60:
        return None
    difference = one.values[mine] - other.values[theirs]
    years = (common - common.mean()) / 365.25
    slope = float(years @ difference / (years @ years))
    residuals = difference - difference.mean() - slope * years
    variance = float(residuals @ residuals) / (len(common) - 2) / float(years @ years)
    return slope, float(np.sqrt(variance * _inflation([(common, residuals)])))

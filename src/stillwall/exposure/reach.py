"""How far a place goes from the centre of a band, over the half width, in joint draws.

Percentiles come by season, so that a mild month does not dilute a harsh one. A season that nobody logged
is as wide as the widest one seen, about the mean of what was seen, moved by a stated spread; a season
seen in part may go further than it was seen to go, never less far. No season is guessed colder than a
measured one that the climate makes colder, nor warmer than a measured one that it makes warmer.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.seasons import SEEN_SHARE, Seasonal

Floats = NDArray[np.float64]
_FULL_COVERAGE = 0.9
START_LEFT = (1.0 - math.exp(-math.log(20.0))) / math.log(20.0)
"""Mean share of the air before a record that is felt during the first 95 % of a first-order response."""
NORTH = (0, 1, 2, 1)
SOUTH = (2, 1, 0, 1)
"""Ranks of the seasons, coldest first, by hemisphere; seasons of one rank are not compared."""


@dataclass(frozen=True, slots=True, eq=False)
class Extremes:
    """Lowest and highest seasonal percentile of the seasons that count, in draws, shape (count,).

    Without a dimension where all of them were seen. ``seen_low`` and ``seen_high`` are those of what was
    seen, NaN where nothing was; ``guessed`` says whether ``low`` and ``high`` hold more.
    """

    low: Floats
    high: Floats
    seen_low: float
    seen_high: float
    guessed: bool


def extremes(
    seen: Seasonal,
    needed: tuple[int, ...],
    season_draws: Callable[[int], Floats],
    spread: float,
    *,
    ranks: tuple[int, ...] | None = None,
    air: tuple[float, ...] | None = None,
    start_spread: float | None = None,
) -> Extremes:
    """
    Lowest and highest percentile over the needed seasons.

    Parameters
    ----------
    needed
        Indices of the seasons that count, at least one.
    season_draws
        Standard normal draws of a season's own departure, by index.
    spread
        Standard deviation of the level of an unseen season about the mean of those seen.
    ranks
        Of the seasons by climate, coldest first; None where the climate sets no order.
    air, start_spread
        Shares of the seasons in which the air of a whole year was logged, where ``seen`` is what an object
        felt of it: of the days in which that warms up only the level before the record is unknown, with
        this standard deviation; that of an unseen season if None.
    """
    whole = [index for index in needed if seen.coverage[index] >= _FULL_COVERAGE]
    parts = [
        _season(
            seen,
            index,
            season_draws(index),
            spread,
            ranks=ranks,
            logged=max(seen.coverage[index], 0.0 if air is None else air[index]),
            start_spread=spread if start_spread is None else start_spread,
        )
        for index in needed
        if index not in whole
    ]
    parts += [(seen.low[index], seen.high[index]) for index in whole]
    low, high = parts[0]
    for other_low, other_high in parts[1:]:
        low, high = np.minimum(low, other_low), np.maximum(high, other_high)
    lows = [seen.low[index] for index in needed if not np.isnan(seen.low[index])]
    highs = [seen.high[index] for index in needed if not np.isnan(seen.high[index])]
    return Extremes(
        np.asarray(low, np.float64),
        np.asarray(high, np.float64),
        seen_low=min(lows, default=math.nan),
        seen_high=max(highs, default=math.nan),
        guessed=len(whole) < len(needed),
    )


def _season(
    seen: Seasonal,
    index: int,
    draws: Floats,
    spread: float,
    *,
    ranks: tuple[int, ...] | None,
    logged: float,
    start_spread: float,
) -> tuple[Floats | float, Floats | float]:
    """Lowest and highest percentile of a season that was seen in part or not at all, in draws."""
    share = seen.coverage[index]
    half = float(np.nanmax(np.subtract(seen.high, seen.low))) / 2
    floor, ceiling = _bounds(seen, index, ranks)
    guess_low = np.maximum(seen.mean - half + spread * draws, floor)
    guess_high = np.minimum(seen.mean + half + spread * draws, ceiling)
    if np.isnan(seen.high[index]):
        return guess_low, guess_high
    unknown, felt_late = 1.0 - logged, logged - share
    further = math.hypot(spread * math.sqrt(unknown), start_spread * START_LEFT * math.sqrt(felt_late))
    low = np.maximum(seen.low[index] - further * np.maximum(-draws, 0.0), min(floor, seen.low[index]))
    high = np.minimum(seen.high[index] + further * np.maximum(draws, 0.0), max(ceiling, seen.high[index]))
    if logged >= SEEN_SHARE:
        return low, high
    return np.minimum(low, guess_low), np.maximum(high, guess_high)


def _bounds(seen: Seasonal, index: int, ranks: tuple[int, ...] | None) -> tuple[float, float]:
    """Least and greatest that a season is guessed at: those of colder and of warmer measured seasons."""
    if ranks is None:
        return -math.inf, math.inf
    measured = [other for other in range(4) if seen.coverage[other] >= SEEN_SHARE]
    colder = [seen.low[other] for other in measured if ranks[other] < ranks[index]]
    warmer = [seen.high[other] for other in measured if ranks[other] > ranks[index]]
    return min(colder, default=-math.inf), max(warmer, default=math.inf)


def reach(
    low: Floats,
    high: Floats,
    centre: Floats | float,
    low_limit: Floats | float | None,
    high_limit: Floats | float | None,
) -> Floats:
    """Reach from the centre over the half width at the worse side, at least 0. shape (count,) [1]"""
    above = 0.0 if high_limit is None else (high - centre) / (high_limit - centre)
    below = 0.0 if low_limit is None else (centre - low) / (centre - low_limit)
    return np.maximum(np.maximum(above, below), 0.0)

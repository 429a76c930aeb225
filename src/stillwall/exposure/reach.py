"""How far a place goes from the centre of a band, over the half width, in joint draws.

Percentiles come by season, so that a mild month does not dilute a harsh one. A season that nobody logged
is as wide as the widest one seen, about the mean of what was seen, moved by a stated spread; a season
seen in part may go further than it was seen to go, never less far.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.seasons import SEEN_SHARE, Seasonal

Floats = NDArray[np.float64]
_FULL_COVERAGE = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class Extremes:
    """Lowest and highest seasonal percentile of the seasons that count, in draws, shape (count,).

    Without a dimension where all of them were seen.
    """

    low: Floats
    high: Floats


def extremes(
    seen: Seasonal, needed: tuple[int, ...], season_draws: Callable[[int], Floats], spread: float
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
    """
    whole = [index for index in needed if seen.coverage[index] >= _FULL_COVERAGE]
    parts = [_season(seen, index, season_draws(index), spread) for index in needed if index not in whole]
    parts += [(seen.low[index], seen.high[index]) for index in whole]
    low, high = parts[0]
    for other_low, other_high in parts[1:]:
        low, high = np.minimum(low, other_low), np.maximum(high, other_high)
    return Extremes(np.asarray(low, np.float64), np.asarray(high, np.float64))


def _season(
    seen: Seasonal, index: int, draws: Floats, spread: float
) -> tuple[Floats | float, Floats | float]:
    """Lowest and highest percentile of a season that was seen in part or not at all, in draws."""
    share = seen.coverage[index]
    half = float(np.nanmax(np.subtract(seen.high, seen.low))) / 2
    guess_low = seen.mean - half + spread * draws
    guess_high = seen.mean + half + spread * draws
    if np.isnan(seen.high[index]):
        return guess_low, guess_high
    further = spread * float(np.sqrt(1.0 - share))
    low = seen.low[index] - further * np.maximum(-draws, 0.0)
    high = seen.high[index] + further * np.maximum(draws, 0.0)
    if share >= SEEN_SHARE:
        return low, high
    return np.minimum(low, guess_low), np.maximum(high, guess_high)


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

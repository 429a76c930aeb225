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
    """Lowest and highest seasonal percentile of the seasons that count, in draws, shape (count,)."""

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
    parts = [_season(seen, index, season_draws(index), spread) for index in needed]
    return Extremes(
        np.minimum.reduce([low for low, _ in parts]), np.maximum.reduce([high for _, high in parts])
    )


def _season(seen: Seasonal, index: int, draws: Floats, spread: float) -> tuple[Floats, Floats]:
    share = seen.coverage[index]
    has_readings = not np.isnan(seen.high[index])
    low = high = None
    if has_readings:
        further = 0.0 if share >= _FULL_COVERAGE else spread * float(np.sqrt(1.0 - share))
        low = seen.low[index] - further * np.maximum(-draws, 0.0)
        high = seen.high[index] + further * np.maximum(draws, 0.0)
    if has_readings and share >= SEEN_SHARE:
        assert low is not None
        assert high is not None
        return low, high
    half = float(np.nanmax(np.subtract(seen.high, seen.low))) / 2
    guess_low = seen.mean - half + spread * draws
    guess_high = seen.mean + half + spread * draws
    if low is None or high is None:
        return guess_low, guess_high
    return np.minimum(low, guess_low), np.maximum(high, guess_high)


def reach(
    low: Floats,
    high: Floats,
    centre: Floats | float,
    low_limit: Floats | float | None,
    high_limit: Floats | float | None,
) -> Floats:
    """Reach from the centre over the half width at the worse side, at least 0. shape (count,) [1]"""
    ratio = np.zeros(np.broadcast_shapes(low.shape, high.shape))
    if high_limit is not None:
        ratio = np.maximum(ratio, (high - centre) / (np.asarray(high_limit) - centre))
    if low_limit is not None:
        ratio = np.maximum(ratio, (centre - low) / (centre - np.asarray(low_limit)))
    return ratio

"""Joint random draws: one stream per source of error, so that walls sharing a logger share its error.

A stream depends on the seed and the name of its source alone. Adding a wall, a work or a hazard
therefore changes no digit of any other.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DEFAULT_COUNT = 1000
MOST_FIGURES = 4096
"""Figures whose draws are remembered."""
Z90 = 1.6448536269514722
"""Half width of a central 90 % interval of the standard normal, in standard deviations."""


@dataclass(frozen=True)
class Draws:
    """Standard normal draws by source of error.

    Each stream is a random permutation of equally likely normal quantiles: every margin is exact to
    1/count, while two streams are independent.
    """

    seed: int = 0
    count: int = DEFAULT_COUNT
    _made: dict[str, Floats] = field(default_factory=dict, compare=False, repr=False)
    _between: dict[tuple[str, float, float, float], Floats] = field(
        default_factory=dict, compare=False, repr=False
    )

    def normal(self, source: str) -> Floats:
        """Draws from N(0, 1), shape (count,), the same whenever this source is asked for."""
        if source not in self._made:
            key = hashlib.blake2b(f"{self.seed}\0{source}".encode(), digest_size=16).digest()
            generator = np.random.Generator(np.random.Philox(key=int.from_bytes(key, "little")))
            made = generator.permutation(_quantiles(self.count))
            made.flags.writeable = False
            self._made[source] = made
        return self._made[source]

    def around(self, source: str, value: float, sd: float) -> Floats:
        """Normal draws about ``value``."""
        return value + sd * self.normal(source)

    def between(self, source: str, low: float, median: float, high: float) -> Floats:
        """Draws of a positive figure whose 5th, 50th and 95th percentiles are given, each side log-normal.

        Not to be written to: the same figure is drawn once.
        """
        key = (source, low, median, high)
        if key in self._between:
            return self._between[key]
        if not 0 < low <= median <= high:
            raise ValueError(f"need 0 < low <= median <= high, got {low}, {median}, {high}")
        z = self.normal(source) / Z90
        below, above = np.log(median / low), np.log(high / median)
        scaled: Floats = median * np.exp(np.where(z < 0, z * below, z * above))
        scaled.flags.writeable = False
        if len(self._between) >= MOST_FIGURES:
            self._between.clear()
        self._between[key] = scaled
        return scaled

    def interval(self, values: Floats) -> tuple[float, float, float]:
        """Median and central 90 % interval of draws: (median, low, high)."""
        return interval(values)


@lru_cache(maxsize=8)
def _quantiles(count: int) -> Floats:
    """Equally likely quantiles of N(0, 1), shape (count,)."""
    quantile = NormalDist().inv_cdf
    return np.array([quantile((place + 0.5) / count) for place in range(count)])


def median(values: Floats) -> float:
    """Median of draws; several times quicker than numpy's for an array of this length."""
    half = len(values) // 2
    if len(values) % 2:
        return float(np.partition(values, half)[half])
    ordered = np.partition(values, (half - 1, half))
    return float(ordered[half - 1] + ordered[half]) / 2.0


def quantile(values: Floats, share: float) -> float:
    """One quantile of draws, linear between ordered values (type 7 of Hyndman and Fan)."""
    below = int(share * (len(values) - 1))
    return _between(np.partition(values, (below, min(below + 1, len(values) - 1))), share)


def interval(values: Floats) -> tuple[float, float, float]:
    """Median, 5th and 95th percentile of draws, linear between ordered values (type 7 of Hyndman and Fan)."""
    ordered = np.sort(values)
    return _between(ordered, 0.5), _between(ordered, 0.05), _between(ordered, 0.95)


def _between(ordered: Floats, share: float) -> float:
    """The quantile of draws of which those beside it stand in their places."""
    last = len(ordered) - 1
    place = share * last
    below = int(place)
    low, high = float(ordered[below]), float(ordered[min(below + 1, last)])
    return low if low == high else low + (place - below) * (high - low)

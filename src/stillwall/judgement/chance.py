"""Chances, read from joint draws: that a load passes 1, that any does, and whether that settles it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.draws import quantile
from stillwall.load import Load
from stillwall.reference.library import Library

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Where chances turn into words. All are figures of ``data/hazards/verdict.toml``. [1]"""

    suitable: float
    """Highest chance of passing 1 at which a load may be called cleared."""
    unsuitable: float
    """Lowest chance of passing 1 at which a load is called too much."""
    same: float
    """Chance under which one place is not called better than another."""
    crumbs: float
    """Loads under this count as equal."""

    @classmethod
    def of(cls, library: Library) -> Thresholds:
        """The thresholds of a library."""
        return cls(
            suitable=library.figure("verdict.chance.suitable"),
            unsuitable=library.figure("verdict.chance.unsuitable"),
            same=library.figure("verdict.chance.same"),
            crumbs=library.figure("verdict.crumbs"),
        )


def over(load: Load) -> Mask | None:
    """Draws in which a load passes 1, shape (count,); a draw that is not a number counts as passing it."""
    return None if load.draws is None else ~(load.draws <= 1.0)


def chance_over(load: Load) -> float:
    """Chance that a load passes 1: 1 where it is barred, 0 where nothing can be said."""
    if load.barred:
        return 1.0
    passed = over(load)
    return 0.0 if passed is None else np.count_nonzero(passed) / len(passed)


def chance_any(loads: Iterable[Load]) -> float:
    """Chance that any of several loads passes 1, from their joint draws."""
    together: Mask | None = None
    for load in loads:
        if load.barred:
            return 1.0
        passed = over(load)
        if passed is not None:
            together = passed if together is None else together | passed
    return 0.0 if together is None else np.count_nonzero(together) / len(together)


def blocks(load: Load) -> bool:
    """Whether nothing can be called suitable until more is known of this load.

    A constraint or a safety load of which nothing is known blocks as well: nobody can say that it passes.
    """
    return load.blocks or (load.draws is None and not load.barred and load.kind != "graded")


def passes(load: Load, thresholds: Thresholds) -> bool:
    """Whether a load stands in the way of ``suitable`` no longer.

    A safety load, and a graded one that is a matter of safety, passes only if the upper end of its 90 %
    interval is at most 1; the others if the chance that they pass 1 is small enough.
    """
    if load.barred:
        return False
    if load.draws is None:
        return load.kind == "graded"
    if chance_over(load) > thresholds.suitable:
        return False
    if not (load.kind == "safety" or load.safety) or np.max(load.draws) <= 1.0:
        return True
    return quantile(load.draws, 0.95) <= 1.0


def hopeless(load: Load, thresholds: Thresholds) -> bool:
    """Whether a load alone rules a place out by what was seen, whatever is not known of others."""
    if load.barred:
        return True
    if load.draws is None or load.evidence == "missing":
        return False
    seen = load.draws if load.seen is None else load.seen
    return float(np.mean(~(seen <= 1.0))) >= thresholds.unsuitable

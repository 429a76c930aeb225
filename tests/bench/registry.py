"""Rows of the benchmark: each module of this folder adds its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One figure: what was measured, against what, the ratio and the most that it may be (None: for information)."""

    what: str
    value: float
    unit: str
    limit: float | None = None
    note: str = ""

    @property
    def kept(self) -> bool:
        """Whether the budget is kept."""
        return self.limit is None or self.value <= self.limit


Bench = Callable[[bool], list[Row]]
"""Takes whether to run small (to see that it runs) and gives its rows."""
BENCHES: dict[str, Bench] = {}


def bench(name: str) -> Callable[[Bench], Bench]:
    """Add a benchmark under a name."""

    def add(made: Bench) -> Bench:
        BENCHES[name] = made
        return made

    return add

"""Moves: the two sizes that have a budget."""

from __future__ import annotations

import time

from stillwall.judgement.moves.plan import plan
from tests.bench.registry import Row, bench
from tests.judgement.moves.houses import RULES
from tests.judgement.moves.test_scale import society

SMALL_S = 3.0
LARGE_S = 60.0
LARGE_GAP = 0.05


@bench("moves")
def moves(small: bool) -> list[Row]:
    """Seconds of processor time for 12 works by 20 walls, and for 60 by 150 unless small."""
    rows = _planned("moves: 12 works x 20 walls", 12, 20, SMALL_S, 0.0)
    if not small:
        rows += _planned("moves: 60 works x 150 walls", 60, 150, LARGE_S, LARGE_GAP)
    return rows


def _planned(what: str, works: int, walls: int, limit_s: float, limit_gap: float) -> list[Row]:
    problem = society(works, walls, seed=4, incoming=2)
    began = time.process_time()
    made = plan(problem, RULES)
    taken = time.process_time() - began
    return [
        Row(what, taken, "s", limit_s, f"{len(made.steps)} steps on {len(made.trips)} trips"),
        Row(f"{what}: gap to the best", made.gap, "1", limit_gap),
    ]

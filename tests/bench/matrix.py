"""Works by walls with everything logged already in the store."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from stillwall.assess import open_survey
from tests.bench.made_estate import write_estate
from tests.bench.registry import Row, bench

WORKS, WALLS, SECONDS = 60, 150, 10.0


def warm(folder: Path) -> float:
    """Seconds of a matrix whose exposures are kept."""
    began = time.perf_counter()
    open_survey(folder).matrix()
    return time.perf_counter() - began


@bench("matrix")
def matrix(small: bool) -> list[Row]:
    """60 works by 150 walls, hourly readings (3 by 4 if small), and how it grows."""
    works, walls = (3, 4) if small else (WORKS, WALLS)
    taken = {}
    with tempfile.TemporaryDirectory() as made:
        for share in (1, 3):
            folder = Path(made) / f"part-{share}"
            write_estate(folder, walls=walls, works=works // share, step_s=3600, days=60 if small else 365)
            open_survey(folder).matrix()
            taken[share] = warm(folder)
    cells = works * walls
    return [
        Row(
            f"{works} works x {walls} walls, kept records",
            taken[1],
            "s",
            SECONDS,
            f"{1e3 * taken[1] / cells:.2f} ms a cell",
        ),
        Row("all works / a third of them", taken[1] / taken[3], "x", 3.6),
    ]

"""What an estate costs, from what a few of its walls cost: ``python -m tests.bench.estate_plan [WALLS]``.

Processor time of one process on a year at five minutes a wall, all walls hard ones; Markdown on standard output.
"""

from __future__ import annotations

import pickle
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import stillwall
from stillwall.answers import Matrix
from stillwall.processes import Processes
from tests.bench.made_estate import write_estate

MEASURED_WALLS, MEASURED_WORKS = 12, 6
LARGEST_HOUSE_WALLS, LARGEST_HOUSE_WORKS = 150, 300
PROCESSORS = (2, 16, 64)


@dataclass(frozen=True, slots=True)
class Costs:
    """Of a wall: seconds to read it and to compute its exposures, to fetch them when kept; bytes. Of a cell."""

    cold_s: float
    warm_s: float
    csv_bytes: float
    kept_bytes: float
    sent_bytes: float
    cell_s: float
    cell_bytes: float


def _timed(opened: stillwall.Assessment) -> tuple[float, Matrix]:
    began = time.process_time()
    made = opened.matrix()
    return time.process_time() - began, made


def measured(folder: Path, *, walls: int, works: int, step_s: int, days: int) -> Costs:
    """Costs on a made estate."""
    write_estate(folder / "first", walls=2, works=works, step_s=86_400, days=40)
    _timed(stillwall.open_survey(folder / "first", jobs=1, remember=False))  # what is loaded once
    house = folder / "house"
    write_estate(house, walls=walls, works=works, step_s=step_s, days=days)
    opened = stillwall.open_survey(house, jobs=1)
    cold_s, made = _timed(opened)
    again_s, _ = _timed(opened)
    warm_s, _ = _timed(stillwall.open_survey(house, jobs=1))
    cells = walls * works
    setup = Processes(opened, 1)._setup({})
    return Costs(
        cold_s=(cold_s - again_s) / walls,
        warm_s=max(warm_s - again_s, 0.0) / walls,
        csv_bytes=sum(file.stat().st_size for file in (house / "logs").iterdir()) / walls,
        kept_bytes=sum(file.stat().st_size for file in (house / ".stillwall").glob("*.arrow")) / walls,
        sent_bytes=len(setup.content) / walls,
        cell_s=again_s / cells,
        cell_bytes=len(pickle.dumps([cell.judged for cell in made.cells.values()])) / cells,
    )


def table(costs: Costs, walls: int) -> list[str]:
    """The plan for so many walls, as Markdown."""
    lines = [
        "| of | processor time | bytes |",
        "|---|---:|---:|",
        f"| a wall, its log read and its exposures computed | {costs.cold_s:.2f} s | {_size(costs.csv_bytes)} of CSV |",
        f"| a wall, fetched from what is kept | {1000 * costs.warm_s:.0f} ms | {_size(costs.kept_bytes)} |",
        f"| a work at a wall, judged | {1000 * costs.cell_s:.1f} ms | {_size(costs.cell_bytes)} |",
        "",
        f"| {walls:,} walls | in the process that asks | shared out | "
        + " | ".join(f"on {n}" for n in PROCESSORS)
        + " |",
        "|---|---:|---:|" + "---:|" * len(PROCESSORS),
    ]
    houses = -(-walls // LARGEST_HOUSE_WALLS)
    cells = houses * LARGEST_HOUSE_WALLS * LARGEST_HOUSE_WORKS
    fetched_s, ranked_s = walls * costs.warm_s, walls * costs.cell_s
    for what, alone_s, shared_s in (
        ("a work ranked over all, nothing kept", ranked_s, walls * costs.cold_s),
        ("a work ranked over all, all kept", fetched_s + ranked_s, 0.0),
        ("the same after a new month at every wall", ranked_s, walls * costs.cold_s),
        (
            f"every work at every wall of its house ({houses} houses, {LARGEST_HOUSE_WORKS} works each)",
            fetched_s,
            cells * costs.cell_s,
        ),
    ):
        times = " | ".join(_duration(alone_s + shared_s / n) for n in PROCESSORS)
        lines.append(f"| {what} | {_duration(alone_s)} | {_duration(shared_s)} | {times} |")
    lines += [
        "",
        f"Logs: {_size(walls * costs.csv_bytes)}. Kept: {_size(walls * costs.kept_bytes)}. Sent to workers: "
        f"{_size(walls * walls * costs.sent_bytes)}, the survey once with each wall.",
    ]
    return lines


def _size(count: float) -> str:
    for unit, size in (("GB", 1e9), ("MB", 1e6), ("kB", 1e3)):
        if count >= size:
            return f"{count / size:.1f} {unit}"
    return f"{count:.0f} B"


def _duration(seconds: float) -> str:
    if seconds >= 5400:
        return f"{seconds / 3600:.1f} h"
    return f"{seconds / 60:.0f} min" if seconds >= 90 else f"{seconds:.0f} s"


def main(walls: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        costs = measured(Path(folder), walls=MEASURED_WALLS, works=MEASURED_WORKS, step_s=300, days=365)
    print("\n".join(table(costs, walls)))


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 2000)

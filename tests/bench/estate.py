"""``rank`` over an estate: cold, warm and after one new month, against bare parsing and an analyst's script."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from tests.bench.made_estate import survey_text, write_estate, write_log
from tests.bench.registry import Row, bench

WALLS, SMALL_WALLS = 100, 4
BARE = """
import sys, time, pathlib, pyarrow.csv as csv
from concurrent.futures import ThreadPoolExecutor
files = sorted(pathlib.Path(sys.argv[1]).glob("*.csv"))
began = time.perf_counter()
with ThreadPoolExecutor(2) as pool:
    rows = sum(pool.map(lambda file: csv.read_csv(file).num_rows, files))
print(time.perf_counter() - began, rows)
"""
ANALYST = """
import sys, time, pathlib, os
sys.path.insert(0, sys.argv[2])
from concurrent.futures import ProcessPoolExecutor
from tests.bench.analyst import figures
if __name__ == "__main__":
    files = sorted(pathlib.Path(sys.argv[1]).glob("*.csv"))
    began = time.perf_counter()
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = list(pool.map(figures, files))
    print(time.perf_counter() - began, len(found))
"""
TOP = Path(__file__).parents[2]


def memory_of_tree(pid: int) -> int:
    """Proportional memory of a process and of all that it started, in kB; 0 where the system does not tell."""
    total = 0
    for each in [pid, *_below(pid)]:
        try:
            told = Path(f"/proc/{each}/smaps_rollup").read_text(encoding="ascii")
        except OSError:
            continue
        total += sum(int(line.split()[1]) for line in told.splitlines() if line.startswith("Pss:"))
    return total


def _below(pid: int) -> list[int]:
    found: list[int] = []
    try:
        for task in Path(f"/proc/{pid}/task").iterdir():
            for child in (task / "children").read_text(encoding="ascii").split():
                found += [int(child), *_below(int(child))]
    except OSError:
        pass
    return found


def run(*arguments: str, watch: bool = False) -> tuple[float, float, str]:
    """Seconds, peak memory of the tree in MB, and what was printed."""
    began = time.perf_counter()
    process = subprocess.Popen([sys.executable, *arguments], stdout=subprocess.PIPE, text=True, cwd=TOP)
    peak, over = [0], threading.Event()

    def look() -> None:
        while not over.wait(0.2):
            peak[0] = max(peak[0], memory_of_tree(process.pid))

    watcher = threading.Thread(target=look)
    if watch:
        watcher.start()
    printed, _ = process.communicate()
    taken = time.perf_counter() - began
    over.set()
    if watch:
        watcher.join()
    assert process.returncode in (0, 3), process.returncode
    return taken, peak[0] / 1024, printed


def rank(folder: Path, *, watch: bool = False) -> tuple[float, float, str]:
    """One ``stillwall rank`` of the first work over all walls."""
    return run("-m", "stillwall", "rank", str(folder), "--work", "work-0", "--json", watch=watch)


@bench("estate")
def estate(small: bool) -> list[Row]:
    """Rank over 100 walls with a year at five minutes each (4 walls and 20 days if small)."""
    walls, days, step_s = (SMALL_WALLS, 20, 1800) if small else (WALLS, 365, 300)
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        write_estate(folder, walls=walls, works=3, step_s=step_s, days=days)
        logs = folder / "logs"
        size = sum(file.stat().st_size for file in logs.iterdir()) / 1e6
        bare, rows = _seconds(run("-c", BARE, str(logs)))
        bare = min(bare, _seconds(run("-c", BARE, str(logs)))[0])
        cold, peak, first = rank(folder, watch=True)
        warm, _, again = rank(folder)
        assert json.loads(first) == json.loads(again)
        new = logs / "wall-000-new.csv"
        write_log(new, 0, step_s=step_s, days=30, seed=7, first_day=days)
        text = survey_text(walls, 3, 7)
        (folder / "survey.toml").write_text(
            text.replace('logs = ["logs/wall-000.csv"]', f'logs = ["logs/wall-000.csv", "logs/{new.name}"]'),
            encoding="utf-8",
        )
        month, _, _ = rank(folder)
        shutil.rmtree(folder / ".stillwall")
        new.unlink()
        (folder / "survey.toml").write_text(survey_text(walls // 2, 3, 7), encoding="utf-8")
        half, _, _ = rank(folder)
        script = folder / "analyst.py"
        script.write_text(ANALYST, encoding="utf-8")
        analyst, _ = _seconds(run(str(script), str(logs), str(TOP)))
    what = f"rank over {walls} walls, {rows:,.0f} rows, {size:.0f} MB"
    return [
        Row(f"{what}: cold / bare", cold / bare, "x", 6.0, f"{cold:.1f} s against {bare:.1f} s"),
        Row("peak memory of the process tree", peak, "MB", 800.0),
        Row("cold / analyst's script", cold / analyst, "x", 0.2, f"the script takes {analyst:.1f} s"),
        Row("after one new month of one wall / bare", month / bare, "x", 1.0, f"{month:.1f} s"),
        Row("nothing new / bare", warm / bare, "x", None, f"{warm:.1f} s"),
        Row("all walls / half of them, cold", cold / half, "x", 2.2),
    ]


def _seconds(told: tuple[float, float, str]) -> tuple[float, float]:
    seconds, rows = told[2].split()
    return float(seconds), float(rows)

"""``rank`` over an estate: cold, warm and after one new month, against bare parsing and an analyst's script."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from tests.bench.made_estate import survey_text, write_estate, write_log
from tests.bench.registry import Row, bench

WALLS, SMALL_WALLS = 100, 4
BARE = """
import sys, time, pathlib, pyarrow.csv as csv
from concurrent.futures import ThreadPoolExecutor
files = sorted(pathlib.Path(sys.argv[1]).glob("*.csv"))
began, used = time.perf_counter(), time.process_time()
with ThreadPoolExecutor(2) as pool:
    rows = sum(pool.map(lambda file: csv.read_csv(file).num_rows, files))
print(time.perf_counter() - began, time.process_time() - used, rows)
"""
ANALYST = """
import sys, time, pathlib, os, resource
sys.path.insert(0, sys.argv[2])
from concurrent.futures import ProcessPoolExecutor
from tests.bench.analyst import figures
if __name__ == "__main__":
    files = sorted(pathlib.Path(sys.argv[1]).glob("*.csv"))
    began = time.perf_counter()
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = list(pool.map(figures, files))
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(time.perf_counter() - began, used.ru_utime + used.ru_stime, len(found))
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


def processor_time(pid: int) -> dict[int, float]:
    """Seconds of processor time of a process and of all that it started, by process."""
    found = {}
    for each in [pid, *_below(pid)]:
        try:
            told = Path(f"/proc/{each}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
        except OSError:
            continue
        found[each] = (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")
    return found


def _below(pid: int) -> list[int]:
    found: list[int] = []
    try:
        for task in Path(f"/proc/{pid}/task").iterdir():
            for child in (task / "children").read_text(encoding="ascii").split():
                found += [int(child), *_below(int(child))]
    except OSError:
        pass
    return found


@dataclass(frozen=True)
class Ran:
    """Seconds by the clock and of the processors (to a fifth of a second), peak memory of the tree [MB]."""

    seconds: float
    processor_s: float
    peak_mb: float
    printed: str


def run(*arguments: str) -> Ran:
    """A run of Python, watched."""
    began = time.perf_counter()
    process = subprocess.Popen([sys.executable, *arguments], stdout=subprocess.PIPE, text=True, cwd=TOP)
    peak, used, over = [0], dict[int, float](), threading.Event()

    def look() -> None:
        while not over.wait(0.2):
            peak[0] = max(peak[0], memory_of_tree(process.pid))
            used.update(processor_time(process.pid))

    watcher = threading.Thread(target=look)
    watcher.start()
    printed, _ = process.communicate()
    taken = time.perf_counter() - began
    over.set()
    watcher.join()
    assert process.returncode in (0, 3), process.returncode
    return Ran(taken, sum(used.values()), peak[0] / 1024, printed)


def rank(folder: Path) -> Ran:
    """One ``stillwall rank`` of the first work over all walls."""
    return run("-m", "stillwall", "rank", str(folder), "--work", "work-0", "--json")


def told(ran: Ran) -> tuple[float, float, float]:
    """Seconds by the clock, of the processors, and a count, as a script printed them."""
    seconds, processor_s, count = map(float, ran.printed.split())
    return seconds, processor_s, count


@bench("estate")
def estate(small: bool) -> list[Row]:
    """Rank over 100 walls with a year at five minutes each (4 walls and 20 days if small)."""
    walls, days, step_s = (SMALL_WALLS, 20, 1800) if small else (WALLS, 365, 300)
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        write_estate(folder, walls=walls, works=3, step_s=step_s, days=days)
        logs = folder / "logs"
        size = sum(file.stat().st_size for file in logs.iterdir()) / 1e6
        bare, bare_cpu, rows = min(told(run("-c", BARE, str(logs))) for _ in range(3))
        cold = rank(folder)
        warm = rank(folder)
        assert json.loads(cold.printed) == json.loads(warm.printed)
        new = logs / "wall-000-new.csv"
        write_log(new, 0, step_s=step_s, days=30, seed=7, first_day=days)
        text = survey_text(walls, 3, 7)
        (folder / "survey.toml").write_text(
            text.replace('logs = ["logs/wall-000.csv"]', f'logs = ["logs/wall-000.csv", "logs/{new.name}"]'),
            encoding="utf-8",
        )
        month = rank(folder)
        shutil.rmtree(folder / ".stillwall")
        new.unlink()
        (folder / "survey.toml").write_text(survey_text(walls // 2, 3, 7), encoding="utf-8")
        half = rank(folder)
        script = folder / "analyst.py"
        script.write_text(ANALYST, encoding="utf-8")
        analyst, analyst_cpu, _ = told(run(str(script), str(logs), str(TOP)))

    def against(ran: Ran) -> str:
        ratio = ran.processor_s / bare_cpu
        return f"{ran.seconds:.1f} s; of the processors {ran.processor_s:.1f} s, {ratio:.1f} x"

    what = f"rank over {walls} walls, {rows:,.0f} rows, {size:.0f} MB"
    return [
        Row("bare parse", bare, "s", None, f"of the processors {bare_cpu:.1f} s"),
        Row(f"{what}: cold / bare", cold.seconds / bare, "x", 6.0, against(cold)),
        Row("peak memory of the process tree", cold.peak_mb, "MB", 800.0),
        Row(
            "cold / analyst's script",
            cold.seconds / analyst,
            "x",
            0.2,
            f"the script takes {analyst:.1f} s, of the processors {analyst_cpu:.1f} s",
        ),
        Row("after one new month of one wall / bare", month.seconds / bare, "x", 1.0, against(month)),
        Row("nothing new / bare", warm.seconds / bare, "x", None, against(warm)),
        Row("all walls / half of them, cold", cold.seconds / half.seconds, "x", 2.2),
    ]

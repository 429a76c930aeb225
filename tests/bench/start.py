"""How long ``stillwall --help`` takes, against importing its command-line library alone."""

from __future__ import annotations

import subprocess
import sys
import time

from tests.bench.registry import Row, bench


def least(*arguments: str, times: int) -> float:
    """Shortest of several runs of Python. [s]"""
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
        taken.append(time.perf_counter() - began)
    return min(taken)


@bench("start")
def start(small: bool) -> list[Row]:
    """Start of the command line."""
    times = 1 if small else 7
    ours, bare = least("-m", "stillwall", "--help", times=times), least("-c", "import typer", times=times)
    return [Row("stillwall --help / import typer", ours / bare, "x", 3.0, f"{1e3 * ours:.0f} ms")]

"""Processes killed at random moments while they write: ``python -m tests.faults.killing KIND TRIES FOLDER``.

Each try forks a process that has all in its memory, so that what is hit is the writing, and kills it with a
signal that it cannot see coming. Prints how many tries lost something, and how many left a half file behind,
so were hit while they wrote. The kind ``careless`` writes in place, up to its first loss, to show that it is seen.
"""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random

import stillwall
from stillwall.report.context import make_page
from stillwall.report.make import render
from stillwall.sites import FOLDER
from stillwall.store import PART, Store, write_whole
from tests.faults.house import build

SEED = 7


@dataclass(frozen=True)
class Writing:
    """Something that is written again and again: how, what must hold after a kill, and after the next write."""

    write: Callable[[int], None]
    whole: Callable[[], bool]
    folder: Path


def out(folder: Path) -> Writing:
    """An answer behind ``--out``."""
    target = folder / "out" / "answer.json"
    contents = [bytes([65 + number]) * (3_000_000 + number) for number in range(2)]
    write_whole(target, contents[0])
    return Writing(
        lambda number: write_whole(target, contents[number % 2]),
        lambda: target.read_bytes() in contents,
        target.parent,
    )


def report(folder: Path) -> Writing:
    """The report's page."""
    opened = stillwall.open_survey(build(folder / "house"), jobs=1, remember=False)
    pages = [make_page(opened.rank(work=work), extra=(), command="") for work in opened.survey.works]
    contents = [render(page).encode() for page in pages]
    target = folder / "reports" / "report.html"
    write_whole(target, contents[0])
    return Writing(
        lambda number: write_whole(target, render(pages[number % 2]).encode()),
        lambda: target.read_bytes() in contents,
        target.parent,
    )


def store(folder: Path) -> Writing:
    """What is kept between runs, under keys that replace each other."""
    opened = stillwall.open_survey(build(folder / "house"), jobs=1, remember=False)
    opened.rank(work="lime-avenue")
    memory = opened.site("hall-north").memory
    kept = Store(folder / FOLDER)
    keys = ["a" * 64, "b" * 64]
    kept.save("hall", keys[0], memory)

    def whole() -> bool:
        loaded = [kept.load("hall", key) for key in keys]
        return any(loaded) and all(not each or each.keys() == memory.keys() for each in loaded)

    return Writing(lambda number: kept.save("hall", keys[number % 2], memory), whole, kept.folder)


def _in_place(target: Path, content: bytes) -> None:
    target.write_bytes(content)


def careless(folder: Path) -> Writing:
    """A file written in place, as nothing here is."""
    target = folder / "answer.json"
    contents = [bytes([65 + number]) * 3_000_000 for number in range(2)]
    target.write_bytes(contents[0])
    return Writing(
        lambda number: _in_place(target, contents[number % 2]),
        lambda: target.read_bytes() in contents,
        folder,
    )


KINDS: dict[str, Callable[[Path], Writing]] = {
    "out": out,
    "report": report,
    "store": store,
    "careless": careless,
}


def tried(writing: Writing, number: int, delay_s: float) -> tuple[bool, bool]:
    """Kill one process that writes: whether something is lost, and whether a half file was left behind."""
    child = os.fork()
    if child == 0:
        while True:
            number += 1
            writing.write(number)
    time.sleep(delay_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    whole = writing.whole()
    halves = [path.name for path in writing.folder.iterdir() if path.suffix == PART]
    hidden = all(name.startswith(".") for name in halves)
    writing.write(0)
    writing.write(1)
    cleared = all(path.suffix != PART for path in writing.folder.iterdir())
    return not (whole and hidden and cleared and writing.whole()), bool(halves)


def main(kind: str, tries: int, folder: Path) -> tuple[int, int]:
    """Tries that lost something; tries that were hit while they wrote."""
    writing = KINDS[kind](folder)
    began = time.perf_counter()
    writing.write(1)
    taken_s = time.perf_counter() - began
    draw, lost, hit = Random(SEED), 0, 0
    for number in range(tries):
        loses, hits = tried(writing, number, draw.uniform(0.0, 3.0 * taken_s))
        lost, hit = lost + loses, hit + hits
        if lost and kind == "careless":
            break
    return lost, hit


if __name__ == "__main__":
    print(*main(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])))
    # The forks share this process's threads of other libraries, which then have nobody to wait for.
    sys.stdout.flush()
    os._exit(0)

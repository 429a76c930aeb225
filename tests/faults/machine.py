"""What differs from machine to machine and from run to run: clocks, zones, languages, hashes, other runs."""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import time
from collections.abc import Callable
from itertools import product
from pathlib import Path

from tests.faults.commands import ROOT, WORK, afresh, ranked, started, stillwall
from tests.faults.house import build
from tests.faults.rows import Tried, row

DEMO_WORK = "portrait-of-the-seedsman"


@row("runs at once on one folder", 60, 3)
def at_once(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    right = ranked(house).stdout
    losses = int(not right)
    for _ in range(0, tries, 3):
        shutil.rmtree(house / ".stillwall", ignore_errors=True)
        running = [started("rank", house, "--work", WORK, "--json") for _ in range(3)]
        losses += sum(one.ended().stdout != right for one in running)
        losses += ranked(house).stdout != right
    return Tried(tries, losses)


SETTINGS = [
    {"TZ": zone, "LC_ALL": language, "LANG": language, "PYTHONHASHSEED": seed}
    for seed, language, zone in product(
        ("0", "7"), ("C", "tr_TR.UTF-8", "de_DE.UTF-8"), ("UTC", "Pacific/Kiritimati", "America/St_Johns")
    )
]


def answers(house: Path, work: str, folder: Path) -> list[str]:
    """Digests of every kind of answer on a survey of which nothing is kept."""
    pages = {name: folder / name for name in ("report.html", "report.pdf", "season.html", "sheet.html")}
    told = [
        stillwall("rank", house, "--work", work, "--json"),
        stillwall("season", house, "--json", "--page", pages["season.html"], "--csv", folder / "season.csv"),
        stillwall("moves", house, "--json", "--sheet", pages["sheet.html"]),
        stillwall("matrix", house, "--json"),
        stillwall("check", house, "--json"),
        stillwall("report", house, "--work", work, "--moves", "--pdf", "--out", pages["report.html"]),
    ]
    assert all(ended.answered for ended in told), [(ended.code, ended.stderr) for ended in told]
    contents = [ended.stdout.encode() for ended in told]
    contents += [page.read_bytes() for page in (*pages.values(), folder / "season.csv")]
    return [hashlib.sha256(content).hexdigest() for content in contents]


@row("zone, language and hash seed of the machine", len(SETTINGS) + len(SETTINGS[::5]), 2)
def machine_settings(folder: Path, tries: int) -> Tried:
    tried = {(build(folder / "house"), WORK): [SETTINGS[0], SETTINGS[-1]]}
    if tries > len(SETTINGS):
        tried = dict.fromkeys(tried, SETTINGS)
        demo = folder / "larkmoor"
        shutil.copytree(ROOT / "sample_logs", demo, ignore=shutil.ignore_patterns(".stillwall"))
        tried[demo, DEMO_WORK] = SETTINGS[::5]
    (folder / "made").mkdir()
    losses = 0
    for (house, work), each in tried.items():
        seen = []
        for settings in each:
            shutil.rmtree(house / ".stillwall", ignore_errors=True)
            seen.append(afresh("tests.faults.machine", house, work, folder / "made", **settings))
        losses += sum(one != seen[0] for one in seen)
    return Tried(tries, losses)


def _shifted(shift_s: float) -> Callable[[], None]:
    true = time.time

    def shift() -> None:
        time.time = lambda: true() + shift_s
        time.time_ns = lambda: int((true() + shift_s) * 1e9)
        time.localtime = lambda at=None, _of=time.localtime: _of(time.time() if at is None else at)
        time.gmtime = lambda at=None, _of=time.gmtime: _of(time.time() if at is None else at)

    return shift


@row("clock of the machine wrong, or going backwards", 40, 2)
def clock(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    seen = []
    for number in range(tries):
        shift_s = (0, 40, -40, 12, -25, 1, -1, 30)[number % 8] * 365.25 * 86_400
        for file in house.rglob("*"):
            about = file.stat()
            os.utime(file, (about.st_atime, 1.7e9 - shift_s * (number % 2)))
        page = folder / "report.html"
        command = ("report", house, "--work", WORK, "--out", page)
        assert stillwall(*command, before=_shifted(shift_s)).code == 0
        seen.append(page.read_bytes())
    return Tried(tries, sum(one != seen[0] for one in seen))


if __name__ == "__main__":
    print(*answers(Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3])), sep="\n")

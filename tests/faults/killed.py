"""Killed while it writes, or at any moment."""

from __future__ import annotations

import shutil
import time
from pathlib import Path
from random import Random

from tests.faults import killing
from tests.faults.commands import WORK, fork, started
from tests.faults.house import build
from tests.faults.rows import SEED, Tried, row


def _killed(kind: str, folder: Path, tries: int) -> Tried:
    ended = fork(lambda: print(*killing.main(kind, tries, folder))).ended()
    assert ended.code == 0, ended.stderr
    losses, hit = map(int, ended.stdout.split())
    return Tried(tries, losses, f"{hit} of them while a half file lay beside it")


@row("killed while `--out` is written", 200, 6)
def killed_out(folder: Path, tries: int) -> Tried:
    return _killed("out", folder, tries)


@row("killed while the report is written", 200, 6)
def killed_report(folder: Path, tries: int) -> Tried:
    return _killed("report", folder, tries)


@row("killed while results are kept", 200, 6)
def killed_store(folder: Path, tries: int) -> Tried:
    return _killed("store", folder, tries)


@row("a whole command killed at any moment of it", 200, 2)
def killed_command(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    target = folder / "answer.json"
    command = ("rank", house, "--work", WORK, "--json", "--out", target)
    whole, taken_s = [], []
    for _ in range(2):
        began = time.perf_counter()
        assert started(*command).ended().code == 0
        taken_s.append(time.perf_counter() - began)
        whole.append(target.read_bytes())
    draw, losses, over = Random(SEED), int(whole[0] != whole[1]), 0
    for number in range(tries):
        if number % 2:
            shutil.rmtree(house / ".stillwall", ignore_errors=True)
        over += started(*command).killed_after(draw.uniform(0.0, 1.2 * max(taken_s))).code == 0
        losses += target.read_bytes() != whole[0]
    assert started(*command).ended().code == 0
    return Tried(
        tries, losses + (target.read_bytes() != whole[0]), f"{tries - over} of them before it had ended"
    )

"""What was kept, when it is damaged or no longer true."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from random import Random

from stillwall.codec import DamagedError, decode, encode
from tests.faults.commands import ranked
from tests.faults.house import SURVEY, build, readings
from tests.faults.rows import SEED, Tried, row

CHANGES = (
    ("logs/north.csv", readings("north"), readings("north").replace(",5", ",6")),
    ("survey.toml", SURVEY, SURVEY.replace("Europe/Dublin", "America/Denver")),
    ("logs/hall.csv", readings("hall"), readings("hall").replace(",1", ",2")),
    ("logs/outdoor.csv", readings("outdoor"), readings("outdoor", warmer_c=1.0)),
    ("survey.toml", SURVEY, SURVEY.replace("seed = 3", "seed = 4")),
)


@row("kept results cut short, or with a bit changed", 2000, 60)
def damaged(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    assert ranked(house).code == 0
    entries = [path.read_bytes() for path in sorted((house / ".stillwall").glob("*.arrow"))]
    draw, losses = Random(SEED), 0
    for number in range(tries):
        content = bytearray(draw.choice(entries))
        at = draw.randrange(len(content))
        if number % 2:
            content[at] ^= 1 << draw.randrange(8)
        else:
            del content[at:]
        try:
            decode(bytes(content))
            losses += 1
        except DamagedError:
            pass
    whole = decode(entries[0])
    return Tried(tries, losses + (encode(whole) != entries[0]))


@row("log or settings changed under what was kept, at the same time stamp", 2 * len(CHANGES), 2)
def stale(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    losses = 0
    for name, before, after in CHANGES[: tries // 2]:
        for text in (after, before):
            about = (house / name).stat()
            (house / name).write_text(text, encoding="utf-8", newline="")
            os.utime(house / name, ns=(about.st_atime_ns, about.st_mtime_ns))
            kept = ranked(house).stdout
            shutil.move(house / ".stillwall", folder / "kept")
            fresh = ranked(house).stdout
            shutil.rmtree(house / ".stillwall")
            shutil.move(folder / "kept", house / ".stillwall")
            losses += kept != fresh or not kept
    return Tried(tries, losses)

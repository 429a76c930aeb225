"""Surveys and logs as they come: from Windows, endless, huge, or leading out of their folder."""

from __future__ import annotations

import json
from pathlib import Path

from tests.faults.commands import ranked, stillwall
from tests.faults.house import SURVEY, build
from tests.faults.rows import Tried, row

WINDOWS_PATHS = (
    "logs\\\\north.csv",
    "C:\\\\logs\\\\north.csv",
    "C:/logs/north.csv",
    "\\\\\\\\server\\\\north.csv",
)


@row("line ends, byte order marks and paths of Windows", 3 + len(WINDOWS_PATHS), 3 + len(WINDOWS_PATHS))
def windows(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    right = ranked(house).stdout
    losses = int(not right)
    losses += ranked(house, SURVEY.replace("\n", "\r\n")).stdout != right
    losses += ranked(house, "\ufeff" + SURVEY.replace("\n", "\r\n")).stdout != right
    for log in (house / "logs").iterdir():
        text = log.read_text("utf-8")
        log.write_text("\ufeff" + text.replace("\n", "\r\n"), encoding="utf-8", newline="")
    losses += ranked(house).stdout != right
    for path in WINDOWS_PATHS:
        ended = ranked(house, SURVEY.replace("logs/north.csv", path))
        losses += not ended.refused or "north.csv" not in ended.stderr
    return Tried(tries, losses)


DEEP = (
    "deep = " + "[" * 100_000 + "]" * 100_000 + "\n",
    "deep = " + "{a = " * 20_000 + "1" + "}" * 20_000 + "\n",
    ".".join(["a"] * 50_000) + " = 1\n",
    "[" + ".".join(["a"] * 50_000) + "]\n",
    'open = "' + "x" * 1_000_000,
    "\0" * 1_000_000,
    "text = '" + "x" * 17_000_000 + "'\n",
    "".join(f"key{number} = {number}\n" for number in range(100_000)),
    "[[work]]\n" * 100_000,
)


@row("a survey that is deep, long or endless", len(DEEP), 6)
def deep(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    return Tried(tries, sum(not ranked(house, SURVEY + text).refused for text in DEEP[:tries]))


@row("a survey of so many works", 10_000, 60)
def many_works(folder: Path, tries: int) -> Tried:
    more = "".join(
        f'\n[[work]]\nid = "sheet-{number}"\nkind = "paper"\nmedium = "watercolour"\n'
        for number in range(tries - 2)
    )
    house = build(folder / "house")
    right = ranked(house).stdout
    losses = int(ranked(house, SURVEY + more).stdout != right or not right)
    ended = stillwall("rank", house, "--wall", "hall-north", "--json")
    losses += ended.code != 0 or len(json.loads(ended.stdout)["works"]) != tries
    return Tried(tries, losses)


@row("links and `..` that lead out of the folder", 10, 10)
def outside(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    secret = folder / "secret.csv"
    secret.write_text("Time,Temperature (°C)\n2026-03-01T00:00:00Z,77.125\n", encoding="utf-8")
    (house / "logs" / "link.csv").symlink_to(secret)
    (house / "way").symlink_to(folder, target_is_directory=True)
    (house / "logs" / "ring.csv").symlink_to("ring.csv")
    paths = ("../secret.csv", "logs/../../secret.csv", "logs/link.csv", "way/secret.csv", "logs/ring.csv")
    paths = (*paths, str(secret), "~/secret.csv", "/etc/passwd", "/dev/zero", "logs")
    losses = 0
    for path in paths:
        ended = ranked(house, SURVEY.replace("logs/north.csv", path))
        losses += not ended.refused or "77.125" in ended.stderr or "root:" in ended.stderr
    return Tried(len(paths), losses)

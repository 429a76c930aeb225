"""Names that others' programs would run: a spreadsheet, a browser, a template."""

from __future__ import annotations

import csv
import re
from pathlib import Path

from tests.faults.commands import WORK, stillwall
from tests.faults.house import SURVEY, build
from tests.faults.rows import Tried, row

FORMULAS = ("=1+1", "+1", "-1+1", "@SUM(A1)", '=HYPERLINK(\\"http://x\\")', "\\t=1+1", "=cmd|' /C calc'!A0")
NUMBER = re.compile(r"[-+]?[\d.]+(e[-+]?\d+)?")


@row("names that a spreadsheet would run", len(FORMULAS), len(FORMULAS))
def spreadsheets(folder: Path, tries: int) -> Tried:
    house, losses = build(folder / "house"), 0
    for formula in FORMULAS[:tries]:
        notes = "".join(
            f'\n[[note]]\ndate = 2026-03-{day:02}\nroom = "hall"\ntext = "{formula}"\n' for day in (5, 20)
        )
        text = SURVEY.replace('id = "hall"\n', f'id = "hall"\nname = "{formula}"\n')
        (house / "survey.toml").write_text(text + notes, encoding="utf-8", newline="")
        target = folder / "season.csv"
        assert stillwall("season", house, "--csv", target).code in (0, 3)
        rows = list(csv.reader(target.read_text("utf-8").splitlines()))
        cells = [cell for line in rows for cell in line if not NUMBER.fullmatch(cell)]
        losses += len(rows) < 2 or any(cell[:1] in tuple("=+-@\t\r") for cell in cells)
    return Tried(tries, losses)


MARKUP = (
    "<script>alert(1)</script>",
    "{{ 7 * 7 }}{% raw %}",
    "<img src=x onerror=alert(1)>",
    "</title><script src='http://x'></script>",
    '\\" onmouseover=\\"alert(1)',
    "]]></style><svg onload=alert(1)>",
)


@row("HTML and templates in names", 3 * len(MARKUP), 3)
def markup(folder: Path, tries: int) -> Tried:
    house, losses = build(folder / "house"), 0
    pages = [folder / "report.html", folder / "season.html", folder / "sheet.html"]
    for name in MARKUP[: tries // 3]:
        text = SURVEY.replace("Larkmoor Botanical Society", name)
        for table in ("building", "room", "wall", "work"):
            key = "title" if table == "work" else "name"
            text = text.replace(f"[[{table}]]\n", f'[[{table}]]\n{key} = "{name}"\n')
        (house / "survey.toml").write_text(text, encoding="utf-8", newline="")
        done = [
            stillwall("report", house, "--work", WORK, "--out", pages[0]),
            stillwall("season", house, "--page", pages[1]),
            stillwall("moves", house, "--sheet", pages[2]),
        ]
        raw = name.replace('\\"', '"')
        for ended, page in zip(done, pages, strict=True):
            said = page.read_text("utf-8") if page.exists() else ""
            bad = raw in said if "<" in raw or '"' in raw else "49{%" in said
            losses += not ended.answered or not said or bad
            page.unlink(missing_ok=True)
    return Tried(tries, losses)

"""Every fault of the table, tried a few times; and that the tries would see a loss."""

from __future__ import annotations

import ast
import subprocess
import sys

import pytest

from tests.faults.table import ROOT, ROWS


@pytest.mark.parametrize("name", ROWS)
def test_nothing_is_lost(name, tmp_path):
    row = ROWS[name]
    seen = row.run(tmp_path, row.few)
    assert seen.tries > 0
    assert seen.losses == 0


def test_writing_in_place_would_be_seen_to_lose(tmp_path):
    ended = subprocess.run(
        [sys.executable, "-m", "tests.faults.killing", "careless", "30", str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    losses, _ = map(int, ended.stdout.split())
    assert losses >= 3


def test_no_line_asks_the_machine_for_the_day():
    asked = []
    for file in sorted((ROOT / "src").rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                of = getattr(node.func.value, "id", getattr(node.func.value, "attr", ""))
                if node.func.attr in ("today", "now", "utcnow", "localtime", "gmtime", "getmtime") or (
                    (of, node.func.attr) in (("time", "time"), ("time", "time_ns"))
                ):
                    asked.append(f"{file.name}:{node.lineno}")
    assert asked == []

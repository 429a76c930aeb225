"""Every fault of the table, tried a few times; and that the tries would see a loss."""

from __future__ import annotations

import ast
import re
import subprocess
import sys

import pytest

from tests.faults.commands import ROOT
from tests.faults.table import GROUPS


def tried(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", *arguments], cwd=ROOT, capture_output=True, encoding="utf-8", check=False
    )


@pytest.mark.parametrize("group", GROUPS)
def test_nothing_is_lost(group):
    ended = tried("tests.faults", "--few", group)
    rows = re.findall(r"^\| (.+) \| ([\d,]+) \| (\d+) \|$", ended.stdout, re.M)
    assert ended.returncode == 0, ended.stdout + ended.stderr
    assert [losses for _, _, losses in rows] == ["0"] * len(GROUPS[group])
    assert all(int(tries.replace(",", "")) > 0 for _, tries, _ in rows)


def test_writing_in_place_would_be_seen_to_lose(tmp_path):
    losses, _ = map(int, tried("tests.faults.killing", "careless", "400", str(tmp_path)).stdout.split())
    assert losses > 0


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

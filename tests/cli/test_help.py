"""Help answers at once: nothing heavy is imported before a command runs."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = {"pandas", "numpy", "scipy", "matplotlib", "pint", "pyarrow", "jinja2"}
COMMANDS = ("start", "check", "vet", "rank", "matrix", "season", "moves", "report", "sources")
SCRIPT = """
import sys
sys.argv = ["stillwall", *{arguments!r}]
from stillwall.cli import main
try:
    main()
except SystemExit as end:
    code = end.code
print("MODULES", " ".join(sorted(name for name in sys.modules if "." not in name)), file=sys.stderr)
sys.exit(code)
"""


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", SCRIPT.format(arguments=list(arguments))],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def test_help_loads_nothing_heavy() -> None:
    ended = run("--help")
    assert ended.returncode == 0
    loaded = set(ended.stderr.split("MODULES", 1)[1].split())
    assert "typer" in loaded
    assert loaded & HEAVY == set()
    assert all(f" {command} " in ended.stdout for command in COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_stays_light(command: str) -> None:
    ended = run(command, "--help")
    assert ended.returncode == 0
    assert "--json" in ended.stdout or command == "start"
    assert set(ended.stderr.split("MODULES", 1)[1].split()) & HEAVY == set()


def test_usage_errors_end_with_2() -> None:
    assert run("rank").returncode == 2
    assert run("no-such-command").returncode == 2

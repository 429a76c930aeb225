"""Text in a log that would steer a terminal, break a line to copy or run on for ever is shown as plain text."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from stillwall.cli.check import check
from stillwall.errors import LogError
from stillwall.logs.harmless import shown, shown_lines
from stillwall.logs.questions import lines_for
from stillwall.logs.read import read_log

RUNNER = CliRunner()
HOSTILE = {
    "markup": "<script>alert('x')</script>",
    "quotes": "\"'`\\",
    "300 letters": "n" * 300,
    "right to left": "مستشعر חיישן",
    "turned round": "hall\u202etxt.exe\u2066\u200f",
    "emoji": "🌡️🧑‍🔬",
    "escape": "\x1b]0;gone\x07\x1b[2J\x1b[31m",
    "bell, delete, zero width": "\x07\x7f\u200b\x9b31m\ufeff",
    "template": "{{ 7*7 }} ${7*7} %s %(x)s",
}


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer()
    made.command()(check)
    return made


def _hidden(text: str) -> list[str]:
    return [char for char in text.replace("\n", "") if not char.isprintable()]


def _rows(count: int = 60, event: str = "") -> str:
    return "".join(
        f"2026-01-{13 + row // 24:02d} {row % 24:02d}:00,{18 + row % 5 / 10:.1f},{50 + row % 7:.1f},{event if row == 7 else ''}\n"
        for row in range(count)
    )


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_in_titles_names_and_events(app: typer.Typer, text: str, tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    head = f"Logger: {text}\n" if "\n" not in text and '"' not in text else ""
    header = ",".join(
        _quoted(cell) for cell in ("Time", f"Temp {text} (°C)", f"{text} RH (%)", f"Event {text}")
    )
    path.write_text(f"{head}{header}\n{_rows(event=_quoted(text))}", encoding="utf-8")
    human = RUNNER.invoke(app, [str(path)])
    assert human.exit_code == 0, human.stderr
    assert "60 readings" in human.stdout
    assert not _hidden(human.stdout)
    assert max(map(len, human.stdout.splitlines())) <= max(80, len(str(path)) + 4)
    document = json.loads(RUNNER.invoke(app, [str(path), "--json"]).stdout)
    (log,) = document["logs"]
    assert {channel["role"] for channel in log["channels"]} == {"temperature", "humidity"}
    assert not [note for note in log["notes"] if _hidden(note)]


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_names_of_sensors(app: typer.Typer, text: str, tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    rows = "".join(
        f"2026-01-13 {row // 60:02d}:{row % 60:02d},{_quoted(name)},{18 + at}.5\n"
        for row in range(60) for at, name in enumerate((text, "plain"))
    )  # fmt: skip
    path.write_text(f"Time,Sensor,Temp (°C)\n{rows}", encoding="utf-8")
    human = RUNNER.invoke(app, [str(path)])
    assert human.exit_code == 0, human.stderr
    assert not _hidden(human.stdout)
    document = json.loads(RUNNER.invoke(app, [str(path), "--json"]).stdout)
    sensors = [channel["sensor"] for channel in document["logs"][0]["channels"]]
    assert len(sensors) == 2
    assert "plain" in sensors
    assert not [sensor for sensor in sensors if _hidden(sensor)]


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_cells_in_refusals(app: typer.Typer, text: str, tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    rows = _rows().replace("18.3,", f"{_quoted('7' + text)},", 1)
    path.write_text(f"Time,{_quoted(f'Temp {text} (°C)')},RH (%),Event\n{rows}", encoding="utf-8")
    result = RUNNER.invoke(app, [str(path), "--json"])
    error = json.loads(result.stdout)["logs"][0]["error"]
    assert result.exit_code == (1 if error else 0)
    assert not _hidden(result.stderr)
    assert not _hidden(error or "")
    assert len(result.stderr) < 3_000


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_lines_to_copy_say_what_the_header_says(text: str, tmp_path: Path) -> None:
    lines = lines_for("hall.csv", columns={f"a {text}": "temperature"}, sensor=text)
    assert not _hidden(lines)
    assert tomllib.loads(lines)["logger"]["hall.csv"] == {
        "columns": {f"a {text}": "temperature"},
        "sensor": text,
    }


def test_a_header_of_a_million_letters_is_named_in_short(tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    path.write_text(
        f"Time,Temp {'x' * 1_000_000} (°C)\n"
        + "".join(f"2026-01-13 {hour:02d}:00,{hour}x5\n" for hour in range(24)),
        encoding="utf-8",
    )
    with pytest.raises(LogError) as refused:
        read_log(path, name="hall.csv")
    assert len(str(refused.value)) < 3_000


def test_what_cannot_be_seen_is_spelled_out() -> None:
    assert shown("a\x1b[0m b\u202e\x9b") == "a\\x1b[0m b\\u202e\\x9b"
    assert shown("12\u00a0°C\n") == "12 °C "
    assert shown_lines("one\ntwo\t3") == "one\ntwo 3"
    assert shown("Čidlo 🌡 مستشعر") == "Čidlo 🌡 مستشعر"

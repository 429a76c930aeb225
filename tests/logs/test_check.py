"""``stillwall check`` on files alone and on a survey's folder."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from stillwall.cli.check import check
from tests.logs.test_place import CLIMATE, SURVEY, _rows

RUNNER = CliRunner()
ROLES = {"temperature", "humidity", "light", "ultraviolet", "dew_point", "surface_temperature"}
FLAG = {"count", "excludes", "first", "note"}
CHANNEL = {
    "role", "sensor", "unit", "unit_in_file", "first", "last", "readings", "min", "mean", "max", "step_s", "coverage",
    "flags",
}  # fmt: skip


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer()
    made.command()(check)
    return made


def _file(folder: Path, name: str, text: str) -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_files_alone_as_json(app: typer.Typer, tmp_path: Path) -> None:
    good = _file(tmp_path, "hall.csv", CLIMATE + _rows("2026-01-13T00:00", 100, 18, 50))
    bad = _file(tmp_path, "bad.csv", "nothing\n")
    result = RUNNER.invoke(app, [good, bad, "--json", "--timezone", "Europe/Dublin"])
    assert result.exit_code == 1
    assert "error: bad.csv" in result.stderr
    document = json.loads(result.stdout)
    assert document["stillwall"] == 1
    assert set(document) >= {"stillwall", "logs", "missing"}
    first, second = document["logs"]
    assert first["file"] == good
    assert first["error"] is None
    assert second["error"].startswith("bad.csv")
    assert second["channels"] == []
    for channel in first["channels"]:
        assert set(channel) >= CHANNEL
        assert channel["role"] in ROLES
        assert channel["readings"] == 100
        assert channel["step_s"] == 1800
        assert channel["coverage"] == 1.0
    assert first["channels"][0]["first"] == "2026-01-13T00:00:00Z"
    assert first["channels"][0]["min"] == pytest.approx(18.0)
    assert first["channels"][0]["max"] == pytest.approx(18.4)


def test_times_without_a_zone_have_no_offset(app: typer.Typer, tmp_path: Path) -> None:
    good = _file(tmp_path, "hall.csv", CLIMATE + _rows("2026-01-13T00:00", 100, 18, 50))
    document = json.loads(RUNNER.invoke(app, [good, "--json"]).stdout)
    assert document["logs"][0]["channels"][0]["first"] == "2026-01-13T00:00:00"
    assert "time zone" in document["missing"][0]["what"]


def test_flags_in_json_and_null_figures(app: typer.Typer, tmp_path: Path) -> None:
    rows = "".join(f"2026-01-13 {hour:02d}:00,{104 + hour % 3}\n" for hour in range(24))
    document = json.loads(
        RUNNER.invoke(app, [_file(tmp_path, "wet.csv", "Time,RH (%)\n" + rows), "--json"]).stdout
    )
    channel = document["logs"][0]["channels"][0]
    assert channel["readings"] == 24
    assert (channel["min"], channel["mean"], channel["max"]) == (None, None, None)
    assert channel["flags"]["far_above_100"]["count"] == 24
    assert set(channel["flags"]["far_above_100"]) == FLAG


def test_words_fit_eighty_columns_and_lines_to_copy_stay_whole(app: typer.Typer, tmp_path: Path) -> None:
    good = _file(tmp_path, "hall.csv", CLIMATE + _rows("2026-01-13T00:00", 100, 18, 50))
    open_ = _file(tmp_path, "open.csv", "Time,Temp (°C)\n02.03.2026 10:00,18.0\n")
    result = RUNNER.invoke(app, [good, open_])
    assert result.exit_code == 1
    lines = result.stdout.splitlines()
    assert (
        max(
            len(line)
            for line in lines
            if not line.startswith(("[logger", str(tmp_path)[:5], "  " + str(tmp_path)[:5]))
        )
        <= 80
    )
    assert '[logger."open.csv"]' in lines
    assert 'date_order = "day-first"' in lines
    assert "\x1b" not in result.stdout
    assert any("temperature: 18.0 °C to 18.4 °C" in line for line in lines)


def test_a_folder_says_what_each_place_rests_on_and_what_is_missing(app: typer.Typer, tmp_path: Path) -> None:
    (tmp_path / "logs").mkdir()
    _file(tmp_path, "logs/hall.csv", CLIMATE + _rows("2026-01-13T00:00", 4_000, 18, 50))
    _file(tmp_path, "logs/old.csv", "Time,Light (lx)\n" + _rows("2025-07-01T00:00", 5_000, 120))
    _file(tmp_path, "logs/bad.csv", "nothing\n")
    more = (
        '[[wall]]\nid = "stair"\nroom = "hall"\nheight = "3 m"\nspan = "1 m"\nlogs = ["logs/bad.csv"]\n'
        '[logger."hall.csv"]\ncalibrated_on = 2024-01-10\nbattery_due = 2026-02-01\n'
    )
    text = SURVEY.format(
        head="", building="", room='logs = ["logs/hall.csv"]', wall='logs = ["logs/old.csv"]', more=more
    )
    _file(tmp_path, "survey.toml", text)
    result = RUNNER.invoke(app, [str(tmp_path), "--json"])
    assert result.exit_code == 0
    document = json.loads(result.stdout)
    assert {log["file"] for log in document["logs"]} == {"logs/hall.csv", "logs/old.csv", "logs/bad.csv"}
    missing = {entry["what"]: entry["blocks"] for entry in document["missing"]}
    assert any(
        what.startswith("logs/bad.csv cannot be used") and blocks == ["stair"]
        for what, blocks in missing.items()
    )
    assert any("logs/old.csv has been silent since 2025-10-13" in what for what in missing)
    assert any("calibration of logs/hall.csv, due 2025-01-10" in what for what in missing)
    assert any("battery of logs/hall.csv" in what for what in missing)
    assert any(
        what.startswith("humidity and temperature in May") or "and December" in what for what in missing
    )
    words = " ".join(RUNNER.invoke(app, [str(tmp_path)]).stdout.split())
    assert "What each place rests on" in words
    assert "temperature from hall.csv (the room's)" in words
    assert "stair: cannot be judged until its log is put right" in words


def test_older_downloads_and_ended_campaigns_are_not_called_silent(app: typer.Typer, tmp_path: Path) -> None:
    (tmp_path / "logs").mkdir()
    months = [
        ("hall-1", "2025-06-01T00:00", 4_400),
        ("hall-2", "2025-09-01T00:00", 4_300),
        ("hall-3", "2025-12-01T00:00", 4_000),
    ]
    for name, start, count in months:
        _file(tmp_path, f"logs/{name}.csv", CLIMATE + _rows(start, count, 18, 50))
    _file(tmp_path, "logs/weeks.csv", "Time,Light (lx)\n" + _rows("2025-07-01T00:00", 1_000, 120))
    _file(tmp_path, "logs/stair.csv", CLIMATE + _rows("2025-05-01T00:00", 6_000, 17, 55))
    more = (
        '[[wall]]\nid = "stair"\nname = "By the stair"\nroom = "hall"\nheight = "3 m"\nspan = "1 m"\nlogs = ["logs/stair.csv"]\n'
        + "".join(
            f'[logger."{name}.csv"]\nbattery_due = 2025-11-01\n' for name in ("hall-1", "hall-3", "weeks")
        )
    )
    rooms = ", ".join(f'"logs/{name}.csv"' for name, _, _ in months)
    text = SURVEY.format(
        head="", building="", room=f"logs = [{rooms}]", wall='logs = ["logs/weeks.csv"]', more=more
    )
    _file(tmp_path, "survey.toml", text)
    missing = json.loads(RUNNER.invoke(app, [str(tmp_path), "--json"]).stdout)["missing"]
    about_logs = {entry["what"]: entry["blocks"] for entry in missing if ".csv" in entry["what"]}
    assert about_logs == {
        "logs/stair.csv has been silent since 2025-09-02: fetch it, or end its use": ["stair"],
        "battery of logs/hall-3.csv, due 2025-11-01": ["pier", "stair"],
    }
    words = " ".join(RUNNER.invoke(app, [str(tmp_path)]).stdout.split())
    assert "fetch it, or end its use waits for it: hall, By the stair" in words
    assert "hall, By the stair: temperature from stair.csv; humidity from stair.csv" in words


def test_the_answer_goes_to_a_file(app: typer.Typer, tmp_path: Path) -> None:
    good = _file(tmp_path, "hall.csv", CLIMATE + _rows("2026-01-13T00:00", 100, 18, 50))
    out = tmp_path / "answer.json"
    assert RUNNER.invoke(app, [good, "--json", "--out", str(out)]).exit_code == 0
    assert json.loads(out.read_text("utf-8"))["stillwall"] == 1


def test_a_folder_and_a_file_together_are_a_usage_error(app: typer.Typer, tmp_path: Path) -> None:
    good = _file(tmp_path, "hall.csv", CLIMATE + _rows("2026-01-13T00:00", 100, 18, 50))
    assert RUNNER.invoke(app, [good, str(tmp_path)]).exit_code == 2

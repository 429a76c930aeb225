"""What a file leaves open is refused with the lines to add; pasted in, the lines work."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from stillwall.errors import LogError
from stillwall.logs.place import read_record
from stillwall.record import Channel, Record, Role
from stillwall.survey.read import read_survey

SURVEY = """
[survey]
name = "Larkmoor Botanical Society"

[[building]]
id = "seed-hall"

[[room]]
id = "hall"
building = "seed-hall"

[[wall]]
id = "dais"
room = "hall"
height = "3 m"
span = "2 m"
logs = {logs}
"""
ROWS = "".join(
    f"2026-01-{13 + row // 48:02d} {row // 2 % 24:02d}:{30 * (row % 2):02d},{{}},{{}}\n" for row in range(60)
)


def _rows(first: float, second: float, *, step: float = 0.01) -> str:
    return "".join(
        f"2026-01-{13 + row // 48:02d} {row // 2 % 24:02d}:{30 * (row % 2):02d},{first + step * row:.2f},{second + step * row:.2f}\n"
        for row in range(60)
    )


QUESTIONS: dict[str, tuple[str, dict[Role, tuple[int, float]]]] = {
    "no header": (_rows(18, 50), {"temperature": (60, 18.0), "humidity": (60, 50.0)}),
    "numbered header": ("Time,Ch 1,Ch 2\n" + _rows(18, 50), {"temperature": (60, 18.0), "humidity": (60, 50.0)}),
    "unknown header": ("Time,alpha,beta\n" + _rows(18, 50), {"temperature": (60, 18.0), "humidity": (60, 50.0)}),
    "header one short": ("alpha,beta\n" + _rows(18, 50), {"temperature": (60, 18.0), "humidity": (60, 50.0)}),
    "Fahrenheit called Celsius": ("Time,Temp (°C),RH (%)\n" + _rows(68, 50), {"temperature": (60, 20.0), "humidity": (60, 50.0)}),
    "Fahrenheit without a unit": ("Time,Temp,RH\n" + _rows(68, 50), {"temperature": (60, 20.0), "humidity": (60, 50.0)}),
    "kelvin called Celsius": ("Time,Temp (°C),RH (%)\n" + _rows(293.15, 50), {"temperature": (60, 20.0), "humidity": (60, 50.0)}),
    "kelvin called Fahrenheit": ("Time,Temp (°F),RH (%)\n" + _rows(293.15, 50), {"temperature": (60, 20.0)}),
    "Celsius called kelvin": ("Time,Temp (K),RH (%)\n" + _rows(20, 50), {"temperature": (60, 20.0)}),
    "a share called percent": ("Time,Temp (°C),RH (%)\n" + _rows(20, 0.3), {"humidity": (60, 30.0)}),
    "percent called a share": ("Time,Temp (°C),RH (0-1)\n" + _rows(20, 50), {"humidity": (60, 50.0)}),
    "lux called kilolux": ("Time,Light (klx),Temp (°C)\n" + _rows(340, 20), {"light": (60, 340.0)}),
    "temperature called humidity": ("Time,RH (%)\n" + re.sub(r",[\d.]+\n", "\n", _rows(293.15, 1)), {"temperature": (60, 20.0)}),
    "decimal or thousands": (
        "Time;Light (lx)\n" + "".join(f"2026-01-13 10:{m:02d};{1 + m % 7},{200 + m}\n" for m in range(60)), {"light": (60, 1.2)},
    ),
    "order of day and month": ("Time,Temp (°C)\n" + "".join(f"02.03.2026 10:{m:02d},18.{m:02d}\n" for m in range(60)), {"temperature": (60, 18.0)}),
    "two sensors in one file": ("Time,Hall temp (°C),Stair temp (°C)\n" + _rows(18, 16), {"temperature": (60, 18.0)}),
    "days without a word for time": ("x,Temp (°C)\n" + "".join(f"{46054 + d},18.{d:02d}\n" for d in range(60)), {"temperature": (60, 18.0)}),
    "sensors that nothing tells apart": (
        "Time,id,Temp (°C)\n" + "".join(f"2026-01-13 {h:02d}:00,{i},{18 + i}.5\n" for h in range(24) for i in (3, 5)),
        {"temperature": (24, 21.5)},
    ),
}  # fmt: skip


def _read(folder: Path, extra: str, logs: str = '["logs/hall.csv"]') -> Record:
    (folder / "survey.toml").write_text(SURVEY.format(logs=logs) + extra, encoding="utf-8")
    survey = read_survey(folder)
    return read_record(survey, survey.walls["dais"])


def remedy(error: LogError) -> str:
    """The lines that a message says to add."""
    fix = error.faults[0].fix
    assert re.match(r"add to survey\.toml(?::\n| below )\[logger\.", fix), fix
    lines = fix.split("\n")[1:]
    return "\n" + "\n".join(line for line in lines if not line.startswith("(")) + "\n"


@pytest.mark.parametrize("title", QUESTIONS)
def test_the_lines_of_a_question_settle_it(title: str, tmp_path: Path) -> None:
    text, expected = QUESTIONS[title]
    (tmp_path / "logs").mkdir()
    (tmp_path / "logs" / "hall.csv").write_text(text, encoding="utf-8")
    with pytest.raises(LogError) as refused:
        _read(tmp_path, "")
    assert "hall.csv" in refused.value.faults[0].where
    extra = remedy(refused.value)
    for _ in range(2):
        try:
            record = _read(tmp_path, extra)
        except LogError as error:
            extra += remedy(error)
    record = _read(tmp_path, extra)
    for role, (count, first) in expected.items():
        channel = record.channels[role]
        assert len(channel.values) == count
        assert channel.values[0] == pytest.approx(first)


def test_the_unit_of_ultraviolet_is_asked_for_and_the_rest_is_read(tmp_path: Path) -> None:
    from stillwall.logs.read import read_log

    (tmp_path / "logs").mkdir()
    path = tmp_path / "logs" / "hall.csv"
    path.write_text("Time,Temp (°C),UV\n" + _rows(18, 60), encoding="utf-8")
    log = read_log(path, name="logs/hall.csv")
    assert [channel.role for channel in log.channels] == ["temperature"]
    note = next(note for note in log.notes if "no unit and is left out" in note)
    lines = "\n" + "\n".join(line for line in note.split("\n")[1:] if not line.startswith("(")) + "\n"
    record = _read(tmp_path, lines)
    assert record.channels["ultraviolet"].unit == "uW/lm"
    assert record.channels["ultraviolet"].values[0] == 60.0


def test_a_table_that_is_there_is_added_to(tmp_path: Path) -> None:
    (tmp_path / "logs").mkdir()
    (tmp_path / "logs" / "hall.csv").write_text("Time,Temp (°C)\n02.03.2026 10:00,18.0\n", encoding="utf-8")
    with pytest.raises(LogError) as refused:
        _read(tmp_path, '\n[logger."logs/hall.csv"]\ngain = { temperature = 1.0 }\n')
    fix = refused.value.faults[0].fix
    assert fix.startswith('add to survey.toml below [logger."logs/hall.csv"]:\ndate_order = ')
    line = fix.split("\n")[1]
    record = _read(tmp_path, f'\n[logger."logs/hall.csv"]\ngain = {{ temperature = 1.0 }}\n{line}\n')
    assert record.channels["temperature"].times[0] == np.datetime64("2026-03-02T10:00", "s")


def test_answering_that_the_header_is_right_ends_the_question(tmp_path: Path) -> None:
    (tmp_path / "logs").mkdir()
    (tmp_path / "logs" / "hall.csv").write_text("Time,Temp (°C),RH (%)\n" + _rows(68, 50), encoding="utf-8")
    record = _read(tmp_path, '\n[logger."hall.csv"]\nunits = { temperature = "degC" }\n')
    assert record.channels["temperature"].values[0] == 68.0


def test_day_first_and_month_first_both_obey(tmp_path: Path) -> None:
    (tmp_path / "logs").mkdir()
    (tmp_path / "logs" / "hall.csv").write_text("Time,Temp (°C)\n02.03.26 10:00,18.0\n", encoding="utf-8")
    seen: dict[str, Channel] = {}
    for order, day in (
        ("day-first", "2026-03-02"),
        ("month-first", "2026-02-03"),
        ("year-first", "2002-03-26"),
    ):
        record = _read(tmp_path, f'\n[logger."hall.csv"]\ndate_order = "{order}"\n')
        seen[order] = record.channels["temperature"]
        assert seen[order].times[0] == np.datetime64(f"{day}T10:00", "s")

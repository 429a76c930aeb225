"""A place's record: its own loggers, its room's, downloads joined, dew point turned into humidity."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import psychrolib
import pytest

from stillwall.errors import LogError
from stillwall.logs.place import read_outdoor, read_record
from stillwall.record import Record
from stillwall.survey.read import read_survey

SURVEY = """
[survey]
name = "Larkmoor Botanical Society"
{head}

[[building]]
id = "orangery"
timezone = "Europe/Dublin"
{building}

[[room]]
id = "hall"
building = "orangery"
{room}

[[wall]]
id = "pier"
room = "hall"
height = "3 m"
span = "2 m"
{wall}

{more}
"""


def _rows(start: str, count: int, *values: float, step_min: int = 30) -> str:
    stamps = np.datetime64(start) + np.arange(count) * np.timedelta64(step_min, "m")
    return "".join(
        f"{stamp},{','.join(f'{value + row % 5 / 10:.1f}' for value in values)}\n"
        for row, stamp in enumerate(np.datetime_as_string(stamps).tolist())
    )


def _record(folder: Path, files: dict[str, str], **parts: str) -> Record:
    (folder / "logs").mkdir(exist_ok=True)
    for name, text in files.items():
        (folder / "logs" / name).write_text(text, encoding="utf-8")
    filled = {part: parts.get(part, "") for part in ("head", "building", "room", "wall", "more")}
    (folder / "survey.toml").write_text(SURVEY.format(**filled), encoding="utf-8")
    survey = read_survey(folder)
    return read_record(survey, survey.walls["pier"])


CLIMATE = "Time,Temp (°C),RH (%)\n"


def test_a_wall_takes_what_it_lacks_from_its_room(tmp_path: Path) -> None:
    record = _record(
        tmp_path,
        {
            "hall.csv": CLIMATE + _rows("2026-01-13T00:00", 100, 18, 50),
            "pier.csv": "Time,Light (lx)\n" + _rows("2026-01-13T00:00", 100, 120),
        },
        room='logs = ["logs/hall.csv"]',
        wall='logs = ["logs/pier.csv"]',
    )
    assert set(record.channels) == {"temperature", "humidity", "light"}
    assert record.from_room == {"temperature", "humidity"}
    assert record.zone == "Europe/Dublin"
    assert record.room is not None
    assert set(record.room.channels) == {"temperature", "humidity"}
    assert (
        record.channels["temperature"].logger == record.room.channels["temperature"].logger == "logs/hall.csv"
    )


def test_downloads_that_overlap_are_joined(tmp_path: Path) -> None:
    whole = CLIMATE + _rows("2026-01-13T00:00", 200, 18, 50)
    lines = whole.splitlines(keepends=True)
    other = list(lines[100:])
    other[5] = other[5].replace(",18.", ",19.").replace(",17.", ",19.")
    record = _record(
        tmp_path,
        {"a.csv": "".join(lines[:131]), "b.csv": lines[0] + "".join(other)},
        wall='logs = ["logs/b.csv", "logs/a.csv"]',
    )
    channel = record.channels["temperature"]
    assert len(channel.values) == 200
    flags = {flag.name: flag for flag in channel.flags}
    assert flags["overlap"].count == 30
    assert flags["downloads_disagree"].count == 1
    assert channel.excluded.sum() == 1
    assert channel.files == ("logs/a.csv", "logs/b.csv")
    assert record.channels["humidity"].excluded.sum() == 0
    assert (np.diff(channel.times.astype(np.int64)) == 1800).all()


def test_dew_point_becomes_humidity(tmp_path: Path) -> None:
    """Against PsychroLib (ASHRAE Handbook - Fundamentals, chapter 1); above 0 degC, where ice plays no part."""
    record = _record(
        tmp_path,
        {"hall.csv": "Time,Temp (°C),Dew point (°C)\n" + _rows("2026-01-13T00:00", 50, 20, 9)},
        room='logs = ["logs/hall.csv"]',
    )
    psychrolib.SetUnitSystem(psychrolib.SI)
    humidity = record.channels["humidity"]
    for air, dew, found in zip(
        record.channels["temperature"].values,
        record.channels["dew_point"].values,
        humidity.values,
        strict=True,
    ):
        assert found == pytest.approx(100 * psychrolib.GetRelHumFromTDewPoint(air, dew), rel=1e-3)
    assert any("worked out from dew point" in note for note in humidity.notes)
    assert humidity.accuracy > 4


def test_a_sensor_and_its_offset(tmp_path: Path) -> None:
    text = "Time,A temp (°C),A RH (%),B temp (°C),B RH (%)\n" + _rows("2026-01-13T00:00", 50, 18, 50, 21, 60)
    record = _record(
        tmp_path,
        {"many.csv": text},
        wall='logs = [{ file = "logs/many.csv", sensor = "B", offset = "0.4 K" }]',
    )
    assert record.channels["temperature"].values[0] == pytest.approx(21.4)
    assert record.channels["humidity"].values[0] == pytest.approx(60.0)
    assert record.channels["temperature"].logger == "logs/many.csv#B"
    with pytest.raises(LogError) as refused:
        _record(tmp_path, {"many.csv": text}, wall='logs = [{ file = "logs/many.csv", sensor = "C" }]')
    assert "there is no sensor 'C'" in refused.value.faults[0].found


def test_settings_by_path_or_by_name(tmp_path: Path) -> None:
    files = {"hall.csv": "Time,Temp,RH\n" + _rows("2026-01-13T00:00", 50, 68, 50)}
    for key in ("logs/hall.csv", "hall.csv"):
        record = _record(
            tmp_path, files, room='logs = ["logs/hall.csv"]',
            more=f'[logger."{key}"]\nunits = {{ temperature = "degF" }}\naccuracy = {{ humidity = "2 %" }}',
        )  # fmt: skip
        assert record.channels["temperature"].values[0] == pytest.approx(20.0)
        assert record.channels["humidity"].accuracy == 2.0


def test_outdoor_logs_of_the_building_come_before_those_of_the_survey(tmp_path: Path) -> None:
    files = {
        "hall.csv": CLIMATE + _rows("2026-01-13T00:00", 50, 18, 50),
        "far.csv": CLIMATE + _rows("2026-01-13T00:00", 50, 2, 80),
        "near.csv": CLIMATE + _rows("2026-01-13T00:00", 50, 4, 85),
    }
    record = _record(tmp_path, files, head='outdoor_logs = ["logs/far.csv"]', room='logs = ["logs/hall.csv"]')
    assert record.outdoors is not None
    assert record.outdoors.channels["temperature"].values[0] == pytest.approx(2.0)
    _record(
        tmp_path, files, head='outdoor_logs = ["logs/far.csv"]', building='outdoor_logs = ["logs/near.csv"]',
        room='logs = ["logs/hall.csv"]',
    )  # fmt: skip
    survey = read_survey(tmp_path)
    near = read_outdoor(survey, survey.buildings["orangery"])
    assert near is not None
    assert near.channels["temperature"].values[0] == pytest.approx(4.0)


def test_a_broken_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(LogError) as refused:
        _record(tmp_path, {"hall.csv": "nothing\n"}, room='logs = ["logs/hall.csv"]')
    assert refused.value.faults[0].where == "logs/hall.csv"


def test_a_file_that_changes_is_read_again(tmp_path: Path) -> None:
    first = _record(
        tmp_path, {"hall.csv": CLIMATE + _rows("2026-01-13T00:00", 50, 18, 50)}, room='logs = "logs/hall.csv"'
    )
    second = _record(
        tmp_path, {"hall.csv": CLIMATE + _rows("2026-01-13T00:00", 60, 19, 50)}, room='logs = "logs/hall.csv"'
    )
    assert len(first.channels["temperature"].values) == 50
    assert len(second.channels["temperature"].values) == 60

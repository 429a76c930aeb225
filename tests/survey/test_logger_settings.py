"""Settings of loggers: for files that are listed, of quantities that there are."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.survey.folders import SMALL, only, survey

LOGGED = SMALL.replace(
    'room = "hall"\n', 'room = "hall"\nlogs = ["a/hall.csv", "b/hall.csv", "b/other.csv"]\n'
)


@pytest.mark.parametrize(
    ("settings", "key", "says", "advice"),
    [
        ('zone = "Europe/Dubln"', "zone", "unknown time zone", "Europe/Dublin"),
        ('offset = { temprature = "1 K" }', "offset.temprature", "unknown quantity", "'temperature'"),
        ('offset = { temperature = "1 %" }', "offset.temperature", "is a humidity", "unit"),
        ('offset = "1 ft"', "offset", "no offset", "unit"),
        ('accuracy = { humidity = "2" }', "accuracy.humidity", "no unit", "unit"),
        ('date_order = "dmy"', "date_order", "'dmy'", ""),
        ("calibrated_on = 2026-02-02\ncalibration_due = 2026-02-01", "calibration_due", "before", ""),
        ("heigth = '5 ft'", "heigth", "unknown key", "'height'"),
    ],
)
def test_settings_of_a_logger(tmp_path: Path, settings: str, key: str, says: str, advice: str) -> None:
    files = ("a/hall.csv", "b/hall.csv", "b/other.csv")
    fault = only(tmp_path, f'{LOGGED}\n[logger."other.csv"]\n{settings}\n', *files)
    assert fault.where.endswith(f"logger 'other.csv'.{key}")
    assert says in fault.found
    assert advice in fault.fix


def test_a_logger_named_by_a_name_that_two_files_have(tmp_path: Path) -> None:
    files = ("a/hall.csv", "b/hall.csv", "b/other.csv")
    fault = only(tmp_path, f'{LOGGED}\n[logger."hall.csv"]\nheight = "5 ft"\n', *files)
    assert "'a/hall.csv', 'b/hall.csv'" in fault.found
    read = survey(tmp_path, f'{LOGGED}\n[logger."a/hall.csv"]\nheight = "5 ft"\n', *files)
    assert list(read.loggers) == ["a/hall.csv"]

"""Files that a survey names stay inside its folder, and are there."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.survey.folders import SMALL, faults, survey, written


@pytest.mark.parametrize(
    ("file", "says"),
    [
        ("../secret.csv", "leaves the survey's folder"),
        ("logs/../../secret.csv", "leaves the survey's folder"),
        ("/etc/passwd", "absolute"),
        ("~/secret.csv", "absolute"),
        ("C:/secret.csv", "absolute"),
        (r"C:\\secret.csv", "backslashes"),
        (r"logs\\hall.csv", "backslashes"),
        ("logs", "no file 'logs'"),
        ("logs/gone.csv", "no file"),
        ("logs/" + "x" * 5000, "cannot be opened"),
        ("logs/link.csv", "link that leaves"),
        ("away/secret.csv", "link that leaves"),
        ("logs/loop.csv", "no file"),
        ("logs/pipe.csv", "no file"),
        ("", "''"),
        (r"logs/\u0000.csv", "no path"),
    ],
)
def test_files_stay_inside_the_folder(tmp_path: Path, file: str, says: str) -> None:
    (tmp_path / "secret.csv").write_text("1,2\n")
    folder = tmp_path / "house"
    (folder / "logs").mkdir(parents=True)
    (folder / "logs/link.csv").symlink_to(tmp_path / "secret.csv")
    (folder / "away").symlink_to(tmp_path)
    (folder / "logs/loop.csv").symlink_to(folder / "logs/loop.csv")
    os.mkfifo(folder / "logs/pipe.csv")
    found = faults(folder, SMALL.replace('room = "hall"\n', f'room = "hall"\nlogs = ["{file}"]\n'))
    assert says in found[0].found or (says == "no file" and "cannot be opened" in found[0].found)
    assert "wall 'hall-north'.logs[1]" in found[0].where


def test_a_link_inside_the_folder_is_followed(tmp_path: Path) -> None:
    written(tmp_path, "", "logs/real.csv")
    (tmp_path / "logs/link.csv").symlink_to(tmp_path / "logs/real.csv")
    read = survey(tmp_path, SMALL.replace('room = "hall"\n', 'room = "hall"\nlogs = "logs/link.csv"\n'))
    assert read.walls["hall-north"].logs[0].file == "logs/link.csv"

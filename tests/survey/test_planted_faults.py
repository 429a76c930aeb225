"""Twelve different slips in one survey: each is found, in one run, with its line, its key and a remedy."""

from __future__ import annotations

from pathlib import Path

import pytest

from stillwall.errors import SurveyError
from tests.survey.folders import faults, survey

PLANTED = """\
[survey]
name = "Larkmoor Botanical Society"
guideline = "bizot-2032"

[[building]]
id = "orangery"

[[room]]
id = "hall"
building = "orangery"
logs = ["../elsewhere/hall.csv", "logs/gone.csv"]

[[wall]]
id = "hall-north"
room = "hall"
hieght = "11 ft"
span = "8 fete"

[[wall]]
room = "hall"
clear_width = "-6 ft"

[[wall]]
id = "hall-attic"
room = "attic"
free_from = 2026-02-30

[[work]]
id = "lime-avenue"
kind = "painting_canvas"
medium = "oil on canvass"
framed = "8 ft wide x 6 ft high"

[[work]]
id = "lime-avenue"
kind = "painting_canvas"
medium = "oil-on-canvas"
"""

# Line, key, and words that the fault must hold: found, then remedy.
EXPECTED = [
    (3, "survey.guideline", "unknown guideline 'bizot-2032'", "bizot-2023"),
    (11, "room 'hall'.logs[1]", "leaves the survey's folder", "into the folder"),
    (11, "room 'hall'.logs[2]", "no file 'logs/gone.csv'", "put the file there"),
    (16, "wall 'hall-north'.hieght", "unknown key 'hieght'", "'height'"),
    (17, "wall 'hall-north'.span", "unknown unit 'fete'", "feet"),
    (19, "wall 2.id", "no id", "add id"),
    (21, "wall 2.clear_width", "negative", "measure it again"),
    (25, "wall 'hall-attic'.room", "unknown room 'attic'", "room"),
    (26, "wall 'hall-attic'.free_from", "date that does not exist", "day and the month"),
    (31, "work 'lime-avenue'.medium", "unknown medium 'oil on canvass'", "'oil-on-canvas'"),
    (32, "work 'lime-avenue'.framed", "width before height", "'6 ft x 8 ft'"),
    (35, "work 'lime-avenue'.id", "a second time", "rename"),
]


def test_twelve_planted_faults_are_twelve_faults(tmp_path: Path) -> None:
    found = faults(tmp_path, PLANTED)
    assert [fault.where for fault in found] == [f"survey.toml:{line}: {key}" for line, key, _, _ in EXPECTED]
    for fault, (_, _, says, remedy) in zip(found, EXPECTED, strict=True):
        assert says in fault.found
        assert remedy in fault.fix


def test_a_survey_with_faults_ends_with_exit_code_1(tmp_path: Path) -> None:
    with pytest.raises(SurveyError) as caught:
        survey(tmp_path, PLANTED)
    assert caught.value.exit_code == 1
    assert len(str(caught.value).splitlines()) == 12


def test_the_corrected_survey_reads(tmp_path: Path) -> None:
    corrected = PLANTED
    for wrong, right in [
        ("bizot-2032", "bizot-2023"),
        ("../elsewhere/hall.csv", "logs/hall.csv"),
        ("logs/gone.csv", "logs/there.csv"),
        ("hieght", "height"),
        ("8 fete", "8 ft"),
        ('[[wall]]\nroom = "hall"', '[[wall]]\nid = "hall-east"\nroom = "hall"'),
        ("-6 ft", "6 ft"),
        ('"attic"', '"hall"'),
        ("2026-02-30", "2026-02-28"),
        ("oil on canvass", "oil-on-canvas"),
        ("8 ft wide x 6 ft high", "6 ft x 8 ft"),
        ('[[work]]\nid = "lime-avenue"', '[[work]]\nid = "orchid-house"'),
    ]:
        assert wrong in corrected
        corrected = corrected.replace(wrong, right, 1)
    read = survey(tmp_path, corrected, "logs/hall.csv", "logs/there.csv")
    assert list(read.walls) == ["hall-north", "hall-east", "hall-attic"]
    assert list(read.works) == ["orchid-house", "lime-avenue"]

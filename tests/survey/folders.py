"""Survey folders for tests: an invented society, as little of it as a survey needs."""

from __future__ import annotations

from pathlib import Path

import pytest

from stillwall.errors import Fault, SurveyError
from stillwall.reference.library import load_library
from stillwall.survey.read import read_survey
from stillwall.survey.survey import Survey

LIBRARY = load_library()
SMALL = """\
[survey]
name = "Larkmoor Botanical Society"

[[building]]
id = "orangery"

[[room]]
id = "hall"
building = "orangery"

[[wall]]
id = "hall-north"
room = "hall"

[[work]]
id = "lime-avenue"
kind = "painting_canvas"
medium = "oil-on-canvas"
"""


def written(folder: Path, text: str, *files: str) -> Path:
    """A folder that holds a survey and, empty, the named files."""
    (folder / "survey.toml").write_text(text, encoding="utf-8", newline="")
    for name in files:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("", encoding="utf-8")
    return folder


def survey(folder: Path, text: str, *files: str) -> Survey:
    """The survey that a text says."""
    return read_survey(written(folder, text, *files), library=LIBRARY)


def faults(folder: Path, text: str, *files: str) -> list[Fault]:
    """What is wrong with a text, which must be something."""
    with pytest.raises(SurveyError) as caught:
        survey(folder, text, *files)
    assert all(fault.where and fault.found and fault.expected and fault.fix for fault in caught.value.faults)
    return list(caught.value.faults)


def only(folder: Path, text: str, *files: str) -> Fault:
    """The one thing that is wrong with a text."""
    found = faults(folder, text, *files)
    assert len(found) == 1, "\n".join(map(str, found))
    return found[0]

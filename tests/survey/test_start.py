"""The survey to start from: it reads as it is, and so does everything that it offers."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from stillwall.errors import SurveyError
from stillwall.survey.entries import MODELS
from stillwall.survey.loggers import LoggerSettings
from stillwall.survey.read import read_survey
from stillwall.survey.rows import models_in, shape_of
from stillwall.survey.start import write_start
from stillwall.survey.survey import SurveyHead
from stillwall.units import Size
from tests.survey.folders import LIBRARY

OFFERED = re.compile(r"^#(?! |$)", re.MULTILINE)


def taken_up(text: str) -> str:
    """The survey with every offered line taken up."""
    return OFFERED.sub("", text)


def test_it_reads_without_faults_as_written(tmp_path: Path) -> None:
    path = write_start(tmp_path / "new" / "house")
    read = read_survey(path.parent, library=LIBRARY)
    assert path.name == "survey.toml"
    assert (path.parent / "logs").is_dir()
    assert list(read.walls) == ["hall-north"]
    assert list(read.works) == ["lime-avenue"]


def test_everything_it_offers_reads_without_faults(tmp_path: Path) -> None:
    path = write_start(tmp_path)
    path.write_text(taken_up(path.read_text("utf-8")), encoding="utf-8")
    for name in ("garden", "hall", "hall-north", "many", "old-house"):
        (tmp_path / "logs" / f"{name}.csv").write_text("", encoding="utf-8")
    (tmp_path / "inventory.csv").write_text(
        "Number,Title,Technique,H,W\n1887.4,Ferns at Dusk,Oil/canvas,30,40 1/2\n", encoding="utf-8"
    )
    read = read_survey(tmp_path, library=LIBRARY)
    assert set(read.works) == {"lime-avenue", "founder-bust", "1887.4"}
    assert read.works["1887.4"].image == Size(30 * 0.0254, pytest.approx(40.5 * 0.0254))
    assert read.heat_sources["hall-hearth"].flue == "damper"
    assert len(read.notes) == 2


def _models(model: type[Any]) -> set[type[Any]]:
    inside = {
        one for hint in shape_of(model).keys.values() for one in models_in(hint) if one not in (Size, model)
    }
    return {model}.union(*map(_models, inside))


@pytest.mark.parametrize("top", [SurveyHead, LoggerSettings, *MODELS.values()])
def test_it_shows_every_key_that_there_is(tmp_path: Path, top: type[Any]) -> None:
    words = set(re.findall(r"[\w-]+(?= = )", taken_up(write_start(tmp_path).read_text("utf-8"))))
    for model in _models(top):
        assert set(shape_of(model).keys) <= words, model.__name__


def test_it_asks_the_most_decisive_facts_first(tmp_path: Path) -> None:
    # The order of a surveyor short of time; common practice, no source.
    text = write_start(tmp_path).read_text("utf-8")
    order = ["framed size", "built of", "under and behind", "doors swing", "wide the way", "parties",
             "bottom edge", "logger stands"]  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_it_never_overwrites(tmp_path: Path) -> None:
    (tmp_path / "survey.toml").write_text("mine", encoding="utf-8")
    with pytest.raises(SurveyError) as caught:
        write_start(tmp_path)
    assert "already" in str(caught.value)
    assert (tmp_path / "survey.toml").read_text("utf-8") == "mine"


def test_it_does_not_write_through_a_dangling_link(tmp_path: Path) -> None:
    folder = tmp_path / "house"
    folder.mkdir()
    (folder / "survey.toml").symlink_to(tmp_path / "elsewhere.toml")
    with pytest.raises(SurveyError):
        write_start(folder)
    assert not (tmp_path / "elsewhere.toml").exists()


def test_a_file_in_the_way_is_an_error_in_words(tmp_path: Path) -> None:
    (tmp_path / "house").write_text("", encoding="utf-8")
    with pytest.raises(SurveyError):
        write_start(tmp_path / "house")
    (tmp_path / "logs").write_text("", encoding="utf-8")
    with pytest.raises(SurveyError):
        write_start(tmp_path)
    assert not (tmp_path / "survey.toml").exists()


def test_the_command_says_what_to_do_next_and_fails_in_words(tmp_path: Path) -> None:
    command = [
        sys.executable,
        "-c",
        "from stillwall.cli import main; main()",
        "start",
        str(tmp_path / "house"),
    ]
    first = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "stillwall check" in first.stdout
    again = subprocess.run(command, capture_output=True, text=True, check=False)
    assert again.returncode == 1
    assert again.stderr.startswith("error: ")
    assert "Traceback" not in again.stderr

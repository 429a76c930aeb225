"""The package from Python: what it offers, when it loads it, and that it says what the commands say."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import shutil
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

import stillwall
from stillwall.cli import app
from stillwall.documents import matrix_document, rank_document, season_document, vet_document

DEMO = Path(__file__).parents[1] / "sample_logs"
WORK = "portrait-of-the-seedsman"
HEAVY = ("pandas", "numpy", "scipy", "matplotlib", "pint", "pyarrow", "pydantic")


def in_a_new_process(program: str) -> str:
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    return done.stdout


def command(*arguments: str) -> dict:
    """A command's JSON, run on a copy of the demo with its own memory."""
    ended = CliRunner().invoke(app, [*arguments, "--json"])
    assert ended.exit_code in (0, 3), ended.output
    return json.loads(ended.stdout)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("api") / "larkmoor"
    shutil.copytree(DEMO, made, ignore=shutil.ignore_patterns(".stillwall"))
    return made


@pytest.fixture(scope="module")
def survey():
    return stillwall.open_survey(DEMO, remember=False, jobs=1)


@pytest.fixture(scope="module")
def ranking(survey):
    return survey.rank(work=WORK)


def test_import_loads_nothing_heavy():
    loaded = in_a_new_process("import sys, stillwall, stillwall as s; dir(s); print(*sys.modules)")
    assert not {name.partition(".")[0] for name in loaded.split()} & set(HEAVY)


def test_an_error_class_can_be_named_without_loading_anything_heavy():
    loaded = in_a_new_process("import sys; from stillwall import StillwallError; print(*sys.modules)")
    assert not {name.partition(".")[0] for name in loaded.split()} & set(HEAVY)


def test_all_that_is_offered_is_there():
    assert all(getattr(stillwall, name) is not None for name in stillwall.__all__)
    assert dir(stillwall) == sorted(stillwall.__all__)
    assert stillwall.__version__ == version("stillwall")
    with pytest.raises(AttributeError, match="no attribute 'open_surveys'"):
        stillwall.open_surveys  # noqa: B018


def test_a_fault_is_one_of_the_packages_own_errors(tmp_path):
    with pytest.raises(stillwall.StillwallError, match=r"survey\.toml"):
        stillwall.open_survey(tmp_path)


def test_unknown_work_offers_the_nearest(survey):
    with pytest.raises(stillwall.InputError, match=WORK):
        survey.rank(work="portrait-of-a-seedsman")


def test_remembering_nothing_writes_nothing(ranking):
    before = {path.name for path in DEMO.iterdir()}
    stillwall.open_survey(DEMO, remember=False, jobs=1).vet(WORK, ranking.places[0].id)
    assert {path.name for path in DEMO.iterdir()} == before


def test_answers_are_frozen(survey, ranking):
    placed = ranking.by_place[ranking.places[0].id]
    for answer, field in (
        (survey, "system"),
        (ranking, "places"),
        (ranking.places[0], "rank"),
        (placed, "judged"),
        (placed.judged, "verdict"),
        (placed.judged.loads[0], "draws"),
    ):
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(answer, field, None)


def test_ranking_to_frame(ranking):
    frame = ranking.to_frame()
    assert list(frame.columns) == [
        "wall",
        "rank",
        "verdict",
        "governing",
        "ratio",
        "chance_any",
        "chance_best",
    ]
    assert list(frame["wall"]) == [ranked.id for ranked in ranking.places]
    assert frame["rank"].is_monotonic_increasing
    assert set(frame["wall"]) == set(ranking.opened.survey.walls)


def test_frame_and_document_say_the_same(ranking):
    frame = ranking.to_frame().set_index("wall")
    for wall in rank_document(ranking)["walls"]:
        row = frame.loc[wall["wall"]]
        assert (row["rank"], row["verdict"], row["governing"]) == (
            wall["rank"],
            wall["verdict"],
            wall["governing"],
        )
        if wall["governing"] is not None:
            (load,) = [load for load in wall["loads"] if load["hazard"] == wall["governing"]]
            governs = load["high"] if load["kind"] == "safety" and not load["barred"] else load["ratio"]
            assert row["ratio"] == pytest.approx(governs, rel=1e-5)
        if wall["chance_any"] is not None:
            assert row["chance_any"] == pytest.approx(wall["chance_any"], rel=1e-5)


def test_rank_is_what_the_command_prints(folder, ranking):
    assert rank_document(ranking) == command("rank", str(folder), "--work", WORK)


def test_vet_is_what_the_command_prints(folder, survey, ranking):
    wall = ranking.places[0].id
    vetting = survey.vet(WORK, wall)
    assert vet_document(vetting) == command("vet", str(folder), "--work", WORK, "--wall", wall)


def test_season_is_what_the_command_prints(folder):
    day = dt.date(2026, 2, 14)
    opened = stillwall.open_survey(DEMO, as_of=day, remember=False, jobs=1)
    assert season_document(opened.season()) == command("season", str(folder), "--as-of", day.isoformat())


def test_matrix_is_what_the_command_prints(folder, survey):
    matrix = survey.matrix()
    assert matrix_document(matrix) == command("matrix", str(folder))
    frame = matrix.to_frame()
    assert list(frame.columns) == ["work", "wall", "verdict", "governing", "ratio"]
    assert len(frame) == len(matrix.cells)
    assert np.isfinite(frame["ratio"].dropna()).all()


def test_every_work_for_a_wall_to_frame(survey, ranking):
    answer = survey.rank_wall(ranking.places[0].id)
    frame = answer.to_frame()
    assert list(frame.columns)[:3] == ["work", "rank", "verdict"]
    assert WORK in set(frame["work"])


def test_another_seed_moves_chances_and_little_else(ranking):
    other = stillwall.open_survey(DEMO, seed=99, remember=False, jobs=1).rank(work=WORK)
    for name, placed in ranking.by_place.items():
        there = other.by_place[name].judged
        assert there.chance_any == pytest.approx(placed.judged.chance_any, abs=0.06)

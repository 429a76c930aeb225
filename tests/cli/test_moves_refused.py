"""Moves that cannot be: told in words, with exit code 1."""

import json

import pytest
from tests.judgement.moves.test_from_survey import SURVEY
from typer.testing import CliRunner

from stillwall.cli import app

DAY = ("--as-of", "2026-03-02")


def moves(folder, text, *options):
    (folder / "survey.toml").write_text(text, "utf-8")
    return CliRunner().invoke(app, ["moves", str(folder), *DAY, *options])


def test_a_work_in_two_places(tmp_path):
    bust = (
        '\n[[pedestal]]\nid = "plinth"\nroom = "hall"\nwork = "botanist"\n'
        '[[work]]\nid = "botanist"\nkind = "bust"\nmedium = "marble"\nnow_at = "lobby"\n'
    )
    ended = moves(tmp_path, SURVEY + bust)
    assert ended.exit_code == 1
    told = str(ended.exception) + ended.output
    assert "'botanist' stands here and is at 'lobby'" in told


@pytest.mark.parametrize("as_json", [False, True])
def test_a_work_for_which_there_is_no_place(tmp_path, as_json):
    # Nothing is logged here, so that nothing is decided and no wall may take the incoming work.
    ended = moves(
        tmp_path, SURVEY.replace('span = "4 m"', 'span = "0.5 m"'), *(["--json"] if as_json else [])
    )
    assert ended.exit_code == 1
    if as_json:
        made = json.loads(ended.stdout)
        assert made["trips"] == []
        assert set(made["conflicts"]) == {
            "Ferns at Dusk must have a place",
            "Ferns at Dusk suits only: no place",
        }
    else:
        assert "There is no plan that meets every condition." in ended.stdout

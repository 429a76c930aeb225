"""Commands on the demo: the JSON contract, exit codes, files written whole or not at all."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from stillwall.cli import app, main
from stillwall.hazards import hazards

SAMPLE = Path(__file__).parents[2] / "sample_logs"
WORK = "portrait-of-the-seedsman"
LOAD_KEYS = {
    *("hazard", "kind", "ratio", "low", "high", "barred", "missing", "deciding", "chance_over"),
    *("exposure", "allowance", "span", "evidence", "reason", "source", "notes"),
}
WALL_KEYS = {
    *("wall", "rank", "verdict", "governing", "chance_any", "chance_best", "ties", "against_present"),
    *("until", "measures", "would_decide", "cautions", "loads"),
}
VERDICTS = ["suitable", "suitable with measures", "undecided", "unsuitable"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's folder, copied, so that what is remembered stays out of the repository."""
    made = tmp_path_factory.mktemp("demo") / "larkmoor"
    shutil.copytree(SAMPLE, made, ignore=shutil.ignore_patterns(".stillwall"))
    return made


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, [str(each) for each in arguments])


def document(*arguments: object) -> dict[str, Any]:
    ended = run(*arguments, "--json")
    assert ended.exit_code == 0, ended.output
    made: dict[str, Any] = json.loads(ended.stdout)
    assert made["stillwall"] == 1
    return made


@pytest.fixture(scope="module")
def ranking(folder: Path) -> dict[str, Any]:
    return document("rank", folder, "--work", WORK)


def test_rank_holds_every_wall_with_every_load_that_can_touch_the_work(
    folder: Path, ranking: dict[str, Any]
) -> None:
    from stillwall.survey.read import read_survey

    survey = read_survey(folder)
    assert {wall["wall"] for wall in ranking["walls"]} == set(survey.walls)
    assert [wall["rank"] for wall in ranking["walls"]] == list(range(1, len(survey.walls) + 1))
    for wall in ranking["walls"]:
        assert set(wall) >= WALL_KEYS
        assert wall["verdict"] in VERDICTS
        names = [load["hazard"] for load in wall["loads"]]
        assert len(names) == len(set(names)), "no hazard says the same thing twice"
        assert set(names) <= set(hazards())
        assert {"temperature", "humidity", "humidity_swing", "light_dose", "fit"} <= set(names)
        for load in wall["loads"]:
            assert set(load) == LOAD_KEYS
            assert load["reason"]
            assert load["ratio"] is not None or load["barred"] or load["missing"], load
            if load["evidence"] == "missing":
                assert load["missing"], "what is missing is said"
            if load["ratio"] is not None:
                assert load["low"] <= load["ratio"] <= load["high"]
                assert load["source"]


def test_groups_are_in_order(ranking: dict[str, Any]) -> None:
    groups = [VERDICTS.index(wall["verdict"]) for wall in ranking["walls"]]
    assert groups == sorted(groups)


def test_a_verdict_that_needs_something_says_what(ranking: dict[str, Any]) -> None:
    for wall in ranking["walls"]:
        if wall["verdict"] == "suitable with measures":
            assert wall["measures"]
        if wall["verdict"] == "undecided":
            assert wall["would_decide"]


def test_chances_of_being_best_add_up_and_the_screen_says_why_the_first_is_not_the_likeliest(
    folder: Path, ranking: dict[str, Any]
) -> None:
    chances = [wall["chance_best"] for wall in ranking["walls"]]
    assert sum(chances) == pytest.approx(1.0, abs=1e-3)
    told = " ".join(run("rank", folder, "--work", WORK).stdout.split())
    assert ("It comes first because" in told) == (max(chances) >= chances[0] + 0.1)
    measured = any(wall["measures"] for wall in ranking["walls"])
    assert ("with the first of its measures taken" in told) == measured


def test_vet_says_the_same_as_rank(folder: Path, ranking: dict[str, Any]) -> None:
    first = ranking["walls"][0]
    vetted = document("vet", folder, "--work", WORK, "--wall", first["wall"])
    assert vetted["work"] == WORK
    for key in WALL_KEYS - {"rank", "chance_best", "ties"}:
        assert vetted[key] == first[key], key


def test_rank_by_wall(folder: Path) -> None:
    made = document("rank", folder, "--wall", "orangery-north")
    assert made["wall"] == "orangery-north"
    assert {entry["work"] for entry in made["works"]} >= {WORK, "lime-avenue"}


def test_matrix(folder: Path) -> None:
    made = document("matrix", folder)
    pairs = {(cell["work"], cell["wall"]) for cell in made["cells"]}
    assert len(pairs) == len(made["cells"])
    assert {work for work, _ in pairs} == set(made["works"])
    assert all(cell["verdict"] in VERDICTS for cell in made["cells"])


def test_season_ends_with_3_where_something_is_new(folder: Path) -> None:
    ended = run("season", folder, "--json")
    made = json.loads(ended.stdout)
    new = [alert for room in made["rooms"] for alert in room["alerts"] if alert["acknowledged"] is None]
    assert ended.exit_code == (3 if new else 0)
    for room in made["rooms"]:
        assert set(room["season"]) == {"name", "from", "to"}
        for channel in room["channels"]:
            assert {"role", "coverage", "median", "low", "high", "in_band", "against_last_year"} <= set(
                channel
            )


def test_check_reads_every_log(folder: Path) -> None:
    made = document("check", folder)
    assert len(made["logs"]) >= 16
    assert all(log["error"] is None for log in made["logs"])
    assert sum(channel["readings"] for log in made["logs"] for channel in log["channels"]) > 100_000


def test_sources_name_every_limit(folder: Path) -> None:
    made = document("sources")
    assert len(made["limits"]) > 300
    for limit in made["limits"]:
        assert set(limit) == {"id", "value", "unit", "source", "locator", "checked"}


def test_report_is_written_whole_and_named(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "deep" / "report.html"
    made = document("report", folder, "--work", WORK, "--out", out, "--pdf")
    assert made == {"stillwall": 1, "html": str(out), "pdf": str(out.with_suffix(".pdf"))}
    assert out.read_text(encoding="utf-8").endswith("</html>\n")
    assert [file.name for file in out.parent.iterdir()].count("report.html") == 1
    assert not list(out.parent.glob("*.part"))


def test_human_answers_fit_80_columns_without_colour(folder: Path) -> None:
    screens: tuple[tuple[object, ...], ...] = (
        ("rank", folder, "--work", WORK),
        ("rank", folder, "--wall", "orangery-north"),
        ("vet", folder, "--work", WORK, "--wall", "orangery-north"),
        ("season", folder),
        ("check", folder),
    )
    for arguments in screens:
        ended = run(*arguments)
        assert ended.exit_code in (0, 3)
        assert "\x1b" not in ended.stdout
        assert max(map(len, ended.stdout.splitlines())) <= 80, arguments


def test_out_writes_a_file_and_leaves_the_screen(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "rank.json"
    ended = run("rank", folder, "--work", WORK, "--json", "--out", out)
    assert ended.exit_code == 0
    assert ended.stdout == ""
    assert json.loads(out.read_text(encoding="utf-8"))["work"] == WORK


def called(monkeypatch: pytest.MonkeyPatch, *arguments: object) -> int:
    monkeypatch.setattr("sys.argv", ["stillwall", *map(str, arguments)])
    with pytest.raises(SystemExit) as ended:
        main()
    return int(ended.value.code or 0)


def test_an_unknown_work_is_bad_input_and_names_the_nearest(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert called(monkeypatch, "rank", folder, "--work", "lime-avenu") == 1
    told = capsys.readouterr().err
    assert told.startswith("error: --work: 'lime-avenu'")
    assert "lime-avenue" in told


def test_a_folder_without_a_survey_is_bad_input(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert called(monkeypatch, "rank", tmp_path, "--work", WORK) == 1
    assert "survey.toml" in capsys.readouterr().err


def test_an_end_before_the_start_is_bad_input(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    dates = ("--from", "2026-05-01", "--to", "2026-04-01")
    code = called(monkeypatch, "vet", folder, "--work", WORK, "--wall", "orangery-north", *dates)
    assert code == 1
    assert "after the beginning" in capsys.readouterr().err


def test_a_place_that_cannot_be_written_leaves_nothing(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    assert called(monkeypatch, "sources", "--out", blocked / "sources.txt") == 1
    assert "can be written" in capsys.readouterr().err
    assert blocked.read_text() == "not a folder"


def test_a_broken_log_stops_only_what_rests_on_it(
    folder: Path, tmp_path: Path, ranking: dict[str, Any]
) -> None:
    broken = tmp_path / "broken"
    shutil.copytree(folder, broken, ignore=shutil.ignore_patterns(".stillwall"))
    (broken / "logs" / "ballroom-north-light.csv").write_bytes(b"\x00\x01 nothing to read\n" * 50)
    made = document("rank", broken, "--work", WORK, "--as-of", ranking["stay"]["from"])
    before = {wall["wall"]: wall for wall in ranking["walls"]}
    for wall in made["walls"]:
        if wall["wall"] == "ballroom-north":
            (light,) = (load for load in wall["loads"] if load["hazard"] == "light_dose")
            assert light["evidence"] in ("missing", "assumed")
        else:
            assert wall["loads"] == before[wall["wall"]]["loads"], wall["wall"]

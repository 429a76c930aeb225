"""Answers on real readings: the contract, and what a conservator would expect of the rooms."""

from __future__ import annotations

import datetime as dt
import json

import pytest
from typer.testing import CliRunner

from stillwall.assess import open_survey
from stillwall.cli import app

NAMES = ("houses", "nine_rooms", "office")
VERDICTS = ["suitable", "suitable with measures", "undecided", "unsuitable"]
EVIDENCE = {"measured", "surveyed", "assumed", "missing"}
LOAD_KEYS = {
    *("hazard", "kind", "ratio", "low", "high", "barred", "missing", "deciding", "chance_over"),
    *("exposure", "allowance", "span", "evidence", "reason", "source", "notes"),
}
WALL_KEYS = {
    *("wall", "rank", "verdict", "governing", "chance_any", "chance_best", "ties", "against_present"),
    *("until", "measures", "would_decide", "cautions", "loads"),
}
CLIMATE = {"temperature", "humidity", "humidity_swing", "mould", "corrosion", "wall_climate", "ageing"}


def asked(*arguments, ends=(0,)):
    ended = CliRunner().invoke(app, [*map(str, arguments), "--json"])
    assert ended.exit_code in ends, ended.output
    made = json.loads(ended.stdout)
    assert made["stillwall"] == 1
    return made


def holds_the_contract(wall):
    assert set(wall) >= WALL_KEYS
    assert wall["verdict"] in VERDICTS
    hazards = [load["hazard"] for load in wall["loads"]]
    assert len(set(hazards)) == len(hazards)
    for load in wall["loads"]:
        assert set(load) == LOAD_KEYS
        assert load["evidence"] in EVIDENCE
        assert load["reason"]
        assert load["source"]
        if load["ratio"] is None:
            assert load["missing"] or load["barred"]
        else:
            assert 0 <= load["low"] <= load["ratio"] <= load["high"]
            assert 0 <= load["chance_over"] <= 1


def loads_of(opened, work, place, *, start=None, end=None):
    judged = opened.vet(work, place, start=start, end=end).placed.judged
    return judged, {load.hazard: load for load in judged.loads}


@pytest.mark.parametrize("name", NAMES)
def test_rank_of_every_work(folder_of, opened, name):
    survey = opened(name).survey
    for work in survey.works:
        made = asked("rank", folder_of(name), "--work", work)
        assert {wall["wall"] for wall in made["walls"]} == set(survey.walls)
        places = [(wall["rank"], VERDICTS.index(wall["verdict"])) for wall in made["walls"]]
        assert places == sorted(places)
        for wall in made["walls"]:
            holds_the_contract(wall)


@pytest.mark.parametrize("name", NAMES)
def test_vet_and_matrix_say_the_same(folder_of, opened, name):
    survey = opened(name).survey
    matrix = asked("matrix", folder_of(name))
    assert matrix["works"] == list(survey.works)
    assert matrix["walls"] == list(survey.walls)
    cells = {(cell["work"], cell["wall"]): cell for cell in matrix["cells"]}
    assert set(cells) == {(work, wall) for work in survey.works for wall in survey.walls}
    work, wall = list(survey.works)[-1], next(iter(survey.walls))
    vetted = asked("vet", folder_of(name), "--work", work, "--wall", wall)
    holds_the_contract(vetted)
    assert vetted["verdict"] == cells[work, wall]["verdict"]
    assert vetted["governing"] == cells[work, wall]["governing"]


@pytest.mark.parametrize("name", NAMES)
def test_season_of_the_last_reading(folder_of, name):
    made = asked("season", folder_of(name), ends=(0, 3))
    assert made["rooms"]
    for room in made["rooms"]:
        assert set(room) >= {"room", "season", "channels", "alerts"}
        for channel in room["channels"]:
            assert 0 <= channel["coverage"] <= 1
            assert channel["median"] is None or channel["low"] <= channel["median"] <= channel["high"]


@pytest.mark.parametrize("name", ["nine_rooms", "office"])
def test_seasons_that_nobody_saw_are_never_cleared(opened, name):
    """137 days from January to May, and two weeks of a February, say nothing of a summer."""
    survey = opened(name).survey
    for work in survey.works:
        for wall in survey.walls:
            judged, loads = loads_of(opened(name), work, wall)
            assert judged.verdict in ("undecided", "unsuitable")
            for hazard in CLIMATE & set(loads):
                found = loads[hazard]
                if hazard == "wall_climate" and found.ratio is None:
                    continue
                assert found.evidence in ("assumed", "missing"), hazard
                if found.deciding:
                    assert found.evidence == "missing", hazard
                    assert found.missing, hazard


def test_a_stay_inside_what_was_seen_rests_on_measurements(opened):
    """From March to May the nine rooms were logged throughout; nothing has to be guessed of that."""
    spring = {"start": dt.date(2016, 3, 1), "end": dt.date(2016, 5, 25)}
    for place in ("office-wall", "bathroom-wall", "east-bedroom-wall"):
        _, whole = loads_of(opened("nine_rooms"), "spade", place)
        _, part = loads_of(opened("nine_rooms"), "spade", place, **spring)
        assert part["corrosion"].evidence == "measured"
        assert whole["corrosion"].evidence != "measured"
        assert not part["corrosion"].missing


def test_a_kitchen_where_people_cook_is_told_for_its_smoke(opened):
    _, kitchen = loads_of(opened("nine_rooms"), "meadow-watercolour", "kitchen-wall")
    _, office = loads_of(opened("nine_rooms"), "meadow-watercolour", "office-wall")
    assert kitchen["smoke"].ratio > 0.5
    assert "smoke" not in office or office["smoke"].ratio < kitchen["smoke"].ratio / 2


def test_steel_in_a_bathroom_rusts_and_that_governs(opened):
    judged, loads = loads_of(opened("nine_rooms"), "spade", "bathroom-wall")
    assert judged.governing == "corrosion"
    assert loads["corrosion"].chance_over > 0.9
    ranking = opened("nine_rooms").rank(work="spade")
    assert ranking.places[-1].id == "bathroom-wall"


def test_a_bathroom_swings_most(opened):
    swings = {
        place: loads_of(opened("nine_rooms"), "orchard-panel", place)[1]["humidity_swing"].ratio
        for place in opened("nine_rooms").survey.walls
    }
    assert max(swings, key=lambda place: swings[place]) == "bathroom-wall"


def test_warm_dry_houses_are_no_place_for_a_colour_print(opened):
    """Twenty to thirty degrees the year round, against 16 to 20 for the dyes: unsuitable, on that."""
    for place in opened("houses").survey.walls:
        judged, loads = loads_of(opened("houses"), "moss-photograph", place)
        assert judged.verdict == "unsuitable"
        assert judged.governing == "temperature"
        assert loads["temperature"].low > 3.0


def test_no_mould_in_heated_rooms_that_never_pass_67_per_cent(opened):
    for place in opened("houses").survey.walls:
        for work in opened("houses").survey.works:
            _, loads = loads_of(opened("houses"), work, place)
            assert loads["mould"].ratio < 0.1
            assert loads["mould"].evidence == "measured"


def test_moving_the_panel_next_door_is_easier_on_it_than_another_house(opened):
    """Its own room's air is what it is used to; the other house goes ten per cent higher in summer."""
    ratios = {
        place: loads_of(opened("houses"), "orchard-panel", place)[1]["humidity"].ratio
        for place in opened("houses").survey.walls
    }
    assert max(ratios["larch-study-inner"], ratios["larch-bedroom-inner"]) < min(
        ratios["fern-study-inner"], ratios["fern-bedroom-inner"]
    )
    assert ratios["larch-study-inner"] <= 1.05
    assert ratios["fern-study-inner"] > 1.3


@pytest.mark.parametrize("day", [dt.date(2011, 12, 20), dt.date(2012, 2, 15), dt.date(2012, 5, 20)])
def test_seasons_of_the_houses(folder_of, day):
    """The rooms' warmth did not change, and the second house changed in nothing: no alert says otherwise.

    The rooms of a house must agree.
    """
    rooms = {
        spot.room: spot
        for spot in open_survey(folder_of("houses"), as_of=day, remember=False, jobs=1).season()
    }
    assert not rooms["fern-study"].alerts
    assert not rooms["fern-bedroom"].alerts
    for spot in rooms.values():
        assert [alert.kind for alert in spot.alerts if alert.kind != "humidity"] == []
        assert all(channel.against_last_year.adjusted for channel in spot.channels)
    for house in ("larch", "fern"):
        for quantity in range(2):
            pair = [
                rooms[f"{house}-{room}"].channels[quantity].against_last_year for room in ("study", "bedroom")
            ]
            assert abs(pair[0].change - pair[1].change) < 1.0


def test_a_house_that_grew_drier_in_a_milder_winter(folder_of):
    """Winter to 15 February: 3 to 4 K warmer outside and moister, and one house 4 %RH drier than before.

    The other, under the same sky, went up by 5 %RH as one would think; that is the weather and no change.
    """
    spots = open_survey(folder_of("houses"), as_of=dt.date(2012, 2, 15), remember=False, jobs=1).season()
    humidity = {spot.room: spot.channels[1].against_last_year for spot in spots}
    for room in ("larch-study", "larch-bedroom"):
        assert humidity[room].high < 0.0
        assert humidity[room].change < -3.0
    for room in ("fern-study", "fern-bedroom"):
        assert humidity[room].low < 0.0 < humidity[room].high
    assert "larch-bedroom" in {spot.room for spot in spots if spot.alerts}

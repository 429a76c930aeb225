"""Every sentence that a person reads: names and not ids, one system of units, plain numbers, a stop at the end."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from stillwall.assess import open_survey
from stillwall.charts.figures import against
from stillwall.hazards import loads
from stillwall.record import Record
from stillwall.report.words import answer, verdict_sentence
from stillwall.survey.features import Opening, Route, RouteStep
from stillwall.survey.places import Event, KeepClear, Room, Stair, Tables, Wall
from stillwall.units import Size
from tests.hazards import climate_cases
from tests.hazards.climate_cases import hours, record
from tests.hazards.wall_cases import case
from tests.vignettes.sentences import faults_of, faults_of_figures, sentences, told_ids

SAMPLE = Path(__file__).parents[2] / "sample_logs"
SYSTEMS = ("us", "si")
WORK = {"id": "wk-9"}
ROOM = {"id": "rm-7", "name": "Long Passage", "use": "corridor"}
WALL = {"id": "w-31", "room": "rm-7", "name": "north wall"}
UNKNOWN_ROOM = dict.fromkeys(
    (
        *(
            "people_per_day",
            "people_peak_hour",
            "children_share",
            "bags_share",
            "wheelchair_share",
            "smoking",
        ),
        *("trolley_trips_per_day", "supervised_share", "cooking", "candles_evenings_per_year", "leaks_known"),
        *("pipes_overhead", "sprinklers", "loud_music", "unseen_hours", "size"),
    )
)
UNKNOWN_WALL = dict.fromkeys(
    ("side", "height_m", "span_m", "build", "fixings_allowed", "circulation", "clear_width_m", "outside")
)
HEAT_KINDS = (
    *("hearth", "stove", "gas_fire", "radiator", "pipe", "register", "diffuser", "fan_coil", "picture_light"),
    *("sconce", "candle", "range", "warmer", "flue"),
)


def door(**facts) -> Opening:
    known = {"id": "d-1", "kind": "inside_door", "room": "rm-7", "side": "east", "leads_to": "rm-8"}
    return Opening(**(known | facts))


def heat(kind: str, **facts) -> dict:
    return {"id": f"h-{kind}", "room": "rm-7", "kind": kind, **facts}


BUSY = {
    "sprinklers": True,
    "smoking": True,
    "loud_music": True,
    "leaks_known": True,
    "flood_level_m": 0.4,
    "candles_evenings_per_year": 1.0,
    "events": (Event(name="Dance", per_year=1, guests=40, drinks=True, food=True, candles=True),),
}
HOUSES = {
    "nothing is known": {
        "room": ROOM | UNKNOWN_ROOM,
        "wall": WALL | UNKNOWN_WALL,
        "work": {
            "framed": None,
            "image": None,
            "mass_kg": None,
            "mass_known": None,
            "frame": None,
            "glazing": None,
            "condition": None,
            "depth_m": None,
        },
        "building": {"open_days": None},
        "doors": [door(side=None), door(id="d-2", side=None), door(id="d-3", kind="outside_door")],
        "heat": [heat(kind) for kind in HEAT_KINDS],
        "rooms": [Room(id="rm-8", building="seed-hall", name="Study")],
    },
    "a busy way out": {
        "room": ROOM | BUSY,
        "wall": WALL
        | {
            "circulation": "required_egress",
            "clear_width_m": 1.2,
            "build": "lath_plaster",
            "fixings_allowed": None,
            "marks_last_year": 1.0,
            "stair": Stair(riser_m=0.17, tread_m=0.28),
            "tables": Tables(edge_to_wall_m=0.8, seatings_per_year=900),
            "pipes_within_m": 0.5,
            "keep_clear": (KeepClear(what="thermostat", at_m=1.0, size=Size(0.1, 0.1), sill_m=None),),
        },
        "work": {
            "framed": Size(2.0, 2.6, 0.16),
            "mass_kg": 71.0,
            "frame": "composition",
            "condition": "loose_ornament",
            "hanging": "wire",
            "ratings_kg": (20.0,),
            "orientation": "upright",
        },
        "doors": [
            door(
                at_m=0.2, leaf_width_m=0.9, hinge="left", opens_to_deg=160.0, opens="in", clear=Size(2.0, 0.8)
            ),
            door(id="d-2", kind="outside_door", at_m=2.0, leaf_width_m=0.9, opens="both", vestibule=None),
            door(id="d-3", kind="service_door", side="north", at_m=3.0, leaf_width_m=0.8, opens="both"),
        ],
        "heat": [
            heat(kind, wall="w-31", at_m=1.0, width_m=1.0, used="daily", fires_per_year=1.0)
            for kind in HEAT_KINDS
        ],
        "rooms": [Room(id="rm-8", building="seed-hall", name="Study")],
        "routes": [
            Route(
                id="rt-1",
                start="outside",
                end="rm-7",
                steps=(
                    RouteStep(kind="door", clear=Size(2.0, 0.8)),
                    RouteStep(kind="stair"),
                    RouteStep(kind="turn", turn=Size(1.0, 1.1)),
                    RouteStep(kind="door"),
                ),
            )
        ],
    },
    "fires that nobody lights": {
        "room": ROOM,
        "wall": WALL | {"build": "chimney_breast", "mantel_shelf_m": 1.2},
        "work": {"kind": "panel", "medium": "oil-on-panel", "frame": "gilded_gesso"},
        "heat": [heat(kind, wall="w-31", at_m=1.0, width_m=1.0, used="never") for kind in HEAT_KINDS],
        "doors": [],
    },
    "a bust in a bar": {
        "room": ROOM | BUSY | {"use": "bar", "supervised_share": None},
        "pedestal": {
            "id": "p-1",
            "room": "rm-7",
            "name": "foot of the stairs",
            "height_m": 1.1,
            "base": Size(0.35, 0.35),
            "top": Size(0.3, 0.3),
            "bust_base": Size(0.25, 0.25),
        },
        "work": {
            "kind": "bust",
            "medium": "marble",
            "framed": None,
            "image": Size(0.6, 0.4, 0.3),
            "frame": None,
        },
        "doors": [door()],
    },
    "a pedestal that nobody measured": {
        "room": ROOM,
        "pedestal": {"id": "p-1", "room": "rm-7", "name": "foot of the stairs"},
        "work": {"kind": "bust", "medium": "plaster", "image": Size(0.6, 0.4, 0.3), "frame": None},
        "doors": [door(kind="outside_door", opens_per_day=1.0)],
    },
}
CLIMATES = {
    "not logged": Record(place="w-31", channels={}),
    "steady": record(place="w-31"),
    "damp": record(humidity=85.0, place="w-31"),
    "bone dry": record(humidity=3.0, place="w-31"),
    "logged for a summer": record(times=hours(1500, start=np.datetime64("2025-06-20")), place="w-31"),
    "restless": record(humidity=55.0 + 25.0 * np.sin(np.arange(8760) / 4.0), place="w-31"),
}


@pytest.fixture(scope="module")
def demo():
    opened = open_survey(SAMPLE, remember=False, jobs=1)
    return {
        system: replace(
            opened,
            survey=replace(opened.survey, head=replace(opened.survey.head, units=system)),
            system=system,
        )
        for system in SYSTEMS
    }


def assert_sound(told, system, ids):
    wrong = {
        f"{where} [{', '.join(found)}]: {text}"
        for where, text in told
        if (found := faults_of(text, system, ids))
    }
    assert not wrong, "\n".join(sorted(wrong))


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_sentence_of_the_demo(demo, system):
    opened = demo[system]
    survey = opened.survey
    told = [
        each
        for work in survey.works.values()
        for place in survey.places.values()
        if opened.could_be(work, place)
        for each in sentences(loads(opened.case(work, place, opened.stay(work, None, None))))
    ]
    assert len(set(told)) > 500
    assert_sound(told, system, told_ids(survey))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("house", HOUSES)
def test_figures_of_the_table_of_a_house_that_is(house, system):
    facts = HOUSES[house]
    made = case(**(facts | {"work": WORK | facts["work"]}), units=system)
    shown = {against(load, system) for load in loads(made)}
    assert not {text for text in shown if faults_of_figures(text, system)}


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_answer_and_the_verdict_on_every_wall(demo, system):
    opened = demo[system]
    ranking = opened.rank("portrait-of-the-seedsman")
    told = [("answer", answer(ranking))]
    for ranked in ranking.places:
        placed = ranking.by_place[ranked.id]
        told.append(("verdict", verdict_sentence(ranked, placed, opened)))
        told += [("would decide", text) for text in placed.judged.would_decide]
        told += [("caution", text) for text in placed.judged.cautions]
    assert_sound(told, system, told_ids(opened.survey))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("house", HOUSES)
def test_every_sentence_of_a_house_that_is(house, system):
    facts = HOUSES[house]
    made = case(**(facts | {"work": WORK | facts["work"]}), units=system)
    assert_sound(sentences(loads(made)), system, told_ids(made.survey))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("medium", ["oil-on-panel", "watercolour", "chromogenic-print", "bronze", "marble"])
@pytest.mark.parametrize("climate", CLIMATES)
def test_every_sentence_about_air_that_is(climate, medium, system):
    made = climate_cases.case(
        CLIMATES[climate], medium=medium, wall={"outside": True, "name": "garden wall"}, title="Flora"
    )
    survey = replace(
        made.survey, head=replace(made.survey.head, units=system), walls={"w-31": made.site.place}
    )
    made = replace(made, survey=survey)
    assert_sound(sentences(loads(made)), system, told_ids(made.survey))


@pytest.mark.parametrize("system", SYSTEMS)
def test_measures_are_told_in_sentences(demo, system):
    nothing = told_ids(demo[system].survey)
    measures = demo[system].library.measures.values()
    assert_sound([(each.id, each.caution) for each in measures if each.caution], system, nothing)
    assert_sound([(each.id, f"{each.words(system).capitalize()}.") for each in measures], system, nothing)


def test_the_rules_find_what_they_are_for(demo):
    ids = told_ids(demo["us"].survey)
    for text, fault in (
        ("About 2e-05 of it.", "a power of ten"),
        ("It hangs 1.2 m away.", "a unit of the other system"),
        ("After 5 marks in 1 years.", "one of many"),
        ("The wall orangery-north is dry.", "an id"),
        ("It is nan %RH.", "no number"),
        ("no capital here.", "no capital"),
        ("No stop here", "no stop"),
        ("Damp for 0% of the time.", "a percent sign without a blank"),
        ("Too  wide.", "blanks"),
    ):
        assert fault in faults_of(text, "us", ids), text
    assert not faults_of("About 460 klx h of light, 6 ft 2 in up; 1 is the limit.", "us", ids)


def test_walls_are_told_apart_by_room_and_house(demo):
    survey = demo["us"].survey
    asked = {
        question
        for work in list(survey.works.values())[:3]
        for place in survey.walls.values()
        if isinstance(place, Wall)
        for load in loads(demo["us"].case(work, place, demo["us"].stay(work, None, None)))
        for question in load.missing
    }
    assert any("Seed Hall, Back corridor" in question for question in asked)

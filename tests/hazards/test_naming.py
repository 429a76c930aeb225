"""What people call rooms, places and fittings: by what they are and where, apart from others of their kind."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stillwall.setting.naming import names_of, node_name, place_named, room_named, step_name, the
from stillwall.survey.features import HeatSource, Opening, Route, RouteStep
from stillwall.survey.places import Building, HoldingPlace, Room, Wall
from stillwall.survey.survey import Survey, SurveyHead

ROOMS = {
    "rh-hall": Room(id="rh-hall", building="rh", name="Hall"),
    "sh-hall": Room(id="sh-hall", building="sh", name="Hall"),
}
WALLS = {
    "rh-1": Wall(id="rh-1", room="rh-hall", name="west wall", side="west"),
    "sh-1": Wall(id="sh-1", room="sh-hall", name="Hall, over the dais"),
    "sh-2": Wall(id="sh-2", room="sh-hall"),
}
OPENINGS = [
    Opening(id="w-b", kind="window", room="rh-hall", side="east", at_m=3.0),
    Opening(id="w-a", kind="window", room="rh-hall", side="east", at_m=1.0),
    Opening(id="d-1", kind="inside_door", room="rh-hall", side="east"),
    Opening(id="d-2", kind="service_door", wall="rh-1"),
    Opening(id="d-3", kind="inside_door", room="sh-hall", leads_to="rh-hall"),
]
HEAT = [
    HeatSource(id="h-1", room="rh-hall", kind="hearth", side="north"),
    HeatSource(id="h-2", room="sh-hall", kind="gas_fire", below_wall="sh-1"),
]
ROUTE = Route(
    id="rt",
    start="outside",
    end="sh-1",
    steps=(RouteStep(kind="door"), RouteStep(kind="stair"), RouteStep(kind="door")),
)


@pytest.fixture(scope="module")
def survey() -> Survey:
    return Survey(
        folder=Path(),
        head=SurveyHead(name="Larkmoor Botanical Society"),
        buildings={"rh": Building(id="rh", name="Reading House"), "sh": Building(id="sh", name="Seed Hall")},
        rooms=ROOMS,
        walls=WALLS,
        pedestals={},
        holding_places={"van": HoldingPlace(id="van", building="sh", name="van at the gate")},
        openings={opening.id: opening for opening in OPENINGS},
        lamps={},
        heat_sources={source.id: source for source in HEAT},
        routes={"rt": ROUTE},
        works={},
        loggers={},
    )


def test_rooms_of_one_name_are_told_apart_by_their_house(survey):
    asked = {room_named(survey, room) for room in survey.rooms}
    assert asked == {"the Hall, Reading House", "the Hall, Seed Hall"}
    assert room_named(survey, None) == "its room"


def test_places_are_named_from_the_house_down_and_nothing_twice(survey):
    named = [place_named(survey, place) for place in survey.places.values()]
    assert named == [
        "Reading House, Hall, west wall",
        "Seed Hall, Hall, over the dais",
        "Seed Hall, Hall, sh-2",
        "Seed Hall, van at the gate",
    ]


def test_one_house_goes_without_saying(survey):
    alone = replace(
        survey,
        buildings={"rh": survey.buildings["rh"]},
        rooms={"rh-hall": ROOMS["rh-hall"]},
        walls={"rh-1": WALLS["rh-1"]},
        holding_places={},
        openings={},
        heat_sources={},
        routes={},
    )
    assert place_named(alone, WALLS["rh-1"]) == "Hall, west wall"


def test_fittings_are_what_they_are_and_where(survey):
    assert dict(names_of(survey).fittings) == {
        "w-a": "the first window from the left in the east wall",
        "w-b": "the second window from the left in the east wall",
        "d-1": "the door in the east wall",
        "d-2": "the service door in the west wall",
        "d-3": "the door to the Hall",
        "h-1": "the hearth in the north wall",
        "h-2": "the gas fire below Hall, over the dais",
    }
    assert names_of(survey).fittings_of["h-1"] == "the hearth in the north wall of the Hall, Reading House"


def test_steps_of_a_route_are_counted_by_kind(survey):
    told = [step_name(survey, ROUTE, number) for number in (1, 2, 3)]
    way = "on the way from outside to Hall, over the dais"
    assert told == [f"the first door {way}", f"the stair {way}", f"the second door {way}"]
    assert (node_name(survey, "sh"), node_name(survey, "rh-hall")) == ("Seed Hall", "the Hall")


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Dining Room", "the Dining Room"),
        ("The Snug", "The Snug"),
        ("Larkmoor", "Larkmoor"),
        ("Founder's Room", "Founder's Room"),
        ("hall-2", "hall-2"),
    ],
)
def test_articles_stand_where_they_are_wanted(name, said):
    assert the(name) == said

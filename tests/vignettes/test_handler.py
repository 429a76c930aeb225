"""Walls as a handler of thirty years would judge them: what governs, and the word.

Each word was written down before any output was seen; sizes were set so that the facts are those of which
the handler speaks (the chairs reach the frame, the door is within a yard). The climate of these walls is left out: only
fit, weight, heat, doors, knocks, water, smoke, vibration and theft are judged.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest

from stillwall.hazards import loads
from stillwall.judgement.verdict import judge, one_hazard
from stillwall.survey.features import Opening
from stillwall.survey.places import Event, Tables
from stillwall.units import Size
from tests.hazards.wall_cases import SAFE_DOOR, case

WALL_HAZARDS = frozenset(
    {"fit", "fixing", "hearth", "doorway", "bump", "water", "smoke", "vibration", "theft"}
)
FIRE = {"id": "hearth", "kind": "hearth", "wall": "wall", "at_m": 1.4, "width_m": 1.2, "top_m": 0.9}


@dataclass(frozen=True)
class Vignette:
    said: str
    facts: dict[str, Any]
    governs: str
    verdict: str


def door(**facts: Any) -> Opening:
    known = {
        "id": "door",
        "kind": "inside_door",
        "room": "room",
        "clear": Size(2.05, 0.85),
        "leaf_width_m": 0.9,
        "opens": "in",
        "opens_per_day": 60.0,
        "leads_to": "outside",
    }
    return Opening(**(known | facts))


VIGNETTES = [
    Vignette(
        said="A composition frame hung at chair-rail height in a ballroom with a party a week: the ornament will "
        "be on the floor by spring. A rope, another frame, or down it comes for every party.",
        facts={
            "work": {
                "frame": "composition",
                "framed": Size(1.5, 1.25, 0.14),
                "image": Size(1.04, 0.79),
                "mass_kg": 30.0,
            },
            "wall": {"circulation": "passing", "clear_width_m": 2.5, "dado_top_m": 0.86},
            "room": {"use": "ballroom", "events": (Event(name="dance", per_year=45, guests=120),)},
        },
        governs="bump",
        verdict="suitable with measures",
    ),
    Vignette(
        said="A metal-framed print in a broad hall: hang it and forget it.",
        facts={
            "work": {
                "kind": "paper",
                "medium": "black-print",
                "frame": "metal",
                "glazing": "acrylic",
                "framed": Size(1.1, 0.8, 0.03),
                "mass_kg": 6.0,
            },
            "wall": {"circulation": "passing", "clear_width_m": 2.4},
            "room": {"use": "hall", "people_per_day": 150.0, "people_peak_hour": 25.0},
        },
        governs="bump",
        verdict="suitable",
    ),
    Vignette(
        said="Wax-lined portrait over a fire that the club lights every evening and will not give up: never.",
        facts={
            "work": {"lined_with": "wax", "frame": "plain_wood"},
            "wall": {
                "mantel_shelf_m": 1.2,
                "build": "chimney_breast",
                "measures_ruled_out": ("close-flue",),
            },
            "heat": [FIRE | {"used": "daily", "fires_per_year": 150.0, "flue": "open"}],
        },
        governs="hearth",
        verdict="unsuitable",
    ),
    Vignette(
        said="They say the fire is only for show. Then close the flue, say so on a label, and you may have it.",
        facts={
            "wall": {"mantel_shelf_m": 1.2},
            "heat": [FIRE | {"used": "never"}],
        },
        governs="hearth",
        verdict="suitable with measures",
    ),
    Vignette(
        said="That door goes right back against the picture. A stop, screwed down, before anything hangs there.",
        facts={
            "wall": {"span_m": 1.3},
            "doors": [
                door(
                    side="west",
                    at_m=4.0,
                    hinge="right",
                    hinge_to_corner_m=0.1,
                    opens_to_deg=120.0,
                    stop=False,
                )
            ],
        },
        governs="doorway",
        verdict="suitable with measures",
    ),
    Vignette(
        said="Three metres by two and a half, and one door of eighty centimetres: it will not go in.",
        facts={
            "work": {"framed": Size(2.5, 3.0, 0.1), "image": Size(2.3, 2.8), "mass_kg": 45.0},
            "wall": {"height_m": 3.4},
            "room": {"size": Size(3.4, 6.0, 5.0)},
            "doors": [
                door(side="south", at_m=0.3, clear=Size(2.0, 0.8), opens="out", stop=True, opens_to_deg=90.0)
            ],
        },
        governs="fit",
        verdict="unsuitable",
    ),
    Vignette(
        said="Dining chairs backed up to a gilt frame: every sitting rubs it. Shift the tables.",
        facts={
            "work": {"frame": "gilded_gesso", "framed": Size(1.25, 1.0, 0.06), "image": Size(1.07, 0.82)},
            "wall": {
                "dado_top_m": 0.80,
                "tables": Tables(edge_to_wall_m=0.85, seatings_per_year=1500, chair_back_m=0.98),
            },
            "room": {"use": "dining"},
        },
        governs="bump",
        verdict="suitable with measures",
    ),
    Vignette(
        said="A hundred and sixty pounds, so they think, on old lath: not on hooks. A board into the studs.",
        facts={
            "work": {
                "frame": "composition",
                "framed": Size(1.8288, 1.524, 0.15),
                "image": Size(1.2192, 0.9144),
                "mass_kg": None,
                "mass_known": None,
                "depth_m": 0.15,
            },
            "wall": {"build": "lath_plaster", "circulation": "none"},
        },
        governs="fixing",
        verdict="suitable with measures",
    ),
    Vignette(
        said="A marble head on a plant stand in the bar: somebody will be under it. Fix both or take it away.",
        facts={
            "work": {
                "kind": "bust",
                "medium": "marble",
                "framed": None,
                "image": Size(0.6, 0.4, 0.3),
                "depth_m": None,
                "mass_kg": 45.0,
                "frame": None,
                "glazing": None,
            },
            "pedestal": {
                "mass_kg": 30.0,
                "height_m": 1.1,
                "base": Size(0.35, 0.35),
                "top": Size(0.35, 0.35),
                "bust_base": Size(0.25, 0.25),
                "fixed": "none",
                "bust_fixed": "none",
                "clear_width_m": 2.5,
                "circulation": "none",
            },
            "room": {"use": "bar", "supervised_share": 0.5},
        },
        governs="fixing",
        verdict="suitable with measures",
    ),
    Vignette(
        said="An unglazed pastel facing an open grill: glass on it and a door on the kitchen, or no.",
        facts={
            "work": {"kind": "pastel", "medium": "pastel", "glazing": "none"},
            "room": {"cooking": "open"},
        },
        governs="smoke",
        verdict="suitable with measures",
    ),
    Vignette(
        said="Over a great radiator with the heat coming straight up it: find another wall.",
        facts={
            "heat": [
                {
                    "id": "radiator",
                    "kind": "radiator",
                    "used": "seasonal",
                    "wall": "wall",
                    "at_m": 1.5,
                    "width_m": 1.0,
                    "top_m": 0.75,
                    "power_w": 2500.0,
                }
            ],
        },
        governs="hearth",
        verdict="unsuitable",
    ),
    Vignette(
        said="A panel within a yard of the street door, no lobby: it will split. No.",
        facts={
            "work": {"kind": "panel", "medium": "oil-on-panel", "thickness_m": 0.02},
            "doors": [
                door(
                    id="street-door",
                    kind="outside_door",
                    side="north",
                    at_m=2.2,
                    hinge="right",
                    opens_to_deg=90.0,
                    vestibule=False,
                    opens_per_day=200.0,
                )
            ],
            "wall": {"span_m": 2.1},
        },
        governs="doorway",
        verdict="unsuitable",
    ),
    Vignette(
        said="A little thing you could put under your coat, by the way out, and nobody at the desk: plates on it.",
        facts={
            "work": {"framed": Size(0.35, 0.30, 0.03), "image": Size(0.25, 0.20), "mass_kg": 1.5},
            "room": {"use": "lobby", "unseen_hours": 8.0, "supervised_share": 0.2},
            "wall": {"circulation": "none"},
            "doors": [
                door(
                    id="way-out",
                    kind="lobby_door",
                    side="south",
                    at_m=0.3,
                    opens="out",
                    opens_to_deg=90.0,
                    stop=True,
                )
            ],
        },
        governs="theft",
        verdict="suitable with measures",
    ),
]


def only_the_wall(made, hazard):
    return one_hazard(made, hazard) if hazard in WALL_HAZARDS else None


@pytest.mark.parametrize("vignette", VIGNETTES, ids=lambda each: each.said[:40])
def test_the_tool_judges_as_the_handler_does(vignette):
    made = case(**vignette.facts)
    found = tuple(load for load in loads(made) if load.hazard in WALL_HAZARDS)
    judged = judge(made, found, evaluate=only_the_wall)
    assert (judged.governing, judged.verdict) == (vignette.governs, vignette.verdict)


def test_the_safe_door_of_the_cases_stays_out_of_the_way():
    made = case()
    assert SAFE_DOOR.id in made.survey.openings
    assert all(not load.barred for load in loads(made) if load.hazard in WALL_HAZARDS)

"""Doors worked out by hand with every figure at its middle; logs say what a test lays down.

The figures are those of ``doorway.toml``, written down a second time.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.draughts import Draughts, draughts_seen
from stillwall.exposure.readings import TemperatureLogged, temperature_logged
from stillwall.hazards import doorway
from stillwall.setting.door_reach import Leaf, in_line, opening_distance, strike
from stillwall.setting.hanging import hang
from stillwall.survey.features import Opening
from stillwall.survey.places import HoldingPlace
from stillwall.units import Size
from tests.hazards.certain import certain, told, with_measure
from tests.hazards.wall_cases import case

LIBRARY = certain("doorway", spans=("doorway.dust.halves",))
DOOR = Opening(
    id="door",
    kind="outside_door",
    room="room",
    side="south",
    at_m=1.0,
    clear=Size(2.05, 0.85),
    leaf_width_m=0.85,
    hinge="left",
    opens="out",
    opens_to_deg=90.0,
    stop=True,
    opens_per_day=40.0,
    leads_to="outside",
    vestibule=False,
)
NEAR = {"outside": 3.0, "lobby": 1.5, "inside_busy": 0.3, "service": 1.5}


def built(door=DOOR, *others, **facts):
    """A wall in the north of a room of six by five metres, and a door in its south."""
    return case(**({"library": LIBRARY, "doors": [door, *others]} | facts))


def distance_of(made, door=DOOR):
    return opening_distance(made.survey, made.site, door, hang(made))


def middle(load):
    return float(np.median(load.draws))


def as_kind(kind, **facts):
    return replace(DOOR, kind=kind, **facts)


@pytest.mark.parametrize(
    ("door", "rule"),
    [
        (DOOR, "outside"),
        (replace(DOOR, vestibule=None), "outside"),
        (replace(DOOR, vestibule=True), "lobby"),
        (as_kind("lobby_door"), "lobby"),
        (as_kind("inside_door", opens_per_day=200.0), "inside_busy"),
        (as_kind("service_door"), "service"),
    ],
)
def test_a_door_counts_by_its_kind_and_distance(door, rule):
    made = built(door)
    load = doorway.load(made)
    distance = distance_of(made, door)
    assert distance == pytest.approx(math.hypot(5.0, 0.0), abs=2.0)
    assert load.draws == pytest.approx(np.full(1000, NEAR[rule] / distance))
    assert load.exposure.value == NEAR[rule]
    assert load.allowance.value == pytest.approx(distance)
    assert load.evidence == ("assumed" if door.vestibule is None and rule == "outside" else "surveyed")
    assert not load.barred


def test_round_the_corner_a_draught_is_half_as_strong():
    # On the same side as the wall, or beside it: asked of the geometry, not guessed.
    for side, at in (("south", 1.0), ("east", 1.0), ("west", 1.0), ("north", 5.0)):
        for kind, near in (("outside_door", 3.0), ("service_door", 1.5), ("inside_door", 0.3)):
            door = as_kind(kind, side=side, at_m=at, opens_per_day=400.0)
            made = built(door, wall={"span_m": 4.0, "at_m": 0.0})
            expected = near / max(distance_of(made, door), 0.1)
            if kind != "inside_door" and not in_line(made.survey, made.site, door):
                expected *= 0.5
            assert middle(doorway.load(made)) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("kind", "per_day", "share"),
    [
        ("outside_door", 20.0, 1.0), ("outside_door", 5.0, 0.25), ("outside_door", None, 1.0),
        ("service_door", 10.0, 0.5), ("inside_door", 100.0, 0.5), ("inside_door", 500.0, 1.0),
        ("outside_door", 0.0, 0.0),
    ],
)  # fmt: skip
def test_a_door_that_seldom_opens_counts_less(kind, per_day, share):
    door = as_kind(kind, opens_per_day=per_day)
    full = built(as_kind(kind, opens_per_day=9999.0))
    assert middle(doorway.load(built(door))) == pytest.approx(share * middle(doorway.load(full)))


def test_measures_on_draughts_and_on_passers():
    library = with_measure(
        LIBRARY, "curtain", ("doorway", "draught", (0.4, 0.4, 0.4)), ("doorway", "passes", (0.7, 0.7, 0.7))
    )
    for kind, factor in (
        ("outside_door", 0.4),
        ("lobby_door", 0.4),
        ("service_door", 0.7),
        ("inside_door", 0.7),
    ):
        door = as_kind(kind)
        bare = doorway.load(built(door))
        kept = doorway.load(built(door, library=library, measures=["curtain"]))
        assert middle(kept) == pytest.approx(factor * middle(bare))


def beside(**facts):
    """A door in the same wall, from 3.0 m on, that folds back over the work."""
    return replace(DOOR, side="north", at_m=3.0, **facts)


@pytest.mark.parametrize(
    ("work", "medium", "barred"),
    [
        ({}, "oil-on-canvas", False),
        ({"kind": "panel"}, "oil-on-canvas", True),
        ({"kind": "paper"}, "oil-on-canvas", True),
        ({"kind": "pastel"}, "oil-on-canvas", True),
        ({}, "watercolour", True),
        ({"frame": "composition"}, "oil-on-canvas", True),
        ({"frame": "gilded_gesso"}, "oil-on-canvas", True),
    ],
)
def test_tender_works_keep_a_metre_from_outside_doors(work, medium, barred):
    made = built(
        beside(), work=work | {"medium": medium, "framed": Size(0.9, 1.4, 0.05)}, wall={"span_m": 2.8}
    )
    assert 0.3 < distance_of(made, beside()) < 1.0
    assert doorway.load(made).barred is barred
    if barred:
        for change in ({"vestibule": True}, {"vestibule": None}, {"opens_per_day": 0.0}):
            door = beside(**change)
            assert not doorway.load(
                built(
                    door, work=work | {"medium": medium, "framed": Size(0.9, 1.4, 0.05)}, wall={"span_m": 2.8}
                )
            ).barred
        far = built(
            beside(), work=work | {"medium": medium, "framed": Size(0.9, 0.5, 0.05)}, wall={"span_m": 2.8}
        )
        assert distance_of(far, beside()) > 1.0
        assert not doorway.load(far).barred


def test_another_frame_lifts_that_bar():
    library = with_measure(LIBRARY, "frame", ("doorway", "frame", "plain_wood"))
    facts = {"work": {"frame": "composition", "framed": Size(0.9, 1.4, 0.05)}, "wall": {"span_m": 2.8}}
    assert doorway.load(built(beside(), **facts)).barred
    assert not doorway.load(built(beside(), library=library, measures=["frame"], **facts)).barred


def test_a_door_of_which_the_place_is_unknown():
    lost = replace(DOOR, at_m=None)
    load = doorway.load(built(lost))
    assert middle(load) == pytest.approx(0.45)
    assert load.exposure is None
    assert load.evidence == "assumed"
    assert len(load.missing) == 1
    assert middle(doorway.load(built(replace(lost, opens_per_day=5.0)))) == pytest.approx(0.45 / 4)
    # An inside door far away does nothing that counts.
    assert doorway.load(built(as_kind("inside_door", at_m=None))) is None


def test_a_room_without_doors_is_asked_about():
    load = doorway.load(case(library=LIBRARY, doors=[]))
    assert middle(load) == pytest.approx(0.3)
    assert load.evidence == "assumed"
    assert len(load.missing) == 1
    window = as_kind("window")
    assert middle(doorway.load(built(window))) == pytest.approx(0.3)


def test_no_wall_no_door():
    made = built()
    store = HoldingPlace(id="store", room="room")
    assert doorway.load(replace(made, site=replace(made.site, place=store))) is None
    assert doorway.load(replace(made, site=replace(made.site, room=None))) is None


INTO = {"opens": "in", "opens_per_day": 0.0, "kind": "inside_door"}
WORK = {"framed": Size(0.9, 0.7, 0.05)}
WALL = {"span_m": 2.8}


def angle_of(made, door, width=0.85, tray=0.0):
    leaf = Leaf(width_m=width + tray, handle_m=0.07, margin_m=0.05)
    return strike(made.survey, made.site, door, hang(made), leaf).angle_deg


def swinging(opens_to=180.0, **facts):
    return beside(**(INTO | {"opens_to_deg": opens_to} | facts))


def test_a_leaf_strikes_at_its_angle():
    wall = {"span_m": 2.8, "centre_m": 1.4}
    work = {"framed": Size(0.9, 1.9, 0.05)}
    made = built(swinging(), work=work, wall=wall)
    angle = angle_of(made, swinging())
    assert 90.0 < angle < 180.0
    for opens_to, struck in ((angle + 0.01, True), (angle - 0.01, False)):
        load = doorway.load(built(swinging(opens_to), work=work, wall=wall))
        assert middle(load) == (3.0 if struck else 0.05)
        assert load.barred is struck
        assert load.exposure.value == pytest.approx(opens_to)
        assert load.allowance.value == pytest.approx(angle)
        assert load.evidence == "surveyed"
        assert load.missing == ()
    # A leaf that opens out of the room strikes nothing.
    assert middle(doorway.load(built(swinging(opens="out", opens_per_day=400.0), work=work, wall=wall))) < 3.0


WIDE = {"work": {"framed": Size(0.9, 1.9, 0.05)}, "wall": {"span_m": 2.8, "centre_m": 1.4}}


def test_a_leaf_of_which_nobody_says_which_way_it_opens():
    load = doorway.load(built(swinging(opens=None), **WIDE))
    # Seven in ten come into the room.
    assert (load.draws == 3.0).mean() == pytest.approx(0.70, abs=0.005)
    assert (load.draws == 0.05).mean() == pytest.approx(0.30, abs=0.005)
    assert not load.barred
    assert load.evidence == "assumed"
    assert len(load.missing) == 1


def test_a_leaf_of_which_the_width_is_unknown_is_82_centimetres_wide():
    door = swinging(leaf_width_m=None, clear=None)
    made = built(door, **WIDE)
    load = doorway.load(made)
    assert load.allowance.value == pytest.approx(angle_of(made, door, 0.82))
    assert not load.barred
    assert middle(load) == 3.0
    assert len(load.missing) == 1
    # The clear opening stands for the leaf.
    door = swinging(leaf_width_m=None, clear=Size(2.0, 0.9))
    made = built(door, **WIDE)
    assert doorway.load(made).allowance.value == pytest.approx(angle_of(made, door, 0.9))
    assert doorway.load(made).barred


@pytest.mark.parametrize(
    ("facts", "angle", "asks"),
    [
        ({"opens_to_deg": 120.0, "stop": False}, 120.0, 0),
        ({"opens_to_deg": None, "stop": True}, 90.0, 1),
        ({"opens_to_deg": None, "stop": False}, 115.0, 1),
        ({"opens_to_deg": None, "stop": None}, 115.0, 1),
        ({"opens_to_deg": None, "stop": False, "opens": "both"}, 180.0, 0),
        ({"opens_to_deg": 120.0, "stop": False, "kind": "service_door"}, 180.0, 0),
        ({"opens_to_deg": 120.0, "stop": True, "kind": "service_door"}, 120.0, 0),
        ({"opens_to_deg": None, "stop": None, "kind": "service_door"}, 180.0, 0),
        ({"opens_to_deg": None, "stop": True, "kind": "service_door"}, 90.0, 1),
    ],
)
def test_how_far_a_leaf_opens(facts, angle, asks):
    door = beside(**(INTO | facts))
    made = built(door, **WIDE)
    load = doorway.load(made)
    met = angle_of(made, door, tray=0.30 if door.kind == "service_door" else 0.0)
    assert load.allowance.value == pytest.approx(met)
    assert load.exposure.value == pytest.approx(angle)
    assert len(load.missing) == asks
    assert middle(load) == (3.0 if angle >= met else 0.05)
    stopped = with_measure(LIBRARY, "stop", ("doorway", "opens_to", 85.0))
    held = doorway.load(built(door, library=stopped, measures=["stop"], **WIDE))
    assert held.exposure.value == 85.0
    assert held.missing == ()


def test_a_hinge_that_nobody_measured():
    # In a wall that meets this one, and nobody says where.
    door = replace(DOOR, **INTO, side="west", at_m=None, hinge_to_corner_m=None)
    load = doorway.load(built(door))
    assert middle(load) == pytest.approx(0.45)
    assert load.missing
    assert load.evidence == "assumed"


def test_of_several_doors_the_worst_speaks_and_all_count():
    far = replace(DOOR, id="far", kind="lobby_door")
    both = doorway.load(built(beside(), far, wall=WALL))
    one = doorway.load(built(beside(), wall=WALL))
    assert both.draws == pytest.approx(one.draws)
    assert both.allowance.value == one.allowance.value
    # A bar speaks before a larger load, and other bars are noted.
    tender = {
        "work": {"kind": "panel", "framed": Size(0.9, 1.9, 0.05)},
        "wall": {"span_m": 2.8, "centre_m": 1.4},
    }
    barred = doorway.load(built(swinging(), beside(id="other"), **tender))
    assert barred.barred
    assert len(barred.notes) > len(doorway.load(built(swinging(), **tender)).notes)


def logged(made, seen, *, own=True, outdoors=True, here=True):
    told(made, temperature_logged, TemperatureLogged(here=here, own=own, outdoors=outdoors))
    return told(made, draughts_seen, seen)


def felt_share(made):
    response = made.medium.moisture.surface_t95
    hours = made.draws.between(
        "work:work:surface_t95",
        response.low or response.value,
        response.value,
        response.high or response.value,
    )
    # Three time constants to 95 %, and a breath of four tenths of an hour.
    return 1 - np.exp(-3.0 * 0.4 / hours)


SEEN = Draughts(count=300, days=30.0, step_k=1.0, step_pct=12.0, hours_a_day=2.0, step_s=600.0)


@pytest.mark.parametrize(("count", "share"), [(300, 0.5), (600, 1.0), (1200, 1.0), (0, 0.0)])
def test_a_long_log_of_its_own_takes_the_place_of_the_distance(count, share):
    made = logged(built(), replace(SEEN, count=count))
    load = doorway.load(made)
    swing = 12.0 * felt_share(made) * share
    assert load.draws == pytest.approx(np.maximum(swing / 5.0, 0.01))
    assert load.exposure.value == pytest.approx(float(np.median(swing)))
    assert load.allowance.value == 5.0
    assert load.evidence == "measured"


def test_a_measure_on_draughts_lowers_what_the_log_saw():
    library = with_measure(LIBRARY, "curtain", ("doorway", "draught", (0.4, 0.4, 0.4)))
    bare = doorway.load(logged(built(), SEEN))
    kept = doorway.load(logged(built(library=library, measures=["curtain"]), SEEN))
    assert kept.draws == pytest.approx(np.maximum(0.4 * bare.draws, 0.01))


@pytest.mark.parametrize(
    ("days", "own", "clears"), [(21.0, True, True), (20.9, True, False), (200.0, False, False)]
)
def test_three_weeks_of_its_own_logger_clear_a_wall(days, own, clears):
    made = logged(built(), replace(SEEN, count=0, days=days), own=own)
    load = doorway.load(made)
    by_distance = doorway.load(built())
    assert load.draws == pytest.approx(np.full(1000, 0.01) if clears else by_distance.draws)
    assert len(load.notes) == (0 if clears else 1)


def test_a_log_clears_draughts_and_nothing_else():
    inside = as_kind("inside_door", id="inside", opens_per_day=400.0)
    load = doorway.load(logged(built(DOOR, inside), replace(SEEN, count=0)))
    made = built(DOOR, inside)
    assert middle(load) == pytest.approx(0.3 / distance_of(made, inside))
    # Bars stay, whatever the log says.
    facts = {"work": {"kind": "panel", "framed": Size(0.9, 1.4, 0.05)}, "wall": {"span_m": 2.8}}
    assert doorway.load(logged(built(beside(), **facts), replace(SEEN, count=0))).barred


def test_a_log_that_could_not_see_says_so():
    for seen in (None, replace(SEEN, days=0.9)):
        load = doorway.load(logged(built(), seen))
        assert load.draws == pytest.approx(doorway.load(built()).draws)
        assert len(load.notes) == 1
    assert len(doorway.load(logged(built(), replace(SEEN, days=1.0, count=0))).notes) == 1
    for facts in ({"outdoors": False}, {"here": False}):
        load = doorway.load(logged(built(), SEEN, **facts))
        assert load.notes == ()
    # Inside doors are no business of the log's.
    inside = as_kind("inside_door")
    assert doorway.load(logged(built(inside), SEEN)).draws == pytest.approx(doorway.load(built(inside)).draws)


def test_metal_hardly_feels_a_breath():
    made = logged(
        built(work={"medium": "bronze", "kind": "object", "framed": None, "image": Size(0.5, 0.4, 0.3)}), SEEN
    )
    load = doorway.load(made)
    if load is not None and made.medium.moisture is None:
        assert load.draws == pytest.approx(np.full(1000, max(12.0 * 0.01 * 0.5 / 5.0, 0.01)))


def test_dust_beside_an_outside_door():
    # It halves every half metre, or every metre, up to five metres.
    near = built(beside(opens="out"), wall=WALL)
    distance = distance_of(near, beside())
    note = doorway.load(near).notes[-1]
    low, high = 100 * 0.5 ** (distance / 0.5), 100 * 0.5**distance
    assert distance < 5.0
    assert f"{low:.0f}" in note
    assert f"{high:.0f} %" in note
    far = built(DOOR, room={"size": Size(3.0, 6.0, 9.0)})
    assert distance_of(far) > 5.0
    assert doorway.load(far).notes == ()
    assert doorway.load(built(beside(kind="inside_door"), wall=WALL)).notes == ()

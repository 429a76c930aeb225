"""Smoke, water, theft, vibration and salts worked out by hand with every figure at its middle.

Figures are those of the hazards' own files, written down a second time.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest

from stillwall.case import Stay
from stillwall.exposure.exceedance import Exceedance, deliquescence
from stillwall.hazards import salts, smoke, theft, vibration, water
from stillwall.reference.library import load_library
from stillwall.setting.hanging import hang
from stillwall.survey.features import Opening
from stillwall.survey.places import Event, HoldingPlace, Stair
from stillwall.units import Size
from tests.hazards.certain import certain, told, with_measure
from tests.hazards.climate_cases import case as climate_case
from tests.hazards.climate_cases import record
from tests.hazards.wall_cases import case

SMOKE, WATER, THEFT = load_library(), certain("water"), load_library()


def middle(load):
    return float(np.median(load.draws))


def in_store(made):
    return replace(made, site=replace(made.site, place=HoldingPlace(id="store", room="room")))


def sooty(room=None, work=None, library=SMOKE, **facts):
    return smoke.load(case(room=room, work=work, library=library, **facts))


@pytest.mark.parametrize(
    ("room", "work", "load", "barred"),
    [
        ({"cooking": "open"}, {}, 3.0, True), ({"smoking": True}, {}, 3.0, True),
        ({"cooking": "open"}, {"glazing": "acrylic"}, 0.7, False),
        ({"smoking": True}, {"kind": "bust", "medium": "marble", "framed": None, "image": Size(0.5, 0.4, 0.3)}, 0.7, False),
        ({"cooking": "near"}, {}, 1.0, False), ({"cooking": "near"}, {"glazing": "acrylic"}, 0.3, False),
        ({"cooking": None, "use": "dining"}, {}, 0.3, False), ({"smoking": None, "use": "bar"}, {}, 0.3, False),
        ({"cooking": None, "use": "hall"}, {}, 0.08, False),
        ({"cooking": None, "use": "dining"}, {"glazing": "acrylic"}, 0.08, False),
        ({"candles_evenings_per_year": 10.0}, {}, 0.5, False), ({"candles_evenings_per_year": 40.0}, {}, 2.0, False),
        ({"candles_evenings_per_year": 10.0}, {"glazing": "acrylic"}, 0.2, False),
        ({"candles_evenings_per_year": None, "use": "dining"}, {}, 0.2, False),
        ({"candles_evenings_per_year": None, "use": "chapel"}, {}, 0.2, False),
    ],
)  # fmt: skip
def test_what_soils(room, work, load, barred):
    found = sooty(room, work)
    assert middle(found) == pytest.approx(load, rel=5e-3)
    assert found.barred is barred
    unsaid = any(value is None for value in room.values())
    assert found.evidence == ("assumed" if unsaid else "surveyed")
    assert len(found.missing) == int(unsaid)


def test_what_is_known_to_be_clean_says_nothing():
    assert sooty() is None
    assert sooty({"candles_evenings_per_year": None, "use": "hall"}) is None
    assert smoke.load(in_store(case(room={"cooking": "open"}))) is None
    both = sooty({"cooking": None, "smoking": None})
    assert len(both.missing) == 2


def test_candles_at_occasions():
    def balls(number, **more):
        return (Event(name="ball", per_year=number, candles=True, **more), Event(name="talk", per_year=50))

    assert middle(sooty({"events": balls(30)})) == pytest.approx(1.5, rel=5e-3)
    assert middle(sooty({"events": balls(30), "candles_evenings_per_year": 40.0})) == pytest.approx(
        2.0, rel=5e-3
    )
    assert middle(
        sooty({"events": balls(30), "candles_evenings_per_year": None, "use": "hall"})
    ) == pytest.approx(34 / 20, rel=5e-3)
    dry = sooty({"cooking": "near"})
    assert (
        len(sooty({"cooking": "near", "events": (Event(name="ball", per_year=3, drinks=True),)}).notes)
        == len(dry.notes) + 1
    )
    assert (
        len(sooty({"cooking": "near", "events": (Event(name="ball", per_year=3, food=True),)}).notes)
        == len(dry.notes) + 1
    )


def test_measures_against_soiling():
    library = with_measure(
        SMOKE, "screen", ("smoke", "air", (0.2, 0.2, 0.2)), ("smoke", "candles", (0.5, 0.5, 0.5))
    )
    aired = sooty({"cooking": "open"}, library=library, measures=["screen"])
    assert middle(aired) == pytest.approx(0.6, rel=5e-3)
    assert not aired.barred
    assert middle(
        sooty({"candles_evenings_per_year": 40.0}, library=library, measures=["screen"])
    ) == pytest.approx(1.0)
    glaze = with_measure(SMOKE, "glaze", ("smoke", "glazing", True))
    assert middle(sooty({"cooking": "near"}, library=glaze, measures=["glaze"])) == pytest.approx(
        0.3, rel=5e-3
    )


def wet(room=None, wall=None, library=WATER, **facts):
    return water.load(case(room=room, wall=wall, library=library, **facts))


@pytest.mark.parametrize(
    ("room", "wall", "load", "barred", "questions"),
    [
        ({}, {}, 0.05, False, 0), ({"pipes_overhead": True}, {}, 1.0, False, 0), ({}, {"pipes_within_m": 0.9}, 1.0, False, 0),
        ({}, {"pipes_within_m": 1.0}, 0.05, False, 0), ({"leaks_known": True}, {}, 2.5, False, 0),
        ({"leaks_known": True, "pipes_overhead": True}, {}, 2.5, True, 0),
        ({"leaks_known": True}, {"pipes_within_m": 0.5}, 2.5, True, 0),
        ({"pipes_overhead": None}, {}, 0.3, False, 1), ({"leaks_known": None}, {}, 0.3, False, 1),
        ({"pipes_overhead": None, "leaks_known": None}, {}, 0.3, False, 2),
        ({"pipes_overhead": None}, {"pipes_within_m": 5.0}, 0.05, False, 0),
        ({"pipes_overhead": None, "leaks_known": True}, {}, 2.5, False, 1),
        ({"pipes_overhead": True, "leaks_known": None}, {}, 1.0, False, 1),
    ],
)  # fmt: skip
def test_what_may_wet_a_work(room, wall, load, barred, questions):
    found = wet(room, wall)
    assert middle(found) == pytest.approx(load)
    assert found.barred is barred
    assert len(found.missing) == questions
    assert found.evidence == ("assumed" if questions else "surveyed")


def test_a_known_flood_asks_for_a_hand_s_breadth_and_more():
    made = case(room={"flood_level_m": 0.6}, library=WATER)
    found = water.load(made)
    assert middle(found) == pytest.approx((0.6 + 0.3) / hang(made).bottom_m)
    assert (found.exposure.value, found.allowance.value) == pytest.approx((0.9, hang(made).bottom_m))
    floor = in_store(case(room={"flood_level_m": 0.6}, library=WATER))
    assert middle(water.load(floor)) == pytest.approx(0.9 / 0.01)


def test_a_guard_against_pipes_lifts_the_bar():
    library = with_measure(WATER, "tray", ("water", "pipes", (0.2, 0.2, 0.2)))
    found = wet({"leaks_known": True, "pipes_overhead": True}, library=library, measures=["tray"])
    assert middle(found) == pytest.approx(0.5)
    assert not found.barred


def test_what_is_remarked_of_water():
    def count(**facts):
        return len(wet(**facts).notes)

    plain = count()
    assert count(wall={"centre_m": 0.6}) == plain + 1
    assert (
        count(room={"use": "bar"})
        == count(room={"use": "dining"})
        == count(room={"use": "kitchen"})
        == plain + 1
    )
    assert count(room={"events": (Event(name="ball", per_year=3, drinks=True),)}) == plain + 1
    assert count(room={"events": (Event(name="ball", per_year=3),)}) == plain
    assert count(room={"sprinklers": True}) == plain + 1


SMALL = {"framed": Size(0.4, 0.4, 0.03), "image": Size(0.3, 0.3), "mass_kg": 3.0}


def taken(room=None, work=None, library=THEFT, **facts):
    return theft.load(case(room=room, work=SMALL | (work or {}), library=library, **facts))


@pytest.mark.parametrize(
    ("room", "hours"),
    [
        ({"unseen_hours": 2.0}, 2.0),
        ({"unseen_hours": None, "supervised_share": 0.7}, 3.0),
        ({"unseen_hours": None, "supervised_share": None}, 3.0),
    ],
)
def test_hours_out_of_sight(room, hours):
    found = taken(room)
    assert found.exposure.value == pytest.approx(hours, rel=2e-3)
    assert middle(found) == pytest.approx(hours / 4.0, rel=0.06)
    unknown = room.get("supervised_share", 1) is None
    assert found.evidence == ("assumed" if unknown else "surveyed")
    assert len(found.missing) == int(unknown)
    assert found.allowance.value == 4.0
    if not unknown:
        spread = case().draws.between("model:theft:spread", 0.5, 1.0, 2.0)
        assert found.draws == pytest.approx(hours / 4.0 * spread)


def test_a_way_out_in_the_room():
    door = Opening(id="door", kind="outside_door", room="room", side="south", at_m=1.0)
    inside = taken({"unseen_hours": 2.0}, doors=[replace(door, kind="inside_door")])
    factor = np.maximum(case().draws.between("model:theft:exit", 1.1, 1.5, 2.5), 1.0)
    for kind in ("outside_door", "lobby_door"):
        found = taken({"unseen_hours": 2.0}, doors=[replace(door, kind=kind)])
        assert found.draws == pytest.approx(inside.draws * factor)


@pytest.mark.parametrize(
    ("work", "wall", "told_of"),
    [
        ({"framed": Size(0.99, 0.4, 0.03)}, {}, True), ({"framed": Size(1.0, 0.4, 0.03)}, {}, False),
        ({"framed": Size(0.4, 1.0, 0.03)}, {}, False), ({"mass_kg": 9.9}, {}, True), ({"mass_kg": 10.0}, {}, False),
        ({}, {"centre_m": 1.99, "height_m": 4.0}, True), ({}, {"centre_m": 2.01, "height_m": 4.0}, False),
    ],
)  # fmt: skip
def test_what_one_person_carries_off(work, wall, told_of):
    assert (taken({"unseen_hours": 2.0}, work, wall=wall) is not None) is told_of
    assert theft.load(in_store(case(work=SMALL))) is None


def test_measures_against_theft():
    library = with_measure(
        load_library(), "lock", ("theft", "fixings", (0.2, 0.2, 0.2)), ("theft", "sight", (0.5, 0.5, 0.5))
    )
    kept = taken({"unseen_hours": 2.0}, library=library, measures=["lock"])
    assert kept.draws == pytest.approx(0.1 * taken({"unseen_hours": 2.0}).draws)


DOOR = Opening(id="door", kind="inside_door", room="room", side="north", at_m=0.1, clear=Size(2.0, 0.8))
LIFT = replace(DOOR, id="lift", kind="lift")


@pytest.mark.parametrize(
    ("room", "wall", "doors", "causes"),
    [
        ({}, {}, None, 0), ({"loud_music": True}, {}, None, 1),
        ({"events": (Event(name="ball", per_year=3, music=True),)}, {}, None, 1), ({"events": (Event(name="talk", per_year=3),)}, {}, None, 0),
        ({}, {"build": "gypsum_stud"}, [DOOR], 1), ({}, {"build": "brick"}, [DOOR], 0),
        ({}, {"build": "gypsum_stud"}, [replace(DOOR, side="south")], 0), ({}, {"build": "brick"}, [LIFT], 1),
        ({}, {"build": "lath_plaster", "stair": Stair(riser_m=0.17, tread_m=0.28)}, None, 1),
        ({}, {"build": "brick", "stair": Stair(riser_m=0.17, tread_m=0.28)}, None, 0),
        ({"loud_music": True}, {"build": "partition"}, [DOOR, LIFT], 3),
    ],
)  # fmt: skip
def test_what_shakes_a_wall(room, wall, doors, causes):
    found = vibration.load(case(room=room, wall=wall, doors=doors))
    assert (found is None) is (causes == 0)
    if found is not None:
        assert len(found.notes) == causes
        assert found.draws is None
        assert found.evidence == "missing"
        assert not found.blocks


@pytest.mark.parametrize(
    ("work", "speed"),
    [
        ({}, "2"), ({"condition": "flaking"}, "1"), ({"condition": "loose_ornament"}, "1"), ({"condition": "cracked_glass"}, "1"),
        ({"kind": "pastel"}, "1"), ({"surface": "fragile"}, "1"), ({"surface": "flaking"}, "1"), ({"ornament_loose": True}, "1"),
        ({"ornament_loose": False}, "2"),
    ],
)  # fmt: skip
def test_what_a_fragile_work_may_take(work, speed):
    found = vibration.load(case(room={"loud_music": True}, work=work))
    assert f"{speed} mm/s" in found.reason or f"{speed}.0 mm/s" in found.reason
    assert vibration.load(in_store(case(room={"loud_music": True}))) is None


WHOLE = (1.0, 1.0, 1.0, 1.0)


def salty(crossings=(2.0, 4.0, 6.0, 8.0), coverage=WHOLE, *, others=(0.0, 0.0, 0.0, 0.0), worst=0, **facts):
    library = facts.pop("library", load_library())
    medium = next(name for name, each in sorted(library.media.items()) if each.salts and len(each.salts) > 1)
    made = climate_case(record(), medium=medium, kind="relief", library=library, **facts)
    for number, name in enumerate(made.medium.salts):
        figure = library.figure
        found = Exceedance(
            ((), (), (), ()), crossings if number == worst % len(made.medium.salts) else others, coverage
        )
        told(
            made,
            deliquescence,
            found,
            figure(f"salts.salt.{name}.a"),
            figure(f"salts.salt.{name}.b"),
            figure("salts.hysteresis"),
        )
    return made


def error(made):
    return made.draws.between("model:salts:crossings", 0.5, 1.0, 1.5)


def test_crossings_of_the_worst_salt_in_a_year():
    made = salty()
    load = salts.load(made)
    # Twenty crossings in four seasons, and twelve a year are allowed.
    assert load.draws == pytest.approx(20.0 * error(made) / 12.0)
    assert load.exposure.value == pytest.approx(20.0, rel=2e-3)
    assert load.span == pytest.approx((load.exposure.value / 52, load.exposure.value / 4))
    assert not load.seen.any()
    assert load.evidence == "assumed"
    a, b = (load_library().figure(f"salts.salt.{made.medium.salts[0]}.{each}") for each in "ab")
    assert f"{a * math.exp(b / 293.15):.0f} %RH" in load.reason
    summer = salty(stay=Stay(dt.date(2026, 6, 1), dt.date(2026, 8, 20)))
    assert salts.load(summer).draws == pytest.approx(24.0 * error(summer) / 12.0)
    assert salts.load(salty((0.0,) * 4)).draws == pytest.approx(np.zeros(1000))


def test_a_season_without_a_log_is_about_as_the_worst():
    made = salty((2.0, 4.0, 6.0, 8.0), (0.2, 1.0, 1.0, 1.0))
    z = made.draws.normal("season:north-wall:salts:0")
    winter = np.maximum(8.0 * np.exp(math.log(2.5) * z), 2.0)
    load = salts.load(made)
    assert load.draws == pytest.approx((winter + 18.0) * error(made) / 12.0)
    assert len(load.missing) == 2
    never = salty((math.nan, 0.0, 0.0, 0.0), (0.0, 1.0, 1.0, 1.0), others=(math.nan, 0.0, 0.0, 0.0))
    z = never.draws.normal("season:north-wall:salts:0")
    assert salts.load(never).draws == pytest.approx(np.exp(math.log(2.5) * z) * error(never) / 12.0)


def test_a_measure_on_crossings():
    library = with_measure(load_library(), "case", ("salts", "crossings", (0.5, 0.5, 0.5)))
    kept = salty(library=library, measures=("case",))
    assert salts.load(kept).draws == pytest.approx(10.0 * error(kept) / 12.0)


@pytest.mark.parametrize("worst", [0, 1, -1])
def test_the_salt_that_is_crossed_most_often_is_named(worst):
    made = salty(worst=worst)
    load = salts.load(made)
    assert load.draws == pytest.approx(20.0 * error(made) / 12.0)
    assert made.medium.salts[worst].replace("_", " ") in load.reason

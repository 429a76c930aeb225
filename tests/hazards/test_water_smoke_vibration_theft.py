"""The short hazards: plain rules on surveyed facts."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.hazards import smoke, theft, vibration, water
from stillwall.survey.features import Opening
from stillwall.survey.places import Event
from stillwall.units import Size
from tests.hazards.wall_cases import SAFE_DOOR, case


def test_pipes_that_have_leaked_bar_and_a_tray_lifts_it():
    room = {"pipes_overhead": True, "leaks_known": True}
    assert water.load(case(room=room)).barred
    assert not water.load(case(room=room, measures=["drip-tray"])).barred


def test_pipes_count_as_one_and_none_as_nothing():
    assert water.load(case(room={"pipes_overhead": True})).ratio == pytest.approx(1.0, rel=0.02)
    assert water.load(case(wall={"pipes_within_m": 0.5})).ratio == pytest.approx(1.0, rel=0.02)
    assert water.load(case()).high < 0.1


def test_a_flood_asks_for_a_foot_over_its_level():
    # Known level 0.9 m and 0.3 m: 1.2 m, under which the bottom edge must not hang.
    load = water.load(
        case(room={"flood_level_m": 0.9}, work={"framed": Size(1.0, 0.7)}, wall={"centre_m": 1.5})
    )
    assert load.ratio == pytest.approx(1.2 / 1.0)
    assert load.allowance.value == pytest.approx(1.0)


def test_unknown_pipes_are_doubted():
    load = water.load(case(room={"pipes_overhead": None, "leaks_known": None}))
    assert load.chance_over > 0.2
    assert len(load.missing) == 2


def test_open_cooking_bars_what_is_not_glazed():
    bare = smoke.load(case(room={"cooking": "open"}))
    glazed = smoke.load(case(room={"cooking": "open"}, work={"glazing": "acrylic"}))
    backed = smoke.load(case(room={"cooking": "open"}, measures=["glaze-and-back"]))
    assert bare.barred
    assert not glazed.barred
    assert not backed.barred
    assert glazed.ratio < bare.ratio
    assert smoke.load(case(room={"smoking": True})).barred


def test_a_kitchen_next_door_counts_as_one():
    assert smoke.load(case(room={"cooking": "near"})).ratio == pytest.approx(1.0, rel=0.02)


def test_twenty_candle_evenings_are_the_limit():
    load = smoke.load(case(room={"candles_evenings_per_year": 20.0}))
    assert load.ratio == pytest.approx(1.0)
    events = smoke.load(
        case(room={"use": "dining", "events": (Event(name="dinner", per_year=40, candles=True),)})
    )
    assert events.ratio == pytest.approx(2.0)


def test_a_room_without_smoke_has_no_load_and_an_unknown_one_is_doubted():
    assert smoke.load(case()) is None
    unknown = smoke.load(case(room={"use": "dining", "cooking": None, "smoking": None}))
    assert unknown.chance_over > 0.2
    assert len(unknown.missing) == 2


def test_vibration_is_asked_for_and_never_invented():
    assert vibration.load(case()) is None
    load = vibration.load(case(room={"loud_music": True}))
    assert load.draws is None
    assert load.evidence == "missing"
    assert not load.blocks
    assert "2 mm/s" in load.reason
    fragile = vibration.load(case(room={"loud_music": True}, work={"condition": "flaking"}))
    assert "1 mm/s" in fragile.reason
    door = Opening(id="door", kind="inside_door", room="room", side="north", at_m=3.9)
    assert vibration.load(case(wall={"build": "gypsum_stud"}, doors=[door])) is not None


def test_what_one_person_can_carry_is_counted():
    small = {"framed": Size(0.4, 0.3, 0.03), "image": Size(0.3, 0.2), "mass_kg": 2.0}
    unseen = {"unseen_hours": 8.0}
    load = theft.load(case(work=small, room=unseen))
    assert load.ratio == pytest.approx(2.0, rel=0.05)
    assert theft.load(case(work=small | {"mass_kg": 12.0}, room=unseen)) is None
    assert theft.load(case(work={"framed": Size(1.2, 0.7)}, room=unseen)) is None
    assert theft.load(case(work=small, room=unseen, wall={"centre_m": 2.3})) is None
    held = theft.load(case(work=small, room=unseen, measures=["security-fixings"]))
    assert held.chance_over < 0.2
    unknown = theft.load(case(work=small, room={"unseen_hours": None, "supervised_share": None}))
    assert unknown.chance_over > 0.2
    assert unknown.missing


def test_a_way_out_in_the_room_makes_theft_worse():
    small = {"framed": Size(0.4, 0.3, 0.03), "image": Size(0.3, 0.2), "mass_kg": 2.0}
    front = Opening(id="front", kind="outside_door", room="room")
    inside, street = (
        theft.load(case(work=small, room={"unseen_hours": 8.0}, doors=[SAFE_DOOR, *doors]))
        for doors in ((), (front,))
    )
    assert np.all(street.draws >= inside.draws)
    assert street.ratio > 1.3 * inside.ratio

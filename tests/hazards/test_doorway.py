"""Doors: the swing by hand, distance rules, and the log."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stillwall.hazards import doorway
from stillwall.record import Record
from stillwall.survey.features import Opening
from stillwall.units import Size
from tests.detectors.logged import channel
from tests.hazards.wall_cases import case

# A leaf of 0.9 m hinged 0.15 m from the corner touches the bare side wall at 99.6 degrees, 0.887 m along it.
BESIDE = Opening(
    id="door",
    kind="inside_door",
    room="room",
    side="west",
    at_m=3.95,
    clear=Size(2.05, 0.85),
    leaf_width_m=0.9,
    hinge="right",
    hinge_to_corner_m=0.15,
    opens="in",
    opens_to_deg=110.0,
    stop=False,
    opens_per_day=40.0,
    leads_to="outside",
)
CLOSE = {"span_m": 1.2}


def test_a_leaf_that_reaches_the_work_bars():
    load = doorway.load(case(doors=[BESIDE], wall=CLOSE))
    assert load.barred
    assert "strikes" in load.reason


@pytest.mark.parametrize(
    ("change", "barred"),
    [
        ({"opens_to_deg": 60.0, "stop": True}, False),
        ({"opens": "out"}, False),
        ({"hinge": "left"}, False),
        ({"hinge_to_corner_m": 1.2}, False),
        ({"opens_to_deg": 95.0}, True),
    ],
)
def test_what_keeps_the_leaf_away(change, barred):
    assert doorway.load(case(doors=[replace(BESIDE, **change)], wall=CLOSE)).barred is barred


def test_a_tray_is_no_part_of_the_leaf():
    service = replace(BESIDE, kind="service_door", leaf_width_m=0.85, opens_to_deg=120.0)
    reason = doorway.load(case(doors=[service], wall=CLOSE)).reason
    assert "850 mm wide and with room for a tray" in reason


def test_a_work_beyond_the_reach_is_not_struck():
    # The tip comes 0.887 m along the wall; the work begins at 1.65 m.
    load = doorway.load(case(doors=[BESIDE]))
    assert not load.barred


def test_a_stop_lifts_the_bar():
    load = doorway.load(case(doors=[BESIDE], wall=CLOSE, measures=["door-stop"]))
    assert not load.barred
    assert load.chance_over < 0.2


@pytest.mark.parametrize("fact", ["opens_to_deg", "opens", "leaf_width_m"])
def test_a_leaf_of_which_a_fact_is_missing_is_doubted(fact):
    door = replace(BESIDE, **{fact: None})
    if fact == "leaf_width_m":
        door = replace(door, clear=None)
    load = doorway.load(case(doors=[door], wall=CLOSE))
    assert not load.barred
    assert load.chance_over > 0.2
    assert load.missing
    assert load.evidence == "assumed"


def test_a_door_in_the_same_wall_folds_back_over_the_work():
    door = replace(BESIDE, side="north", at_m=0.1, hinge="right", hinge_to_corner_m=None, opens_to_deg=180.0)
    wall = {"at_m": 1.1, "span_m": 1.2}
    assert doorway.load(case(doors=[door], wall=wall)).barred
    assert not doorway.load(case(doors=[replace(door, opens_to_deg=90.0)], wall=wall)).barred
    assert not doorway.load(case(doors=[replace(door, hinge="left")], wall=wall)).barred


def test_an_outside_door_counts_to_three_metres():
    door = replace(
        BESIDE,
        kind="outside_door",
        side="south",
        at_m=0.3,
        opens="out",
        vestibule=False,
        opens_per_day=100.0,
    )
    far = doorway.load(case(doors=[door]))
    near = doorway.load(case(doors=[replace(door, side="north", at_m=2.9)], wall={"span_m": 2.8}))
    assert far.ratio < 1.0 < near.ratio
    assert "which has no lobby" in near.reason
    lobby = doorway.load(
        case(doors=[replace(door, side="north", at_m=2.9, vestibule=True)], wall={"span_m": 2.8})
    )
    assert lobby.ratio == pytest.approx(near.ratio / 2, rel=0.06)


def test_a_panel_by_an_outside_door_is_barred():
    door = replace(
        BESIDE, kind="outside_door", side="north", at_m=2.2, opens="out", vestibule=False, opens_per_day=100.0
    )
    wall = {"span_m": 2.1}
    panel = {"kind": "panel", "medium": "oil-on-panel"}
    assert doorway.load(case(doors=[door], wall=wall, work=panel)).barred
    assert not doorway.load(case(doors=[door], wall=wall)).barred


def test_a_lobby_that_nobody_mentions_is_not_taken_as_there():
    door = replace(
        BESIDE, kind="outside_door", side="north", at_m=2.9, opens="out", vestibule=None, opens_per_day=100.0
    )
    load = doorway.load(case(doors=[door], wall={"span_m": 2.8}))
    assert any("lobby" in question for question in load.missing)
    assert load.ratio > 1.0


def test_a_room_without_a_door_is_asked_about():
    load = doorway.load(case(doors=[]))
    assert load.chance_over > 0.19
    assert any("Which doors" in question for question in load.missing)


def logged_door(openings_a_day=30, days=30, own=True) -> Record:
    """Every half hour or so the wall's air takes a tenth of outdoor air, for ten minutes."""
    times = np.datetime64("2026-01-10T00:00:00", "s") + np.arange(days * 1440) * np.timedelta64(60, "s")
    minutes = np.arange(len(times))
    out_c, out_rh = 2.0, 85.0
    since = minutes % (1440 // openings_a_day)
    share = np.where(since < 2, 0.1 * since / 2, 0.1 * np.exp(-(since - 2) / 8.0))
    inside_vapour, outside_vapour = 0.40 * 2339.0, out_rh / 100 * 706.0
    temperature = 20 + share * (out_c - 20)
    vapour = inside_vapour + share * (outside_vapour - inside_vapour)
    humidity = 100 * vapour / (611.2 * np.exp(17.62 * temperature / (243.12 + temperature)))
    outdoors = Record(
        place="out",
        channels={
            "temperature": channel("temperature", times, np.full(len(times), out_c), "out"),
            "humidity": channel("humidity", times, np.full(len(times), out_rh), "out"),
        },
    )
    return Record(
        place="wall",
        channels={
            "temperature": channel("temperature", times, temperature, "wall"),
            "humidity": channel("humidity", times, humidity, "wall"),
        },
        from_room=frozenset() if own else frozenset({"temperature", "humidity"}),
        outdoors=outdoors,
    )


def test_the_log_replaces_the_distance_of_an_outside_door():
    door = replace(
        BESIDE, kind="outside_door", side="north", at_m=2.9, opens="out", vestibule=False, opens_per_day=100.0
    )
    made = {"doors": [door], "wall": {"span_m": 2.8}}
    ruled = doorway.load(case(**made))
    logged = doorway.load(case(**made, record=logged_door()))
    paper = doorway.load(
        case(
            **made,
            record=logged_door(),
            work={"kind": "photograph", "medium": "watercolour", "frame": "metal"},
        )
    )
    assert "breaths of outdoor air" in logged.reason
    assert logged.evidence == "measured"
    assert logged.ratio < ruled.ratio
    # A sheet follows within the hour, a canvas within the day.
    assert paper.ratio > 3 * logged.ratio


def test_a_room_log_does_not_clear_a_door_wall():
    door = replace(
        BESIDE, kind="outside_door", side="north", at_m=2.9, opens="out", vestibule=False, opens_per_day=100.0
    )
    made = {"doors": [door], "wall": {"span_m": 2.8}}
    ruled, logged = (doorway.load(case(**made, record=record)) for record in (None, logged_door(own=False)))
    assert np.all(logged.draws >= ruled.draws)

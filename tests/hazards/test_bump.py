"""Knocks against the worked model, marks seen, stays and occasions."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from stillwall.case import Stay
from stillwall.hazards import bump
from stillwall.survey.features import Opening
from stillwall.survey.places import Event, Furniture, HoldingPlace, Tables
from stillwall.units import Size
from tests.hazards.wall_cases import case

PASSING = {"circulation": "passing", "clear_width_m": 2.4, "centre_m": 1.1}
BUSY = {"people_per_day": 300.0, "people_peak_hour": 60.0}


def test_chairs_as_worked_by_hand():
    # 1,560 seatings and a gap of 0.9 m between table and frame: 104 a year over the whole band.
    tables = Tables(edge_to_wall_m=0.9 + 0.065, seatings_per_year=1560, chair_back_m=1.10)
    made = case(
        work={"framed": Size(1.4, 0.7, 0.05), "frame": "composition"},
        wall={"tables": tables, "centre_m": 1.1},
    )
    load = bump.load(made)
    # The reach itself is uncertain, and a convex rise makes the median a little less than at the middle.
    assert load.exposure.value == pytest.approx(104 * 0.25, rel=0.35)
    assert "chairs" in load.reason


def test_above_the_chairs_nothing_is_pushed_back_into_it():
    tables = Tables(edge_to_wall_m=0.9, seatings_per_year=1560, chair_back_m=0.98)
    low, high = (
        bump.load(case(work={"framed": Size(0.6, 0.6, 0.05)}, wall={"tables": tables, "centre_m": centre}))
        for centre in (1.0, 1.5)
    )
    assert low.ratio > 20 * high.ratio


def test_composition_low_in_a_ballroom_and_plain_wood_differ_by_their_fragility():
    room = {"use": "ballroom", "events": (Event(name="ball", per_year=30, guests=150),)}
    made = {
        frame: bump.load(
            case(work={"frame": frame, "framed": Size(1.2, 1.0, 0.065)}, wall=PASSING, room=room)
        )
        for frame in ("composition", "plain_wood")
    }
    assert made["composition"].ratio > 3
    assert made["composition"].ratio / made["plain_wood"].ratio == pytest.approx(0.25 / 0.02, rel=0.1)
    assert "guests at occasions" in made["composition"].reason


def test_one_damaging_knock_in_twenty_years_is_the_limit():
    load = bump.load(case(wall=PASSING, room=BUSY))
    assert load.allowance.value == pytest.approx(0.05)
    assert load.ratio == pytest.approx(load.exposure.value / 0.05, rel=0.05)
    ten = bump.load(case(wall=PASSING, room=BUSY, stay=Stay(dt.date(2026, 1, 1), dt.date(2036, 1, 1))))
    assert ten.allowance.value == pytest.approx(0.5, rel=0.01)
    assert ten.ratio == pytest.approx(load.ratio, rel=0.02)


def test_a_short_stay_has_one_years_allowance():
    year = bump.load(case(wall=PASSING, room=BUSY))
    weeks = bump.load(case(wall=PASSING, room=BUSY, stay=Stay(dt.date(2026, 1, 1), dt.date(2026, 3, 2))))
    assert weeks.accrues
    assert weeks.ratio == pytest.approx(year.ratio * 60 / 365.25, rel=0.02)


def test_occasions_count_on_the_dates_of_the_stay():
    room = {"use": "ballroom", "events": (Event(name="wedding", per_year=20, guests=100, months=(6, 7)),)}

    def over(start, end):
        stay = Stay(dt.date(*start), dt.date(*end))
        return bump.load(case(wall=PASSING, room=room, stay=stay)).exposure.value

    winter, summer = over((2026, 1, 1), (2026, 2, 1)), over((2026, 6, 1), (2026, 7, 1))
    assert summer > 10 * winter


def test_marks_seen_update_the_rate():
    none, few, many = (
        bump.load(case(wall=PASSING | {"marks_last_year": marks}, room=BUSY)) for marks in (None, 0.0, 12.0)
    )
    assert few.ratio < none.ratio < many.ratio
    assert "12 marks" in many.reason
    # Gamma prior of shape 1 and mean N: after k marks in a year (1 + k) / (1 / N + 1).
    prior = float(np.median(none.draws)) * 0.05 / 0.02
    assert many.exposure.value == pytest.approx(13 / (1 / prior + 1) * 0.02, rel=0.3)


def test_a_barrier_a_console_and_another_frame_help():
    work = {"frame": "composition", "framed": Size(1.2, 1.0, 0.12)}
    bare = bump.load(case(work=work, wall=PASSING, room=BUSY))
    for measure in ("barrier", "console-below", "plain-frame", "raise-work"):
        made = bump.load(case(work=work, wall=PASSING, room=BUSY, measures=[measure]))
        assert np.all(made.draws <= bare.draws * 1.0001), measure
        assert made.ratio < 0.8 * bare.ratio, measure


def test_furniture_below_keeps_people_off():
    chest = Furniture(what="chest", height_m=0.8, depth_m=0.5, width_m=1.2)
    bare, kept = (
        bump.load(case(wall=PASSING | {"furniture_below": each, "centre_m": 1.5}, room=BUSY))
        for each in (None, chest)
    )
    assert kept.ratio < bare.ratio


def test_taking_it_down_spares_parties_and_costs_handling():
    room = {"use": "ballroom", "events": (Event(name="ball", per_year=40, guests=150),)}
    work = {"frame": "composition", "framed": Size(1.2, 1.0, 0.12)}
    up, down = (
        bump.load(case(work=work, wall=PASSING, room=room, measures=m)) for m in ((), ("down-for-events",))
    )
    assert down.ratio < up.ratio
    quiet = bump.load(
        case(work=work, wall=PASSING, room=room | {"events": ()}, measures=("down-for-events",))
    )
    assert down.ratio > quiet.ratio


def test_glass_covers_a_bare_canvas():
    bare, glazed = (
        bump.load(case(work={"frame": "none", "glazing": glazing}, wall=PASSING, room=BUSY))
        for glazing in ("none", "acrylic")
    )
    assert glazed.ratio == pytest.approx(bare.ratio * (0.1 + 0.002 / 0.15), rel=0.2)


def test_a_way_that_nobody_has_counted_blocks_and_asks():
    load = bump.load(case(wall=PASSING, room={"people_per_day": None, "people_peak_hour": None}))
    assert load.blocks
    assert any("How many people a day" in question for question in load.missing)
    assert any("marks" in question for question in load.missing)
    counted = bump.load(case(wall=PASSING | {"people_per_day": 40.0}, room={"people_per_day": None}))
    assert not counted.blocks


def test_an_unknown_frame_is_asked_about():
    load = bump.load(case(work={"frame": None}, wall=PASSING, room=BUSY))
    assert any("frame" in question for question in load.missing)
    assert load.evidence == "assumed"


def test_a_bust_that_stands_free_is_worse_than_a_fixed_one():
    work = {"kind": "bust", "medium": "marble", "image": Size(0.6, 0.4, 0.3), "framed": None}
    pedestal = {
        "mass_kg": 30.0,
        "height_m": 1.1,
        "base": Size(0.4, 0.4),
        "circulation": "passing",
        "clear_width_m": 2.0,
    }
    free, fixed = (
        bump.load(case(work=work, pedestal=pedestal | {"bust_fixed": kind}, room=BUSY))
        for kind in ("none", "pin")
    )
    assert free.ratio > 2 * fixed.ratio
    assert any("hurts people" in caution for caution in free.cautions)


def test_a_store_is_touched_by_nobody():
    made = case()
    store = HoldingPlace(id="store", room="room")
    assert bump.load(replace(made, site=replace(made.site, place=store))) is None


def test_every_answer_says_what_it_is_good_for():
    assert any("not for insurance" in caution for caution in bump.load(case()).cautions)


def test_a_door_says_nothing_of_knocks():
    door = Opening(id="other", kind="inside_door", room="room")
    assert np.array_equal(bump.load(case()).draws, bump.load(case(doors=[door])).draws)

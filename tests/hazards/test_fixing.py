"""Falling: masses, ratings and tipping against figures worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.hazards import fixing
from stillwall.setting.weighing import weight
from stillwall.units import Size
from tests.hazards.wall_cases import case

FOOT = 0.3048
COMPOSITION = {
    "frame": "composition",
    "framed": Size(6 * FOOT, 5 * FOOT, 0.15),
    "image": Size(4 * FOOT, 3 * FOOT),
    "depth_m": 0.15,
    "mass_kg": None,
    "mass_known": None,
    "backing": "board",
}
BUST = {
    "kind": "bust",
    "medium": "marble",
    "framed": None,
    "image": Size(0.75, 0.4, 0.3),
    "depth_m": None,
    "mass_kg": 45.0,
    "frame": None,
    "glazing": None,
}
PEDESTAL = {
    "mass_kg": 30.0,
    "height_m": 1.1,
    "base": Size(0.4, 0.4),
    "fixed": "none",
    "bust_fixed": "pin",
    "bust_base": Size(0.4, 0.4),
    "clear_width_m": 3.0,
    "circulation": "none",
}


def test_a_large_composition_frame_weighs_what_the_trade_says():
    # 63.6 kg of frame, with canvas 1.7, stretcher 3.3 and backing 4.7 together 73 kg (161 lb).
    made = case(work=COMPOSITION)
    heavy = weight(made.library, made.work)
    assert heavy.value_kg == pytest.approx(73, rel=0.02)
    assert heavy.low_kg == pytest.approx(0.6 * heavy.value_kg)
    assert heavy.high_kg == pytest.approx(1.4 * heavy.value_kg)
    assert heavy.evidence == "assumed"


def test_glazing_adds_its_sheet():
    # 4 x 3 ft: glass of 3 mm 8.4 kg, acrylic 4.0 kg.
    made = case(work={"framed": None, "image": Size(4 * FOOT, 3 * FOOT), "mass_kg": None, "frame": "none"})
    bare = weight(made.library, made.work).value_kg
    glazed = {
        kind: weight(made.library, made.work, glazing=kind).value_kg - bare for kind in ("glass", "acrylic")
    }
    assert glazed["glass"] == pytest.approx(8.4, rel=0.03)
    assert glazed["acrylic"] == pytest.approx(4.0, rel=0.03)


def test_the_rating_to_buy_lets_one_fixing_fail():
    load = fixing.load(
        case(work=COMPOSITION | {"mass_kg": 73.0, "mass_known": "weighed"}, wall={"build": "lath_plaster"})
    )
    assert "4 fixings" in load.reason
    # 73 kg x 2 over the three that are left.
    assert load.exposure.value == pytest.approx(73 * 2 / 3, rel=0.01)
    assert load.kind == "safety"


def test_how_it_hangs_today_is_no_fact_of_the_new_wall():
    hooks = {"points": 4.0, "ratings_kg": (100.0,) * 4, "rating_kind": "working"}
    plain, hooked = (fixing.load(case(work=COMPOSITION | more)) for more in ({}, hooks))
    assert np.array_equal(plain.draws, hooked.draws)


def test_a_light_picture_on_brick_is_safe_and_a_heavy_one_on_board_is_not():
    light = fixing.load(case())
    heavy = fixing.load(case(work={"mass_kg": 40.0}, wall={"build": "gypsum_metal"}))
    assert light.high < 0.5
    assert heavy.low > 1.0


def test_an_unknown_wall_is_doubted_and_asked_about():
    load = fixing.load(case(work={"mass_kg": 12.0}, wall={"build": None}))
    assert load.chance_over > 0.2
    assert load.evidence == "assumed"
    assert any("built" in question for question in load.missing)


def test_leave_to_drill_is_asked_for_and_doubted():
    load = fixing.load(case(wall={"fixings_allowed": None}))
    assert load.chance_over > 0.2
    assert any("holes" in question for question in load.missing)


def test_no_fixing_allowed_bars():
    assert fixing.load(case(wall={"fixings_allowed": "none"})).barred


def test_a_rail_carries_less_than_the_wall():
    rail = fixing.load(
        case(work={"mass_kg": 15.0}, wall={"fixings_allowed": "rail_only", "picture_rail_m": 2.6})
    )
    wall = fixing.load(case(work={"mass_kg": 15.0}))
    assert rail.ratio > wall.ratio


def test_a_board_into_the_studs_carries_more():
    bare = case(work=COMPOSITION, wall={"build": "lath_plaster"})
    backed = case(work=COMPOSITION, wall={"build": "lath_plaster"}, measures=["cleat-and-board"])
    assert np.all(fixing.load(backed).draws < fixing.load(bare).draws)


def test_every_answer_carries_its_caution():
    for made in (
        case(),
        case(work=BUST, pedestal=PEDESTAL),
        case(work=BUST, pedestal=PEDESTAL | {"base": None}),
    ):
        assert fixing.load(made).cautions
    heavy = fixing.load(case(work=COMPOSITION))
    assert any("qualified" in caution for caution in heavy.cautions)
    assert any("asbestos" in caution for caution in heavy.cautions)
    flaking = fixing.load(case(work={"condition": "flaking"}))
    assert any("conservator" in caution for caution in flaking.cautions)


def test_a_flat_wire_is_told_by_its_pull():
    # 25 kg at 15 degrees pulls with 474 N at each ring.
    work = {"hanging": "wire", "mass_kg": 25.0, "wire_sag_m": 0.67 * 0.7 / 2 * np.tan(np.radians(15))}
    notes = " ".join(fixing.load(case(work=work)).notes)
    assert "474 N" in notes


def test_a_bust_on_its_pedestal_as_worked_by_hand():
    # Bust 45 kg with its centre at 1.40 m, pedestal 30 kg at 0.55 m, half base 0.20 m: 10.7 degrees, 98 N.
    load = fixing.load(case(work=BUST, pedestal=PEDESTAL))
    assert "98 N" in load.reason
    assert "11 degrees" in load.reason
    assert load.kind == "safety"


def test_the_way_in_which_it_would_fall_is_named():
    # 18 kg on a foot of 0.20 m, pushed 0.54 m up: 18 x 9.81 x 0.10 / 0.54 = 33 N, far under what tips both.
    light = BUST | {"mass_kg": 18.0, "mass_known": "weighed", "image": Size(0.6, 0.4, 0.3)}
    loose = PEDESTAL | {"bust_base": Size(0.22, 0.20), "bust_fixed": "none"}
    off = fixing.load(case(work=light, pedestal=loose))
    assert "pushed off its pedestal by 33 N" in off.reason
    pinned = fixing.load(case(work=light, pedestal=loose | {"bust_fixed": "pin"}))
    assert "falls with its pedestal" in pinned.reason


def test_an_unmeasured_foot_blocks():
    load = fixing.load(case(work=BUST, pedestal=PEDESTAL | {"base": None}))
    assert load.blocks
    assert any("foot" in question for question in load.missing)


@pytest.mark.parametrize("measure", ["fix-pedestal", "ballast-pedestal"])
def test_fixing_or_ballast_helps_a_pedestal(measure):
    plain = fixing.load(case(work=BUST, pedestal=PEDESTAL))
    held = fixing.load(case(work=BUST, pedestal=PEDESTAL, measures=[measure]))
    assert np.all(held.draws <= plain.draws)
    assert held.ratio < plain.ratio


def test_a_crowd_pushes_harder_than_a_watched_room():
    watched = fixing.load(case(work=BUST, pedestal=PEDESTAL, room={"supervised_share": 0.95}))
    bar = fixing.load(case(work=BUST, pedestal=PEDESTAL, room={"use": "bar", "supervised_share": 0.5}))
    assert bar.ratio > 1.5 * watched.ratio


def test_a_heavier_work_never_has_the_lower_load():
    loads = [
        fixing.load(case(work={"mass_kg": mass, "mass_known": "weighed"})).ratio
        for mass in (2.0, 6.0, 11.0, 12.0, 13.0, 14.0, 20.0, 40.0)
    ]
    assert loads == sorted(loads)

"""What holds a work and what tips a bust, worked out by hand with every figure at its middle.

Statics; the figures are those of ``fixing.toml``, written down a second time.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from stillwall.hazards import fixing
from stillwall.setting.hanging import hang
from stillwall.survey.places import Event
from stillwall.units import Size
from tests.hazards.certain import certain, with_measure
from tests.hazards.wall_cases import case

MASS = ("fixing.mass.weighed", "fixing.mass.unsaid", "fixing.mass.estimated")
LIBRARY = certain("fixing", spans=MASS)
G = 9.80665
CAPACITY = {
    "brick": 80, "stone": 80, "lath_plaster": 40, "gypsum_stud": 45, "gypsum_metal": 14, "panelling": 35,
    "partition": 4, "chimney_breast": 50, None: 16,
}  # fmt: skip


def built(**facts):
    return case(**({"library": LIBRARY} | facts))


def wide(width, **more):
    return {"framed": Size(0.9, width, 0.05), "image": Size(0.8, width - 0.1)} | more


def needed(load):
    """Working load of each fixing."""
    return load.exposure.value


@pytest.mark.parametrize(
    ("build", "width", "points"),
    [
        # One more fixing with every 0.4 m beyond 0.2 m, in solid walls every 0.2 m; two at least, four at most.
        ("gypsum_stud", 0.5, 2), ("gypsum_stud", 0.99, 2), ("gypsum_stud", 1.01, 3), ("gypsum_stud", 1.41, 4),
        ("gypsum_stud", 3.0, 4), ("brick", 0.59, 2), ("brick", 0.61, 3), ("brick", 0.81, 4), ("brick", 3.0, 4),
        ("chimney_breast", 0.61, 3), ("lath_plaster", 0.61, 2), (None, 0.61, 2),
    ],
)  # fmt: skip
def test_a_wall_is_judged_by_the_fixings_that_a_work_has_room_for(build, width, points):
    load = fixing.load(built(work=wide(width, mass_kg=8.0), wall={"build": build}))
    # Twice the mass, on all fixings but one that fails.
    assert needed(load) == pytest.approx(2 * 8.0 / (points - 1), rel=1e-3)
    assert load.allowance.value == pytest.approx(CAPACITY[build])
    mass = case().draws.between("work:work:mass", 0.98 * 8.0, 8.0, 1.02 * 8.0)
    assert load.draws == pytest.approx(2 * mass / (points - 1) / CAPACITY[build])
    assert load.evidence == ("surveyed" if build else "assumed")
    assert load.kind == "safety"
    assert load.deciding
    assert not load.barred


@pytest.mark.parametrize(
    ("mass_known", "evidence", "low", "high"),
    [("weighed", "surveyed", 0.98, 1.02), (None, "surveyed", 0.8, 1.25), ("estimated", "assumed", 0.6, 1.4)],
)
def test_a_mass_is_as_sure_as_it_was_weighed(mass_known, evidence, low, high):
    load = fixing.load(built(work=wide(0.5, mass_kg=8.0, mass_known=mass_known)))
    kilograms = load.draws * 80 / 2
    assert np.quantile(kilograms, [0.05, 0.5, 0.95]) == pytest.approx([8 * low, 8.0, 8 * high], rel=5e-3)
    assert load.evidence == evidence
    assert bool(load.missing) is (mass_known != "weighed")


def test_a_board_into_the_studs_has_six_fixings_and_its_own_strength():
    library = with_measure(LIBRARY, "board", ("fixing", "backing", True))
    for width, points in ((0.5, 2), (0.81, 4), (1.01, 5), (1.21, 6), (3.0, 6)):
        load = fixing.load(
            built(work=wide(width), wall={"build": "gypsum_stud"}, library=library, measures=["board"])
        )
        assert needed(load) == pytest.approx(16.0 / (points - 1), rel=1e-3)
        assert load.allowance.value == 65
    for build in ("brick", "stone", "chimney_breast", "partition", None):
        load = fixing.load(built(wall={"build": build}, library=library, measures=["board"]))
        assert load.allowance.value == CAPACITY[build]


def test_fixings_besides_the_usual_ones():
    library = with_measure(LIBRARY, "more", ("fixing", "points", 2.0))
    load = fixing.load(built(work=wide(0.5), library=library, measures=["more"]))
    # 0.5 m of brick: two, and two more.
    assert needed(load) == pytest.approx(16.0 / 3, rel=1e-3)


@pytest.mark.parametrize(
    ("wall", "capacity", "asks"),
    [
        ({"fixings_allowed": "rail_only", "picture_rail_m": 2.6}, 18, False),
        ({"fixings_allowed": "rail_only", "picture_rail_m": None}, 16, True),
        ({"fixings_allowed": "existing"}, 16, True),
    ],
)
def test_what_carries_where_no_new_hole_is_made(wall, capacity, asks):
    load = fixing.load(built(wall=wall))
    assert load.allowance.value == capacity
    assert bool(load.missing) is asks
    assert load.evidence == ("assumed" if asks else "surveyed")


def test_one_wall_in_four_of_which_nobody_knows_takes_no_hole():
    known, asked = fixing.load(built()), fixing.load(built(wall={"fixings_allowed": None}))
    forbidden = asked.draws != known.draws
    assert forbidden.mean() == pytest.approx(0.25, abs=0.002)
    assert (asked.draws[forbidden] == 4.0).all()
    # A load beyond that already stays.
    heavy = {"work": wide(0.5, mass_kg=900.0)}
    assert fixing.load(built(wall={"fixings_allowed": None}, **heavy)).draws == pytest.approx(
        fixing.load(built(**heavy)).draws
    )


def test_no_hole_bars_all_but_a_ledge():
    assert fixing.load(built(wall={"fixings_allowed": "none"})).barred
    assert not fixing.load(built(wall={"fixings_allowed": "none"}, work={"hanging": "ledge"})).barred


def _number(note, unit):
    """The numbers before a unit in a note."""
    words = note.replace(",", "").replace(";", "").split()
    return [float(words[at - 1]) for at, word in enumerate(words) if word.rstrip(".") == unit and at]


def notes_with(load, *units):
    return [note for note in load.notes if all(_number(note, unit) for unit in units)]


@pytest.mark.parametrize(
    ("mass", "buy"),
    [
        # Fixings that surely hold 45 kg each (the low end of brick): 1.02 m x 2 / (points - 1) <= 45.
        (20.0, 2), (22.0, 2), (23.0, 3), (44.0, 3), (45.0, 4), (300.0, 4),
    ],
)  # fmt: skip
def test_the_fewest_fixings_that_surely_hold_are_to_be_bought(mass, buy):
    library = certain("fixing", spans=(*MASS, "fixing.capacity.brick"))
    load = fixing.load(built(work=wide(2.0, mass_kg=mass), library=library))
    each = 2 * mass / (buy - 1)
    note = load.notes[0]
    assert f" {buy} " in note
    printed = _number(note, "kg")
    # Working load, and twice it where the packet prints what breaks it.
    assert printed == pytest.approx([each, 2 * each], rel=0.06)


def test_a_wire_pulls_by_its_angle():
    for sag, angle in (
        (None, 18.0),
        (0.1, math.degrees(math.atan2(0.1, 0.67 * 0.9 / 2))),
        (0.0, math.degrees(math.atan2(0.01, 0.67 * 0.9 / 2))),
    ):
        work = wide(0.9, mass_kg=12.0, hanging="wire", wire_sag_m=sag)
        made = built(work=work)
        note = notes_with(fixing.load(made), "degrees", "N")[0]
        tension = 12.0 * G / 2 / math.sin(math.radians(angle))
        inward = 12.0 * G / 2 / math.tan(math.radians(angle))
        assert _number(note, "degrees") == [round(angle)]
        assert _number(note, "N") == [round(tension), round(inward)]
    assert not notes_with(fixing.load(built(work=wide(0.9, hanging="plates"))), "degrees", "N")


def test_two_fixings_share_by_the_lever_and_the_top_one_is_drawn_off():
    made = built(work=wide(0.9, mass_kg=12.0))
    note = notes_with(fixing.load(made), "N")[-1]
    nearer = 12.0 * G * (0.5 + 0.05 * 0.9 / (0.6 * 0.9))
    drawn = 12.0 * G * hang(made).projection_m / 2 / 0.9
    assert _number(note, "N") == [round(nearer), round(drawn)]


def test_what_the_notes_warn_of():
    def count(**facts):
        return len(fixing.load(built(**facts)).notes)

    plain = count(wall={"centre_m": 3.0, "height_m": 5.0})
    # Within reach from the floor: under 1.8 m.
    assert count(wall={"centre_m": 1.5}) == plain + 1
    high = {"centre_m": 3.0, "height_m": 5.0}
    assert count(wall=high, work={"ratings_kg": (20.0,)}) == plain + 1
    assert count(wall=high, work={"ratings_kg": (20.0,), "rating_kind": "working"}) == plain
    for build, warned in (("lath_plaster", 1), ("gypsum_stud", 1), ("gypsum_metal", 1), ("panelling", 0)):
        assert count(wall=high | {"build": build}) == plain + warned


def cautions(**facts):
    return fixing.load(built(**facts)).cautions


def small(**more):
    return {"framed": Size(0.5, 0.5, 0.05), "image": Size(0.4, 0.4)} | more


def test_who_lifts_and_who_designs():
    # A weighed mass is right within 2 %.
    light = cautions(work=small(mass_kg=9.7), room={"use": "hall"})
    assert len(light) == 2
    assert fixing.DESIGNED not in light
    for mass, lifting in (
        (9.9, "Two people"),
        (24.4, "Two people"),
        (24.6, "third"),
        (58.7, "third"),
        (59.0, "crew"),
    ):
        found = cautions(work=small(mass_kg=mass), room={"use": "hall"})
        assert len(found) == 3
        assert lifting in found[2]
    assert fixing.DESIGNED not in cautions(work=small(mass_kg=19.5), room={"use": "hall"})
    assert fixing.DESIGNED in cautions(work=small(mass_kg=19.7), room={"use": "hall"})
    assert fixing.DESIGNED in cautions(work=small(), room={"use": "dining"})
    assert fixing.DESIGNED in cautions(work=small(), room={"use": "hall"}, wall={"build": "stone"})
    assert fixing.DESIGNED not in cautions(work=small(), room={"use": "hall"}, wall={"build": "gypsum_stud"})
    for condition in ("flaking", "loose_ornament", "cracked_glass", "active_insects", "active_mould"):
        assert len(cautions(work=small(condition=condition), room={"use": "hall"})) == 3


def test_another_frame_and_glazing_weigh():
    library = with_measure(LIBRARY, "glaze", ("fixing", "glazing", "acrylic"))
    load = fixing.load(built(work=wide(0.9, mass_kg=8.0), library=library, measures=["glaze"]))
    bare = fixing.load(built(work=wide(0.9, mass_kg=8.0)))
    assert needed(load) / needed(bare) == pytest.approx((8.0 + 0.9 * 0.9 * 3.6) / 8.0, rel=1e-3)
    framed = with_measure(LIBRARY, "frame", ("fixing", "frame", "metal"))
    other = fixing.load(built(work=wide(0.9, mass_kg=8.0), library=framed, measures=["frame"]))
    assert other.evidence == "assumed"


BUST = {"kind": "bust", "medium": "marble", "image": Size(0.6, 0.4, 0.3), "framed": None, "mass_kg": 40.0}
STAND = {
    "height_m": 1.1,
    "base": Size(0.45, 0.40),
    "mass_kg": 60.0,
    "bust_base": Size(0.25, 0.22),
    "bust_fixed": "none",
    "fixed": "none",
}


def standing(pedestal=None, work=None, **more):
    return built(work=BUST | (work or {}), pedestal=STAND | (pedestal or {}), **more)


def push_of(made):
    return fixing.load(made).exposure.value


def tipping(*, bust=40.0, stand=60.0, ballast=0.0, push=100.0, half=0.20, tall=1.1, held_by=1.0):
    whole = bust + stand + ballast
    high = 0.6
    centre = (bust * (tall + 0.4 * high) + stand * 0.5 * tall + ballast * 0.1) / whole
    at = min(tall + high, 1.5)
    slope = 10.0 / math.degrees(math.atan2(half, centre))
    return max(push / (whole * G * half / at), slope) * held_by


def off_pedestal(*, bust=40.0, push=100.0, half=0.11, held_by=1.0):
    return push / (bust * G * half / (0.9 * 0.6)) * held_by


def middle(load):
    return float(np.median(load.draws))


@pytest.mark.parametrize(
    ("pedestal", "parts"),
    [
        ({}, {}),
        ({"mass_kg": 300.0, "base": Size(0.3, 0.9)}, {"stand": 300.0, "half": 0.15}),
        ({"height_m": 0.6}, {"tall": 0.6}),
        ({"height_m": 2.2}, {"tall": 2.2}),
        ({"mass_kg": None}, {"stand": 40.0}),
        ({"fixed": "wall"}, {"held_by": 0.1}),
        ({"fixed": "floor"}, {"held_by": 0.1}),
        ({"fixed": None}, {}),
    ],
)
def test_a_pedestal_tips_at_a_push_or_on_a_slope(pedestal, parts):
    load = fixing.load(standing(pedestal | {"bust_fixed": "pin"}))
    own = off_pedestal(held_by=0.12)
    assert middle(load) == pytest.approx(max(tipping(**parts), own), rel=2e-3)


@pytest.mark.parametrize(
    ("fixed", "held_by"), [("none", 1.0), (None, 1.0), ("wax", 0.7), ("pin", 0.12), ("clip", 0.12)]
)
def test_a_bust_goes_over_the_edge_of_its_own_foot(fixed, held_by):
    load = fixing.load(standing({"bust_fixed": fixed, "fixed": "floor", "mass_kg": 900.0}))
    assert middle(load) == pytest.approx(
        max(off_pedestal(held_by=held_by), tipping(stand=900.0, held_by=0.1)), rel=2e-3
    )
    assert bool(load.missing) is (fixed is None)


def test_an_unmeasured_foot_of_a_bust_is_three_tenths_of_its_width_either_way():
    load = fixing.load(standing({"bust_base": None, "fixed": "floor"}))
    assert middle(load) == pytest.approx(off_pedestal(half=0.3 * 0.4), rel=2e-3)
    assert load.evidence == "assumed"


@pytest.mark.parametrize(
    ("room", "force", "asks"),
    [
        ({"supervised_share": 0.9, "use": "drawing"}, 100, False),
        ({"supervised_share": 0.8, "use": "drawing"}, 100, False),
        ({"supervised_share": 0.79, "use": "drawing"}, 250, False),
        ({"supervised_share": None, "use": "drawing"}, 180, True),
        ({"supervised_share": 0.9, "use": "bar"}, 250, False),
        ({"supervised_share": 0.95, "use": "ballroom"}, 100, False),
        ({"supervised_share": 0.9, "use": "drawing", "children_share": 0.11}, 250, False),
        ({"supervised_share": 0.9, "use": "drawing", "children_share": 0.1}, 100, False),
        ({"supervised_share": None, "use": "bar"}, 250, False),
        (
            {"supervised_share": 0.9, "use": "drawing", "events": (Event(name="ball", per_year=1),)},
            250,
            False,
        ),
    ],
)
def test_who_pushes(room, force, asks):
    made = standing(room=room)
    assert push_of(made) == force
    assert bool(fixing.load(made).missing) is asks


def test_ballast_a_pinned_bust_and_a_fixed_pedestal_as_measures():
    library = with_measure(LIBRARY, "sand", ("fixing", "ballast", 80.0))
    load = fixing.load(standing({"bust_fixed": "pin"}, library=library, measures=["sand"]))
    assert middle(load) == pytest.approx(max(tipping(ballast=80.0), off_pedestal(held_by=0.12)), rel=2e-3)
    library = with_measure(LIBRARY, "pin", ("fixing", "bust", True), ("fixing", "pedestal", True))
    load = fixing.load(standing(library=library, measures=["pin"]))
    assert middle(load) == pytest.approx(max(tipping(held_by=0.1), off_pedestal(held_by=0.12)), rel=2e-3)
    library = with_measure(LIBRARY, "rope", ("fixing", "push", (0.5, 0.5, 0.5)))
    made = standing(library=library, measures=["rope"])
    assert push_of(made) == 50.0


def test_what_is_told_of_a_pedestal():
    load = fixing.load(standing({"bust_fixed": "pin"}))
    centre = (40 * (1.1 + 0.24) + 60 * 0.55) / 100
    force = 100 * G * 0.2 / 1.5
    assert load.evidence == "measured"
    assert load.missing == ()
    assert load.allowance.value == pytest.approx(force, rel=1e-3)
    assert f"{math.degrees(math.atan2(0.2, centre)):.0f}" in load.reason
    energy = 100 * G * (math.hypot(0.2, centre) - centre)
    assert any(f"{energy:.0f} J" in note and f"{0.2 / centre:.2f} g" in note for note in load.notes)
    light = fixing.load(standing({"mass_kg": 10.0, "bust_fixed": "pin"}))
    # A push of 100 N at 1.5 m over a half foot of 0.2 m wants 76.5 kg.
    assert any(f"{100 * 1.5 / (0.2 * G) - 50:.0f} kg" in note for note in light.notes)
    assert not any(" kg" in note for note in load.notes)
    # It slides where the friction of 0.4 is under half the foot over the height of the push.
    just, over, far = (
        fixing.load(standing({"base": Size(side, side), "bust_fixed": "pin"})).notes[-1]
        for side in (1.19, 1.21, 1.3)
    )
    assert just == load.notes[-1] != over == far
    # Pushed off its pedestal, where nothing holds it there.
    loose = fixing.load(standing({"bust_base": Size(0.25, 0.1)}))
    assert loose.allowance.value == pytest.approx(40 * G * 0.05 / 0.54, rel=1e-3)


@pytest.mark.parametrize(
    ("lost", "questions"), [(("base",), 1), (("height_m",), 1), (("base", "height_m"), 2)]
)
def test_a_foot_or_a_height_that_nobody_measured_decides(lost, questions):
    load = fixing.load(standing(dict.fromkeys(lost)))
    assert load.draws is None
    assert load.blocks
    assert len(load.missing) == questions
    assert load.cautions

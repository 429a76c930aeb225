"""Whether a work has room, worked out by hand: rows, heights, ways out, stores, pedestals, and what is remarked.

Customs and codes are those of ``fit.toml``, written down a second time.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from stillwall.hazards import fit
from stillwall.setting.hanging import hang
from stillwall.survey.features import Opening
from stillwall.survey.places import HoldingPlace, Stair
from stillwall.survey.works import Work
from stillwall.units import Size
from tests.hazards.certain import certain, with_measure
from tests.hazards.wall_cases import case

LIBRARY = certain()
INCH = 0.0254
SIDE_MARGIN, GAP = 0.15, 0.15
LOWEST, UNDER_CEILING = 0.20, 0.10
TAPE = 1 + 0.005 * case().draws.normal("wall:wall:span") / 2


def built(*, work=None, **facts):
    """A work that is in the room already, so that no way there has to be found."""
    return case(**({"library": LIBRARY, "work": {"now_at": "wall"} | (work or {})} | facts))


def sized(height, width, **more):
    return {"framed": Size(height, width, 0.05), "image": Size(height - 0.1, width - 0.1)} | more


@pytest.mark.parametrize(
    ("height", "width", "ratio"),
    [
        # 4 m of wall with margins at both sides; 3 m less the skirting and what is left under the ceiling.
        (0.3, 0.7, (0.7 + 0.3) / 4.0),
        (0.9, 4.2, (4.2 + 0.3) / 4.0),
        (2.0, 0.7, 2.0 / (3.0 - LOWEST - UNDER_CEILING)),
    ],
)
def test_needed_over_clear(height, width, ratio):
    load = fit.load(built(work=sized(height, width)))
    assert load.draws == pytest.approx(ratio * TAPE)
    across = ratio == (width + 0.3) / 4.0
    assert load.exposure.value == pytest.approx(width + 0.3 if across else height)
    assert load.allowance.value == pytest.approx(load.exposure.value / ratio, rel=1e-3)
    assert load.evidence == "surveyed"
    assert load.kind == "constraint"
    assert load.deciding
    assert not load.barred


def test_a_row_takes_all_of_its_works_and_the_gaps():
    def other(name, **facts):
        return Work(
            id=name,
            kind="painting_canvas",
            medium="oil-on-canvas",
            title=name,
            framed=Size(0.9, 1.0, 0.05),
            **facts,
        )

    row = [other("b", pair_with="work"), other("c", group="lime"), other("d")]
    load = fit.load(built(work=sized(0.9, 0.7, group="lime"), works=row))
    needed = 0.7 + 2 * 1.0 + 2 * GAP + 2 * SIDE_MARGIN
    assert load.exposure.value == pytest.approx(needed)
    assert load.draws == pytest.approx(needed / 4.0 * TAPE)


@pytest.mark.parametrize(("height", "barred"), [(2.75, False), (2.79, False), (2.84, True), (3.3, True)])
def test_what_is_higher_than_the_room_has_is_barred(height, barred):
    # Between the skirting and the ceiling itself are 2.8 m; the tape is right within half a centimetre in a metre.
    load = fit.load(built(work=sized(height, 0.7)))
    assert load.barred is barred
    assert load.draws == pytest.approx(height / 2.7 * TAPE)


def test_the_room_s_height_stands_for_that_of_a_wall():
    made = built(
        work=sized(2.9, 0.7),
        wall={"height_m": None, "picture_rail_m": 2.0},
        room={"size": Size(3.4, 6.0, 5.0)},
    )
    assert not fit.load(made).barred
    low = built(
        work=sized(2.9, 0.7),
        wall={"height_m": None, "picture_rail_m": 2.0},
        room={"size": Size(2.6, 6.0, 5.0)},
    )
    assert fit.load(low).barred


def test_a_size_of_which_the_frame_is_unknown_is_spread():
    work = {"framed": None, "image": Size(0.8, 0.6), "depth_m": None, "frame": None}
    load = fit.load(built(work=work, wall={"span_m": 1.0}))
    size = hang(built(work=work)).size
    face = case().draws.normal("work:work:face")
    for z in (-2.0, 0.0, 1.5):
        near = np.argmin(np.abs(face - z))
        _, width = size.at(float(face[near]))
        assert load.draws[near] == pytest.approx((width + 0.3) / 1.0 * TAPE[near], rel=0.02)
    assert load.evidence == "assumed"


@pytest.mark.parametrize(
    ("orientation", "height", "width", "doubted"),
    [
        ("upright", 0.7, 0.9, True), ("upright", 0.9, 0.7, False), ("upright", 0.89, 0.9, False),
        ("upright", 0.88, 0.9, True), ("landscape", 0.9, 0.7, True), ("landscape", 0.7, 0.9, False),
        ("landscape", 0.9, 0.89, False), (None, 0.9, 0.7, False),
    ],
)  # fmt: skip
def test_a_size_that_contradicts_the_orientation_may_have_been_turned_over(
    orientation, height, width, doubted
):
    load = fit.load(
        built(work=sized(height, width, orientation=orientation), wall={"span_m": 2.0, "height_m": 8.0})
    )
    plain = (width + 0.3) / 2.0
    turned = (height + 0.3) / 2.0
    order = case().draws.normal("work:work:order") > 0
    expected = np.where(order, turned, plain) if doubted else plain
    assert load.draws == pytest.approx(expected * TAPE)
    assert len(load.notes) == 1 + doubted


def way_out(width, **wall):
    return {"circulation": "required_egress", "clear_width_m": width} | wall


@pytest.mark.parametrize(("people", "inches"), [(6.0, 36), (49.0, 36), (50.0, 44), (None, 44)])
@pytest.mark.parametrize("width", [1.0, 2.0])
def test_a_way_out_keeps_its_width(people, inches, width):
    made = built(wall=way_out(width), room={"people_peak_hour": people})
    load = fit.load(made)
    left = width - hang(made).projection_m
    code = inches * INCH / left
    assert load.draws == pytest.approx(np.maximum(code, 0.9 / 2.7 * TAPE))
    assert load.exposure.value == pytest.approx(inches * INCH)
    assert load.allowance.value == pytest.approx(left)


def test_a_barrier_takes_the_width_of_a_way_out():
    rope = with_measure(LIBRARY, "rope", ("fit", "barrier", 0.6))
    for wall, measures, taken in (
        ({"barrier_m": 0.4}, [], 0.4),
        ({"barrier_m": 0.4}, ["rope"], 0.6),
        ({"barrier_m": 0.8}, ["rope"], 0.8),
        ({}, ["rope"], 0.6),
        ({"barrier_m": 0.01}, [], None),
    ):
        made = built(wall=way_out(1.5, **wall), library=rope, measures=measures)
        left = 1.5 - (hang(made).projection_m if taken is None else taken)
        assert fit.load(made).allowance.value == pytest.approx(left)


def test_no_way_out_asks_for_nothing():
    for kind in ("passing", "none", None):
        load = fit.load(built(wall={"circulation": kind, "clear_width_m": 0.3}))
        assert load.draws == pytest.approx(0.9 / 2.7 * TAPE)
    assert fit.load(built(wall=way_out(None))).draws == pytest.approx(0.9 / 2.7 * TAPE)


@pytest.mark.parametrize(
    ("store", "ratio"),
    [
        ({"span_m": 1.0, "height_m": 3.0}, 0.7), ({"span_m": 2.0, "height_m": 1.0}, 0.9),
        ({"span_m": 1.0, "height_m": None}, 0.7), ({"span_m": None, "height_m": 1.2}, 0.75),
    ],
)  # fmt: skip
def test_a_store_has_a_width_and_a_height(store, ratio):
    made = built(work=sized(0.9, 0.7))
    made = replace(made, site=replace(made.site, place=HoldingPlace(id="store", room="room", **store)))
    load = fit.load(made)
    assert load.draws == pytest.approx(np.full(1000, ratio))
    assert load.exposure.value == pytest.approx(0.7 if ratio == 0.7 else 0.9)
    assert load.allowance.value == pytest.approx(load.exposure.value / ratio)


def test_a_store_without_sizes_says_nothing():
    made = built()
    made = replace(made, site=replace(made.site, place=HoldingPlace(id="store", room="room")))
    assert fit.load(made) is None


@pytest.mark.parametrize(("foot", "share"), [(Size(0.2, 0.3), 0.75), (Size(0.35, 0.2), 0.7)])
def test_the_foot_of_a_bust_stands_on_the_top(foot, share):
    bust = {"kind": "bust", "medium": "marble", "image": Size(0.6, 0.4, 0.3), "framed": None}
    pedestal = {"height_m": 1.0, "base": Size(0.6, 0.6), "top": Size(0.5, 0.4), "bust_base": foot}
    load = fit.load(built(work=bust, pedestal=pedestal))
    assert load.draws == pytest.approx(np.full(1000, share))
    assert load.exposure.value == pytest.approx(share * 0.4)
    assert load.allowance.value == pytest.approx(0.4)
    assert fit.load(built(work=bust, pedestal=pedestal | {"top": None})) is None
    assert fit.load(built(work=bust, pedestal=pedestal | {"bust_base": None})) is None


@pytest.mark.parametrize(
    ("work", "wall", "room", "questions"),
    [
        ({}, {"span_m": None, "side": None}, {}, 1),
        ({}, {"height_m": None}, {"size": None}, 1),
        ({}, {"span_m": None, "height_m": None, "side": None}, {"size": None}, 2),
        ({"framed": None, "image": None}, {}, {}, None),
        ({}, {"height_m": None}, {}, 0),
    ],
)
def test_what_nobody_measured_decides(work, wall, room, questions):
    load = fit.load(built(work=work, wall=wall, room=room))
    if questions == 0:
        assert load.draws is not None
        return
    assert load.draws is None
    assert load.blocks
    assert len(load.missing) == questions if questions else load.missing


def notes(**facts):
    return fit.load(built(**facts)).notes


def test_what_is_remarked_of_a_place_on_the_wall():
    assert len(notes()) == 1
    hung = hang(built())
    for length in (hung.bottom_m, hung.centre_m, hung.hook_m, hung.left_m):
        assert f"{length:.2f} m" in notes()[0]
    # Margins narrower than the usual: 0.15 m at the sides.
    assert len(notes(work=sized(0.9, 3.69))) == 1
    assert len(notes(work=sized(0.9, 3.75))) == 2
    # Nowhere on the wall at all.
    door = Opening(
        id="door",
        kind="inside_door",
        room="room",
        side="north",
        at_m=0.0,
        clear=Size(2.9, 3.9),
        leads_to="outside",
    )
    assert len(notes(work=sized(0.9, 0.7), doors=[door])) > 1
    # Others that hang there now, but for those of the row.
    there = Work(
        id="b",
        kind="painting_canvas",
        medium="oil-on-canvas",
        title="Ferns",
        framed=Size(0.5, 0.5, 0.03),
        now_at="wall",
    )
    assert len(notes(works=[there])) == 2
    assert len(notes(works=[replace(there, pair_with="work")])) == 1
    assert len(notes(works=[replace(there, now_at="elsewhere")])) == 1


@pytest.mark.parametrize(
    ("bottom", "depth", "kind", "told"),
    [
        # Between 27 and 80 inches above the floor a thing may stand out by four inches, its bumper included.
        (1.0, 0.10, "passing", True), (1.0, 0.08, "passing", False), (1.0, 0.10, "none", False),
        (0.5, 0.10, "passing", False), (2.05, 0.10, "passing", False), (2.02, 0.10, "passing", True),
        (1.0, 0.10, "required_egress", True),
    ],
)  # fmt: skip
def test_what_stands_out_into_a_way(bottom, depth, kind, told):
    work = {"framed": Size(0.4, 0.4, depth), "image": Size(0.3, 0.3), "depth_m": depth}
    wall = {"circulation": kind, "centre_m": bottom + 0.2, "clear_width_m": 9.0}
    at_wall = notes(work=work, wall=wall)
    assert any("101.6" in note or "102 mm" in note or "100 mm" in note for note in at_wall[1:]) is told


def test_on_a_way_out_decoration_has_its_share():
    made = notes(work=sized(0.9, 0.8), wall=way_out(9.0))
    # 0.72 of 12 m2 are 6 %, and a tenth is allowed.
    assert any("6 %" in note and "10 %" in note for note in made)
    assert len(made) == 2
    assert len(notes(work=sized(0.9, 0.8), wall=way_out(9.0), room={"sprinklers": True})) == 3
    assert len(notes(room={"sprinklers": True})) == 2


def test_how_far_one_can_step_back():
    # A vertical angle of 27 degrees: 0.9 m are seen whole from 1.87 m; half of that is 0.94 m.
    half = 0.9 / 2 / math.tan(math.radians(13.5)) / 2
    assert len(notes(wall={"clear_width_m": half - 0.01})) == 2
    assert len(notes(wall={"clear_width_m": half + 0.01})) == 1
    assert len(notes(wall={"clear_width_m": None})) == 1


def test_a_stair_has_its_corner_and_its_platform():
    stair = Stair(riser_m=0.17, tread_m=0.28)
    made = built(wall={"stair": stair})
    load = fit.load(made)
    hung = hang(made)
    corner = hung.centre_m - 0.45 - 0.35 * 0.17 / 0.28
    assert any(f"{1000 * corner:.0f} mm" in note or f"{corner:.2f} m" in note for note in load.notes)
    assert len(load.cautions) == len(fit.load(built()).cautions) + 1
    # As low as a handrail: under 38 inches.
    words = {
        centre: fit.load(built(wall={"stair": stair, "centre_m": centre})).notes[-1][-40:]
        for centre in (1.62, 1.64, 2.0)
    }
    edge = 0.9652 + 0.45 + 0.35 * 0.17 / 0.28
    assert 1.62 < edge < 1.64
    assert words[1.62] != words[2.0]
    assert words[1.64].split()[-1] == words[2.0].split()[-1]


def test_who_is_cautioned():
    plain = len(fit.load(built()).cautions)
    assert plain == 1
    assert len(fit.load(built(work=sized(1.5, 0.7))).cautions) == 1
    assert len(fit.load(built(work=sized(1.51, 0.7))).cautions) == 2
    assert len(fit.load(built(work=sized(0.7, 1.51))).cautions) == 2
    assert len(fit.load(built(wall=way_out(9.0))).cautions) == 2


def test_what_else_is_nearly_too_tight_is_told():
    # Across 0.7 governs, up 0.9 / 2.7; from 0.8 on the other is told as well.
    def lines(span):
        return len(notes(work=sized(2.3, 1.7), wall={"span_m": span}))

    assert lines(2.1) == 2
    assert lines(4.0) == 1

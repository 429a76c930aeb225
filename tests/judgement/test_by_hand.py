"""Chances, evidence, order and ends on few draws that can be counted by hand, and facts that measures rest on."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from stillwall.case import Stay
from stillwall.judgement import chance as chances
from stillwall.judgement.evidence import fall_of_variance, questions, would_decide
from stillwall.judgement.facts import NEEDS, facts
from stillwall.judgement.ranking import against_present, chance_better, group, rank
from stillwall.judgement.sensitivity import flips, turns
from stillwall.judgement.until import until
from stillwall.judgement.verdict import judge
from stillwall.reference.sources import Figure
from stillwall.survey.features import Lamp, Opening
from stillwall.survey.places import HoldingPlace, Pedestal, Tables, Wall
from stillwall.units import Amount
from tests.hazards.wall_cases import case as wall_case
from tests.judgement.synthetic import CITATION, World, library, load, measure

THRESHOLDS = chances.Thresholds.of(library())


def drawn(*values, hazard="humidity", **facts):
    return load(hazard, draws=np.array(values, float), **facts)


# Chances


@pytest.mark.parametrize(
    ("made", "expected"),
    [
        (drawn(0.5, 1.0, 1.1, 2.0), 0.5),
        (drawn(0.5, np.nan, np.inf, 0.9), 0.5),
        (drawn(0.1, 0.1, barred=True), 1.0),
        (load(median=None), 0.0),
    ],
)
def test_chance_of_passing_one(made, expected):
    assert chances.chance_over(made) == expected


def test_chance_that_any_passes_one_is_counted_draw_by_draw():
    one, other = drawn(0.5, 1.5, 0.5, 0.5), drawn(0.5, 1.5, 1.5, 0.5, hazard="mould")
    assert chances.chance_any([one, other]) == 0.5
    assert chances.chance_any([one, load("smoke", median=None)]) == 0.25
    assert chances.chance_any([]) == 0.0
    assert chances.chance_any([drawn(0.1, 0.1), drawn(0.1, 0.1, barred=True)]) == 1.0


def test_what_blocks():
    unknown = load(median=None)
    assert not chances.blocks(unknown)
    assert chances.blocks(load(median=None, deciding=True))
    assert chances.blocks(load(median=None, kind="constraint"))
    assert chances.blocks(load(median=None, kind="safety"))
    assert not chances.blocks(load(median=None, kind="safety", barred=True))
    assert not chances.blocks(drawn(0.5, kind="safety"))


@pytest.mark.parametrize(
    ("over", "kind", "more", "expected"),
    [
        # Of a hundred draws: 20 over one may be cleared where safety is not at stake, five where it is.
        (20, "graded", {}, True), (21, "graded", {}, False), (20, "constraint", {}, True),
        (5, "safety", {}, True), (6, "safety", {}, False), (6, "graded", {"safety": True}, False),
        (5, "graded", {"safety": True}, True), (0, "safety", {}, True), (0, "graded", {"barred": True}, False),
    ],
)  # fmt: skip
def test_what_passes(over, kind, more, expected):
    values = np.concatenate([np.full(over, 1.5), np.full(101 - over, 0.5)])
    assert chances.passes(load(draws=values, kind=kind, **more), THRESHOLDS) is expected


def test_nothing_known_passes_where_it_is_graded():
    assert chances.passes(load(median=None), THRESHOLDS)
    assert not chances.passes(load(median=None, kind="constraint"), THRESHOLDS)


def test_what_is_hopeless():
    four_in_five = np.concatenate([np.full(80, 1.5), np.full(20, 0.5)])
    assert chances.hopeless(load(draws=four_in_five), THRESHOLDS)
    assert not chances.hopeless(load(draws=np.append(four_in_five[1:], 0.5)), THRESHOLDS)
    assert chances.hopeless(drawn(0.1, barred=True), THRESHOLDS)
    assert not chances.hopeless(load(median=None), THRESHOLDS)
    assert not chances.hopeless(load(draws=four_in_five, evidence="missing"), THRESHOLDS)
    # What was seen counts, not what is feared of what was not.
    assert not chances.hopeless(load(draws=four_in_five, seen=np.full(100, 0.5)), THRESHOLDS)
    assert chances.hopeless(load(draws=np.full(100, 0.5), seen=four_in_five), THRESHOLDS)


# What would decide


def test_the_fall_of_variance_is_that_of_counting():
    one, other = drawn(1.5, 1.5, 0.5, 0.5), drawn(0.5, 1.5, 1.5, 0.5, hazard="mould")
    # One passes in half of the draws; where it does not, the other passes in half.
    assert fall_of_variance([one], [one, other]) == pytest.approx(0.5 * 0.5 * (1 - 0.5) ** 2)
    assert fall_of_variance([one], [one]) == pytest.approx(0.25)
    assert fall_of_variance([one, other], [one, other]) == pytest.approx(0.75 * 0.25)
    assert fall_of_variance([load("smoke", median=None)], [one]) == 0.0
    always = drawn(1.5, 1.5, 1.5, 1.5)
    assert fall_of_variance([always], [always, other]) == 0.0
    never = drawn(0.5, 0.5, 0.5, 0.5)
    assert fall_of_variance([never], [never, other]) == 0.0


def half(hazard, share=0.5, **facts):
    values = np.where(np.arange(100) < 100 * share, 1.5, 0.5)
    return load(hazard, draws=np.random.default_rng(len(hazard)).permutation(values), **facts)


def test_questions_come_by_their_use():
    asked = would_decide(
        [
            half("mould", 0.5, missing=("B?",)),
            half("humidity", 0.3, missing=("A?",)),
            load("smoke", median=None, deciding=True, missing=("C?",)),
            load("water", median=None, missing=("never asked?",)),
        ],
        THRESHOLDS,
    )
    assert asked == ("C?", "B?", "A?")
    # One question that settles two loads is worth both.
    shared = would_decide(
        [
            half("mould", 0.4, missing=("B?",)),
            half("humidity", 0.3, missing=("A?",)),
            half("salts", 0.3, missing=("A?",)),
        ],
        THRESHOLDS,
    )
    assert shared == ("A?", "B?")


@pytest.mark.parametrize(
    ("made", "open_"),
    [
        (half("mould", 0.5), True), (half("mould", 0.1), False), (half("mould", 0.9), False),
        (half("mould", 0.5, barred=True), False),
        (half("mould", 1.0, seen=np.full(100, 0.5)), False), (half("mould", 0.9, seen=np.full(100, 0.5)), True),
    ],
)  # fmt: skip
def test_only_what_is_open_is_asked_about(made, open_):
    assert bool(would_decide([made], THRESHOLDS)) is open_


def test_what_is_asked_of_a_load_without_questions():
    for made, words in (
        (half("wall_climate", evidence="measured"), ("wall climate", "0.5", "1.5")),
        (half("wall_climate", evidence="assumed"), ("wall climate", "0.5", "1.5")),
        (load("wall_climate", median=None), ("wall climate",)),
    ):
        found = questions(made)
        assert len(found) == 1
        assert all(word in found[0] for word in words)
    kinds = {questions(half("mould", evidence=kind)) for kind in ("measured", "assumed", "surveyed")}
    assert len(kinds) == 2
    assert questions(half("mould", missing=("A?", "B?"))) == ("A?", "B?")


# Order


def judged(loads, place="here", **world):
    made = World({place: tuple(loads)}, **world)
    return judge(made.case(place), tuple(loads), evaluate=made.evaluate)


def even(ratio, hazard="humidity", **facts):
    return load(hazard, draws=np.full(200, ratio), **facts)


def test_who_is_better_in_a_draw():
    def better(one, other):
        return chance_better(judged(one), judged(other, "there"), THRESHOLDS)

    base = [even(0.8), even(0.3, "mould")]
    assert better(base, base) == 0.5
    assert better([even(0.7), even(0.7, "mould")], base) == 1.0
    assert better([even(0.8), even(0.4, "mould")], base) == 0.0
    # One load more, of which the other place has nothing; crumbs count as nothing.
    assert better([*base, even(0.2, "smoke")], base) == 0.0
    assert better([*base, even(THRESHOLDS.crumbs / 2, "smoke")], base) == 0.5
    # A gate that fails counts before all loads, and a bar as well.
    assert better([even(0.9), even(1.2, "fit", kind="constraint")], [even(0.95)]) == 0.0
    assert better([even(0.9), even(1.0, "fit", kind="constraint")], [even(0.95)]) == 1.0
    assert better([even(0.1, barred=True)], [even(0.95)]) == 0.0
    mixed = load("humidity", draws=np.where(np.arange(200) < 150, 0.4, 0.9))
    assert better([mixed], [even(0.8)]) == 0.75
    # What has no draws is left out.
    assert better([even(0.8), load("smoke", median=None)], [even(0.8)]) == 0.5


def test_on_what_a_place_is_better_or_worse():
    def against(one, other):
        return against_present(judged(one), judged(other, "there"), THRESHOLDS)

    assert against([even(0.3), even(0.2, "mould")], [even(0.9), even(0.5, "mould")]) == ("better", "humidity")
    assert against([even(0.9), even(0.2, "mould")], [even(0.3), even(0.5, "mould")]) == ("worse", "humidity")
    # The largest of the loads that the better place has not.
    assert against([even(0.9), even(0.95, "mould")], [even(0.3), even(0.2, "mould")]) == ("worse", "mould")
    # A bar before a number; something unknown counts as one.
    assert against([even(0.2, "fit", barred=True), even(0.9)], [even(0.3)]) == ("worse", "fit")
    known = [even(0.3), even(0.4, "smoke")]
    assert against([even(0.3), load("smoke", median=None, deciding=True)], known) == ("worse", "smoke")
    assert against([even(0.5)], [even(0.5)]) == ("same", None)
    assert against([even(0.5), even(0.5, "mould")], [even(0.5)]) == ("worse", "mould")


def test_the_present_place_of_another_work_is_another_place():
    one = judged([even(0.3)])
    other = replace(judged([even(0.9)]), work="other")
    assert against_present(one, other, THRESHOLDS)[0] == "better"
    assert against_present(one, replace(one, loads=()), THRESHOLDS) == ("same", None)


def test_a_chance_of_being_better_must_reach_its_threshold():
    for count, said in ((180, "better"), (100, "same"), (20, "worse")):
        mixed = load("humidity", draws=np.where(np.arange(200) < count, 0.4, 0.9))
        assert against_present(judged([mixed]), judged([even(0.8)], "there"), THRESHOLDS)[0] == said


def test_ranks_ties_and_chances():
    names = {
        "a": judged([even(0.5)], "a"),
        "b": judged([even(0.5)], "b"),
        "c": judged([even(0.7)], "c"),
        "d": judged([even(0.1, barred=True)], "d"),
        "e": judged([even(0.1), load("smoke", median=None, deciding=True)], "e"),
    }
    found = rank(names, library(), present={"c": names["a"]}, preference={"b": 1.0})
    assert [each.id for each in found] == ["b", "a", "c", "e", "d"]
    assert [each.rank for each in found] == [1, 2, 3, 4, 5]
    assert [each.chance_best for each in found] == [0.5, 0.5, 0.0, 0.0, 0.0]
    assert [each.ties for each in found] == [("a",), ("b",), (), (), ()]
    assert [each.against_present for each in found] == [None, None, "worse", None, None]
    assert [each.against_present_on for each in found] == [None, None, "humidity", None, None]
    assert [group(each.judged) for each in found] == [0, 0, 0, 2, 4]


# Until when


def accruing(case, hazard):
    """Half of a year's allowance in a hundred days."""
    share = case.stay.days / 200.0
    return even(share, hazard, accrues=True, allowance=Amount(1.0, "a"), exposure=Amount(share, "a"))


def end_of(days=None, factory=accruing, **work):
    made = World({"here": ()})
    made.work = replace(made.work, **work)
    start = dt.date(2026, 3, 1)
    case = replace(
        made.case("here"),
        work=made.work,
        stay=Stay(start, None if days is None else start + dt.timedelta(days=days)),
    )
    return until(case, [factory(case, "dose")], factory), start


def test_what_adds_up_runs_out_on_the_day_it_reaches_one():
    found, start = end_of()
    assert found.day == start + dt.timedelta(days=200)
    # A stay that ends before may go on till then.
    found, start = end_of(50)
    assert found.day == start + dt.timedelta(days=200)


@pytest.mark.parametrize("value", [0.0, -1.0, np.inf, np.nan])
def test_loads_that_are_no_ratio_have_no_end(value):
    def broken(case, hazard):
        return even(value, hazard, accrues=True)

    assert end_of(factory=broken)[0] is None


def test_of_several_ends_the_first_counts():
    made = World({"here": ()})
    case = made.case("here")

    def slower(case, hazard):
        share = case.stay.days / (300.0 if hazard == "slow" else 100.0)
        return even(share, hazard, accrues=True, allowance=Amount(1.0, "a"))

    loads = [slower(case, "slow"), slower(case, "fast"), even(9.0, "steady")]
    assert until(case, loads, slower).day == case.stay.start + dt.timedelta(days=100)
    assert "fast" in until(case, loads, slower).reason


@pytest.mark.parametrize(
    ("facts", "days"), [({"on_show_months": 3.0}, 91), ({"leaves": dt.date(2026, 4, 1)}, 31)]
)
def test_facts_of_a_work(facts, days):
    found, start = end_of(**facts)
    assert found.day == start + dt.timedelta(days=days)


# Sensitivity


def test_both_ends_of_a_class_and_of_what_is_assumed_are_tried():
    made = World({"here": (even(0.9, span=(0.5, 2.0)),)})
    case = made.case("here")
    base = judge(case, made.loads["here"], evaluate=made.evaluate)
    assert base.verdict == "suitable"
    found = turns(case, base, evaluate=made.evaluate)
    assert [(turn.hazard, turn.ratio, turn.verdict) for turn in found] == [("humidity", 2.0, "unsuitable")]
    wide = load("humidity", median=0.7, spread=1.2, evidence="assumed", missing=("How wet?", "How warm?"))
    made = World({"here": (wide,)})
    base = judge(made.case("here"), made.loads["here"], evaluate=made.evaluate)
    assert turns(made.case("here"), base, evaluate=made.evaluate) == ()
    wide = load("humidity", median=0.9, spread=1.8, evidence="assumed", missing=("How wet?", "How warm?"))
    made = World({"here": (wide, even(0.2, "mould"))})
    base = judge(made.case("here"), made.loads["here"], evaluate=made.evaluate)
    found = turns(made.case("here"), base, evaluate=made.evaluate)
    # Known exactly at its low end it clears the place, at its high end it rules it out.
    assert base.verdict == "undecided"
    assert [turn.verdict for turn in found] == ["suitable", "unsuitable"]
    assert [turn.ratio for turn in found] == pytest.approx([0.9 / 1.8, 0.9 * 1.8], rel=0.02)
    assert all("How wet" in turn.fact for turn in found)
    for never in (
        load(median=None, span=(0.5, 2.0)),
        even(0.0, span=(0.5, 2.0)),
        even(0.9, barred=True, span=(0.5, 2.0)),
    ):
        made = World({"here": (never,)})
        base = judge(made.case("here"), made.loads["here"], evaluate=made.evaluate)
        assert turns(made.case("here"), base, evaluate=made.evaluate) == ()


def test_a_measure_answers_for_the_load_that_is_otherwise():
    # With the class at its strict end nothing but the measure helps, and it still does.
    halved = measure("halve", {"humidity": 0.4})
    made = World({"here": (even(0.9, span=(0.9, 2.0)),)}, library=library([halved]))
    case = made.case("here")
    base = judge(case, made.loads["here"], evaluate=made.evaluate)
    found = turns(case, base, evaluate=made.evaluate)
    assert [turn.verdict for turn in found] == ["suitable with measures"]


def test_a_figure_at_either_end_may_put_another_place_first():
    figure = Figure(value=1.0, unit="kg", low=0.5, high=2.0, source=CITATION)
    other = Figure(value=1.0, unit="1", low=0.9, high=1.1, source=CITATION)
    fixed = Figure(value=1.0, unit="kg", source=CITATION)
    more = {"humidity.limit": figure, "mould.share": other, "smoke.limit": figure, "humidity.fixed": fixed}
    made = World(
        {"a": (even(0.4), even(0.2, "mould")), "b": (even(0.6), even(0.2, "mould"))},
        library=library(more=more),
    )

    def evaluate(case, hazard):
        found = made.evaluate(case, hazard)
        if hazard == "humidity" and case.site.place.id == "a":
            return replace(found, draws=found.draws * case.library.figure("humidity.limit"), _quantiles={})
        return found

    cases = {name: made.case(name) for name in ("a", "b")}
    base = {name: judge(case, made.loads[name], evaluate=evaluate) for name, case in cases.items()}

    def order(found):
        return rank(found, cases["a"].library)[0].id

    found = flips(cases, base, first="a", order=order, evaluate=evaluate)
    assert [(flip.figure, flip.value, flip.unit, flip.first) for flip in found] == [
        ("humidity.limit", 2.0, "kg", "b")
    ]
    assert "humidity.limit" in found[0].line
    assert "2 kg" in found[0].line
    assert " 1 " not in replace(found[0], unit="1").line
    assert flips({}, {}, first="a", order=order, evaluate=evaluate) == ()


# Facts that measures rest on


def room_case(*, heat=(), doors=None, lamps=(), **facts):
    made = wall_case(heat=heat, doors=doors, **facts)
    return replace(made, survey=replace(made.survey, lamps={lamp.id: lamp for lamp in lamps}))


WINDOW = Opening(id="window", kind="window", room="room")


@pytest.mark.parametrize(
    ("need", "facts_that_hold", "facts_that_do_not"),
    [
        ("outside_wall", {"wall": {"outside": True}}, [{"wall": {"outside": False}}, {"wall": {"outside": None}}]),
        ("circulation", {"wall": {"circulation": "passing"}}, [{"wall": {"circulation": "none"}}, {"wall": {"circulation": None}}]),
        ("circulation", {"wall": {"circulation": "required_egress"}}, []),
        ("window", {"doors": [WINDOW]}, [{"doors": []}, {"doors": [replace(WINDOW, room="attic")]}]),
        ("window", {"doors": [replace(WINDOW, kind="skylight")]}, [{"doors": [replace(WINDOW, kind="inside_door")]}]),
        ("window", {"doors": [replace(WINDOW, room=None, wall="wall")]}, [{"doors": [replace(WINDOW, room=None, wall="other")]}]),
        ("window", {"doors": [replace(WINDOW, room=None, wall="beside")], "walls": [Wall(id="beside", room="room")]},
         [{"doors": [replace(WINDOW, room=None, wall="beside")], "walls": [Wall(id="beside", room="attic")]}]),
        ("door", {"doors": [replace(WINDOW, kind="inside_door")]}, [{"doors": [WINDOW]}]),
        ("lamp", {"lamps": [Lamp(id="spot", kind="led", room="room")]}, [{}, {"lamps": [Lamp(id="spot", kind="led", room="attic")]}]),
        ("dimmable_lamp", {"lamps": [Lamp(id="spot", kind="led", room="room", dimmable=True)]},
         [{}, {"lamps": [Lamp(id="spot", kind="led", room="room")]}]),
        ("heat_source", {"heat": [{"id": "r", "kind": "radiator"}]}, [{}, {"heat": [{"id": "r", "kind": "radiator", "room": "attic"}]}]),
        ("heat_source", {"heat": [{"id": "r", "kind": "radiator", "room": None, "wall": "wall"}]},
         [{"heat": [{"id": "r", "kind": "radiator", "room": None, "wall": "other"}]}]),
        ("radiator", {"heat": [{"id": "r", "kind": "radiator"}]}, [{"heat": [{"id": "r", "kind": "hearth"}]}]),
        ("hearth", {"heat": [{"id": "r", "kind": "stove"}]},
         [{"heat": [{"id": "r", "kind": "stove", "used": "never"}]}, {"heat": [{"id": "r", "kind": "radiator"}]}]),
        ("picture_light", {"heat": [{"id": "r", "kind": "picture_light"}]}, [{"heat": [{"id": "r", "kind": "sconce"}]}]),
        ("sconce", {"heat": [{"id": "r", "kind": "sconce"}]}, [{"heat": [{"id": "r", "kind": "candle"}]}]),
        ("candle", {"heat": [{"id": "r", "kind": "candle"}]}, [{}]),
        ("tables", {"wall": {"tables": Tables(edge_to_wall_m=1.0, seatings_per_year=10)}}, [{}]),
        ("flat", {"work": {"kind": "textile"}}, [{"work": {"kind": "bust"}}]),
        ("painting", {"work": {"kind": "panel"}}, [{"work": {"kind": "paper"}}]),
        ("painting", {"work": {"kind": "painting_canvas"}}, []),
        ("frame", {"work": {"frame": "metal"}}, [{"work": {"frame": "none"}}, {"work": {"frame": None}}]),
        ("ornate_frame", {"work": {"frame": "composition"}}, [{"work": {"frame": "plain_wood"}}]),
        ("ornate_frame", {"work": {"frame": "carved_wood"}}, []),
        ("unglazed", {"work": {"glazing": "none"}}, [{"work": {"glazing": "acrylic"}}, {"work": {"glazing": None, "frame": "none"}}]),
        ("unglazed", {"work": {"glazing": None}}, [{"work": {"frame": None}}]),
        ("glazed", {"work": {"glazing": "acrylic"}}, [{"work": {"glazing": "none"}}, {"work": {"glazing": None}}]),
        ("unbacked", {"work": {"backing": "open"}}, [{"work": {"backing": "board"}}, {"work": {"backing": "open", "kind": "bust"}}]),
        ("unbacked", {"work": {"backing": None}}, []),
        ("wall", {}, [{"pedestal": {}}]),
        ("pedestal", {"pedestal": {}}, [{}]),
    ],
)  # fmt: skip
def test_facts_that_measures_rest_on(need, facts_that_hold, facts_that_do_not):
    assert need in facts(room_case(**facts_that_hold))
    for each in facts_that_do_not:
        assert need not in facts(room_case(**each))


def test_a_pedestal_may_stand_in_a_way_and_a_store_holds():
    assert "circulation" in facts(room_case(pedestal={"circulation": "passing"}))
    assert "tables" not in facts(room_case(pedestal={}))
    made = room_case()
    store = replace(made, site=replace(made.site, place=HoldingPlace(id="store", room="room")))
    found = facts(store)
    assert "holding_place" in found
    assert not {"wall", "pedestal", "outside_wall", "circulation", "tables"} & found
    nowhere = replace(made, site=replace(made.site, room=None))
    assert not {"window", "heat_source"} & facts(nowhere)
    assert isinstance(room_case(pedestal={}).site.place, Pedestal)
    assert facts(made) <= set(NEEDS)

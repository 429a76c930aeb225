from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.judgement.chance import Thresholds
from stillwall.judgement.verdict import VERDICTS, judge
from stillwall.survey.places import Wall
from stillwall.survey.survey import Acceptance
from tests.judgement.synthetic import COUNT, World, library, load, measure


def judged(loads, measures=(), *, place="north", **world):
    made = World({place: tuple(loads)}, library(measures), **world)
    return judge(made.case(place), tuple(loads), evaluate=made.evaluate)


def share_over(share):
    """Draws of which this share is at 2 and the rest at 0.5."""
    over = round(share * COUNT)
    return np.concatenate([np.full(over, 2.0), np.full(COUNT - over, 0.5)])


def test_thresholds_are_those_of_the_plan():
    # Judgement of this project: cleared at 20 %, too much at 80 %, alike under 70 %, crumbs under 0.1.
    assert Thresholds.of(library()) == Thresholds(suitable=0.2, unsuitable=0.8, same=0.7, crumbs=0.1)


@pytest.mark.parametrize(
    ("share", "verdict"),
    [
        (0.0, "suitable"),
        (0.2, "suitable"),
        (0.21, "undecided"),
        (0.79, "undecided"),
        (0.8, "unsuitable"),
        (1.0, "unsuitable"),
    ],
)
def test_chance_of_one_load_decides(share, verdict):
    assert judged([load(draws=share_over(share))]).verdict == verdict


def test_many_loads_each_cleared_do_not_make_a_place_unsuitable_but_the_chance_of_any_is_told():
    loads = [load(name, 0.9, 1.2) for name in ("humidity", "light_dose", "bump")]
    answer = judged(loads)
    assert answer.verdict == "suitable"
    assert answer.chance_any > max(each.chance_over for each in loads)


def test_a_bar_is_unsuitable_even_where_deciding_evidence_is_missing():
    answer = judged([load("doorway", None, barred=True), load("humidity", None, deciding=True)])
    assert (answer.verdict, answer.barred, answer.governing) == ("unsuitable", True, "doorway")


def test_too_much_is_unsuitable_even_where_deciding_evidence_is_missing():
    answer = judged([load("light_dose", 4.0), load("humidity", None, deciding=True)])
    assert (answer.verdict, answer.barred) == ("unsuitable", False)


def test_missing_deciding_evidence_blocks_what_would_be_suitable_and_measures_too():
    film = measure("film", {"light_dose": 0.1})
    answer = judged([load("light_dose", 4.0), load("humidity", None, deciding=True)], [film])
    assert (answer.verdict, answer.blocked, answer.measures) == ("undecided", True, ())


def test_missing_evidence_that_does_not_decide_blocks_nothing():
    assert judged([load("vibration", None), load("humidity", 0.4)]).verdict == "suitable"


def test_an_unknown_constraint_blocks():
    assert judged([load("fit", None, kind="constraint")]).verdict == "undecided"


def test_safety_passes_only_with_the_upper_end_of_its_interval():
    assert judged([load("fixing", draws=share_over(0.04), kind="safety")]).verdict == "suitable"
    assert judged([load("fixing", draws=share_over(0.1), kind="safety")]).verdict == "undecided"
    assert judged([load("fixing", draws=share_over(0.1))]).verdict == "suitable"


def test_a_draw_that_is_not_a_number_counts_as_too_much():
    assert judged([load(draws=np.full(COUNT, np.nan))]).verdict == "unsuitable"


def test_measures_lift_bars_and_lower_loads():
    stop = measure("stop", {"doorway": False})
    film = measure("film", {"light_dose": (0.15, 0.2, 0.25)})
    answer = judged([load("doorway", 0.3, barred=True), load("light_dose", 3.0)], [stop, film])
    assert (answer.verdict, answer.measures) == ("suitable with measures", (("film", "stop"),))
    assert [each.ratio < 1 and not each.barred for each in answer.loads_with_measures] == [True, True]
    assert answer.chance_any == 1.0


def test_a_measure_that_worsens_another_load_is_counted():
    film = measure("film", {"light_dose": 0.2, "viewing": 5.0})
    lamp = measure("lamp", {"viewing": 0.1})
    loads = [load("light_dose", 3.0), load("viewing", 0.5)]
    # Either the light or the sight is too much, with the film and without: no set is left.
    assert judged(loads, [film]).verdict == "unsuitable"
    assert judged(loads, [film, lamp]).measures == (("film", "lamp"),)


def test_measures_that_the_survey_rules_out_or_that_rest_on_nothing_are_never_offered():
    film = measure("film", {"light_dose": 0.2}, needs=("window",))
    dim = measure("dim", {"light_dose": 0.2})
    wall = Wall(id="north", room="hall", measures_ruled_out=("dim",))
    assert judged([load("light_dose", 3.0)], [film, dim], walls={"north": wall}).verdict == "unsuitable"
    assert judged([load("light_dose", 3.0)], [film, dim]).measures == (("dim",),)


def test_what_would_decide_begins_with_what_blocks_then_with_what_narrows_most():
    answer = judged(
        [
            load("bump", 1.0, 3.0, evidence="assumed", missing=("how many marks last year",)),
            load("smoke", 0.8, 2.0, evidence="assumed", missing=("how many candle evenings",)),
            load("humidity", None, deciding=True, missing=("six weeks that include June",)),
            load("light_dose", 0.2, missing=("the film of the window",)),
        ]
    )
    assert answer.would_decide == (
        "six weeks that include June",
        "how many marks last year",
        "how many candle evenings",
    )


def test_a_measured_load_that_straddles_the_limit_asks_for_more_of_the_same():
    (sentence,) = judged([load("humidity", 1.0, 1.5)]).would_decide
    assert "longer record" in sentence
    assert "0.67 to 1.5" in sentence


def test_a_load_that_a_measure_settles_is_not_asked_about():
    film = measure("film", {"light_dose": 0.2})
    loads = [load("light_dose", 1.5, 2.0, missing=("a",)), load("bump", 1.0, 3.0, missing=("b",))]
    assert judged(loads, [film]).would_decide == ("b",)


def test_what_a_measure_leaves_open_is_to_be_tried():
    # Three times too much; the film takes it to 0.27 to 3.8 of what is allowed, on both sides of the limit.
    film = measure("film", {"light_dose": (0.1, 0.33, 1.0)})
    answer = judged([load("light_dose", 3.0, 1.2)], [film])
    assert answer.verdict == "undecided"
    (asked,) = answer.would_decide
    assert asked.startswith("What does light dose come to")
    assert asked.endswith("once this is tried: film?")


def test_measures_that_stand_in_each_others_way_are_to_be_tried_together():
    dim = measure("dim", {"light_dose": 0.3, "viewing": 1.2})
    lamp = measure("lamp", {"viewing": 0.3, "light_dose": 2.6}, excludes=("dim",))
    answer = judged([load("light_dose", 0.9, 1.7), load("viewing", 0.95, 1.5)], [dim, lamp])
    assert answer.verdict == "undecided"
    (asked,) = answer.would_decide
    assert asked == (
        "What do light dose and viewing come to with measures tried together, since what settles one stands "
        "in the way of another?"
    )


def test_a_load_that_measures_settle_only_together_is_not_asked_about():
    # Each works on one load to the better in some draws only, so that only trying tells.
    one = measure("one", {"humidity": (0.5, 0.8, 1.1)})
    other = measure("other", {"humidity": (0.5, 0.8, 1.1)})
    loads = [load("humidity", 1.1, 1.1), load("bump", 1.0, 3.0, missing=("b",))]
    assert judged(loads, [one, other]).would_decide == ("b",)


def test_governing_is_the_largest_graded_load_unless_a_gate_that_fails_is_larger():
    assert judged([load("humidity", 0.6), load("fit", 0.9, 1.01, kind="constraint")]).governing == "humidity"
    assert judged([load("humidity", 0.6), load("fit", 1.2, 1.01, kind="constraint")]).governing == "fit"
    assert judged([load("fit", 0.9, 1.01, kind="constraint")]).governing is None


def test_an_accepted_risk_is_shown_and_changes_no_verdict():
    risk = Acceptance(
        work="ferns",
        wall="north",
        hazard="light_dose",
        by="the house committee",
        on=date(2026, 2, 1),
        until=date(2026, 12, 31),
    )
    answer = judged([load("light_dose", 3.0)], accepted=(risk,))
    assert answer.verdict == "unsuitable"
    assert answer.wording == (
        "unsuitable (risk of light dose accepted by the house committee on 2026-02-01 until 2026-12-31)"
    )


def test_an_acceptance_that_has_run_out_or_is_of_another_wall_is_not_shown():
    over = Acceptance(
        work="ferns", wall="north", hazard="bump", by="A", on=date(2025, 1, 1), until=date(2025, 12, 31)
    )
    elsewhere = Acceptance(work="ferns", wall="south", hazard="bump", by="A", on=date(2026, 1, 1))
    assert judged([load("bump", 3.0)], accepted=(over, elsewhere)).accepted == ()


KINDS = st.sampled_from(["graded", "graded", "constraint", "safety"])
A_LOAD = st.tuples(
    st.floats(0.05, 4.0), st.floats(1.0, 3.0), KINDS, st.booleans(), st.integers(0, 9).map(lambda n: n == 0)
)


def stated(specs):
    made = []
    for number, (median, spread, kind, deciding, barred) in enumerate(specs):
        made.append(load(f"h{number}", median, spread, kind=kind, deciding=deciding, barred=barred))
    return made


MEASURES = [
    measure("a", {"h0": 0.5}),
    measure("b", {"h1": 0.4, "h0": 1.3}),
    measure("c", {"h2": 0.3, "h1": 1.5}, excludes=("a",)),
    measure("d", {"h0": False}),
]


@settings(max_examples=150, deadline=None)
@given(st.lists(A_LOAD, min_size=1, max_size=4), st.integers(0, 3), st.floats(1.0, 5.0))
def test_raising_one_exposure_never_improves_a_verdict(specs, which, factor):
    which %= len(specs)
    before = judged(stated(specs), MEASURES)
    median, *rest = specs[which]
    raised = [*specs[:which], (median * factor, *rest), *specs[which + 1 :]]
    after = judged(stated(raised), MEASURES)
    assert VERDICTS.index(after.verdict) >= VERDICTS.index(before.verdict)
    assert after.chance_any >= before.chance_any


@settings(max_examples=100, deadline=None)
@given(st.lists(A_LOAD, min_size=1, max_size=4), st.integers(0, 3))
def test_leaving_out_deciding_evidence_never_clears_a_place(specs, which):
    which %= len(specs)
    loads = stated(specs)
    loads[which] = load(f"h{which}", None, deciding=True)
    assert judged(loads, MEASURES).verdict in ("undecided", "unsuitable")


@settings(max_examples=100, deadline=None)
@given(st.lists(A_LOAD, min_size=1, max_size=4), st.randoms())
def test_the_order_of_loads_never_matters(specs, random):
    loads = stated(specs)
    shuffled = list(loads)
    random.shuffle(shuffled)
    one, other = judged(loads, MEASURES), judged(shuffled, MEASURES)
    assert (one.verdict, one.governing, one.measures, one.chance_any, one.would_decide) == (
        other.verdict,
        other.governing,
        other.measures,
        other.chance_any,
        other.would_decide,
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(A_LOAD, min_size=1, max_size=4))
def test_the_verdict_alone_is_the_same_verdict(specs):
    loads = tuple(stated(specs))
    world = World({"north": loads}, library(MEASURES))
    full = judge(world.case("north"), loads, evaluate=world.evaluate)
    quick = judge(world.case("north"), loads, evaluate=world.evaluate, only_verdict=True)
    assert (quick.verdict, quick.governing, quick.worst, quick.chance_any, quick.barred) == (
        full.verdict,
        full.governing,
        full.worst,
        full.chance_any,
        full.barred,
    )

"""Three worked cases, each solved by trying every plan and by a second, separately written programme.

``tests/published/moves.csv`` holds widths, spans, loads ("x" is barred) and the expected answers.
"""

import csv
from datetime import date
from pathlib import Path

import pytest

from stillwall.judgement.moves.crew import CrewRules
from stillwall.judgement.moves.model import MovingWork, Problem, Spot
from stillwall.judgement.moves.plan import plan

PUBLISHED = Path(__file__).parents[2] / "published" / "moves.csv"
ROWS = {row["id"]: row for row in csv.DictReader(PUBLISHED.read_text("utf-8").splitlines())}
RULES = CrewRules(10, 0.8, 25, 1.5, 60, 2.5)
START = date(2026, 1, 1)


def fields(row_id):
    return dict(part.split("=", 1) for part in ROWS[row_id]["inputs"].split(";"))


def expected(row_id):
    return pytest.approx(float(ROWS[row_id]["expected"]), abs=float(ROWS[row_id]["abs_tol"]) + 1e-12)


def numbers(text):
    return [float(part) for part in text.split("|")]


def stated(row_id):
    """The undated problem of a row; the last place is the store, the van or the holding bay."""
    given = fields(row_id)
    widths, spans = numbers(given["widths"]), numbers(given["spans"])
    currents, handlings = given["current"].split("|"), numbers(given["handling"])
    works = tuple(
        MovingWork(
            id=f"work{number}",
            width_m=width,
            now=None if current == "van" else f"place{current}",
            handling=handling,
        )
        for number, (width, current, handling) in enumerate(
            zip(widths, currents, handlings, strict=True), start=1
        )
    )
    places = tuple(
        Spot(id=f"place{number}", span_m=span, holding=number == len(spans))
        for number, span in enumerate(spans, start=1)
    )
    return Problem(
        start=START, works=works, places=places, loads=loads(given["loads"]), gap_m=float(given["gap"])
    )


def loads(text):
    return {
        (f"work{w}", f"place{p}"): float(load)
        for w, row in enumerate(text.split("/"), start=1)
        for p, load in enumerate(row.split("|"), start=1)
        if load != "x"
    }


@pytest.mark.parametrize("row_id", ["P058", "P061"])
def test_lowest_worst_load(row_id):
    made = plan(stated(row_id), RULES)
    assert made.optimal
    assert made.objective.worst == expected(row_id)


def test_chain_takes_the_least_handling():
    assert plan(stated("P059"), RULES).objective.handling == expected("P059")


@pytest.mark.parametrize("row_id", ["P060", "P062"])
def test_fewest_steps(row_id):
    assert len(plan(stated(row_id), RULES).steps) == expected(row_id)


def test_handling_of_a_circle_through_the_holding_bay():
    made = plan(stated("P063"), RULES)
    assert sum(step.handling for step in made.steps) == expected("P063")
    assert made.objective.handling == 5.0


def test_chain_in_its_order():
    # Seed Merchant's Table to the stair, Lime Avenue to the dais, Ferns at Dusk to the Orangery.
    steps = [(step.work, step.start, step.end) for step in plan(stated("P058"), RULES).steps]
    assert steps == [
        ("work3", "place3", "place2"),
        ("work2", "place1", "place3"),
        ("work1", None, "place1"),
    ]


def test_fewer_moves_are_shown_beside_the_chain():
    # Lime Avenue into store instead: two moves, handling 5, worst load 0.95.
    other = plan(stated("P058"), RULES).runner_up
    assert other.objective.worst == pytest.approx(0.95)
    assert other.objective.handling == pytest.approx(5.0)
    assert [(step.work, step.end) for step in other.steps] == [("work2", "place5"), ("work1", "place1")]


def test_circle_in_its_order():
    # The Shelf to the bay, the Meadow to the Orangery, the Orchid House to Seed Hall, the Shelf to its place.
    steps = [(step.work, step.end) for step in plan(stated("P062"), RULES).steps]
    assert steps == [("work1", "place4"), ("work3", "place1"), ("work2", "place3"), ("work1", "place2")]


def test_circle_without_a_holding_place_is_impossible_and_says_so():
    problem = stated("P061")
    bare = Problem(
        start=START,
        works=problem.works,
        places=problem.places[:3],
        loads={key: load for key, load in problem.loads.items() if key[1] != "place4"},
    )
    made = plan(bare, RULES)
    assert made.trips == ()
    (words,) = made.conflicts
    assert "circle" in words
    assert "not possible without a holding place" in words
    assert made.runner_up is not None


def month(number):
    """The first day of a month that the case numbers from 0."""
    return date(2026, int(number) + 1, 1)


def dated():
    given = fields("P064")
    works = tuple(
        MovingWork(
            id=f"work{number}",
            width_m=1.0,
            now=None if current == "van" else f"place{current}",
            arrives=month(arrive) if int(arrive) else None,
            handling=handling,
        )
        for number, (current, arrive, handling) in enumerate(
            zip(
                given["current"].split("|"),
                given["arrive"].split("|"),
                numbers(given["handling"]),
                strict=True,
            ),
            start=1,
        )
    )
    places = tuple(
        Spot(
            id=f"place{number}",
            span_m=capacity,
            out_of_sight=hidden,
            holding=hidden > 0,
            free_from=month(free) if int(free) else None,
        )
        for number, (capacity, hidden, free) in enumerate(
            zip(
                numbers(given["capacity"]),
                numbers(given["out_of_sight"]),
                given["available_from"].split("|"),
                strict=True,
            ),
            start=1,
        )
    )
    return Problem(start=START, works=works, places=places, loads=loads(given["loads"]), gap_m=0.0)


def test_least_total_over_six_months():
    made = plan(dated(), RULES, aim="total", by_month=int(fields("P064")["months"]))
    assert made.objective.total + made.objective.handling == expected("P064")
    # Month 1, numbered from 0: Lime Avenue into store, Ferns to the Orangery; month 3: to the dais.
    assert [(step.work, step.end, step.earliest) for step in made.steps] == [
        ("work2", "place4", month(1)),
        ("work1", "place1", month(1)),
        ("work2", "place2", month(3)),
    ]


def test_keeping_the_incoming_work_in_store_costs_more():
    # 1.87 against 1.83, by the same cases.
    problem = dated()
    stored = Problem(
        start=START,
        works=problem.works,
        places=problem.places,
        loads=problem.loads,
        gap_m=0.0,
        pins={"work1": "place4"},
    )
    made = plan(stored, RULES, aim="total", by_month=6)
    assert made.objective.total + made.objective.handling == pytest.approx(1.87)

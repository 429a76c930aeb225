from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.judgement import ranking
from stillwall.judgement.chance import Thresholds
from stillwall.judgement.ranking import against_present, chance_better, likeliest, rank
from stillwall.judgement.verdict import judge
from tests.judgement.synthetic import COUNT, World, library, load, measure

LIBRARY = library()
THRESHOLDS = Thresholds.of(LIBRARY)


def judged(walls, measures=()):
    world = World({name: tuple(loads) for name, loads in walls.items()}, library(measures))
    return {
        name: judge(world.case(name), tuple(loads), evaluate=world.evaluate) for name, loads in walls.items()
    }


def order(walls, measures=(), **options):
    return [each.id for each in rank(judged(walls, measures), LIBRARY, **options)]


def sure(hazard, ratio, **facts):
    return load(hazard, draws=np.full(COUNT, ratio), **facts)


def test_groups_come_in_the_order_of_the_plan():
    walls = {
        "a-barred": [sure("doorway", 0.1, barred=True)],
        "b-unsuitable": [sure("humidity", 2.0)],
        "c-undecided": [sure("humidity", 0.2), load("light_dose", None, deciding=True)],
        "d-with-measures": [sure("light_dose", 2.0)],
        "e-suitable": [sure("humidity", 0.95)],
    }
    film = measure("film", {"light_dose": 0.2})
    assert order(walls, [film]) == [
        "e-suitable",
        "d-with-measures",
        "c-undecided",
        "b-unsuitable",
        "a-barred",
    ]


def test_inside_a_group_the_largest_load_decides_then_the_next():
    walls = {
        "a": [sure("humidity", 0.8), sure("light_dose", 0.6)],
        "b": [sure("humidity", 0.5), sure("light_dose", 0.8)],
        "c": [sure("humidity", 0.7), sure("light_dose", 0.7), sure("bump", 0.7)],
    }
    assert order(walls) == ["c", "b", "a"]


def test_constraints_never_rank_and_crumbs_are_alike():
    walls = {
        "a": [sure("humidity", 0.5), sure("fit", 0.95, kind="constraint"), sure("bump", 0.09)],
        "b": [sure("humidity", 0.5), sure("fit", 0.1, kind="constraint"), sure("bump", 0.02)],
    }
    assert order(walls) == ["a", "b"]
    assert order(walls, preference={"b": 1.0}) == ["b", "a"]


def test_pairs_that_joint_draws_do_not_part_are_ties_and_keep_their_places():
    walls = {
        "a": [load("humidity", 0.50, 2.0, source="one")],
        "b": [load("humidity", 0.52, 2.0, source="other")],
        "c": [load("humidity", 0.90, 1.05, source="third")],
    }
    first, second, third = rank(judged(walls), LIBRARY)
    assert (first.id, first.ties, second.ties, third.ties) == ("a", ("b",), ("a",), ())


def test_a_shared_error_parts_what_is_alike_but_for_it():
    # The same logger at both walls: whatever its error, one wall is always the better.
    walls = {
        "a": [load("humidity", 0.50, 2.0, source="logger")],
        "b": [load("humidity", 0.52, 2.0, source="logger")],
    }
    first, second = rank(judged(walls), LIBRARY)
    assert (first.ties, second.ties, first.chance_best) == ((), (), 1.0)


def test_chance_of_being_best_is_shared_by_what_is_alike_and_kept_from_what_is_not_known():
    walls = {
        "a": [sure("humidity", 0.5)],
        "b": [sure("humidity", 0.5)],
        "c": [sure("bump", 0.2), load("humidity", None, deciding=True)],
        "d": [sure("bump", 0.2, barred=True)],
    }
    chances = {each.id: each.chance_best for each in rank(judged(walls), LIBRARY)}
    assert chances == {"a": 0.5, "b": 0.5, "c": 0.0, "d": 0.0}


FILM = measure("film", {"light_dose": 0.2})


def test_the_chance_of_being_best_is_of_each_under_the_measures_shown_for_it():
    walls = {"a": [sure("light_dose", 2.0)], "b": [sure("light_dose", 3.0)], "c": [sure("light_dose", 0.9)]}
    ranked = rank(judged(walls, [FILM]), LIBRARY)
    # 2.0 and 3.0 are 0.4 and 0.6 behind the film, and 0.9 needs none: the order asks first what has to be done.
    assert [(each.id, each.chance_best) for each in ranked] == [("c", 0.0), ("a", 1.0), ("b", 0.0)]
    assert likeliest(ranked).id == "a"
    assert likeliest(rank(judged({name: walls[name] for name in "ab"}, [FILM]), LIBRARY)) is None
    assert likeliest(()) is None


def test_a_first_place_with_measures_is_not_measured_without_them():
    walls = {
        "a": [load("light_dose", 1.5, 1.2, source="one")],
        "b": [load("light_dose", 1.6, 1.2, source="other"), load("humidity", 0.9, 1.02)],
        "c": [load("humidity", 1.02, 1.3)],
    }
    ranked = rank(judged(walls, [FILM]), LIBRARY)
    assert (ranked[0].id, ranked[0].chance_best) == ("a", pytest.approx(1.0, abs=0.01))


@pytest.mark.parametrize(
    ("candidate", "present", "expected"),
    [
        # Behind the film 0.4 against 0.7, 0.5 against 0.4: each as it would hang.
        (2.0, 3.5, ("better", "light_dose", "each under the measures that it would need")),
        (2.5, 2.0, ("worse", "light_dose", "each under the measures that it would need")),
        (2.0, 0.9, ("worse", "light_dose", "")),
        (0.5, 0.9, ("better", "light_dose", "")),
    ],
)
def test_against_the_present_place_each_under_its_measures(candidate, present, expected):
    both = judged({"new": [sure("light_dose", candidate)], "now": [sure("light_dose", present)]}, [FILM])
    (ranked,) = rank({"new": both["new"]}, LIBRARY, present={"new": both["now"]})
    found = (ranked.against_present, ranked.against_present_on, ranked.against_present_under)
    assert found == expected


@pytest.mark.parametrize(
    ("candidate", "present", "expected"),
    [
        ([sure("humidity", 0.5)], [sure("humidity", 0.9)], ("better", "humidity")),
        ([sure("humidity", 0.9), sure("bump", 0.2)], [sure("humidity", 0.5)], ("worse", "humidity")),
        ([sure("bump", 3.0)], [sure("humidity", 0.5), sure("bump", 0.1)], ("worse", "bump")),
        ([sure("doorway", 0.1, barred=True)], [sure("humidity", 3.0)], ("worse", "doorway")),
        ([sure("humidity", 0.05)], [sure("humidity", 0.02)], ("same", None)),
        (
            [sure("bump", 0.3)],
            [sure("bump", 0.2), load("humidity", None, deciding=True)],
            ("better", None),
        ),
    ],
)
def test_against_the_present_place(candidate, present, expected):
    both = judged({"new": candidate, "now": present})
    against, on = against_present(both["new"], both["now"], THRESHOLDS)
    assert against == expected[0]
    assert expected[1] is None or on == expected[1]


def test_the_present_place_is_the_same_as_itself():
    both = judged({"now": [load("humidity", 0.5)]})
    (ranked,) = rank(both, LIBRARY, present={"now": both["now"]})
    assert ranked.against_present == "same"


def test_chance_better_agrees_with_counting_draws():
    generator = np.random.default_rng(5)
    loads = {
        name: [load(hazard, draws=generator.uniform(0, 1.5, COUNT)) for hazard in ("x", "y", "z")]
        for name in "ab"
    }
    both = judged(loads)
    wins = 0.0
    for draw in range(COUNT):
        mine, theirs = (
            sorted((max(each.draws[draw], 0.1) for each in loads[name]), reverse=True) for name in "ab"
        )
        wins += 1.0 if mine < theirs else 0.5 if mine == theirs else 0.0
    assert chance_better(both["a"], both["b"], THRESHOLDS) == pytest.approx(wins / COUNT)


WALL = st.lists(st.tuples(st.floats(0.02, 3.0), st.floats(1.0, 3.0)), min_size=1, max_size=3)
HOUSE = st.lists(WALL, min_size=2, max_size=6)


def house(specs):
    return {
        f"w{number}": [
            load(f"h{at}", median, spread, source=f"{number}.{at}")
            for at, (median, spread) in enumerate(wall)
        ]
        for number, wall in enumerate(specs)
    }


@settings(max_examples=60, deadline=None)
@given(HOUSE, st.data())
def test_taking_a_candidate_away_changes_nothing_of_the_others(specs, data):
    walls = house(specs)
    gone = data.draw(st.sampled_from(sorted(walls)))
    everyone = judged(walls)
    before = rank(everyone, LIBRARY)
    after = rank({name: each for name, each in everyone.items() if name != gone}, LIBRARY)
    assert [each.id for each in after] == [each.id for each in before if each.id != gone]
    kept = {each.id: each for each in before}
    for each in after:
        assert each.judged is kept[each.id].judged
        assert set(each.ties) == set(kept[each.id].ties) - {gone}
        assert each.chance_best >= kept[each.id].chance_best


@settings(max_examples=60, deadline=None)
@given(HOUSE, st.data())
def test_raising_one_exposure_never_improves_a_rank(specs, data):
    walls = house(specs)
    name = data.draw(st.sampled_from(sorted(walls)))
    at = data.draw(st.integers(0, len(walls[name]) - 1))
    factor = data.draw(st.floats(1.0, 4.0))
    raised = {**walls, name: list(walls[name])}
    raised[name][at] = replace(walls[name][at], draws=walls[name][at].draws * factor, _quantiles={})
    assert order(raised).index(name) >= order(walls).index(name)


@settings(max_examples=40, deadline=None)
@given(HOUSE, st.randoms())
def test_the_order_of_candidates_never_matters(specs, random):
    everyone = judged(house(specs))
    names = list(everyone)
    random.shuffle(names)
    one, other = rank(everyone, LIBRARY), rank({name: everyone[name] for name in names}, LIBRARY)
    assert [(each.id, each.chance_best, each.ties) for each in one] == [
        (each.id, each.chance_best, each.ties) for each in other
    ]


@settings(max_examples=40, deadline=None)
@given(HOUSE)
def test_chances_of_being_best_add_up_to_one(specs):
    assert sum(each.chance_best for each in rank(judged(house(specs)), LIBRARY)) == pytest.approx(1.0)


def test_thousands_are_put_in_order_a_part_of_the_draws_at_a_time(monkeypatch):
    random = np.random.default_rng(17)
    walls = {
        f"wall-{number}": [
            load("humidity", draws=random.uniform(0.2, 0.9, COUNT)),
            load("light_dose", draws=random.uniform(0.2, 0.9, COUNT)),
        ]
        for number in range(12)
    }
    largest = np.array([np.maximum(*(each.draws for each in loads)) for loads in walls.values()])
    first = np.mean(largest == largest.min(axis=0), axis=1)
    monkeypatch.setattr(ranking, "NUMBERS_AT_ONCE", 7 * sum(len(loads) + 1 for loads in walls.values()))
    ranked = rank(judged(walls), LIBRARY)
    assert {each.id: each.chance_best for each in ranked} == pytest.approx(
        dict(zip(walls, first, strict=True))
    )


def test_of_thousands_the_nearest_in_the_order_are_compared(monkeypatch):
    monkeypatch.setattr(ranking, "NEIGHBOURS", 3)
    ranked = rank(judged({f"wall-{number}": [sure("humidity", 0.5)] for number in range(9)}), LIBRARY)
    assert ranked[4].ties == ("wall-1", "wall-2", "wall-3", "wall-5", "wall-6", "wall-7")
    assert ranked[0].ties == ("wall-1", "wall-2", "wall-3")

from itertools import combinations
from random import Random

import pytest

from stillwall.judgement.chance import Thresholds, hopeless, passes
from stillwall.judgement.verdict import judge
from tests.judgement.synthetic import World, library, load, measure

THRESHOLDS = Thresholds.of(library())
HAZARDS = ("h0", "h1", "h2", "h3")


def random_world(random):
    measures = []
    names = [f"m{number}" for number in range(random.randint(1, 7))]
    for name in names:
        effects = {}
        for hazard in random.sample(HAZARDS, random.randint(1, 3)):
            kind = random.random()
            if kind < 0.6:
                effects[hazard] = random.uniform(0.15, 0.9)
            elif kind < 0.8:
                effects[hazard] = random.uniform(1.1, 2.5)
            elif kind < 0.9:
                effects[hazard] = (0.5, 0.9, 1.6)
            else:
                effects[hazard] = False
        excludes = tuple(other for other in names if other != name and random.random() < 0.1)
        measures.append(measure(name, effects, cost=random.randint(1, 4), excludes=excludes))
    loads = tuple(
        load(
            hazard,
            random.uniform(0.2, 3.0),
            random.uniform(1.05, 1.8),
            kind=random.choice(["graded", "graded", "graded", "safety"]),
            barred=random.random() < 0.1,
        )
        for hazard in HAZARDS[: random.randint(1, 4)]
    )
    return World({"north": loads}, library(measures)), loads, measures


def excluded(chosen, measures):
    by_id = {each.id: each for each in measures}
    return any(
        one in by_id[other].excludes or other in by_id[one].excludes for one, other in combinations(chosen, 2)
    )


def tried_all(world, loads, measures):
    """Every set that can be taken together, with its loads."""
    case = world.case("north")
    for size in range(len(measures) + 1):
        for chosen in combinations(sorted(each.id for each in measures), size):
            if not excluded(chosen, measures):
                under = case.with_measures(frozenset(chosen))
                yield chosen, [world.evaluate(under, each.hazard) for each in loads]


def by_brute_force(world, loads, measures):
    cost = {each.id: each.cost for each in measures}
    good, hope = [], False
    for chosen, under in tried_all(world, loads, measures):
        hope = hope or not any(hopeless(each, THRESHOLDS) for each in under)
        spare = any(set(other) < set(chosen) for other in good)
        if not spare and all(passes(each, THRESHOLDS) for each in under):
            good.append(chosen)
    good.sort(key=lambda chosen: (len(chosen), sum(cost[name] for name in chosen), chosen))
    if good and good[0] == ():
        return "suitable", ()
    if good:
        return "suitable with measures", tuple(good[:5])
    return ("undecided" if hope else "unsuitable"), ()


@pytest.mark.parametrize("block", range(6))
def test_agrees_with_trying_every_set(block):
    seen = set()
    for seed in range(block * 60, block * 60 + 60):
        world, loads, measures = random_world(Random(seed))
        expected = by_brute_force(world, loads, measures)
        answer = judge(world.case("north"), loads, evaluate=world.evaluate)
        assert (answer.verdict, answer.measures) == expected, f"seed {seed}"
        seen.add(answer.verdict)
    assert len(seen) == 4


def test_two_measures_that_set_a_fact_otherwise_are_never_taken_together():
    one = measure("one", {"doorway": "left", "h0": 0.5})
    other = measure("other", {"doorway": "right", "h0": 0.5})
    loads = (load("h0", 3.0, 1.01), load("doorway", 0.2))
    world = World({"north": loads}, library([one, other]))
    assert judge(world.case("north"), loads, evaluate=world.evaluate).verdict == "unsuitable"


def test_at_most_five_sets_and_the_cheapest_of_the_smallest_first():
    measures = [measure(f"m{number}", {"h0": 0.2}, cost=1 + number % 3) for number in range(8)]
    loads = (load("h0", 3.0),)
    world = World({"north": loads}, library(measures))
    answer = judge(world.case("north"), loads, evaluate=world.evaluate)
    assert answer.measures == (("m0",), ("m3",), ("m6",), ("m1",), ("m4",))


def test_many_measures_cost_few_evaluations():
    # A hundred measures of which two help; a search through all sets would not end.
    measures = [measure(f"m{number}", {"h1": 0.9}) for number in range(100)]
    measures += [measure("a", {"h0": 0.5}), measure("b", {"h0": 0.5})]
    loads = (load("h0", 3.0, 1.1), load("h1", 0.4))
    world = World({"north": loads}, library(measures))
    assert judge(world.case("north"), loads, evaluate=world.evaluate).measures == (("a", "b"),)
    assert world.evaluated < 20

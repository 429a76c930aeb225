"""Plans against trying every plan, orders of steps against trying every order."""

from collections import deque
from dataclasses import replace
from random import Random

import pytest

from stillwall.judgement.moves.plan import plan
from tests.judgement.moves.houses import RULES, best, fits, simulate, small_house


def compare(problem):
    expected = best(problem)
    made = plan(problem, RULES, runner_up=False)
    if expected is None:
        assert made.objective is None
        assert made.conflicts
        return None
    found = made.objective
    assert (found.over, found.over_before) == (expected[0], expected[2])
    if problem.tolerance == 0:
        assert found.worst == pytest.approx(expected[1], abs=1e-9)
    assert (found.handling, found.total) == pytest.approx(expected[3:], abs=1e-6)
    assert made.optimal
    if not made.conflicts:
        simulate(problem, made)
    return made


@pytest.mark.parametrize("block", range(8))
def test_plans_of_one_state_are_the_best_of_all(block):
    made = [compare(small_house(Random(seed))) for seed in range(block * 50, block * 50 + 50)]
    assert sum(plan is not None and bool(plan.trips) for plan in made) > 15


@pytest.mark.parametrize("block", range(2))
def test_plans_over_time_are_the_best_of_all(block):
    problems = [small_house(Random(seed), dated=True) for seed in range(1000 + block * 30, 1030 + block * 30)]
    made = [compare(problem) for problem in problems]
    assert sum(plan is not None and len(plan.states) > 1 for plan in made) > 8


def least_handling_of_steps(problem, goal):
    """Least handling over every order of steps, by a plain search without a bound."""
    movers = [work for work in problem.works if goal[work.id] != work.now]
    start = {work.id: work.now for work in problem.works if work.now is not None}
    best_cost = {tuple(sorted(start.items())): 0.0}
    queue = deque([start])
    holding = {place.id for place in problem.places if place.holding}
    while queue:
        state = queue.popleft()
        spent = best_cost[tuple(sorted(state.items()))]
        for work in movers:
            here = state.get(work.id)
            for place in problem.places:
                if place.id == here or here == goal[work.id]:
                    continue
                waits = place.id in holding or problem.loads.get((work.id, place.id), 9.0) <= 1.0
                final = place.id == goal[work.id]
                if not final and (here is None or not waits or (work.id, place.id) not in problem.loads):
                    continue
                if (work.id, here, place.id) in problem.no_way:
                    continue
                reached = {**state, work.id: place.id}
                key, cost = tuple(sorted(reached.items())), spent + work.handling
                if fits(problem, reached) and cost < best_cost.get(key, float("inf")) - 1e-9:
                    best_cost[key] = cost
                    queue.append(reached)
    return best_cost.get(tuple(sorted(goal.items())))


@pytest.mark.parametrize("block", range(3))
def test_steps_take_the_least_handling_of_all_orders(block):
    circles = 0
    for seed in range(2000 + block * 60, 2060 + block * 60):
        problem = replace(small_house(Random(seed)), tolerance=0.0)
        made = plan(problem, RULES, runner_up=False)
        if made.objective is None:
            continue
        least = least_handling_of_steps(problem, dict(made.places))
        if made.conflicts:
            assert least is None
        else:
            assert sum(step.handling for step in made.steps) == pytest.approx(least)
            circles += least > made.objective.handling + 1e-9
    assert circles > 0

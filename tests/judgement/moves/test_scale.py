"""Plans of the size that a society with three buildings needs."""

import time
from dataclasses import replace
from random import Random

import pytest

from stillwall.judgement.moves.model import MovingWork, Problem, Spot
from stillwall.judgement.moves.plan import plan
from tests.judgement.moves.houses import GAP, RULES, START, simulate


def society(works, walls, seed, *, incoming=1):
    """Works that hang in three buildings, each with loads of its own at every wall; some bars."""
    random = Random(seed)
    places = [
        Spot(
            id=f"wall{number:03}",
            span_m=random.choice([1.0, 1.3, 1.6, 2.0, 2.6, 3.5]),
            room=f"room{number // 3}",
            building=f"house{number % 3}",
        )
        for number in range(walls)
    ]
    left = {place.id: place.span_m + GAP for place in places}
    moving = []
    for number in range(works):
        width = round(random.uniform(0.4, 1.5), 2)
        rooms = [name for name, space in left.items() if space >= width + GAP]
        now = None if number < incoming else random.choice(rooms)
        if now is not None:
            left[now] -= width + GAP
        moving.append(
            MovingWork(
                id=f"work{number:02}",
                width_m=width,
                now=now,
                handling=random.choice([1.0, 2.0, 3.0, 4.5]),
                immovable=now is not None and random.random() < 0.1,
            )
        )
    places += [
        Spot(id=f"store{number}", span_m=4.0, holding=True, building=f"house{number}") for number in range(2)
    ]
    quality = {place.id: random.uniform(0.2, 0.9) for place in places}
    loads = {
        (work.id, place.id): round(quality[place.id] * random.lognormvariate(0.0, 0.5), 3)
        for work in moving
        for place in places
        if place.id == work.now or random.random() < 0.7
    }
    for work in moving:
        for place in places:
            if place.holding and (work.id, place.id) in loads:
                loads[work.id, place.id] = max(0.95, loads[work.id, place.id])
    return Problem(
        start=START, works=tuple(moving), places=tuple(places), loads=loads, gap_m=GAP, tolerance=0.1
    )


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_twelve_works_and_twenty_walls_in_three_seconds_to_the_best(seed):
    problem = society(12, 20, seed)
    began = time.process_time()
    made = plan(problem, RULES)
    assert time.process_time() - began <= 3.0
    assert made.optimal
    simulate(problem, made)


def test_sixty_works_and_a_hundred_and_fifty_walls_in_a_minute():
    problem = society(60, 150, 4, incoming=2)
    began = time.process_time()
    made = plan(problem, RULES)
    assert time.process_time() - began <= 60.0
    assert made.gap <= 0.05
    simulate(problem, made)
    if made.runner_up is not None:
        simulate(problem, made.runner_up)


def test_a_full_house_of_narrow_walls_is_still_planned():
    # Every wall holds one work and all but one are taken, without tolerance: circles through the store.
    problem = society(30, 30, 5)
    narrow = tuple(place if place.holding else replace(place, span_m=1.6) for place in problem.places)
    walls = [place.id for place in narrow if not place.holding]
    works = tuple(
        replace(work, width_m=1.5, immovable=False, now=None if number == 0 else walls[number])
        for number, work in enumerate(problem.works)
    )
    loads = {**problem.loads, **{(work.id, work.now): 0.9 for work in works if work.now is not None}}
    full = replace(problem, works=works, places=narrow, loads=loads, tolerance=0.0)
    made = plan(full, RULES)
    assert made.gap <= 0.05
    assert made.objective.worst < 0.9
    simulate(full, made)

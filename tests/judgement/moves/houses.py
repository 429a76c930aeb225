"""Made-up houses full of works, and plans found by trying everything."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import product

from stillwall.judgement.moves.crew import CrewRules
from stillwall.judgement.moves.model import MovingWork, Problem, Spot
from stillwall.judgement.moves.periods import periods

RULES = CrewRules(10, 0.8, 25, 1.5, 60, 2.5)
START = date(2026, 1, 5)
GAP = 0.15


def small_house(random, *, dated=False):
    """Three or four works, four or five places, some pinned, paired, themed or barred."""
    places = [
        Spot(
            id=f"p{number}",
            span_m=random.choice([1.2, 1.4, 2.3, 2.6, None]),
            room=f"room{number % 2}",
            building=f"house{number % 3}",
            free_from=START + timedelta(days=40) if dated and random.random() < 0.3 else None,
            free_until=START + timedelta(days=90) if dated and random.random() < 0.2 else None,
        )
        for number in range(random.randint(3, 5 if not dated else 4))
    ]
    places.append(Spot(id="store", span_m=random.choice([1.2, 4.0]), holding=True, building="house0"))
    works, taken = [], {}
    for number in range(random.randint(2, 4 if not dated else 3)):
        width = random.choice([0.6, 0.9, 1.0, 1.2, None])
        now = _somewhere(random, width, places, taken)
        works.append(
            MovingWork(
                id=f"w{number}",
                width_m=width,
                now=now,
                handling=random.choice([1.0, 1.5, 2.0, 3.0]),
                immovable=now is not None and random.random() < 0.15,
                themes=frozenset({"ferns"} if random.random() < 0.3 else set()),
                arrives=START + timedelta(days=40)
                if dated and now is None and random.random() < 0.5
                else None,
            )
        )
    loads = {
        (work.id, place.id): round(random.uniform(0.05, 1.6), 2)
        for work in works
        for place in places
        if random.random() < 0.75 or work.now == place.id
    }
    pinned = {}
    if random.random() < 0.15:
        pinned = {works[0].id: random.choice(places).id} if not works[0].immovable else {}
    return Problem(
        start=START,
        works=tuple(works),
        places=tuple(places),
        loads=loads,
        gap_m=GAP,
        pins=pinned,
        pairs=(("w0", "w1"),) if random.random() < 0.1 else (),
        tolerance=random.choice([0.0, 0.0, 0.1, 0.3]),
        no_way=frozenset(
            (work.id, work.now, place.id)
            for work in works
            for place in places
            if work.now is not None and place.id != work.now and random.random() < 0.05
        ),
    )


def _somewhere(random, width, places, taken):
    if random.random() < 0.3:
        return None
    for place in random.sample(places, len(places)):
        if place.free_from is not None:
            continue
        if width is None or place.span_m is None:
            if place.id not in taken:
                taken[place.id] = float("inf")
                return place.id
        elif taken.get(place.id, 0.0) + width + GAP <= place.span_m + GAP + 1e-9:
            taken[place.id] = taken.get(place.id, 0.0) + width + GAP
            return place.id
    return None


def fits(problem, state):
    """Whether a state keeps to every place's room: the rule written out anew."""
    for place in problem.places:
        here = [work for work in problem.works if state.get(work.id) == place.id]
        if len(here) <= 1:
            if place.span_m is None or not here or here[0].width_m is None:
                continue
        elif place.span_m is None or any(work.width_m is None for work in here):
            return False
        length = sum(work.width_m for work in here) + problem.gap_m * (len(here) - 1)
        already = [work for work in problem.works if work.now == place.id]
        at_first = sum(work.width_m or 0 for work in already) + problem.gap_m * (len(already) - 1)
        if length > max(place.span_m, at_first) + 1e-9:
            return False
    return True


def allowed(problem, work, place, period, *, first):
    if work.immovable and work.now is not None:
        return place.id == work.now
    if place.id not in period.places:
        return False
    if work.id in problem.pins:
        return place.id == problem.pins[work.id]
    if (work.id, place.id) not in problem.loads:
        return False
    return not (first and (work.id, work.now, place.id) in problem.no_way)


def states(problem, period, *, first):
    """Every state of a period that is allowed."""
    works = [work for work in problem.works if work.id in period.works]
    options = [
        [place.id for place in problem.places if allowed(problem, work, place, period, first=first)]
        for work in works
    ]
    rooms = {place.id: place.room or place.id for place in problem.places}
    for chosen in product(*options):
        state = {work.id: place for work, place in zip(works, chosen, strict=True)}
        together = all(
            rooms[state[one]] == rooms[state[other]]
            for one, other in problem.pairs
            if one in state and other in state
        )
        if together and fits(problem, state):
            yield state


def best(problem):
    """The best plan by trying every plan, or None: over and worst at last, over before, handling, total."""
    stretches = periods(problem)
    span = sum(period.months for period in stretches)
    movable = {work.id for work in problem.works if not work.immovable}
    plans = []
    for chosen in product(*(list(states(problem, each, first=t == 0)) for t, each in enumerate(stretches))):
        before = {work.id: work.now for work in problem.works}
        handling = total = 0.0
        over, worst = {True: set(), False: set()}, {True: 0.0, False: 0.0}
        blocked = False
        for t, (period, state) in enumerate(zip(stretches, chosen, strict=True)):
            last = t == len(stretches) - 1
            for work in problem.works:
                place = state.get(work.id)
                if place is None:
                    continue
                load = problem.loads.get((work.id, place), 0.0)
                total += load * period.months / span
                if work.id in movable:
                    worst[last] = max(worst[last], load)
                    if load > 1.0:
                        over[last].add(work.id)
                if before[work.id] != place:
                    handling += work.handling
                    blocked = blocked or (t > 0 and (work.id, before[work.id], place) in problem.no_way)
            before = {**before, **state}
        if not blocked:
            plans.append((len(over[True]), worst[True], len(over[False]), handling, total))
    for aim, give in enumerate((0.0, problem.tolerance, 0.0, 0.0, 0.0)):
        limit = min((each[aim] for each in plans), default=0.0) + give + 1e-9
        plans = [each for each in plans if each[aim] <= limit]
    return min(plans, key=lambda each: each[4], default=None)


def simulate(problem, plan):
    """Carry out a plan step by step; every work that is in the house has a place after every step."""
    state = {work.id: work.now for work in problem.works if work.now is not None}
    holding = {place.id for place in problem.places if place.holding}
    buildings = {place.id: place.building for place in problem.places}
    assert fits(problem, state)
    seen = []
    for trip in plan.trips:
        assert len({buildings[end] for step in trip.steps for end in (step.start, step.end) if end}) <= 2
        for step in trip.steps:
            assert state.get(step.work) == step.start
            assert step.start != step.end
            assert (step.work, step.start, step.end) not in problem.no_way
            if step.end is None:
                del state[step.work]
            else:
                state[step.work] = step.end
                pinned = problem.pins.get(step.work) == step.end
                assert pinned or (step.work, step.end) in problem.loads
                if plan.places.get(step.work) != step.end:
                    waits = step.end in holding or problem.loads[step.work, step.end] <= 1.0
                    later = any(other.get(step.work) == step.end for _, other in plan.states)
                    assert waits or later
            assert fits(problem, state)
            seen.append(step.n)
    assert seen == list(range(1, len(seen) + 1))
    assert state == dict(plan.places)
    return state

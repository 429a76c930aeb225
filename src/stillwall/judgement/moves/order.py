"""In which order works are carried, so that every one of them has a place after every step."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import count

from stillwall.judgement.moves.model import MovingWork, Problem, Spot

SEARCHED_TOGETHER = 9
"""Works that are put in order exactly, together; more are first parted where they do not touch."""
MOST_STATES = 60_000
MICRO = 1_000_000
Where = str | None
"""A place, or None outside the house."""
State = tuple[Where, ...]
Node = tuple[State, tuple[str, str]]
"""Where each mover is, and the buildings of the last journey."""
Cost = tuple[int, int, int]
"""Handling in millionths, steps, journeys between buildings."""


@dataclass(frozen=True, slots=True)
class Carried:
    """One work carried once."""

    work: str
    start: Where
    end: Where


@dataclass(frozen=True, slots=True)
class Sequence:
    """Steps in order, whether no other order takes less handling, and the works that are stuck, if any."""

    steps: tuple[Carried, ...]
    least: bool = True
    stuck: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class _Room:
    """What is left of each place, and what each work takes there. [m]"""

    left: dict[str, float]
    needs: dict[tuple[str, str], float]


def in_order(
    problem: Problem, before: Mapping[str, str], after: Mapping[str, str], usable: frozenset[str]
) -> Sequence:
    """The steps from one state to another with the least handling, then fewest steps, then journeys.

    Every state on the way keeps to the places' room, to what is allowed and to the ways that can be
    walked. A work may wait at a holding place, or at another place that suits it, while others change.

    Parameters
    ----------
    before, after
        Place by work. A work only in ``after`` comes from outside; one only in ``before`` goes.
    usable
        Places that can be used in this time.
    """
    gone = [Carried(work, before[work], None) for work in sorted(before) if work not in after]
    here = {work: place for work, place in before.items() if work in after}
    movers = sorted(work for work, place in after.items() if here.get(work) != place)
    if not movers:
        return Sequence(tuple(gone))
    steps: list[Carried] = []
    least = True
    for group in [movers] if len(movers) <= SEARCHED_TOGETHER else _parted(problem, movers, here, after):
        found = _search(problem, group, here, after, usable)
        if found.stuck:
            return Sequence((), stuck=found.stuck)
        least = least and found.least
        steps += found.steps
        here.update({work: after[work] for work in group})
    return Sequence((*gone, *steps), least)


def _parted(
    problem: Problem, movers: list[str], before: Mapping[str, str], after: Mapping[str, str]
) -> list[list[str]]:
    """Movers in groups that share no place."""
    group = {work: {work} for work in movers}
    users: dict[str, str] = {}
    for work in movers:
        for place in {before.get(work), after[work]} - {None}:
            assert place is not None
            first = users.setdefault(place, work)
            if group[first] is not group[work]:
                group[first] |= group[work]
                for member in group[work]:
                    group[member] = group[first]
    distinct = {id(members): sorted(members) for members in group.values()}
    return sorted(distinct.values())


@dataclass(eq=False)
class _Graph:
    """States of some movers, and the steps between them."""

    problem: Problem
    movers: list[MovingWork]
    before: Mapping[str, str]
    after: Mapping[str, str]
    usable: frozenset[str]
    waiting: dict[str, list[str]] = field(init=False)
    places: dict[str, Spot] = field(init=False)
    room: _Room = field(init=False)

    def __post_init__(self) -> None:
        self.places = {place.id: place for place in self.problem.places}
        names = {work.id for work in self.movers}
        works = {work.id: work for work in self.problem.works}
        left = {name: self.problem.room_m(place) for name, place in self.places.items()}
        for name, place in self.before.items():
            if name not in names:
                left[place] -= self.problem.room_needed_m(works[name], self.places[place])
        needs = {
            (work.id, place.id): self.problem.room_needed_m(work, place)
            for work in self.movers
            for place in self.places.values()
        }
        self.room = _Room(left, needs)
        self.waiting = {work.id: self._buffers(work) for work in self.movers}

    def _buffers(self, work: MovingWork) -> list[str]:
        """Places where a work may wait for a while."""
        return [
            name
            for name, place in sorted(self.places.items())
            if name in self.usable
            and not place.closed
            and name != self.after[work.id]
            and (work.id, name) in self.problem.loads
            and (place.holding or self.problem.loads[work.id, name] <= 1.0)
        ]

    def start(self) -> State:
        return tuple(self.before.get(work.id) for work in self.movers)

    def goal(self) -> State:
        return tuple(self.after[work.id] for work in self.movers)

    def remaining(self, state: State) -> Cost:
        """No way to the goal costs less."""
        handling = steps = 0
        for work, place in zip(self.movers, state, strict=True):
            if place != self.after[work.id]:
                handling += self.cost(work, self.after[work.id])
                steps += 1
        return handling, steps, 0

    def cost(self, work: MovingWork, place: str) -> int:
        return round(self.problem.cost(work, place) * MICRO)

    def next(self, state: State) -> Iterable[tuple[int, str]]:
        """Movers, by number, that can be carried now, and where to."""
        taken: dict[str, float] = {}
        for work, place in zip(self.movers, state, strict=True):
            if place is not None:
                taken[place] = taken.get(place, 0.0) + self.room.needs[work.id, place]
        for number, work in enumerate(self.movers):
            here = state[number]
            target = self.after[work.id]
            if here == target:
                continue
            for place in [target] if here is None else [target, *self.waiting[work.id]]:
                if (
                    place != here
                    and taken.get(place, 0.0) + self.room.needs[work.id, place]
                    <= self.room.left[place] + 1e-6
                    and (here is None or (work.id, here, place) not in self.problem.no_way)
                ):
                    yield number, place

    def journey(self, start: Where, end: str) -> tuple[str, str]:
        return ("" if start is None else self.places[start].building, self.places[end].building)


def _search(
    problem: Problem,
    group: list[str],
    before: Mapping[str, str],
    after: Mapping[str, str],
    usable: frozenset[str],
) -> Sequence:
    by_id = {work.id: work for work in problem.works}
    graph = _Graph(problem, [by_id[name] for name in group], before, after, usable)
    start, goal = graph.start(), graph.goal()
    ticket = count()
    nobody = ("\0", "\0")
    best: dict[Node, Cost] = {(start, nobody): (0, 0, 0)}
    came: dict[Node, tuple[Node, Carried]] = {}
    heap = [(graph.remaining(start), 0, next(ticket), (start, nobody))]
    nearest = start
    while heap:
        _, _, _, node = heapq.heappop(heap)
        state, journey = node
        spent = best[node]
        if state == goal:
            return Sequence(_walked(came, node))
        if graph.remaining(state)[1] < graph.remaining(nearest)[1]:
            nearest = state
        if len(best) > MOST_STATES:
            return _greedy(graph)
        for number, place in graph.next(state):
            work = graph.movers[number]
            leg = graph.journey(state[number], place)
            cost = (
                spent[0] + graph.cost(work, place),
                spent[1] + 1,
                spent[2] + (leg != journey),
            )
            reached = ((*state[:number], place, *state[number + 1 :]), leg)
            if reached not in best or cost < best[reached]:
                best[reached] = cost
                came[reached] = (node, Carried(work.id, state[number], place))
                left = graph.remaining(reached[0])
                total = (cost[0] + left[0], cost[1] + left[1], cost[2])
                heapq.heappush(heap, (total, left[1], next(ticket), reached))
    return Sequence((), stuck=_stuck(graph, nearest))


def _walked(came: Mapping[Node, tuple[Node, Carried]], node: Node) -> tuple[Carried, ...]:
    steps = []
    while node in came:
        node, step = came[node]
        steps.append(step)
    return tuple(reversed(steps))


def _greedy(graph: _Graph) -> Sequence:
    """Carry whatever can go to its place; where nothing can, let the easiest work wait elsewhere."""
    state, goal = graph.start(), graph.goal()
    steps: list[Carried] = []
    waited: set[int] = set()
    while state != goal:
        options = list(graph.next(state))
        direct = [(number, place) for number, place in options if place == goal[number]]
        aside = [
            (number, place) for number, place in options if number not in waited and place != goal[number]
        ]
        if not direct and not aside:
            return Sequence((), stuck=_stuck(graph, state))
        number, place = (
            direct[0]
            if direct
            else min(aside, key=lambda option: (graph.cost(graph.movers[option[0]], option[1]), option))
        )
        if not direct:
            waited.add(number)
        steps.append(Carried(graph.movers[number].id, state[number], place))
        state = (*state[:number], place, *state[number + 1 :])
    return Sequence(tuple(steps), least=False)


def _stuck(graph: _Graph, state: State) -> tuple[str, ...]:
    """Works that cannot reach their places from a state however the others are carried."""
    goal = graph.goal()
    return tuple(
        work.id for work, place, target in zip(graph.movers, state, goal, strict=True) if place != target
    )

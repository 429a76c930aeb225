"""The plan as a mixed-integer programme: works, places and periods as columns, conditions as rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np

from stillwall.judgement.moves.model import OVER, MovingWork, Problem, Spot
from stillwall.judgement.moves.periods import Period
from stillwall.judgement.moves.solver import Floats, Row, solve

Column = tuple[str, str, int]
"""A work, a place and the number of a period."""
State = dict[str, str]
SLACK = 1e-7


@dataclass(frozen=True, slots=True)
class Found:
    """What the solver found. ``states`` is None where there is no plan; ``sure`` where that is proven."""

    states: tuple[State, ...] | None
    gap: float
    sure: bool


@dataclass(eq=False)
class Formulation:
    """The columns and rows of a problem over some periods.

    ``columns`` are 0 or 1: the work is at the place in the period. ``arrivals`` are 1 where it was
    elsewhere in the period before; ``overs`` are 1 for a movable work that is over an allowance, in the
    last period (True) or before it (False).
    """

    problem: Problem
    periods: tuple[Period, ...]
    works: tuple[MovingWork, ...] = field(init=False)
    places: tuple[Spot, ...] = field(init=False)
    columns: dict[Column, int] = field(init=False)
    arrivals: dict[Column, int] = field(init=False)
    overs: dict[tuple[str, bool], int] = field(init=False)
    rows: list[Row] = field(init=False)

    def __post_init__(self) -> None:
        self.works = tuple(sorted(self.problem.works, key=lambda work: work.id))
        self.places = tuple(sorted(self.problem.places, key=lambda place: place.id))
        self.columns = {}
        for t, period in enumerate(self.periods):
            for work in self.works:
                for place in self.places:
                    if self.allowed(work, place, t, period):
                        self.columns[work.id, place.id, t] = len(self.columns)
        self.arrivals = {}
        for name, spot, t in self.columns:
            if t > 0 and name in self.periods[t - 1].works:
                self.arrivals[name, spot, t] = len(self.columns) + len(self.arrivals)
        first = len(self.columns) + len(self.arrivals)
        counted = [(work, last) for work in sorted(self.movable) for last in (True, False)]
        self.overs = {key: first + number for number, key in enumerate(counted)}
        self.rows = [
            *self._presence(),
            *self._spans(),
            *self._together(),
            *self._themes(),
            *self._arriving(),
            *self._counting(),
        ]

    def allowed(self, work: MovingWork, place: Spot, t: int, period: Period) -> bool:
        """Whether a work may be at a place in a period."""
        if work.id not in period.works:
            return False
        if work.immovable and work.now is not None:
            return place.id == work.now
        if place.id not in period.places:
            return False
        pin = self.problem.pins.get(work.id)
        if pin is not None:
            return place.id == pin
        if (work.id, place.id) not in self.problem.loads:
            return False
        if place.closed and work.now != place.id:
            return False
        return t > 0 or work.now is None or (work.id, work.now, place.id) not in self.problem.no_way

    # -- conditions --------------------------------------------------------------------------

    def _presence(self) -> Iterable[Row]:
        for t, period in enumerate(self.periods):
            for work in self.works:
                if work.id in period.works:
                    yield Row(self._terms({(work.id, place.id, t): 1.0 for place in self.places}), 1.0, 1.0)

    def _spans(self) -> Iterable[Row]:
        for t in range(len(self.periods)):
            for place in self.places:
                taken = {
                    (work.id, place.id, t): self.problem.room_needed_m(work, place) for work in self.works
                }
                yield Row(self._terms(taken), -np.inf, self.problem.room_m(place))

    def _together(self) -> Iterable[Row]:
        joined = [(one, other, "room") for one, other in self.problem.pairs]
        joined += [
            (one, other, "building") for group in self.problem.groups for one, other in pairwise(group)
        ]
        for t, period in enumerate(self.periods):
            for one, other, by in joined:
                if {one, other} <= period.works:
                    for where in sorted({_where(place, by) for place in self.places}):
                        inside = [place for place in self.places if _where(place, by) == where]
                        terms = {(one, place.id, t): 1.0 for place in inside}
                        terms |= {(other, place.id, t): -1.0 for place in inside}
                        yield Row(self._terms(terms), 0.0, 0.0)

    def _themes(self) -> Iterable[Row]:
        for t in range(len(self.periods)):
            for rule in self.problem.themes:
                terms = {
                    (work.id, place, t): 1.0
                    for work in self.works
                    if rule.theme in work.themes
                    for place in rule.places
                }
                low = -np.inf if rule.at_least is None else float(rule.at_least)
                high = np.inf if rule.at_most is None else float(rule.at_most)
                yield Row(self._terms(terms), low, high)

    def _arriving(self) -> Iterable[Row]:
        for (work, place, t), column in self.arrivals.items():
            terms = [(column, 1.0), (self.columns[work, place, t], -1.0)]
            before = self.columns.get((work, place, t - 1))
            if before is not None:
                terms.append((before, 1.0))
            yield Row(tuple(terms), 0.0, np.inf)
        for work, start, end in sorted(self.problem.no_way):
            for t in range(1, len(self.periods)):
                pair = ((work, start, t - 1), (work, end, t))
                if all(column in self.columns for column in pair):
                    yield Row(self._terms(dict.fromkeys(pair, 1.0)), -np.inf, 1.0)

    def _counting(self) -> Iterable[Row]:
        high: dict[tuple[str, int], list[int]] = {}
        for column, index in self.columns.items():
            if column[0] in self.movable and self.load(column) > OVER:
                high.setdefault((column[0], column[2]), []).append(index)
        for (work, t), indices in high.items():
            terms = [(self.overs[work, self.is_last(t)], 1.0), *((index, -1.0) for index in indices)]
            yield Row(tuple(terms), 0.0, np.inf)

    def _terms(self, weights: Mapping[Column, float]) -> tuple[tuple[int, float], ...]:
        return tuple(
            (self.columns[column], weight) for column, weight in weights.items() if column in self.columns
        )

    # -- what a plan costs -------------------------------------------------------------------

    def load(self, column: Column) -> float:
        """Load of a work at a place; 0 where a pin put it there although nothing is known. [1]"""
        return self.problem.loads.get(column[:2], 0.0)

    @cached_property
    def movable(self) -> frozenset[str]:
        """Works that can be moved."""
        return frozenset(work.id for work in self.works if not work.immovable)

    def is_last(self, t: int) -> bool:
        """Whether a period is the last one, whose state stays."""
        return t == len(self.periods) - 1

    def over(self, *, last: bool) -> Floats:
        """1 for each movable work that is over an allowance in the last period, or before it."""
        costs = self.nothing()
        costs[[column for (_, when), column in self.overs.items() if when == last]] = 1.0
        return costs

    def handling(self) -> Floats:
        """Handling of each column. [1]"""
        costs = self.nothing()
        by_id = {work.id: work for work in self.works}
        for (work, place, t), column in self.columns.items():
            if (work, place, t) not in self.arrivals and by_id[work].now != place:
                costs[column] = self.problem.cost(by_id[work], place)
        for (work, place, _), column in self.arrivals.items():
            costs[column] = self.problem.cost(by_id[work], place)
        return costs

    def moves(self) -> Floats:
        """1 for each column that is a move."""
        return (self.handling() > 0).astype(np.float64)

    def total(self, *, out_of_sight: bool = False) -> Floats:
        """Load over the time of the plan: by month where ``out_of_sight`` counts, else its mean. [1]"""
        costs = self.nothing()
        hidden = {place.id: place.out_of_sight for place in self.places}
        span = sum(period.months for period in self.periods)
        for column, index in self.columns.items():
            months = self.periods[column[2]].months
            if out_of_sight:
                costs[index] = (self.load(column) + hidden[column[1]]) * months
            else:
                costs[index] = self.load(column) * months / span
        return costs

    def by_id(self) -> Floats:
        """A weight that prefers places early in the alphabet, for works early in it most."""
        costs = self.nothing()
        order = {place.id: number for number, place in enumerate(self.places)}
        weight = {work.id: len(self.works) - number for number, work in enumerate(self.works)}
        for (work, place, _), column in self.columns.items():
            costs[column] = order[place] * weight[work]
        return costs

    def values(self, states: Iterable[State]) -> Floats:
        """The columns of a plan that is known."""
        values = self.nothing()
        known = tuple(states)
        for t, state in enumerate(known):
            for work, place in state.items():
                values[self.columns[work, place, t]] = 1.0
                if work in self.movable and self.load((work, place, t)) > OVER:
                    values[self.overs[work, self.is_last(t)]] = 1.0
                column = self.arrivals.get((work, place, t))
                if column is not None and known[t - 1].get(work) != place:
                    values[column] = 1.0
        return values

    def nothing(self) -> Floats:
        """No cost for any column: any plan will do."""
        return np.zeros(len(self.columns) + len(self.arrivals) + len(self.overs))

    # -- solving -----------------------------------------------------------------------------

    def solve(
        self,
        costs: Floats,
        *,
        rows: Iterable[Row] = (),
        shut: Iterable[int] = (),
        time_limit_s: float,
    ) -> Found:
        """The cheapest plan under the conditions, further rows, and without some columns."""
        upper = np.ones(len(costs))
        upper[list(shut)] = 0.0
        whole = self.nothing()
        whole[: len(self.columns)] = 1.0
        result = solve(costs, whole=whole, upper=upper, rows=[*self.rows, *rows], time_limit_s=time_limit_s)
        if result.values is None:
            return Found(None, np.inf, sure=result.infeasible)
        return Found(self._states(result.values), result.gap, sure=True)

    def _states(self, values: Floats) -> tuple[State, ...]:
        states: tuple[State, ...] = tuple({} for _ in self.periods)
        for (work, place, t), column in self.columns.items():
            if values[column] > 0.5:
                states[t][work] = place
        return states


def at_most(costs: Floats, value: float) -> Row:
    """The condition that a plan costs no more than a value."""
    used = np.flatnonzero(costs)
    slack = SLACK * max(1.0, abs(value))
    return Row(tuple((int(column), float(costs[column])) for column in used), -np.inf, value + slack)


def _where(place: Spot, by: str) -> str:
    """The room or building of a place; a place of its own where that is not known."""
    return (place.room if by == "room" else place.building) or f"\0{place.id}"

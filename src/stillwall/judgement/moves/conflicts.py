"""Why there is no plan: the smallest set of conditions that cannot be met together, in words."""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from stillwall.judgement.moves.formulation import Column
from stillwall.judgement.moves.model import MovingWork, Problem, Spot
from stillwall.judgement.moves.periods import Period
from stillwall.judgement.moves.solver import Row, solve
from stillwall.phrases import date_words
from stillwall.units import System, show_length

Condition = str
"""A condition in words; the same words are the same condition."""


def conflicting(
    problem: Problem, periods: tuple[Period, ...], *, time_limit_s: float, system: System = "si"
) -> tuple[str, ...]:
    """The smallest set of conditions that cannot be met together; empty where all can.

    Found by hitting sets: any set of conditions that must give way together meets every conflict, and
    the least set that meets all of those found so far is either a conflict, hence the smallest, or
    shows another that must give way. Out of time, the conditions of which one has to give way.
    """
    elastic = _Elastic(problem, periods, system)
    deadline = time.monotonic() + time_limit_s
    giving_way: list[frozenset[Condition]] = []
    while True:
        held = _least_hitting(giving_way)
        found = elastic.least_broken(held, max(0.5, deadline - time.monotonic()))
        if found is None:
            return tuple(sorted(held))
        if not found:
            return ()
        giving_way.append(found)
        if time.monotonic() > deadline:
            return tuple(sorted(found))


def _least_hitting(sets: list[frozenset[Condition]]) -> frozenset[Condition]:
    """The smallest set that meets each of several sets."""
    if not sets:
        return frozenset()
    names = sorted(frozenset().union(*sets))
    rows = [Row(tuple((names.index(name), 1.0) for name in sorted(each)), 1.0, np.inf) for each in sets]
    ones = np.ones(len(names))
    values = solve(ones, whole=ones, upper=ones, rows=rows, time_limit_s=10.0).values
    assert values is not None
    return frozenset(name for name, value in zip(names, values, strict=True) if value > 0.5)


@dataclass(eq=False)
class _Elastic:
    """The problem with a column for each condition, 1 where it is broken."""

    problem: Problem
    periods: tuple[Period, ...]
    system: System
    columns: dict[Column, int] = field(init=False)
    broken: dict[Condition, int] = field(default_factory=dict)
    rows: list[Row] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.columns = {}
        for t, period in enumerate(self.periods):
            for work in self.problem.works:
                if work.id in period.works:
                    for place in self.problem.places:
                        self.columns[work.id, place.id, t] = len(self.columns)
        for t, period in enumerate(self.periods):
            for work in self.problem.works:
                if work.id in period.works:
                    self._of_work(work, t)
            for place in self.problem.places:
                self._of_place(place, t, period)
            self._of_company(t, period)

    def least_broken(self, held: frozenset[Condition], time_limit_s: float) -> frozenset[Condition] | None:
        """The fewest conditions that have to be broken where some are held; None where none would do."""
        width = len(self.columns) + len(self.broken)
        costs = np.zeros(width)
        costs[len(self.columns) :] = 1.0
        upper = np.ones(width)
        upper[[self.broken[condition] for condition in held]] = 0.0
        whole = np.ones(width)
        values = solve(costs, whole=whole, upper=upper, rows=self.rows, time_limit_s=time_limit_s).values
        if values is None:
            return None
        return frozenset(name for name, column in self.broken.items() if values[column] > 0.5)

    def _no_more(self, condition: Condition, terms: Iterable[tuple[Column, float]], most: float) -> None:
        """``sum <= most`` unless the condition is broken."""
        known = [(self.columns[column], weight) for column, weight in terms if column in self.columns]
        beyond = sum(weight for _, weight in known if weight > 0) - most
        if beyond <= 0:
            return
        column = self.broken.setdefault(condition, len(self.columns) + len(self.broken))
        self.rows.append(Row((*known, (column, -beyond)), -np.inf, most))

    def _of_work(self, work: MovingWork, t: int) -> None:
        everywhere = [(work.id, place.id, t) for place in self.problem.places]
        terms = [(self.columns[column], 1.0) for column in everywhere]
        self.rows.append(Row(tuple(terms), -np.inf, 1.0))
        name, called = self.problem.work_name(work.id), self.problem.place_name
        self._no_more(f"{name} must have a place", [(column, -1.0) for column in everywhere], -1.0)
        pin = self.problem.pins.get(work.id)
        if work.immovable and work.now is not None:
            self._only(f"{name} is pinned where it is, at {called(work.now)}", everywhere, {work.now})
        if pin is not None:
            self._only(f"{name} is pinned to {called(pin)}", everywhere, {pin})
        if work.immovable or pin is not None:
            return
        allowed = {place for other, place in self.problem.loads if other == work.id}
        words = "; ".join(sorted(map(called, allowed))) or "no place"
        self._only(f"{name} suits only: {words}", everywhere, allowed)
        if t == 0 and work.now is not None:
            for other, start, end in sorted(self.problem.no_way):
                if (other, start) == (work.id, work.now):
                    words = f"{name} cannot be carried from {called(start)} to {called(end)}"
                    self._no_more(words, [((work.id, end, t), 1.0)], 0.0)

    def _only(self, condition: Condition, columns: list[Column], places: set[str]) -> None:
        self._no_more(condition, [(column, 1.0) for column in columns if column[1] not in places], 0.0)

    def _of_place(self, place: Spot, t: int, period: Period) -> None:
        works = {work.id: work for work in self.problem.works if work.id in period.works}
        needs = [
            ((name, place.id, t), self.problem.room_needed_m(work, place)) for name, work in works.items()
        ]
        here = self.problem.place_name(place.id)
        takes = (
            "takes one work"
            if place.span_m is None
            else f"has a clear span of {show_length(place.span_m, self.system)}"
        )
        self._no_more(f"{here} {takes}", needs, self.problem.room_m(place))
        strangers = [
            ((name, place.id, t), 1.0)
            for name, work in works.items()
            if not (work.now == place.id and (work.immovable or place.id in period.places))
        ]
        if place.id not in period.places:
            if place.free_from is not None and place.free_from > period.start:
                words = f"{here} is free only from {date_words(place.free_from)}"
            else:
                assert place.free_until is not None
                words = f"{here} is free only until {date_words(place.free_until)}"
            self._no_more(words, strangers, 0.0)
        elif place.closed:
            self._no_more(f"{here} takes nothing else: {place.closed}", strangers, 0.0)

    def _of_company(self, t: int, period: Period) -> None:
        named = self.problem.work_name
        joined = [
            (one, other, "room", f"{named(one)} and {named(other)} are a pair and hang in one room")
            for one, other in self.problem.pairs
        ]
        for group in self.problem.groups:
            words = f"{'; '.join(map(named, group))} stay in one building"
            joined += [(one, other, "building", words) for one, other in pairwise(group)]
        for one, other, by, words in joined:
            if {one, other} <= period.works:
                for inside in _by(self.problem.places, by):
                    for first, second in ((one, other), (other, one)):
                        terms = [((first, place, t), 1.0) for place in inside]
                        terms += [((second, place, t), -1.0) for place in inside]
                        self._no_more(words, terms, 0.0)
        for rule in self.problem.themes:
            terms = [
                ((work.id, place, t), 1.0)
                for work in self.problem.works
                if rule.theme in work.themes
                for place in sorted(rule.places)
            ]
            where = "; ".join(sorted(map(self.problem.place_name, rule.places)))
            if rule.at_most is not None:
                words = f"at most {rule.at_most} works of the theme {rule.theme!r} at {where}"
                self._no_more(words, terms, rule.at_most)
            if rule.at_least is not None:
                words = f"at least {rule.at_least} works of the theme {rule.theme!r} at {where}"
                self._no_more(words, [(column, -weight) for column, weight in terms], -rule.at_least)


def _by(places: Iterable[Spot], by: str) -> list[list[str]]:
    """Places by room or by building; each alone where that is not known."""
    groups: dict[str, list[str]] = {}
    for place in places:
        where = (place.room if by == "room" else place.building) or f"\0{place.id}"
        groups.setdefault(where, []).append(place.id)
    return list(groups.values())

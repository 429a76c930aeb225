"""Where every work goes: one aim after another, each held while the next is sought."""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from stillwall.judgement.moves.formulation import Formulation, State, at_most
from stillwall.judgement.moves.model import OVER, Objective
from stillwall.judgement.moves.solver import Floats, Row

PARTS = 7
"""Solves that share the time: over at last and before, worst, moves, handling, total, order of ids."""
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Assignment:
    """A place for every work in every period, and how far it may be from the best. [1]"""

    states: tuple[State, ...]
    objective: Objective
    gap: float

    @property
    def optimal(self) -> bool:
        """Whether it is proven best."""
        return self.gap == 0.0


def assign(
    form: Formulation, *, rows: Iterable[Row] = (), fewest_moves: bool = False, time_limit_s: float
) -> Assignment | None:
    """The best plan by the aims in their order, or None where the conditions cannot be met together.

    Fewest movable works over an allowance; then the lowest worst load of a movable work, where
    differences up to the problem's tolerance count as equal; then least handling; then the least sum
    of loads; then the order of ids. Where dates make several states, the first two aims are those of
    the last, which stays; of those before it only the works over an allowance count, after these.
    Each aim is a programme of its own: one weighted sum would mix units and lose the first aims in the
    solver's tolerance. With ``fewest_moves`` the number
    of moves comes straight after the works over an allowance.
    """
    search = _Search(form, list(rows), time.monotonic() + time_limit_s)
    found = search.least(form.over(last=True))
    if found is None:
        return None
    if fewest_moves:
        found = search.least(form.moves()) or found
    found = search.lowest_worst(found)
    if len(form.periods) > 1:
        found = search.least(form.over(last=False)) or found
    for costs in (form.handling(), form.total(), form.by_id()):
        found = search.least(costs) or found
    return Assignment(found, objective(form, found), search.gap)


def cheapest(form: Formulation, *, rows: Iterable[Row] = (), time_limit_s: float) -> Assignment | None:
    """The plan with the least sum of monthly loads, months out of sight and handling.

    The loads of the problem are those of a month. None where the conditions cannot be met together.
    """
    search = _Search(form, list(rows), time.monotonic() + time_limit_s)
    costs = form.total(out_of_sight=True) + form.handling()
    found = search.least(costs)
    if found is None:
        return None
    found = search.least(form.by_id()) or found
    return Assignment(found, objective(form, found, out_of_sight=True), search.gap)


def objective(form: Formulation, states: tuple[State, ...], *, out_of_sight: bool = False) -> Objective:
    """What a known plan is measured by. With ``out_of_sight``, ``total`` is the sum over the months."""
    values = form.values(states)
    over, worst = _loads(form, states, last=True)
    over_before, worst_before = _loads(form, states, last=False)
    return Objective(
        over=over,
        worst=worst,
        over_before=over_before,
        worst_before=worst_before,
        handling=float(form.handling() @ values),
        total=float(form.total(out_of_sight=out_of_sight) @ values),
    )


def _loads(form: Formulation, states: tuple[State, ...], *, last: bool) -> tuple[int, float]:
    """Movable works over an allowance and their largest load, in the last state or before it."""
    loads = [
        (work, form.load((work, place, t)))
        for t, state in enumerate(states)
        if form.is_last(t) == last
        for work, place in state.items()
        if work in form.movable
    ]
    over = {work for work, load in loads if load > OVER}
    return len(over), max((load for _, load in loads), default=0.0)


@dataclass(eq=False)
class _Search:
    form: Formulation
    rows: list[Row]
    deadline: float
    gap: float = 0.0
    parts_left: int = PARTS

    def __post_init__(self) -> None:
        self.shut: frozenset[int] = frozenset()

    def least(self, costs: Floats) -> tuple[State, ...] | None:
        """The plan that costs least; from then on no plan may cost more."""
        found = self.form.solve(costs, rows=self.rows, shut=self.shut, time_limit_s=self._share())
        self.parts_left -= 1
        if found.states is None:
            if not found.sure:
                self.gap = 1.0
            return None
        self.gap = max(self.gap, found.gap)
        self.rows.append(at_most(costs, float(costs @ self.form.values(found.states))))
        return found.states

    def lowest_worst(self, found: tuple[State, ...]) -> tuple[State, ...]:
        """The plan whose largest load in the last state is least, by the least threshold that leaves one."""
        form = self.form
        loads = {
            index: form.load(column)
            for column, index in form.columns.items()
            if column[0] in form.movable and form.is_last(column[2])
        }
        best = found
        high = _loads(form, found, last=True)[1]
        levels = sorted({load for load in loads.values() if load < high - SAME})
        floor = self._floor()
        low, top = 0, len(levels)
        while low < len(levels) and levels[low] < floor - SAME:
            low += 1
        unsure = False
        guess = low
        while low < top:
            shut = [index for index, load in loads.items() if load > levels[guess] + SAME]
            tried = form.solve(form.nothing(), rows=self.rows, shut=shut, time_limit_s=self._share() / 4)
            if tried.states is None:
                unsure = unsure or not tried.sure
                low = guess + 1
            else:
                best = tried.states
                high = _loads(form, best, last=True)[1]
                top = int(np.searchsorted(levels, high - SAME))
            guess = (low + top) // 2
        if unsure:
            self.gap = max(self.gap, (high - floor) / high if high > 0 else 0.0)
        self.shut = frozenset(
            index for index, load in loads.items() if load > high + self.form.problem.tolerance + SAME
        )
        self.parts_left -= 1
        return best

    def _floor(self) -> float:
        """No plan has a lower worst load than the work whose best place is worst."""
        least: dict[tuple[str, int], float] = {}
        for column in self.form.columns:
            if column[0] in self.form.movable and self.form.is_last(column[2]):
                key = (column[0], column[2])
                least[key] = min(least.get(key, np.inf), self.form.load(column))
        return max(least.values(), default=0.0)

    def _share(self) -> float:
        return max(0.5, self.deadline - time.monotonic()) / max(1, self.parts_left)

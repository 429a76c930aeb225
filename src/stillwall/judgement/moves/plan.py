"""A plan of moves: who goes where, in which order, on which trips; or why there is none."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from typing import Literal

from stillwall.errors import Fault, InputError
from stillwall.judgement.moves.assign import Assignment, assign, cheapest
from stillwall.judgement.moves.conflicts import conflicting
from stillwall.judgement.moves.crew import CrewRules
from stillwall.judgement.moves.formulation import Formulation, State
from stillwall.judgement.moves.model import Plan, Problem, Step
from stillwall.judgement.moves.order import Sequence, in_order
from stillwall.judgement.moves.periods import Period, months, periods
from stillwall.judgement.moves.solver import Row
from stillwall.judgement.moves.trips import dated_steps, trips
from stillwall.units import System

Aim = Literal["worst", "total"]
TRIES = 6
"""Plans tried in search of one that can be carried out, where the best cannot."""
SHARE_OF_BEST = 0.6
"""Share of the time for the best plan; the rest is for the runner-up."""


def plan(
    problem: Problem,
    rules: CrewRules,
    *,
    aim: Aim = "worst",
    by_month: int | None = None,
    system: System = "si",
    runner_up: bool = True,
    time_limit_s: float = 50.0,
) -> Plan:
    """Plan the moves.

    Parameters
    ----------
    aim
        ``worst``: fewest movable works over an allowance, then the lowest worst load, least handling,
        least sum of loads, order of ids. ``total``: the least sum of loads, which are then those of a
        month, of months out of sight, and of handling.
    by_month
        Plan so many calendar months; else the periods in which no date changes anything.
    runner_up
        Look as well for the plan with the fewest moves that leaves no more works over an allowance,
        where it has fewer than the best; or, where the best cannot be carried out, for one that can.

    Returns
    -------
    Plan
        With ``conflicts`` in words, and no trips, where no plan meets all conditions or its works
        cannot change places for want of a holding place.

    Raises
    ------
    InputError
        Where the problem contradicts itself: a work in two places, a pin against another.
    """
    check(problem)
    deadline = time.monotonic() + time_limit_s
    stretches = periods(problem) if by_month is None else months(problem, by_month)
    form = Formulation(problem, stretches)
    solve = assign if aim == "worst" else cheapest
    best = solve(form, time_limit_s=time_limit_s * (SHARE_OF_BEST if runner_up else 1.0))
    if best is None:
        left = max(5.0, deadline - time.monotonic())
        words = conflicting(problem, stretches, time_limit_s=left, system=system)
        found = words or ("no plan was found in the time that was given",)
        return Plan(optimal=False, gap=1.0, objective=None, places={}, conflicts=found)
    sequences = _sequences(problem, stretches, best)
    stuck = next((sequence.stuck for sequence in sequences if sequence.stuck), ())
    if stuck:
        made = replace(_unmoved(best), conflicts=(_no_holding_place(problem, stuck),))
    else:
        made = _made(problem, stretches, best, sequences, rules, system)
    if not runner_up:
        return made
    left = max(2.0, deadline - time.monotonic())
    other = _executable(form, best, sequences, solve, left) if stuck else _fewest(form, best, left)
    if other is None:
        return made
    assignment, steps = other
    return replace(made, runner_up=_made(problem, stretches, assignment, steps, rules, system))


Solve = Callable[..., Assignment | None]


def _fewest(
    form: Formulation, best: Assignment, time_limit_s: float
) -> tuple[Assignment, list[Sequence]] | None:
    """The best plan with the fewest moves, where those are fewer and it can be carried out."""
    costs = form.moves()
    found = assign(form, fewest_moves=True, time_limit_s=time_limit_s)
    if found is None or costs @ form.values(found.states) > costs @ form.values(best.states) - 0.5:
        return None
    sequences = _sequences(form.problem, form.periods, found)
    return None if any(sequence.stuck for sequence in sequences) else (found, sequences)


def _executable(
    form: Formulation, best: Assignment, sequences: list[Sequence], solve: Solve, time_limit_s: float
) -> tuple[Assignment, list[Sequence]] | None:
    """The best plan that can be carried out, without the changes of places that cannot."""
    deadline = time.monotonic() + time_limit_s
    rows: list[Row] = []
    for _ in range(TRIES):
        for t, sequence in enumerate(sequences):
            columns = [(work, best.states[t][work], t) for work in sequence.stuck]
            if columns:
                terms = tuple((form.columns[column], 1.0) for column in columns)
                rows.append(Row(terms, -math.inf, len(terms) - 1.0))
        found = solve(form, rows=rows, time_limit_s=max(1.0, (deadline - time.monotonic()) / 2))
        if found is None:
            return None
        best, sequences = found, _sequences(form.problem, form.periods, found)
        if not any(sequence.stuck for sequence in sequences):
            return best, sequences
    return None


def _sequences(problem: Problem, stretches: tuple[Period, ...], found: Assignment) -> list[Sequence]:
    state = {work.id: work.now for work in problem.works if work.now is not None}
    sequences = []
    for period, after in zip(stretches, found.states, strict=True):
        sequences.append(in_order(problem, state, after, period.places))
        state = after
    return sequences


def _made(
    problem: Problem,
    stretches: tuple[Period, ...],
    found: Assignment,
    sequences: Iterable[Sequence],
    rules: CrewRules,
    system: System,
) -> Plan:
    steps: list[Step] = []
    for t, (period, after, sequence) in enumerate(zip(stretches, found.states, sequences, strict=True)):
        steps += dated_steps(
            problem,
            period,
            sequence.steps,
            after,
            first_number=len(steps) + 1,
            last_period=t == len(stretches) - 1,
            rules=rules,
            system=system,
        )
    return replace(_unmoved(found), states=_states(stretches, found), trips=trips(problem, steps))


def _unmoved(found: Assignment) -> Plan:
    return Plan(
        optimal=found.optimal,
        gap=found.gap,
        objective=found.objective,
        places=dict(sorted(found.states[-1].items())),
    )


def _states(stretches: tuple[Period, ...], found: Assignment) -> tuple[tuple[date, State], ...]:
    return tuple(
        (period.start, dict(sorted(state.items())))
        for period, state in zip(stretches, found.states, strict=True)
    )


def _no_holding_place(problem: Problem, stuck: tuple[str, ...]) -> str:
    names = "; ".join(map(problem.work_name, stuck))
    holding = [problem.place_name(place.id) for place in problem.places if place.holding]
    has = (
        f"none of the holding places ({'; '.join(holding)}) takes one of them"
        if holding
        else ("there is no holding place")
    )
    return (
        f"{names} would have to change places in a circle, and {has}: not possible without a holding "
        "place. Name one in the survey, with its span, or free a wall."
    )


def check(problem: Problem) -> None:
    """Refuse a problem that contradicts itself; InputError with every contradiction at once."""
    faults: list[Fault] = []
    places = {place.id for place in problem.places}
    by_id: dict[str, set[str | None]] = {}
    for work in problem.works:
        by_id.setdefault(work.id, set()).add(work.now)
        if work.now is not None and work.now not in places:
            faults.append(_fault(work.id, f"it is at {work.now!r}, which is no place", "the id of a place"))
        if not (math.isfinite(work.handling) and work.handling > 0):
            faults.append(_fault(work.id, f"handling {work.handling}", "a number above 0"))
        pin = problem.pins.get(work.id)
        if pin is not None and pin not in places:
            faults.append(_fault(work.id, f"it is pinned to {pin!r}, which is no place", "the id of a place"))
        if work.immovable and pin is not None and pin != work.now:
            found = f"it is pinned where it is, at {work.now}, and pinned to {pin}"
            faults.append(_fault(work.id, found, "one of the two"))
    for name, where in by_id.items():
        if len([work for work in problem.works if work.id == name]) > 1:
            spots = " and ".join(sorted(str(spot) for spot in where))
            faults.append(_fault(name, f"it is in two places, {spots}", "one place for each work"))
    for (work_id, place_id), load in problem.loads.items():
        if not math.isfinite(load) or load < 0:
            faults.append(_fault(work_id, f"load {load} at {place_id}", "a number of 0 or more"))
    unknown = sorted(problem.pins.keys() - by_id.keys())
    faults += [_fault(name, "pinned, but there is no such work", "the id of a work") for name in unknown]
    if faults:
        raise InputError(faults)


def _fault(work: str, found: str, expected: str) -> Fault:
    return Fault(f"work {work}", found, expected, "correct it in survey.toml")

"""Steps with their dates and reasons, gathered into trips."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import get_args

from stillwall.judgement.moves.crew import CrewRules, carry_words, cautions, equipment
from stillwall.judgement.moves.model import Problem, Spot, Step, Trip
from stillwall.judgement.moves.order import Carried
from stillwall.judgement.moves.periods import Period
from stillwall.survey.places import Weekday
from stillwall.units import System

WEEKDAYS: tuple[Weekday, ...] = get_args(Weekday)
LONGEST_WAIT_DAYS = 28


def dated_steps(
    problem: Problem,
    period: Period,
    carried: tuple[Carried, ...],
    after: Mapping[str, str],
    *,
    first_number: int,
    last_period: bool,
    rules: CrewRules,
    system: System,
) -> list[Step]:
    """The steps of one period, with all that the crew has to know of each."""
    works = {work.id: work for work in problem.works}
    places = {place.id: place for place in problem.places}
    steps = []
    for number, step in enumerate(carried):
        work = works[step.work]
        pair = (step.work, step.end or "")
        final = step.end is not None and after.get(step.work) == step.end
        until = problem.until.get(pair) if final else None
        end = None if step.end is None else places[step.end].free_until
        if final and end is not None and (until is None or end < until[0]):
            until = (end, "the place is free until then")
        steps.append(
            Step(
                n=first_number + number,
                work=step.work,
                start=step.start,
                end=step.end,
                earliest=period.start,
                latest=_latest(period, step, places, last_period=last_period),
                handling=0.0 if step.end is None else problem.cost(work, step.end),
                reason=_reason(problem, carried, number, after),
                carry=carry_words(work.carry, system),
                crew=rules.words(work.carry),
                people=rules.people(work.carry),
                fixings=problem.fixings.get(pair, ""),
                acclimatise=problem.acclimatise.get((step.start or "", step.end or ""), ""),
                until=None if until is None else until[0],
                until_reason="" if until is None else until[1],
            )
        )
    return steps


def _latest(period: Period, step: Carried, places: Mapping[str, Spot], *, last_period: bool) -> date | None:
    if step.end is None:
        return period.start
    closes = None if step.start is None else places[step.start].free_until
    if closes is not None and closes <= period.start:
        return period.start
    return None if last_period else period.end - timedelta(days=1)


def _reason(problem: Problem, carried: tuple[Carried, ...], number: int, after: Mapping[str, str]) -> str:
    step = carried[number]
    names = {work.id: work.carry.name or work.id for work in problem.works}

    def name(work: str | None) -> str:
        return "" if work is None else names[work]

    if step.end is None:
        return "leaves the house"
    load = problem.loads.get((step.work, step.end))
    note = problem.notes.get((step.work, step.end), "")
    if after.get(step.work) != step.end:
        return f"waits here while {name(_next_into(carried, number)) or 'another work'} moves"
    pinned = problem.pins.get(step.work) == step.end
    unknown = "it is pinned here, where nothing is known of its load" if pinned else ""
    words = unknown if load is None else f"load {load:.2f}"
    now = None if step.start is None else problem.loads.get((step.work, step.start))
    if now is not None and load is not None:
        words += f" instead of {now:.2f}"
    follower = name(_next_into(carried, number))
    why = "comes in" if step.start is None else f"makes room for {follower}" if follower else ""
    return "; ".join(part for part in (why, words, note) if part)


def _next_into(carried: tuple[Carried, ...], number: int) -> str | None:
    """The work that is carried next to where this one was."""
    here = carried[number].start
    return next(
        (later.work for later in carried[number + 1 :] if here is not None and later.end == here), None
    )


def trips(problem: Problem, steps: list[Step]) -> tuple[Trip, ...]:
    """Steps in their order, those of one day between the same two buildings together."""
    works = {work.id: work for work in problem.works}
    buildings = {place.id: place.building for place in problem.places}
    groups: list[list[Step]] = []
    for step in steps:
        if groups and _together([*groups[-1], step], buildings):
            groups[-1].append(step)
        else:
            groups.append([step])
    made: list[Trip] = []
    for number, group in enumerate(groups):
        visited = _visited(group, buildings)
        latest = min((step.latest for step in group if step.latest is not None), default=None)
        earliest = max(step.earliest or problem.start for step in group)
        if made:
            earliest = max(earliest, made[-1].date_from)
        first = _open_day(problem, earliest, visited, latest)
        made.append(
            Trip(
                n=number + 1,
                date_from=first,
                date_to=None if latest is None else max(latest, first),
                from_building=_building(group[0].start, buildings),
                to_building=_building(group[0].end, buildings),
                steps=tuple(replace(step, n=step.n) for step in group),
                people=max(step.people for step in group),
                equipment=equipment(group, works, problem),
                cautions=cautions(group, works),
            )
        )
    return tuple(made)


def _building(place: str | None, buildings: Mapping[str, str]) -> str:
    return "" if place is None else buildings[place]


def _visited(steps: list[Step], buildings: Mapping[str, str]) -> set[str]:
    ends = [end for step in steps for end in (step.start, step.end) if end is not None]
    return {buildings[end] for end in ends if buildings[end]}


def _together(steps: list[Step], buildings: Mapping[str, str]) -> bool:
    dates = {(step.earliest, step.latest) for step in steps}
    return len(dates) == 1 and len(_visited(steps, buildings)) <= 2


def _open_day(problem: Problem, earliest: date, buildings: set[str], latest: date | None) -> date:
    """The first day on which every building that is visited is open; before ``earliest`` if it must be."""
    closed = frozenset().union(*(problem.weekdays_closed.get(name, frozenset()) for name in buildings))
    ahead = [earliest + timedelta(days=number) for number in range(LONGEST_WAIT_DAYS)]
    before = [earliest - timedelta(days=number) for number in range(1, LONGEST_WAIT_DAYS)]
    in_time = [day for day in ahead if latest is None or day <= latest]
    return next(
        (day for day in [*in_time, *before, *ahead] if WEEKDAYS[day.weekday()] not in closed), earliest
    )

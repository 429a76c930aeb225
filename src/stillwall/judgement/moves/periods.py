"""The time of a plan cut into periods in which nothing about dates changes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from stillwall.errors import Fault, InputError
from stillwall.judgement.moves.model import MovingWork, Problem, Spot

MOST_PERIODS = 24
OPEN_END = timedelta(days=365)
DAYS_PER_MONTH = 30.4375


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """Days from ``start`` to before ``end`` with the works in the house and the places that can be used."""

    start: date
    end: date
    works: frozenset[str]
    places: frozenset[str]
    months: float


def periods(problem: Problem) -> tuple[Period, ...]:
    """Periods between the days on which works come or go and places open or close."""
    days = {problem.start}
    for work in problem.works:
        days.update(day for day in (work.arrives, work.leaves) if day is not None)
    for place in problem.places:
        days.update(day for day in (place.free_from, place.free_until) if day is not None)
    starts = sorted(day for day in days if day >= problem.start)
    if len(starts) > MOST_PERIODS:
        raise InputError(
            Fault(
                "moves",
                f"{len(starts)} days on which works come or go or walls open or close",
                f"at most {MOST_PERIODS} in one plan",
                "plan fewer works, or a shorter time, at once",
            )
        )
    ends = [*starts[1:], max(starts[-1], problem.start) + OPEN_END]
    return tuple(
        _period(problem, start, end, (end - start).days / DAYS_PER_MONTH)
        for start, end in zip(starts, ends, strict=True)
    )


def months(problem: Problem, count: int) -> tuple[Period, ...]:
    """Calendar months from the first of the plan's month on."""
    starts = [_month(problem.start, number) for number in range(count + 1)]
    return tuple(_period(problem, start, end, 1.0) for start, end in pairwise(starts))


def _month(first: date, number: int) -> date:
    years, month = divmod(first.month - 1 + number, 12)
    return date(first.year + years, month + 1, 1)


def _period(problem: Problem, start: date, end: date, length: float) -> Period:
    return Period(
        start=start,
        end=end,
        works=frozenset(work.id for work in problem.works if _here(work, start)),
        places=frozenset(place.id for place in problem.places if _free(place, start)),
        months=length,
    )


def _here(work: MovingWork, day: date) -> bool:
    arrived = work.now is not None or work.arrives is None or work.arrives <= day
    return arrived and (work.leaves is None or work.leaves > day)


def _free(place: Spot, day: date) -> bool:
    return (place.free_from is None or place.free_from <= day) and (
        place.free_until is None or place.free_until > day
    )

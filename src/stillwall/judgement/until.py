"""Until when a work may stay: for what adds up, and for what the survey says of dates."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from stillwall.case import Case
from stillwall.judgement.measures import Evaluate
from stillwall.load import Load

YEAR_DAYS = 365
DAYS_PER_WEEK = 7.0
DAYS_PER_MONTH = 30.4375


@dataclass(frozen=True, slots=True)
class Until:
    """The day by which a work should go, and why."""

    day: date
    reason: str


def until(case: Case, loads: Iterable[Load], evaluate: Evaluate) -> Until | None:
    """The earliest of the days on which something runs out, or None where nothing does.

    What adds up (dose, contacts) runs out when the upper end of its 90 % interval reaches the allowance.
    Besides, a lender may set a number of weeks, a sensitive work a number of months on show, and a wall
    may be free for a time only.
    """
    ends = [end for load in loads if load.accrues and (end := _runs_out(case, load, evaluate)) is not None]
    ends += _set_by_facts(case)
    return min(ends, key=lambda end: (end.day, end.reason), default=None)


def _runs_out(case: Case, load: Load, evaluate: Evaluate) -> Until | None:
    """The first day on which the upper end reaches the allowance.

    Up to the end of the stated stay the allowance is that of the stay; a stay of less than a year may
    go on, with the allowance of the longer stay, until it has lasted a year. After a year the allowance
    grows with the stay, so what has not run out by then does not.
    """
    if load.draws is None or load.high is None or not np.isfinite(load.high) or load.high <= 0:
        return None
    stated_days = round(case.stay.days)
    stated = load.allowance.value if load.allowance is not None else None

    def upper(days: int) -> float:
        shorter = evaluate(case.in_brief().until(case.stay.start + timedelta(days=days)), load.hazard)
        if shorter is None or shorter.high is None:
            return 0.0
        if days >= stated_days or stated is None or shorter.allowance is None or stated <= 0:
            return shorter.high
        return shorter.high * shorter.allowance.value / stated

    if load.high > 1:
        before, after = (0, 0.0), (stated_days, load.high)
    elif case.stay.end is not None and stated_days < YEAR_DAYS and (longest := upper(YEAR_DAYS)) > 1:
        before, after = (stated_days, load.high), (YEAR_DAYS, longest)
    else:
        return None
    while after[0] - before[0] > 1:
        day = _between(before, after)
        reached = (day, upper(day))
        before, after = (before, reached) if reached[1] > 1 else (reached, after)
    name = "knocks" if load.hazard == "bump" else load.hazard.replace("_", " ")
    return Until(
        case.stay.start + timedelta(days=before[0]),
        f"the upper end of {name} reaches its allowance",
    )


def _between(before: tuple[int, float], after: tuple[int, float]) -> int:
    """The day between two at which a straight line through their values passes 1."""
    share = (1.0 - before[1]) / (after[1] - before[1])
    day = before[0] + int(share * (after[0] - before[0]))
    return min(max(day, before[0] + 1), after[0] - 1)


def _set_by_facts(case: Case) -> list[Until]:
    start, work, place = case.stay.start, case.work, case.site.place
    ends = []
    if work.lender is not None and work.lender.weeks is not None:
        days = work.lender.weeks * DAYS_PER_WEEK
        ends.append(
            Until(start + timedelta(days=int(days)), f"the lender allows {work.lender.weeks:g} weeks")
        )
    if work.on_show_months is not None:
        days = work.on_show_months * DAYS_PER_MONTH
        rest = f", then it rests for {work.rest_months:g} months" if work.rest_months is not None else ""
        ends.append(
            Until(start + timedelta(days=int(days)), f"it is shown for {work.on_show_months:g} months{rest}")
        )
    free_until = getattr(place, "free_until", None) or getattr(place, "until", None)
    if free_until is not None:
        ends.append(Until(free_until, "the place is free until then"))
    if work.leaves is not None:
        ends.append(Until(work.leaves, "the work leaves the house"))
    if case.stay.end is not None:
        ends = [end for end in ends if end.day < case.stay.end]
    return ends

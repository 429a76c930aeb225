"""Months and periods of a plan by the calendar, and the solver where there is nothing to choose."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from itertools import pairwise
from random import Random

import numpy as np
import pytest

from stillwall.errors import InputError
from stillwall.judgement.moves.model import Spot
from stillwall.judgement.moves.periods import months, periods
from stillwall.judgement.moves.solver import Row, solve
from tests.judgement.moves.houses import small_house

HOUSE = replace(small_house(Random(1)), start=dt.date(2026, 10, 17))


def test_months_are_those_of_the_calendar_over_the_turn_of_the_year():
    found = months(HOUSE, 16)
    firsts = [dt.date(2026 + (9 + n) // 12, (9 + n) % 12 + 1, 1) for n in range(17)]
    assert [(each.start, each.end) for each in found] == list(pairwise(firsts))
    assert {each.months for each in found} == {1.0}
    assert found[3].start == dt.date(2027, 1, 1)


def dated(*spans):
    places = [
        Spot(id=f"p{n}", span_m=2.0, room="room", building="house", free_from=first, free_until=last)
        for n, (first, last) in enumerate(spans)
    ]
    return replace(HOUSE, works=(), places=tuple(places), loads={}, pins={}, pairs=(), no_way=frozenset())


def test_periods_begin_where_a_place_opens_or_closes():
    first, last = dt.date(2026, 12, 1), dt.date(2027, 2, 1)
    found = periods(dated((None, None), (first, None), (None, last), (dt.date(2026, 1, 1), None)))
    assert [each.start for each in found] == [HOUSE.start, first, last]
    assert [each.end for each in found] == [first, last, last + dt.timedelta(days=365)]
    assert [sorted(each.places) for each in found] == [
        ["p0", "p2", "p3"],
        ["p0", "p1", "p2", "p3"],
        ["p0", "p1", "p3"],
    ]
    assert [each.months for each in found] == pytest.approx([45 / 30.4375, 62 / 30.4375, 365 / 30.4375])


def test_a_plan_has_two_dozen_periods_at_most():
    def opening(count):
        return dated(*((HOUSE.start + dt.timedelta(days=n + 1), None) for n in range(count)))

    assert len(periods(opening(23))) == 24
    with pytest.raises(InputError):
        periods(opening(24))


@pytest.mark.parametrize(
    ("low", "high", "possible"), [(0.0, 0.0, True), (-1.0, 1.0, True), (1.0, 2.0, False), (-2.0, -1.0, False)]
)
def test_nothing_to_choose_is_possible_where_nought_is(low, high, possible):
    empty = np.zeros(0)
    found = solve(empty, whole=empty, upper=empty, rows=[Row((), low, high)], time_limit_s=1.0)
    assert found.infeasible is not possible
    assert (found.values is not None) is possible
    assert found.gap == 0.0

"""The order of day, month and year in a column of dates, told by the column itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stillwall.logs.dates import DAY_S, ORDERS, PLACES, Ints, Order, Stamps, days


def possible_orders(stamps: Stamps) -> list[Order]:
    """Orders under which every row that was read holds a date that exists."""
    parts = stamps.open_parts
    top = parts.max(axis=0) if len(parts) else np.zeros(3, np.int32)
    made: list[Order] = []
    for order in ORDERS:
        _, month, day = (top[place] for place in PLACES[order])
        if month <= 12 and day <= 31:
            made.append(order)
    if len(made) == 1:
        return made  # dates that do not exist are found when they are worked out
    use = stamps.open_rows
    return [order for order in made if days(stamps, order)[1][use].all()]


@dataclass(frozen=True, slots=True)
class Choice:
    """The order chosen, or None with the orders that fit; and what decided."""

    order: Order | None
    fits: tuple[Order, ...]
    why: str


def choose_order(stamps: Stamps, seconds: Ints, told: str | None) -> Choice:
    """Tell the order of day, month and year by values, then a header's words, then monotony, then step."""
    fits = possible_orders(stamps)
    if len(fits) == 1:
        return Choice(fits[0], tuple(fits), "values")
    if told is not None and told in fits:
        return Choice(told, tuple(fits), "header")
    if not fits:
        return Choice(None, (), "no order fits every row")
    use = stamps.open_rows
    moments = {order: (days(stamps, order)[0] * DAY_S + seconds)[use] for order in fits}
    distinct: dict[bytes, Order] = {}
    for order, moment in moments.items():
        distinct.setdefault(moment.tobytes(), order)
    if len(distinct) == 1:
        return Choice(fits[0], tuple(fits), "every order gives the same dates")
    by_sense = _by_sense(list(distinct.values()), moments)
    return by_sense if by_sense.order is not None else Choice(None, tuple(fits), by_sense.why)


def _by_sense(fits: Sequence[Order], moments: dict[Order, Ints]) -> Choice:
    back = {order: _turns(moments[order]) for order in fits}
    fewest = min(back.values())
    steady = [order for order in fits if back[order] == fewest]
    if fewest == 0 and len(steady) == 1 and min(back[order] for order in fits if order not in steady) >= 1:
        return Choice(steady[0], tuple(fits), "monotony")
    scores = {order: _steps(moments[order]) for order in steady}
    smooth = [order for order in steady if scores[order][0] > 0]
    if len(smooth) == 1 and all(scores[order][1] >= 5 * DAY_S for order in steady if order not in smooth):
        return Choice(smooth[0], tuple(fits), "step")
    return Choice(None, tuple(fits), "dates fit more than one order")


def _turns(moments: Ints) -> int:
    """Steps against the file's own direction."""
    steps = np.diff(moments)
    return int(min((steps < 0).sum(), (steps > 0).sum()))


def _steps(moments: Ints) -> tuple[int, int]:
    """How often the date changes with the step that is usual within a day; the least step otherwise."""
    steps = np.abs(np.diff(moments))
    steps = steps[steps > 0]
    if len(steps) == 0:
        return 0, 0
    day = moments // DAY_S
    across = np.abs(np.diff(moments))[np.diff(day) != 0]
    within = np.abs(np.diff(moments))[np.diff(day) == 0]
    within = within[within > 0]
    if len(within) < 2 or len(across) == 0:
        return 0, int(across.min(initial=0))
    usual = float(np.median(within))
    return int((across <= 1.5 * usual + 1).sum()), int(across.min())

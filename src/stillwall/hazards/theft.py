"""Theft: works small enough to carry, within reach, where nobody looks."""

from __future__ import annotations

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.load import Load
from stillwall.phrases import counted
from stillwall.setting.hanging import hang
from stillwall.setting.naming import room_named
from stillwall.setting.weighing import weight
from stillwall.survey.places import HoldingPlace
from stillwall.units import Amount

PARTS = {
    "bottom": "lowest height of the bottom edge that is asked for, in m",
    "furniture": "height of a console or chest put below, in m",
    "fixings": "chance that it is carried off, by a factor",
    "sight": "hours in which nobody sees it, by a factor",
}


def load(case: Case) -> Load | None:
    """Hours unseen over four a day, for works that one person can carry off; else nothing."""
    room = case.site.room
    if room is None or isinstance(case.site.place, HoldingPlace):
        return None
    figure, hanging = case.library.figure, hang(case)
    heavy = weight(case.library, case.work)
    if (
        max(hanging.height_m, hanging.width_m) >= figure("theft.portable.side")
        or heavy.value_kg >= figure("theft.portable.mass")
        or hanging.bottom_m >= figure("theft.portable.reach")
    ):
        return None
    missing: tuple[str, ...] = ()
    if room.unseen_hours is not None:
        hours = np.full(case.draws.count, room.unseen_hours)
    elif room.supervised_share is not None:
        hours = np.full(case.draws.count, (1 - room.supervised_share) * figure("theft.unseen.open_hours"))
    else:
        hours = _draws(case, "unseen.unknown", f"room:{room.id}:unseen")
        missing = (
            f"For how many open hours a day is nobody in sight of {room_named(case.survey, room.id)}?",
        )
    draws = hours / figure("theft.unseen.hours") * _draws(case, "unseen.spread", "model:theft:spread")
    exits = any(door.kind in ("outside_door", "lobby_door") for door in case.survey.doors_of(room))
    if exits:
        draws = draws * np.maximum(_draws(case, "exit.factor", "model:theft:exit"), 1.0)
    draws = draws * case.factor("theft", "fixings") * case.factor("theft", "sight")
    middle = median(hours)
    return Load(
        hazard="theft",
        kind="graded",
        draws=draws,
        reason=(
            f"One person can reach {case.work.name} from the floor and carry it off; it is out of sight for "
            f"{'about ' if middle else ''}{counted(middle, 'open hour')} a "
            f"day{', with a way out in the room' if exits else ''}."
        ),
        evidence="assumed" if missing else "surveyed",
        sources=(case.library.figures["theft.unseen.hours"].source,),
        missing=missing,
        exposure=Amount(middle, "h/day"),
        allowance=Amount(figure("theft.unseen.hours"), "h/day"),
    )


def _draws(case: Case, name: str, stream: str) -> Floats:
    figure = case.library.figures[f"theft.{name}"]
    assert figure.low is not None
    assert figure.high is not None
    return case.draws.between(stream, figure.low, figure.value, figure.high)

"""How a bust stands: what tips it together with its pedestal, and what pushes it off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats
from stillwall.exposure.tipping import combined_centre, tip_force
from stillwall.setting.hanging import Hanging
from stillwall.setting.naming import place_name, room_named
from stillwall.setting.weighing import Weight
from stillwall.survey.places import Pedestal

FALLS = "A free-standing bust that falls hurts people first; keep children from it until it is fixed."
MUCH_WATCHED = 0.95
"""Share of open hours from which even a crowd counts as watched."""
WATCHED = 0.8
MANY_CHILDREN = 0.1


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Standing:
    """A bust on its pedestal against those who push it.

    Attributes
    ----------
    draws
        Ratio of what pushes and tilts to what holds, the worse of both ways to fall. shape (count,) [1]
    falls_off
        Whether the bust would rather be pushed off its pedestal than fall with it.
    off_n
        The push at its head that tips the bust alone. [N]
    push_n, held_n
        The push that is to be expected, and the one that tips bust and pedestal together. shape (count,) [N]
    push_height_m
        Height of the push above the floor. [m]
    half_foot_m
        Half of the narrower side of the pedestal's foot. [m]
    centre_m, whole_kg
        Height of the centre of mass of bust and pedestal, and their mass. shape (count,) [m], [kg]
    missing
        What is not known, as questions.
    """

    draws: Floats
    falls_off: bool
    off_n: float
    push_n: Floats
    held_n: Floats
    push_height_m: float
    half_foot_m: float
    centre_m: Floats
    whole_kg: Floats
    missing: tuple[str, ...]


def unmeasured(case: Case, place: Pedestal) -> tuple[str, ...]:
    """Questions without whose answers nothing can be said of a pedestal."""
    name = place_name(case)
    asked = [
        (place.height_m, f"How high is the pedestal {name}?"),
        (place.base, f"How wide and how deep is the foot of the pedestal {name}?"),
    ]
    return tuple(question for fact, question in asked if fact is None)


def standing(case: Case, place: Pedestal, hanging: Hanging, heavy: Weight) -> Standing | None:
    """How a bust stands; None where the pedestal's foot or height has not been measured."""
    if place.base is None or place.height_m is None:
        return None
    figure = case.library.figure
    questions = [*heavy.missing, *hanging.size.missing]
    bust = case.draws.between(f"work:{case.work.id}:mass", heavy.low_kg, heavy.value_kg, heavy.high_kg)
    if place.mass_kg is None:
        questions.append(f"What does the pedestal {place_name(case)} weigh?")
        stand = _draws(case, "pedestal.mass", f"wall:{place.id}:mass")
    else:
        stand = np.full(case.draws.count, place.mass_kg)
    ballast = float(case.setting("fixing", "ballast") or 0.0)
    half = min(place.base.height_m, place.base.width_m) / 2
    tall = place.height_m
    centre = combined_centre(
        [bust, stand, np.full(case.draws.count, ballast)],
        [
            np.full(case.draws.count, tall + 0.4 * hanging.height_m),
            np.full(case.draws.count, 0.5 * tall),
            np.full(case.draws.count, 0.1),
        ],
    )
    whole = bust + stand + ballast
    push = _push(case, questions)
    height = min(tall + hanging.height_m, figure("fixing.push.height"))
    held = tip_force(whole, half, height)
    slope = figure("fixing.push.slope") / np.degrees(np.arctan2(half, centre))
    tips = np.maximum(push / held, slope) * _fixed(case, place, questions)
    alone = _alone(case, place, hanging, bust, questions)
    own = push / alone * _held(case, place, questions)
    return Standing(
        draws=np.maximum(tips, own),
        falls_off=float(np.median(own)) > float(np.median(tips)),
        off_n=float(np.median(alone)),
        push_n=push,
        held_n=held,
        push_height_m=height,
        half_foot_m=half,
        centre_m=centre,
        whole_kg=whole,
        missing=tuple(dict.fromkeys(questions)),
    )


def _push(case: Case, questions: list[str]) -> Floats:
    """Force of those who come near: a hand in a room that is watched, a crowd elsewhere."""
    room = case.site.room
    supervised = None if room is None else room.supervised_share
    crowd = room is not None and (
        room.use in ("bar", "ballroom") or (room.children_share or 0) > MANY_CHILDREN or bool(room.events)
    )
    if crowd and (supervised is None or supervised < MUCH_WATCHED):
        kind = "crowd"
    elif supervised is not None:
        kind = "supervised" if supervised >= WATCHED else "crowd"
    else:
        kind = "unknown"
        where = room_named(case.survey, None if room is None else room.id)
        questions.append(f"For what share of its open hours is {where} supervised?")
    return _draws(case, f"push.{kind}", f"model:fixing:push:{kind}") * case.factor("fixing", "push")


def _fixed(case: Case, place: Pedestal, questions: list[str]) -> Floats | float:
    if place.fixed in ("wall", "floor") or case.setting("fixing", "pedestal") is True:
        return _draws(case, "push.fixed_pedestal")
    if place.fixed is None:
        questions.append(
            f"Is the pedestal {place_name(case)} fixed to the wall, to the floor, or not at all?"
        )
    return 1.0


def _alone(case: Case, place: Pedestal, hanging: Hanging, bust: Floats, questions: list[str]) -> Floats:
    """The push at its head that tips the bust itself over the edge of its own foot. [N]"""
    if place.bust_base is None:
        questions.append(f"How wide and how deep is the foot of {case.work.name}?")
        half = 0.3 * hanging.width_m
    else:
        half = min(place.bust_base.height_m, place.bust_base.width_m) / 2
    return tip_force(bust, half, max(0.9 * hanging.height_m, 0.05))


def _held(case: Case, place: Pedestal, questions: list[str]) -> Floats | float:
    """What a pin, a clip or wax leaves of the push on the bust, as a factor."""
    if case.setting("fixing", "bust") is True or place.bust_fixed in ("pin", "clip"):
        return _draws(case, "push.fixed_bust")
    if place.bust_fixed == "wax":
        return _draws(case, "push.waxed_bust")
    if place.bust_fixed is None:
        questions.append(
            f"Is {case.work.name} fixed to its pedestal: by a pin, by wax, by a clip, or not at all?"
        )
    return 1.0


def _draws(case: Case, name: str, stream: str | None = None) -> Floats:
    figure = case.library.figures[f"fixing.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream or f"model:fixing:{name}", figure.low, figure.value, figure.high)

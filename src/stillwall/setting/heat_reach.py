"""How a source of heat stands to a work: over it, beside it, facing it, or somewhere in the room."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stillwall.case import Site
from stillwall.exposure.placing import Rectangle
from stillwall.setting.hanging import Hanging
from stillwall.setting.naming import names_of, place_named, size_question
from stillwall.survey.features import HeatSource
from stillwall.survey.places import Side, Wall
from stillwall.survey.room_sides import relation, side_length, side_of, side_point, stands_in
from stillwall.survey.survey import Survey

Relation = Literal["over", "beside", "facing", "room"]
TOP_M = {
    "hearth": 1.0,
    "stove": 1.0,
    "gas_fire": 0.8,
    "electric_fire": 0.7,
    "radiator": 0.7,
    "pipe": 0.15,
    "register": 0.2,
    "diffuser": 2.4,
    "fan_coil": 0.7,
    "picture_light": 2.0,
    "sconce": 1.7,
    "candle": 1.2,
    "range": 0.95,
    "warmer": 1.1,
    "flue": 1.0,
}
"""Usual height of the top of a source, where nobody has measured it; judgement. [m]"""
OVER_M = 0.10
"""A work that reaches this far over a source's edge still counts as over it. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Where the work is, seen from the source.

    Attributes
    ----------
    distance_m
        Least distance between source and work, None where it cannot be told. [m]
    above_m
        Bottom edge of the work above the top of the source, where it hangs over it. [m]
    cosines
        Product of the cosines at both ends of the line between them, where the plan is known.
    """

    relation: Relation
    distance_m: float | None
    above_m: float | None = None
    cosines: float | None = None
    missing: tuple[str, ...] = ()


def reach(survey: Survey, site: Site, source: HeatSource, hanging: Hanging) -> Reach:
    """How the work hangs to a source of its room, with what would have to be measured to tell."""
    place = site.place
    if isinstance(place, Wall) and (source.below_wall == place.id or stands_in(survey, source, place)):
        return _in_plane(survey, place, source, hanging)
    if source.facing_wall == place.id:
        return _facing(survey, site, source)
    return _elsewhere(survey, site, source, hanging)


def _top(source: HeatSource) -> float:
    return TOP_M[source.kind] if source.top_m is None else source.top_m


def _in_plane(survey: Survey, wall: Wall, source: HeatSource, hanging: Hanging) -> Reach:
    """In the wall itself or straight below it."""
    named = names_of(survey).fittings_of[source.id]
    above = source.rise_m if source.rise_m is not None else hanging.bottom_m - _top(source)
    missing: tuple[str, ...] = ()
    if source.rise_m is None and source.top_m is None:
        missing = (f"How high above the floor is the top of {named}?",)
    if source.at_m is not None:
        box = Rectangle(source.at_m, 0.0, source.at_m + (source.width_m or 0.0), _top(source))
        aside = max(box.left - hanging.right_m, hanging.left_m - box.right)
        if aside > OVER_M:
            return Reach(relation="beside", distance_m=box.distance(hanging.box), missing=missing)
        return Reach(relation="over", distance_m=max(above, 0.0), above_m=above, missing=missing)
    if source.below_wall == wall.id:
        return Reach(relation="over", distance_m=max(above, 0.0), above_m=above, missing=missing)
    if source.offset_m is not None and source.offset_m > 0:
        field_left = wall.at_m
        aside = source.offset_m + min(
            max(hanging.left_m - field_left, 0.0),
            max(field_left + (wall.span_m or 0.0) - hanging.right_m, 0.0),
        )
        return Reach(relation="beside", distance_m=math.hypot(aside, max(above, 0.0)), missing=missing)
    question = f"How far is {named} from the left corner, and how wide is it?"
    return Reach(relation="over", distance_m=max(above, 0.0), above_m=above, missing=(*missing, question))


def _facing(survey: Survey, site: Site, source: HeatSource) -> Reach:
    distance = source.facing_distance_m
    if distance is None and site.room is not None and site.room.size is not None:
        side = side_of(survey, source)
        across: Side = "west" if side in ("north", "south") else "south"
        distance = None if side is None else side_length(site.room, across)
    if distance is not None:
        return Reach(relation="facing", distance_m=distance)
    named = names_of(survey).fittings_of[source.id]
    return Reach(
        relation="facing",
        distance_m=None,
        missing=(f"How far is {named} from {place_named(survey, site.place)}, opposite?",),
    )


def _elsewhere(survey: Survey, site: Site, source: HeatSource, hanging: Hanging) -> Reach:
    """By the plan of the room, where it is known."""
    room, place = site.room, site.place
    side = side_of(survey, source)
    mine = getattr(place, "side", None)
    if side is None or mine is None or source.at_m is None:
        named = names_of(survey).fittings_of[source.id]
        missing = (f"Where is {named}: at which wall, and how far from its left corner?",)
        if side is not None and mine is not None and relation(mine, side) == "facing":
            return _facing(survey, site, source)
        return Reach(relation="room", distance_m=None, missing=missing)
    here = side_point(room, mine, hanging.left_m + hanging.width_m / 2)
    there = side_point(room, side, source.at_m + (source.width_m or 0.0) / 2)
    if here is None or there is None:
        question = size_question(survey, source.room)
        return Reach(relation="room", distance_m=None, missing=(question,))
    across, along = abs(here[0] - there[0]), abs(here[1] - there[1])
    distance = math.hypot(across, along)
    if distance == 0:
        return Reach(relation="room", distance_m=0.0, cosines=1.0)
    facing = relation(mine, side) == "facing"
    normal = along if mine in ("north", "south") else across
    source_normal = along if side in ("north", "south") else across
    return Reach(
        relation="facing" if facing else "room",
        distance_m=distance,
        cosines=(normal / distance) * (source_normal / distance),
    )

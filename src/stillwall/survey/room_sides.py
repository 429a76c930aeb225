"""The four sides of a room: what stands in a wall, what stands round the corner, and how far away.

Everything is measured along a side from its left corner, facing it from inside the room.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from stillwall.survey.features import HeatSource, Opening
from stillwall.survey.places import Room, Side, Wall
from stillwall.survey.survey import Survey

Relation = Literal["same", "left", "right", "facing"]
SIDES: tuple[Side, ...] = ("north", "east", "south", "west")
"""Clockwise from above: facing any of them, the one before it is on the left."""


def relation(wall: Side, other: Side) -> Relation:
    """Where another side of the room lies, for someone who faces the wall."""
    step = (SIDES.index(other) - SIDES.index(wall)) % 4
    relations: tuple[Relation, ...] = ("same", "right", "facing", "left")
    return relations[step]


def side_length(room: Room | None, side: Side | None) -> float | None:
    """Length of one side of a room with a plain plan, or None. [m]"""
    if room is None or side is None or room.size is None:
        return None
    return room.size.width_m if side in ("north", "south") else room.size.depth_m


def side_of(survey: Survey, item: Opening | HeatSource) -> Side | None:
    """The side on which an opening or a source stands, by its own word or by that of its wall."""
    if item.side is not None:
        return item.side
    if item.wall in SIDES:
        return SIDES[SIDES.index(item.wall)]
    if item.wall is not None and item.wall in survey.walls:
        return survey.walls[item.wall].side
    return None


def stands_in(survey: Survey, item: Opening | HeatSource, wall: Wall) -> bool:
    """Whether an opening or a source stands in the plane of a wall, as far as the survey says."""
    if item.wall == wall.id:
        return item.side is None or wall.side is None or item.side == wall.side
    side = side_of(survey, item)
    return side is not None and side == wall.side and room_of(survey, item) == wall.room


def room_of(survey: Survey, item: Opening | HeatSource) -> str | None:
    """Id of the room in which an opening or a source is."""
    if item.room is not None:
        return item.room
    if item.wall is not None and item.wall in survey.walls:
        return survey.walls[item.wall].room
    return None


def openings_in(survey: Survey, wall: Wall) -> Iterator[Opening]:
    """Openings in the plane of a wall."""
    return (opening for opening in survey.openings.values() if stands_in(survey, opening, wall))


def heat_sources_in(survey: Survey, wall: Wall) -> Iterator[HeatSource]:
    """Sources of heat that stand at a wall, straight below its field included."""
    return (
        source
        for source in survey.heat_sources.values()
        if source.below_wall == wall.id or stands_in(survey, source, wall)
    )


def opening_size(opening: Opening) -> tuple[float, float] | None:
    """Height and width of an opening, its frame's size before its clear one, or None. [m]"""
    size = opening.size or opening.clear
    return None if size is None else (size.height_m, size.width_m)


def side_point(room: Room | None, side: Side | None, along_m: float) -> tuple[float, float] | None:
    """The point ``along_m`` from the left corner of a side, on the room's plan; None without a size. [m]"""
    if room is None or side is None or room.size is None or room.size.depth_m is None:
        return None
    width, depth = room.size.width_m, room.size.depth_m
    points: dict[Side, tuple[float, float]] = {
        "north": (along_m, depth),
        "east": (width, depth - along_m),
        "south": (width - along_m, 0.0),
        "west": (0.0, along_m),
    }
    return points[side]

"""How a door stands to a work: whether its leaf can strike it, and how far the opening is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillwall.case import Site
from stillwall.exposure.door_swing import strike_angle, tip_reach_on_side_wall
from stillwall.setting.hanging import Hanging
from stillwall.setting.naming import names_of, place_named
from stillwall.survey.features import Opening
from stillwall.survey.places import Side, Wall
from stillwall.survey.room_sides import (
    opening_size,
    relation,
    room_of,
    side_length,
    side_of,
    side_point,
    stands_in,
)
from stillwall.survey.survey import Survey


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """What is taken of a leaf: width, handle, and the room that a work must keep. [m]"""

    width_m: float
    handle_m: float
    margin_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Strike:
    """Whether a leaf can strike a work.

    Attributes
    ----------
    angle_deg
        Angle at which it would first touch, None where it never does.
    reach_m
        How far from the corner, or beyond its own hinge, its tip comes. [m]
    missing
        What has to be measured before that can be told.
    """

    angle_deg: float | None
    reach_m: float | None = None
    missing: tuple[str, ...] = ()


def opens_into(survey: Survey, opening: Opening, room: str) -> bool | None:
    """Whether the leaf comes into a room; None where nobody says."""
    if opening.opens is None:
        return None
    if opening.opens == "both":
        return True
    own = room_of(survey, opening) == room
    return own == (opening.opens == "in")


def strike(survey: Survey, site: Site, opening: Opening, hanging: Hanging, leaf: Leaf) -> Strike:
    """Where the leaf of a door of the room meets the work, its handle and a hand's room included."""
    wall = site.place
    assert isinstance(wall, Wall)
    depth = hanging.projection_m + leaf.margin_m
    near, far = hanging.left_m - leaf.margin_m, hanging.right_m + leaf.margin_m
    if stands_in(survey, opening, wall) and opening.at_m is not None:
        return _own_wall(survey, opening, leaf, depth, near, far)
    corner = _corner(survey, wall, opening)
    if corner is None:
        return Strike(angle_deg=None)
    length = wall_length(survey, wall)
    names = names_of(survey)
    question = (
        f"How far is the hinge of {names.fittings_of[opening.id]} from the corner with "
        f"{place_named(survey, wall)}?",
    )
    if opening.hinge_to_corner_m is None and opening.at_m is None:
        return Strike(angle_deg=None, missing=question)
    hinge = _hinge_to_corner(survey, site, opening, corner, leaf.width_m)
    if hinge is None:
        return Strike(angle_deg=None)
    if corner == "right":
        if length is None:
            return Strike(
                angle_deg=None,
                missing=(f"How long is {place_named(survey, wall)} from corner to corner?",),
            )
        near, far = length - far, length - near
    angle = strike_angle(leaf.width_m, leaf.handle_m, (-hinge, depth - hinge), (max(near, 0.0), far))
    return Strike(angle_deg=angle, reach_m=tip_reach_on_side_wall(leaf.width_m, hinge))


def wall_length(survey: Survey, wall: Wall) -> float | None:
    """Length of the side on which a wall is, from corner to corner. [m]"""
    return side_length(survey.rooms.get(wall.room), wall.side)


def opening_distance(survey: Survey, site: Site, opening: Opening, hanging: Hanging) -> float | None:
    """Least distance on plan from the work to the opening's edge, None where it cannot be told. [m]"""
    wall = site.place
    size = opening_size(opening)
    width = (size[1] if size else None) or opening.leaf_width_m or 0.85
    if isinstance(wall, Wall) and stands_in(survey, opening, wall):
        if opening.at_m is None:
            return None
        return max(0.0, opening.at_m - hanging.right_m, hanging.left_m - (opening.at_m + width))
    mine: Side | None = getattr(wall, "side", None)
    side = side_of(survey, opening)
    ends = [hanging.left_m, hanging.right_m]
    if side is not None and mine is not None and opening.at_m is not None:
        here = [side_point(site.room, mine, end) for end in ends]
        there = [side_point(site.room, side, end) for end in (opening.at_m, opening.at_m + width)]
        pairs = [(a, b) for a in here for b in there if a is not None and b is not None]
        if pairs:
            return min(math.dist(a, b) for a, b in pairs)
    corner = _corner(survey, wall, opening) if isinstance(wall, Wall) else None
    if corner is not None and opening.hinge_to_corner_m is not None and isinstance(wall, Wall):
        length = wall_length(survey, wall)
        if corner == "left":
            return math.hypot(hanging.left_m, opening.hinge_to_corner_m)
        if length is not None:
            return math.hypot(length - hanging.right_m, opening.hinge_to_corner_m)
    return None


def in_line(survey: Survey, site: Site, opening: Opening) -> bool:
    """Whether the draught of an opening blows at the wall or along it: not so round the corner."""
    mine: Side | None = getattr(site.place, "side", None)
    side = side_of(survey, opening)
    return mine is None or side is None or relation(mine, side) in ("facing", "left", "right")


def _corner(survey: Survey, wall: Wall, opening: Opening) -> str | None:
    """The corner at which the opening's wall meets this one: left, right, or None where they do not meet."""
    side = side_of(survey, opening)
    if side is None or wall.side is None or (opening.side is None and opening.wall == wall.id):
        # Written beside this wall, without a side: the corner by which the wall's own zero lies.
        return "left" if opening.wall == wall.id and opening.at_m is None else None
    where = relation(wall.side, side)
    return where if where in ("left", "right") else None


def _hinge_to_corner(
    survey: Survey, site: Site, opening: Opening, corner: str, leaf_m: float
) -> float | None:
    """Distance of the hinge from the corner with the wall; None where the hinge is at the far jamb."""
    side = side_of(survey, opening)
    if opening.at_m is not None and side is not None:
        # Facing the door's wall, the corner with a wall on whose left it lies is at its right end.
        length = side_length(site.room, side)
        at_right = corner == "left"
        hinge_near = opening.hinge is None or (opening.hinge == "right") == at_right
        if not hinge_near:
            return None
        if opening.hinge_to_corner_m is not None:
            return opening.hinge_to_corner_m
        if not at_right:
            return opening.at_m
        return None if length is None else max(length - opening.at_m - leaf_m, 0.0)
    return opening.hinge_to_corner_m


def _own_wall(survey: Survey, opening: Opening, leaf: Leaf, depth: float, near: float, far: float) -> Strike:
    """A leaf that folds back against the wall in which it hangs."""
    assert opening.at_m is not None
    right = opening.at_m + leaf.width_m
    found: list[Strike] = []
    for hinge in ("left", "right") if opening.hinge is None else (opening.hinge,):
        gap_near, gap_far = (
            (near - right, far - right)
            if hinge == "right"
            else (
                opening.at_m - far,
                opening.at_m - near,
            )
        )
        if gap_far <= 0:
            continue
        angle = strike_angle(leaf.width_m, leaf.handle_m, (-gap_far, -max(gap_near, 0.0)), (0.0, depth))
        found.append(Strike(angle_deg=angle, reach_m=leaf.width_m))
    hits = [each for each in found if each.angle_deg is not None]
    if not hits:
        return Strike(angle_deg=None)
    door = names_of(survey).fittings_of[opening.id]
    missing = () if opening.hinge else (f"Is {door} hinged on the left or on the right, seen from inside?",)
    best = min(hits, key=lambda each: each.angle_deg or 0.0)
    return Strike(angle_deg=best.angle_deg, reach_m=best.reach_m, missing=missing)

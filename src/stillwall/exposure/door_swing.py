"""What the leaf of a door sweeps, and whether a work stands in its way.

A leaf turns about its hinge from 0 degrees, closed, where it lies along its own wall. The work is a
rectangle on plan: x runs from the hinge along the closed leaf, y into the room.
"""

from __future__ import annotations

import math
from typing import Final

HANDLE_FROM_EDGE_M: Final = 0.065
"""Distance of the handle from the leaf's free edge. [m]"""


def tip_reach_on_side_wall(leaf_m: float, hinge_to_corner_m: float) -> float | None:
    """Distance from the corner at which the tip touches the side wall; None where it cannot. [m]"""
    if hinge_to_corner_m >= leaf_m:
        return None
    return math.sqrt(leaf_m**2 - hinge_to_corner_m**2)


def angle_at_side_wall(leaf_m: float, hinge_to_corner_m: float) -> float | None:
    """Angle at which the tip touches the side wall beside the hinge; None where it cannot. [deg]"""
    if hinge_to_corner_m >= leaf_m:
        return None
    return math.degrees(math.acos(-hinge_to_corner_m / leaf_m))


def strike_angle(
    leaf_m: float, handle_m: float, x_m: tuple[float, float], y_m: tuple[float, float]
) -> float | None:
    """Angle at which an opening leaf or its handle first meets a rectangle on plan, or None. [deg]

    Exact: the least polar angle of the part of the rectangle within the leaf's length is at a corner or
    where an edge cuts the circle of the leaf's tip; the handle is a point that goes before the leaf.

    Parameters
    ----------
    leaf_m, handle_m
        Width of the leaf; how far the handle stands off its leading face.
    x_m, y_m
        Ends of the rectangle, from the hinge.
    """
    angles = [
        math.atan2(y, x) for x in x_m for y in y_m if y >= 0 and math.hypot(x, y) <= leaf_m
    ] + _circle_cuts(leaf_m, x_m, y_m)
    along = max(leaf_m - HANDLE_FROM_EDGE_M, 0.0)
    reach, lead = math.hypot(along, handle_m), math.atan2(handle_m, along)
    if handle_m > 0:
        angles += [angle - lead for angle in _circle_cuts(reach, x_m, y_m) if angle >= lead]
    return math.degrees(min(angles)) if angles else None


def _circle_cuts(radius: float, x_m: tuple[float, float], y_m: tuple[float, float]) -> list[float]:
    """Polar angles, in the half plane of the room, where a circle about the hinge cuts the rectangle."""
    found = []
    for x in x_m:
        if abs(x) <= radius:
            y = math.sqrt(radius**2 - x**2)
            if y_m[0] <= y <= y_m[1]:
                found.append(math.atan2(y, x))
    for y in y_m:
        if 0 <= y <= radius:
            half = math.sqrt(radius**2 - y**2)
            found += [math.atan2(y, x) for x in (half, -half) if x_m[0] <= x <= x_m[1]]
    return found

"""Whether something flat can be carried through: doors, turns of corridors, lifts and stairs.

A work goes through a door edge first: its shorter side and its packed thickness must pass, the longer
side follows. Lengths may be in any unit, the same for all arguments.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np
import scipy

_TOLERANCE: Final = 1e-12


def opening_fits(side: float, thickness: float, width: float, height: float) -> bool:
    """Whether a rectangle ``side`` x ``thickness`` fits, at any tilt, into one of ``width`` x ``height``.

    W. B. Carver, American Mathematical Monthly 64, 1957: p x q (p >= q) fits into A x B (A >= B) if
    p <= A and q <= B, or if p > A, q <= B and ((A+B)/(p+q))^2 + ((A-B)/(p-q))^2 >= 2.
    """
    p, q = max(side, thickness), min(side, thickness)
    a, b = max(width, height), min(width, height)
    if q > b:
        return False
    if p <= a:
        return True
    return ((a + b) / (p + q)) ** 2 + ((a - b) / (p - q)) ** 2 >= 2.0


@lru_cache(maxsize=8192)
def opening_max_side(width: float, height: float, thickness: float) -> float:
    """Longest side of a rectangle of this thickness that can be tilted through an opening; 0 for none.

    A rectangle thicker than the opening's longer side is taken not to pass.
    """
    if thickness > min(width, height):
        # It can only go through turned, its thickness along the longer side of the opening.
        return min(width, height) if thickness <= max(width, height) else 0.0
    low, high = max(width, height), math.hypot(width, height)
    if high - low < _TOLERANCE or not opening_fits(low * (1 + 1e-12), thickness, width, height):
        return low

    def excess(side: float) -> float:
        a, b = max(width, height), min(width, height)
        return ((a + b) / (side + thickness)) ** 2 + ((a - b) / (side - thickness)) ** 2 - 2.0

    if excess(high) >= 0:
        return high
    while low < (middle := (low + high) / 2) < high:  # by halves: loading a solver takes far longer
        low, high = (middle, high) if excess(middle) >= 0 else (low, middle)
    return low


def opening_max_side_rule(width: float, height: float, thickness: float) -> float:
    """Art handlers' rule: the opening's diagonal less the thickness. Never more than the exact answer."""
    return math.hypot(width, height) - thickness


@lru_cache(maxsize=8192)
def corner_max_length(first: float, second: float, thickness: float = 0.0) -> float:
    """Longest upright board that goes round a right-angled corner of two corridors; 0 for none.

    The least over the angle of (a cos t + b sin t - thickness) / (sin t cos t); without thickness
    (a^(2/3) + b^(2/3))^(3/2), the ladder round a corner.
    """
    if thickness >= min(first, second):
        return 0.0

    def length(angle: float) -> float:
        sin, cos = math.sin(angle), math.cos(angle)
        return (first * cos + second * sin - thickness) / (sin * cos)

    angles = np.linspace(0.01, math.pi / 2 - 0.01, 90)
    start = int(np.argmin([length(angle) for angle in angles]))
    bounds = (angles[max(0, start - 1)], angles[min(89, start + 1)])
    found = scipy.optimize.minimize_scalar(length, bounds=bounds, method="bounded", options={"xatol": 1e-9})
    return float(found.fun)


def corridor_to_door_max_length(corridor: float, door: float, wall_depth: float, thickness: float) -> float:
    """Longest board that slides at a fixed angle from a corridor through a door in its side wall.

    The steepest angle t with ``door sin t - wall_depth cos t = thickness``; then
    (corridor - thickness cos t) / sin t. Sufficient, not necessary. Infinite where it goes in square.
    """
    lag = math.atan2(wall_depth, door)
    reach = thickness / math.hypot(door, wall_depth)
    if reach > 1.0:
        return 0.0
    angle = math.asin(reach) + lag
    if angle <= _TOLERANCE:
        return math.inf
    if angle >= math.pi / 2:
        return 0.0
    return max(0.0, (corridor - thickness * math.cos(angle)) / math.sin(angle))


def stair_max_length(plan_length: float, pitch_deg: float) -> float:
    """Length along the slope that a stretch of plan gives a board carried up a stair."""
    return plan_length / math.cos(math.radians(pitch_deg))

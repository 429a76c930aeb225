"""Where on a wall a rectangle may hang: rows, heights, obstacles, stairs, and how far away to stand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
UP_COSTS = 3.0
"""Moving a work up or down counts as much as moving it aside by this many times as far: a line of pictures
bears a shift better than a step. Judgement."""
LEAST_M = 1e-3
"""Clear wall of which there is none. [m]"""
EDGE = 1e-9
"""Lengths closer than this touch without overlapping. [m]"""


@dataclass(frozen=True, slots=True)
class Rectangle:
    """An upright rectangle on a wall: across from the wall's left corner, up from the floor. [m]"""

    left: float
    bottom: float
    right: float
    top: float

    def grown(self, margin: float) -> Rectangle:
        """The rectangle with ``margin`` added on every side."""
        return Rectangle(self.left - margin, self.bottom - margin, self.right + margin, self.top + margin)

    def overlaps(self, other: Rectangle) -> bool:
        """Whether the insides of two rectangles meet."""
        return (
            self.left < other.right - EDGE
            and other.left < self.right - EDGE
            and self.bottom < other.top - EDGE
            and other.bottom < self.top - EDGE
        )

    def distance(self, other: Rectangle) -> float:
        """Least distance between two rectangles; 0 where they meet. [m]"""
        across = max(0.0, other.left - self.right, self.left - other.right)
        up = max(0.0, other.bottom - self.top, self.bottom - other.top)
        return math.hypot(across, up)


def span_needed(widths: Sequence[float], gap: float, margin: float) -> float:
    """Width of wall that a row of works takes: their widths, the gaps between, a margin at each end."""
    return sum(widths) + gap * (len(widths) - 1) + 2 * margin


def span_load(needed: float, clear: float) -> float:
    """Share of the clear wall that is needed; where there is none it counts as a millimetre."""
    return needed / max(clear, LEAST_M)


def centre_height(preferred: float, bottom_min: float, height: float) -> float:
    """Height of a work's centre: the line that is wanted, unless the bottom edge must be higher."""
    return max(preferred, bottom_min + height / 2)


def hook_height(centre: float, height: float, drop: float) -> float:
    """Height of the hook, ``drop`` being from the top edge to the taut wire or the plate."""
    return centre + height / 2 - drop


def stair_corner_clearance(
    centre_above_nosing: float, height: float, width: float, riser: float, tread: float
) -> float:
    """Height above the nosing line of the lower corner on the uphill side of a work beside a stair."""
    return centre_above_nosing - height / 2 - width / 2 * riser / tread


def viewing_distance(height: float, angle_deg: float) -> float:
    """Distance from which a height fills a vertical angle, in the unit of ``height``."""
    return height / 2 / math.tan(math.radians(angle_deg) / 2)


def clear_run(left: float, right: float, blocked: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Longest stretch between ``left`` and ``right`` that no blocked stretch touches: (start, end)."""
    best = (left, left)
    start = left
    for low, high in [*sorted(blocked), (right, right)]:
        end = min(low, right)
        if end - start > best[1] - best[0] + EDGE:
            best = (start, end)
        start = max(start, high)
    return best


def place_rectangle(
    height: float,
    width: float,
    field: Rectangle,
    obstacles: Sequence[Rectangle],
    wanted: tuple[float, float],
) -> tuple[float, float] | None:
    """Left and bottom edge nearest to the wanted ones, keeping off the obstacles; None where none is free.

    Nearness is the distance across and :data:`UP_COSTS` times the distance up or down. The work's lower
    left corner may lie anywhere but inside the obstacles grown by the work's own size; the nearest such
    point lies on lines through the wanted point and the edges of the grown obstacles, so that trying
    their crossings is exact.

    Parameters
    ----------
    height, width
        Size of the work. [m]
    field
        What the work must stay inside.
    obstacles
        What it may not cover, margins included.
    wanted
        Left and bottom edge that would be chosen on an empty wall. [m]
    """
    low_x, high_x = field.left, field.right - width
    low_y, high_y = field.bottom, field.top - height
    if high_x < low_x - EDGE or high_y < low_y - EDGE:
        return None
    high_x, high_y = max(high_x, low_x), max(high_y, low_y)
    blocked = np.array([[box.left - width, box.right, box.bottom - height, box.top] for box in obstacles])
    blocked = blocked.reshape(-1, 4)
    across = np.clip(np.concatenate(([wanted[0]], blocked[:, 0], blocked[:, 1])), low_x, high_x)
    up = np.clip(np.concatenate(([wanted[1]], blocked[:, 2], blocked[:, 3])), low_y, high_y)
    x, y = (grid.ravel() for grid in np.meshgrid(across, up))
    inside = (
        (x[:, None] > blocked[:, 0] + EDGE)
        & (x[:, None] < blocked[:, 1] - EDGE)
        & (y[:, None] > blocked[:, 2] + EDGE)
        & (y[:, None] < blocked[:, 3] - EDGE)
    ).any(axis=1)
    if inside.all():
        return None
    distance = np.where(inside, np.inf, np.abs(x - wanted[0]) + UP_COSTS * np.abs(y - wanted[1]))
    best = int(np.lexsort((x, y, np.round(distance, 9)))[0])
    return float(x[best]), float(y[best])

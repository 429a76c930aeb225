"""Figures of the building codes that a picture can touch: projections, widths of ways out, decoration.

Editions differ and the local authority decides; these functions say when to ask.
"""

from __future__ import annotations

import math


def protrusion_limit(bottom_m: float, limit_m: float, from_m: float, to_m: float) -> float:
    """How far an object may stand out into a way that people walk; infinite where no limit applies. [m]

    Objects whose lower edge lies above ``from_m`` and not above ``to_m`` are not found by a cane.
    """
    return limit_m if from_m < bottom_m <= to_m else math.inf


def corridor_min_width(occupants: float, general_m: float, few_m: float, few: float) -> float:
    """Least width of a corridor that serves so many people. [m]"""
    return few_m if occupants < few else general_m


def decoration_area_limit(wall_area_m2: float, share: float) -> float:
    """Area of combustible decoration that a wall may carry. [m2]"""
    return share * wall_area_m2

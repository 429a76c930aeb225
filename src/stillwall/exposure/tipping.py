"""When a bust on its pedestal tips over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.suspension import GRAVITY

Value = TypeVar("Value", float, NDArray[np.float64])


def combined_centre(masses_kg: Sequence[Value], heights_m: Sequence[Value]) -> Value:
    """Height of the common centre of mass. [m]"""
    moments = [mass * height for mass, height in zip(masses_kg, heights_m, strict=True)]
    return sum(moments[1:], moments[0]) / sum(masses_kg[1:], masses_kg[0])


def tip_angle(half_base_m: float, centre_m: float) -> float:
    """Slope of the floor at which it tips. [deg]"""
    return math.degrees(math.atan2(half_base_m, centre_m))


def tip_force(mass_kg: Value, half_base_m: Value | float, height_m: float) -> Value:
    """Horizontal push at a height that begins to tip it. [N]"""
    return mass_kg * GRAVITY * half_base_m / height_m


def tip_energy(mass_kg: float, half_base_m: float, centre_m: float) -> float:
    """Work that lifts the centre of mass over the edge. [J]"""
    return mass_kg * GRAVITY * (math.hypot(half_base_m, centre_m) - centre_m)


def ballast_needed(force_n: float, height_m: float, half_base_m: float, mass_kg: float) -> float:
    """Mass to add low down so that a push does not tip it; 0 where none is needed. [kg]"""
    return max(0.0, force_n * height_m / (half_base_m * GRAVITY) - mass_kg)


def rocking_acceleration(half_base_m: float, centre_m: float) -> float:
    """Ground acceleration at which a rigid block begins to rock, as a share of g.

    G. W. Housner, Bulletin of the Seismological Society of America 53(2), 1963, 403-417.
    """
    return half_base_m / centre_m

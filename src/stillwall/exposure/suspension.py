"""Statics of a hanging picture: wires, pairs of fixings, ratings to buy."""

from __future__ import annotations

import math
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

GRAVITY: Final = 9.80665
"""Standard acceleration of free fall. [m/s2]"""

Mass = TypeVar("Mass", float, NDArray[np.float64])


def wire_tension(mass_kg: Mass, angle_deg: float) -> Mass:
    """Tension of a wire over one hook, ``angle_deg`` above the horizontal at each ring. [N]

    Statics: W / (2 sin a); the whole weight at 30 degrees.
    """
    return mass_kg * (GRAVITY / (2 * math.sin(math.radians(angle_deg))))


def wire_angle(span_m: float, sag_m: float) -> float:
    """Angle of a wire above the horizontal, from the distance between the rings and its sag. [deg]"""
    return math.degrees(math.atan2(sag_m, span_m / 2))


def wire_tension_sag(mass_kg: Mass, span_m: float, sag_m: float) -> Mass:
    """Tension of a wire over one hook, from the distance between the rings and its sag. [N]"""
    return wire_tension(mass_kg, wire_angle(span_m, sag_m))


def wire_inward_force(mass_kg: Mass, angle_deg: float) -> Mass:
    """Pull that draws the sides of a frame together. Statics: W / (2 tan a). [N]"""
    return mass_kg * (GRAVITY / (2 * math.tan(math.radians(angle_deg))))


def fixing_share(mass_kg: float, spacing_m: float, offset_m: float) -> float:
    """Load of the nearer of two fixings where the centre of mass lies off the middle. [N]"""
    return mass_kg * GRAVITY * (0.5 + offset_m / spacing_m)


def top_pullout(mass_kg: Mass, forward_m: float, lever_m: float) -> Mass:
    """Outward pull at the top fixing.

    ``forward_m``: centre of mass in front of the bearing on the wall; ``lever_m``: hook to lower
    bearing. [N]
    """
    return mass_kg * (GRAVITY * forward_m / lever_m)


def fixing_rating_needed(mass_kg: Mass, points: int, factor: float) -> Mass:
    """Rating of each fixing so that any one of them may fail; of the only one where there is one. [kg]"""
    return mass_kg * (factor / max(1, points - 1))

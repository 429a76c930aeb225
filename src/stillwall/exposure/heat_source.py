"""How warm a wall becomes near a source of heat: radiation, plumes, light."""

from __future__ import annotations

import math
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.moist_air import saturation_pressure

Value = TypeVar("Value", float, NDArray[np.float64])

LINE_PLUME: Final = 0.0712
"""Rise on the axis of a turbulent line plume, K m (W/m)^(-2/3): constant 2.6 of Rouse, Yih and Humphreys,
Tellus 4, 1952, 201-210 (from memory)."""
WALL_PLUME: Final = LINE_PLUME * 2 ** (2 / 3)
"""The same against a wall, by its mirror image: an upper bound."""
POINT_PLUME: Final = 0.301
"""Rise on the axis of a turbulent point plume, K m^(5/3) W^(-2/3): constant 11 of the same (from memory)."""


def humidity_at_constant_vapour(humidity_pct: float, before_c: float, after_c: float) -> float:
    """Relative humidity after air is warmed or cooled without gain or loss of vapour. [%]"""
    return humidity_pct * float(saturation_pressure(before_c) / saturation_pressure(after_c))


def radiant_flux(power_w: Value, distance_m: float, cosines: float = 1.0) -> Value:
    """Flux of radiation from a small diffuse source, in front of it. [W/m2]

    ``power_w`` is what it radiates; ``cosines`` the product of the cosines at both ends.
    """
    return power_w * (cosines / (math.pi * distance_m**2))


def surface_rise(flux_w_m2: Value, absorptance: float, film_w_m2k: Value | float) -> Value:
    """Steady rise of a surface that takes up radiation and loses heat to the air. [K]"""
    return flux_w_m2 * absorptance / film_w_m2k


def line_plume_rise(power_w_m: Value, height_m: Value | float) -> Value:
    """Rise above a long source standing free; ``power_w_m`` is convected heat per length. [K]"""
    made: Value = LINE_PLUME * power_w_m ** (2 / 3) / height_m
    return made


def wall_plume_rise(power_w_m: Value, height_m: Value | float) -> Value:
    """Rise above a long source against a wall, an upper bound. [K]"""
    made: Value = WALL_PLUME * power_w_m ** (2 / 3) / height_m
    return made


def point_plume_rise(power_w: Value, height_m: Value | float) -> Value:
    """Rise above a small source; ``power_w`` is convected heat. [K]"""
    made: Value = POINT_PLUME * power_w ** (2 / 3) * height_m ** (-5 / 3)
    return made


def light_surface_rise(
    illuminance_lux: Value, lm_per_w: float, absorptance: float, film_w_m2k: float
) -> Value:
    """Rise of a surface from the radiation of a lamp. [K]

    ``lm_per_w``: lumens per watt of all its radiation, some 17 for halogen, 300 for white LED.
    """
    return illuminance_lux * (absorptance / (lm_per_w * film_w_m2k))

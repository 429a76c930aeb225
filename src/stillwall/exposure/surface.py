"""Surface temperature and humidity of an outside wall, and of the wall behind a picture.

Temperature factor and surface humidity of EN ISO 13788: ``fRsi = (t_si - t_e) / (t_i - t_e)``.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillwall.exposure.moist_air import dew_point, saturation_pressure

Floats = NDArray[np.float64]

U_VALUE_RESISTANCE: Final = 0.13
"""Inside surface resistance that a U-value contains. [m2 K/W]"""
MOULD_RESISTANCE: Final = 0.25
"""Inside surface resistance to judge mould on a bare wall by, EN ISO 13788 (from memory). [m2 K/W]"""


def temperature_factor(
    u_value: ArrayLike,
    surface_resistance: ArrayLike = MOULD_RESISTANCE,
    u_value_resistance: float = U_VALUE_RESISTANCE,
) -> Floats:
    """Temperature factor of a wall by its U-value: ``1 - Rsi / R`` with that same ``Rsi`` inside ``R``. [1]

    The U-value contains ``u_value_resistance``; to subtract another one from 1 without restating the
    total can even come out negative.
    """
    wall = 1.0 / np.asarray(u_value, np.float64) - u_value_resistance
    inside = np.asarray(surface_resistance, np.float64)
    made: Floats = 1.0 - inside / (wall + inside)
    return made


def factor_behind(
    u_value: ArrayLike, picture_resistance: ArrayLike, u_value_resistance: float = U_VALUE_RESISTANCE
) -> Floats:
    """Temperature factor of the wall's face behind a picture that insulates it. [1]

    Still air and no ventilation behind: ``1 - (0.13 + Rp) / (1 / U + Rp)``, an upper bound of the cooling.
    """
    picture = np.asarray(picture_resistance, np.float64)
    made: Floats = 1.0 - (u_value_resistance + picture) / (1.0 / np.asarray(u_value, np.float64) + picture)
    return made


def u_value_of_factor(factor: ArrayLike, surface_resistance: float = U_VALUE_RESISTANCE) -> Floats:
    """U-value (with ``surface_resistance`` inside) of a wall by its temperature factor below 1. [W/(m2 K)]"""
    made: Floats = (1.0 - np.asarray(factor, np.float64)) / surface_resistance
    return made


def surface_temperature(inside_c: ArrayLike, outside_c: ArrayLike, factor: ArrayLike) -> Floats:
    """Temperature of the inside surface. [degC]"""
    outside = np.asarray(outside_c, np.float64)
    made: Floats = outside + np.asarray(factor, np.float64) * (np.asarray(inside_c, np.float64) - outside)
    return made


def surface_humidity(inside_c: ArrayLike, inside_pct: ArrayLike, surface_c: ArrayLike) -> Floats:
    """Relative humidity at a surface in air of the same vapour pressure; over 100 means condensation. [%]"""
    made: Floats = (
        np.asarray(inside_pct, np.float64) * saturation_pressure(inside_c) / saturation_pressure(surface_c)
    )
    return made


def critical_factor(inside_c: float, inside_pct: float, outside_c: float, limit_pct: float) -> float:
    """Least temperature factor at which the surface stays at or below a humidity. [1]"""
    vapour_pct = inside_pct * float(saturation_pressure(inside_c)) / float(saturation_pressure(20.0))
    surface = float(dew_point(20.0, 100.0 * vapour_pct / limit_pct))
    return (surface - outside_c) / (inside_c - outside_c)


def factor_from_readings(
    surface_c: ArrayLike, inside_c: ArrayLike, outside_c: ArrayLike, least_difference_k: float = 5.0
) -> float:
    """Temperature factor from logged temperatures, NaN with fewer than two cold enough readings. [1]

    The slope through the origin of ``t_si - t_e`` on ``t_i - t_e`` over readings at least
    ``least_difference_k`` apart; below that the factor means nothing.
    """
    outside = np.asarray(outside_c, np.float64)
    difference = np.asarray(inside_c, np.float64) - outside
    rise = np.asarray(surface_c, np.float64) - outside
    cold = difference >= least_difference_k
    if int(cold.sum()) < 2:
        return float("nan")
    return float((rise[cold] * difference[cold]).sum() / (difference[cold] ** 2).sum())

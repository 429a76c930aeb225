"""How much warmer than the air a surface grows in direct sun."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def surface_rise_k(irradiance_w_m2: Floats, absorbed: Floats, exchange_w_m2k: Floats) -> Floats:
    """Rise of a surface over the air in steady sun: absorbed power over its exchange with the room. [K]

    Parameters
    ----------
    irradiance_w_m2
        Of the beam on the surface. [W/m2]
    absorbed
        Share of it that the surface takes up. [1]
    exchange_w_m2k
        Convection and radiation together. [W/m2/K]
    """
    made: Floats = np.asarray(absorbed * irradiance_w_m2 / exchange_w_m2k)
    return made


def irradiance_of_lux(illuminance_lux: float, efficacy_lm_w: float) -> float:
    """Irradiance of so much light of a known luminous efficacy. [W/m2]"""
    return illuminance_lux / efficacy_lm_w

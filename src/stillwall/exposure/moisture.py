"""Moisture content of wood in equilibrium with the air."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def wood_moisture_content(temperature_c: ArrayLike, humidity_pct: ArrayLike) -> Floats:
    """
    Equilibrium moisture content of wood. [% of dry mass]

    The two-hydrate isotherm of Hailwood and Horrobin with the coefficients of W. Simpson, Wood and Fiber 5,
    1973, as printed in the Wood Handbook of the USDA Forest Products Laboratory, in degrees Fahrenheit
    (coefficients from memory; its results agree with published statements). The mean of sorption and
    desorption, which lie 1 to 2 % of moisture content apart.
    """
    fahrenheit = np.asarray(temperature_c, np.float64) * 1.8 + 32.0
    share = np.asarray(humidity_pct, np.float64) / 100.0
    w = 330.0 + fahrenheit * (0.452 + 0.00415 * fahrenheit)
    k = 0.791 + fahrenheit * (0.000463 - 8.44e-7 * fahrenheit)
    k1 = 6.34 + fahrenheit * (0.000775 - 9.35e-5 * fahrenheit)
    k2 = 1.09 + fahrenheit * (0.0284 - 9.04e-5 * fahrenheit)
    kh = k * share
    one, two = k1 * kh, k1 * k2 * kh**2
    made: Floats = 1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two))
    return made

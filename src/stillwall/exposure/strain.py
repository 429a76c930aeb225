"""Strain of wood and of what lies on it, by the linear model of shrinkage.

The model is linear below fibre saturation and over-predicts measured swelling at middle humidities by up
to half: a ranking and a pessimistic bound, not a line to pass.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import scipy
from numpy.typing import ArrayLike, NDArray

from stillwall.exposure.moisture import wood_moisture_content

Floats = NDArray[np.float64]

FIBRE_SATURATION_PCT: Final = 30.0
"""Moisture content above which wood no longer swells."""


def free_strain(
    shrinkage_pct: float,
    temperature_c: ArrayLike,
    from_pct: ArrayLike,
    to_pct: ArrayLike,
    fibre_saturation_pct: float = FIBRE_SATURATION_PCT,
) -> Floats:
    """
    Strain of unrestrained wood that comes to equilibrium with another humidity; positive when it swells. [1]

    ``shrinkage_pct`` is the total shrinkage from green to oven-dry in the direction looked at.
    R. B. Hoadley, in The Structural Conservation of Panel Paintings, Getty 1998.
    """
    change = wood_moisture_content(temperature_c, to_pct) - wood_moisture_content(temperature_c, from_pct)
    return shrinkage_pct / 100.0 / fibre_saturation_pct * change


def humidity_at_strain(
    shrinkage_pct: float,
    temperature_c: float,
    from_pct: float,
    strain: float,
    fibre_saturation_pct: float = FIBRE_SATURATION_PCT,
) -> float:
    """Humidity at which fully restrained wood reaches a strain, NaN where 0 to 100 % does not do it. [%]"""

    def excess(humidity_pct: float) -> float:
        found = free_strain(shrinkage_pct, temperature_c, from_pct, humidity_pct, fibre_saturation_pct)
        return float(found) - strain

    if excess(0.0) > 0 or excess(100.0) < 0:
        return float("nan")
    return float(scipy.optimize.brentq(excess, 0.0, 100.0, xtol=1e-9))


def strain_per_humidity(shrinkage_pct: ArrayLike, temperature_c: float, humidity_pct: float) -> Floats:
    """Slope of free strain against humidity at one level, over 1 %RH either side. [1/%RH]"""
    low, high = max(humidity_pct - 1.0, 0.0), min(humidity_pct + 1.0, 100.0)
    change = wood_moisture_content(temperature_c, high) - wood_moisture_content(temperature_c, low)
    made: Floats = (
        np.asarray(shrinkage_pct, np.float64) / 100.0 / FIBRE_SATURATION_PCT * change / (high - low)
    )
    return made

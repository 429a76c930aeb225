"""Moist air: one formulation of saturation, and all that follows from it.

Relative humidity is over liquid water at every temperature, as hygrometers report it; below 0 degC the
dew point is therefore over supercooled water, and the frost point is asked for by its own name.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

ZERO_CELSIUS_K: Final = 273.15
STANDARD_PRESSURE_PA: Final = 101_325.0
GAS_CONSTANT_VAPOUR: Final = 461.523
"""Of water vapour. [J/(kg K)]"""
MASS_RATIO: Final = 0.621945
"""Molar mass of water over that of dry air. [1]"""

_WATER: Final = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673)
_ICE: Final = (
    -5.6745359e3,
    6.3925247,
    -9.677843e-3,
    6.2215701e-7,
    2.0747825e-9,
    -9.484024e-13,
    4.1635019,
)
_COLDEST_C: Final = -100.0
_NEWTON_STEPS: Final = 8
_BISECTIONS: Final = 50


def _log_saturation_water(kelvin: Floats) -> Floats:
    c8, c9, c10, c11, c12, c13 = _WATER
    made: Floats = np.array(kelvin * c12)
    made += c11
    made *= kelvin
    made += c10
    made *= kelvin
    made += c9
    made += c8 / kelvin
    made += c13 * np.log(kelvin)
    return made


def _log_saturation_ice(kelvin: Floats) -> Floats:
    c1, c2, c3, c4, c5, c6, c7 = _ICE
    made: Floats = (
        c1 / kelvin + c2 + kelvin * (c3 + kelvin * (c4 + kelvin * (c5 + kelvin * c6))) + c7 * np.log(kelvin)
    )
    return made


def saturation_pressure(temperature_c: ArrayLike) -> Floats:
    """Saturation vapour pressure over liquid water, also below 0 degC. [Pa]

    R. W. Hyland and A. Wexler, ASHRAE Transactions 89(2A), 1983, 500-519; the form of the ASHRAE
    Handbook - Fundamentals, chapter 1. Stated for 0 to 200 degC and used here for supercooled water too.
    """
    logarithm = _log_saturation_water(np.asarray(temperature_c, np.float64) + ZERO_CELSIUS_K)
    made: Floats = np.exp(logarithm, out=logarithm)[()]
    return made


def saturation_pressure_ice(temperature_c: ArrayLike) -> Floats:
    """Saturation vapour pressure over ice, -100 to 0 degC. [Pa] Hyland and Wexler 1983."""
    made: Floats = np.exp(_log_saturation_ice(np.asarray(temperature_c, np.float64) + ZERO_CELSIUS_K))
    return made


def vapour_pressure(temperature_c: ArrayLike, humidity_pct: ArrayLike) -> Floats:
    """Partial pressure of water vapour. [Pa]"""
    return np.asarray(humidity_pct, np.float64) / 100.0 * saturation_pressure(temperature_c)


def humidity_from_vapour(temperature_c: ArrayLike, vapour_pa: ArrayLike) -> Floats:
    """Relative humidity over water of air at a temperature that holds this vapour. [%]"""
    made: Floats = 100.0 * np.asarray(vapour_pa, np.float64) / saturation_pressure(temperature_c)
    return made


def dew_point(temperature_c: ArrayLike, humidity_pct: ArrayLike) -> Floats:
    """Dew point over liquid water, NaN where there is no vapour. [degC]

    The saturation curve of Hyland and Wexler inverted by Newton's method on its logarithm.
    """
    return _saturation_temperature(vapour_pressure(temperature_c, humidity_pct), ice=False)


def frost_point(temperature_c: ArrayLike, humidity_pct: ArrayLike) -> Floats:
    """Temperature at which hoarfrost forms, NaN where that is above 0 degC or there is no vapour. [degC]"""
    found = _saturation_temperature(vapour_pressure(temperature_c, humidity_pct), ice=True)
    return np.where(found <= 0.0, found, np.nan)


def _saturation_temperature(vapour_pa: Floats, *, ice: bool) -> Floats:
    target = np.log(np.where(vapour_pa > 0.0, vapour_pa, np.nan))
    log_saturation = _log_saturation_ice if ice else _log_saturation_water
    start = target - np.log(611.2)
    kelvin = ZERO_CELSIUS_K + 243.12 * start / (17.62 - start)
    kelvin = np.clip(kelvin, ZERO_CELSIUS_K + _COLDEST_C, ZERO_CELSIUS_K + 200.0)
    for _ in range(_NEWTON_STEPS):
        step = 1e-3
        slope = (log_saturation(kelvin + step) - log_saturation(kelvin - step)) / (2 * step)
        kelvin = np.maximum(kelvin - (log_saturation(kelvin) - target) / slope, 150.0)
    made: Floats = kelvin - ZERO_CELSIUS_K
    return made


def humidity_ratio(
    temperature_c: ArrayLike, humidity_pct: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> Floats:
    """Mass of vapour per mass of dry air, ideal gas. [kg/kg] ASHRAE Handbook - Fundamentals, chapter 1."""
    vapour = vapour_pressure(temperature_c, humidity_pct)
    made: Floats = MASS_RATIO * vapour / (np.asarray(pressure_pa, np.float64) - vapour)
    return made


def specific_humidity(
    temperature_c: ArrayLike, humidity_pct: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> Floats:
    """Mass of vapour per mass of moist air; not the same as the humidity ratio. [kg/kg]"""
    ratio = humidity_ratio(temperature_c, humidity_pct, pressure_pa)
    return ratio / (1.0 + ratio)


def absolute_humidity(temperature_c: ArrayLike, humidity_pct: ArrayLike) -> Floats:
    """Mass of vapour per volume, ideal gas. [g/m3]"""
    kelvin = np.asarray(temperature_c, np.float64) + ZERO_CELSIUS_K
    made: Floats = 1000.0 * vapour_pressure(temperature_c, humidity_pct) / (GAS_CONSTANT_VAPOUR * kelvin)
    return made


def wet_bulb(
    temperature_c: ArrayLike, humidity_pct: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> Floats:
    """Thermodynamic wet-bulb temperature; the bulb is of ice below 0 degC. [degC]

    Energy balance of the ASHRAE Handbook - Fundamentals, chapter 1, solved by bisection between -100 degC
    and the air's temperature.
    """
    air = np.asarray(temperature_c, np.float64)
    target = humidity_ratio(air, humidity_pct, pressure_pa)
    pressure = np.asarray(pressure_pa, np.float64)
    shape = np.broadcast_shapes(air.shape, target.shape)
    low, high = np.full(shape, _COLDEST_C), np.broadcast_to(air, shape).astype(np.float64)
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        too_wet = _ratio_at_bulb(air, middle, pressure) > target
        high = np.where(too_wet, middle, high)
        low = np.where(too_wet, low, middle)
    made: Floats = (low + high) / 2
    return made


def _ratio_at_bulb(air_c: Floats, bulb_c: Floats, pressure_pa: Floats) -> Floats:
    frozen = bulb_c < 0.0
    saturation = np.where(frozen, saturation_pressure_ice(bulb_c), saturation_pressure(bulb_c))
    saturated = MASS_RATIO * saturation / (pressure_pa - saturation)
    over_water = ((2501.0 - 2.326 * bulb_c) * saturated - 1.006 * (air_c - bulb_c)) / (
        2501.0 + 1.86 * air_c - 4.186 * bulb_c
    )
    over_ice = ((2830.0 - 0.24 * bulb_c) * saturated - 1.006 * (air_c - bulb_c)) / (
        2830.0 + 1.86 * air_c - 2.1 * bulb_c
    )
    return np.where(frozen, over_ice, over_water)

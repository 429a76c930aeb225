"""How units are spelled: the closed list of what is read, and what each spelling means to the registry."""

from __future__ import annotations

import re
from functools import lru_cache

SPELLINGS: dict[str, dict[str, str]] = {
    "length": {
        "m": "m metre metres meter meters",
        "cm": "cm centimetre centimetres centimeter centimeters",
        "mm": "mm millimetre millimetres millimeter millimeters",
        "km": "km",
        "inch": "in ins inch inches \" ''",
        "foot": "ft foot feet '",
        "yard": "yd yds yard yards",
    },
    "mass": {
        "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
        "g": "g gram grams gramme grammes",
        "lb": "lb lbs pound pounds",
        "oz": "oz ounce ounces",
        "stone": "st stone stones",
        "tonne": "t tonne tonnes",
    },
    "power": {"W": "W watt watts", "kW": "kW kilowatt kilowatts", "Btu_it / hour": "Btu/h Btu/hr BTUH"},
    "time": {
        "hour": "h hr hrs hour hours",
        "minute": "min mins minute minutes",
        "second": "s sec second seconds",
        "day": "d day days",
        "week": "week weeks",
    },
    "temperature": {
        "degC": "degC °C C degreesC celsius",
        "degF": "degF °F F degreesF fahrenheit",
        "kelvin": "K kelvin",
    },
    "temperature_difference": {
        "delta_degC": "K kelvin kelvins degC °C C degreesC celsius delta_degC",
        "delta_degF": "degF °F F degreesF fahrenheit delta_degF",
    },
    "humidity": {"percent": "% %RH percent percentRH pct RH%"},
    "illuminance": {
        "lux": "lx lux",
        "kilolux": "klx klux",
        "lumen / foot ** 2": "fc ftc ft-candles footcandle footcandles foot-candle foot-candles lm/ft2",
    },
    "light_dose": {
        "lux * hour": "lxh luxh lx-h lux-h lxhr luxhr lxhrs luxhrs luxhour luxhours lx-hours lux-hours",
        "kilolux * hour": "klxh kluxh klx-h klxhr klxhrs kluxhours klxhours klx-hours",
        "megalux * hour": "Mlxh Mluxh Mlx-h Mlxhr Mlxhrs Mlxhours Mluxhours Mlx-hours",
        "lumen / foot ** 2 * hour": "fch fc-h fchr fchrs fchours footcandlehours footcandle-hours",
    },
    "angle": {"degree": "° deg degs degree degrees", "radian": "rad radian radians"},
    "area": {
        "m ** 2": "m2 sqm",
        "cm ** 2": "cm2 sqcm",
        "foot ** 2": "ft2 sqft",
        "inch ** 2": "in2 sqin",
    },
    "conductance": {
        "W / m ** 2 / K": "W/m2K W/m2/K W/(m2K) Wm-2K-1 W/m2C W/(m2C)",
        "Btu_it / hour / foot ** 2 / delta_degF": "Btu/hft2F Btu/(hft2F) Btu/hrft2F Btu/(hrft2F) Btu/h/ft2/F",
    },
    "uv_proportion": {"uW / lm": "uW/lm uWlm-1 microwatt/lumen", "mW / lm": "mW/lm"},
    "force": {"N": "N newton newtons", "kN": "kN", "lbf": "lbf lb-f poundforce", "kgf": "kgf"},
    "speed": {"mm / s": "mm/s", "m / s": "m/s", "cm / s": "cm/s", "inch / s": "in/s", "foot / s": "ft/s"},
}
"""By kind of quantity: name in the registry to the spellings that are read, a space between two."""
_CASE_MATTERS = ("mlx", "mlux", "mw")
"""Beginnings of units in which m and M are milli and mega."""


@lru_cache(maxsize=1)
def unit_names() -> dict[str, dict[str, str]]:
    """By kind of quantity: folded spelling to the registry's name."""
    return {
        kind: {folded(spelling): unit for unit, spellings in units.items() for spelling in spellings.split()}
        for kind, units in SPELLINGS.items()
    }


def folded(unit: str) -> str:
    """A spelling without what does not matter in it: spaces, dots, carets, and case where that is safe."""
    unit = re.sub(r"[\s*^]|(?<=[A-Za-z])\.", "", unit)
    unit = re.sub(r"^(?:deg|degrees?|°)(?=[CF])", "°", unit, flags=re.I)
    unit = re.sub(r"(?:deg|°)(?=[CFK]\)?$)", "" if "/" in unit else "°", unit, flags=re.I)
    return unit if unit[:4].lower().startswith(_CASE_MATTERS) else unit.lower()

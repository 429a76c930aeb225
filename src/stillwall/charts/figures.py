"""Figures in words: amounts with no more digits than they deserve."""

from __future__ import annotations

from stillwall.load import Load
from stillwall.phrases import show_force
from stillwall.units import (
    Amount,
    System,
    show_length,
    show_mass,
    show_temperature,
    show_temperature_difference,
)

HAZARD_WORDS = {
    "temperature": "temperature",
    "humidity": "humidity",
    "humidity_swing": "humidity swing",
    "ageing": "ageing",
    "mould": "mould",
    "corrosion": "corrosion",
    "salts": "salts",
    "wall_climate": "wall climate",
    "light_dose": "light dose",
    "ultraviolet": "ultraviolet",
    "sunlight": "sunlight",
    "viewing": "viewing",
    "hearth": "hearth and heat",
    "doorway": "doorway",
    "bump": "knocks",
    "fit": "fit",
    "fixing": "fixing",
    "water": "water",
    "smoke": "smoke",
    "vibration": "vibration",
    "theft": "theft",
}


SPELT = frozenset({"m", "kg", "degC", "K", "%", "%RH", "lx h"})
"""Units that are shown with both figures, since they may be shown in others."""


def hazard_words(hazard: str) -> str:
    """A hazard as people say it."""
    return HAZARD_WORDS.get(hazard, hazard.replace("_", " "))


def severity(load: Load) -> float:
    """Order of loads on the page: bars, then what is not known, then by size."""
    if load.barred:
        return float("inf")
    return 1e6 if load.ratio is None else load.ratio


def show_ratio(ratio: float) -> str:
    """A load, two significant figures; small crumbs are all the same."""
    if ratio < 0.1:
        return "< 0.1"
    if ratio >= 1000:
        return "> 1,000"
    if ratio >= 10:
        return f"{ratio:,.0f}"
    return f"{ratio:.1f}" if ratio >= 2 else f"{ratio:.2f}"


def show_interval(low: float, high: float) -> str:
    """A 90 % interval of a load."""
    return f"{show_ratio(low)} to {show_ratio(high)}"


def show_chance(chance: float) -> str:
    """A chance in words of hundredths, never as certain as 0 or 1."""
    if chance < 0.01:
        return "< 1 %"
    if chance > 0.99:
        return "> 99 %"
    return f"{chance * 100:.0f} %"


def significant(value: float, digits: int = 3) -> str:
    """A plain figure with at most ``digits`` significant digits and thousands marked."""
    if value == 0:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    if abs(rounded) >= 1000:
        return f"{rounded:,.0f}"
    return f"{rounded:.10f}".rstrip("0").rstrip(".") if abs(rounded) >= 1e-4 else "< 0.0001"


def show_amount(amount: Amount, system: System) -> str:
    """An amount with its unit, in US or SI units where people use both."""
    value, unit = amount.value, amount.unit
    match unit:
        case "m":
            return show_length(value, system)
        case "kg":
            return show_mass(value, system)
        case "degC":
            return show_temperature(value, system)
        case "K":
            return show_temperature_difference(value, system)
        case "N":
            return show_force(value, system)
        case "uW/lm":
            return f"{significant(value, 2)} µW/lm"
        case "lx h" if value >= 10_000:
            return f"{significant(value / 1000)} klx h"
        case "%" | "%RH":
            return f"{value:.0f} %RH"
        case "1" | "":
            return significant(value, 2)
        case "1/a":
            return f"{significant(value, 2)} a year"
        case "damaging contacts":
            return f"{significant(value, 2)} knocks"
        case "h/a":
            return f"{significant(value, 2)} h a year"
    return f"{significant(value, 2)} {unit}"


def against(load: Load, system: System) -> str:
    """Exposure against allowance, in a few words; a constraint, a bar or a gap says so instead."""
    if load.barred:
        return "barred"
    if load.draws is None:
        return "not known"
    if load.exposure is None or load.allowance is None:
        return "—"
    exposure, allowance = (show_amount(each, system) for each in (load.exposure, load.allowance))
    if load.exposure.unit == load.allowance.unit and load.exposure.unit not in SPELT:
        figure = 2 if exposure.startswith("< ") else 1
        exposure = " ".join(exposure.split(" ")[:figure])
    return f"{exposure} against {allowance}"

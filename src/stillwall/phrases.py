"""Phrases: counts, shares and small quantities as people say them, in the units that they use."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from stillwall.units import FOOT_M, INCH_M, POUND_KG, System, show_length

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip
NEWTONS_PER_LBF = 4.4482216152605
JOULES_PER_FT_LB = 1.3558179483314004


def counted(number: float, noun: str, plural: str | None = None) -> str:
    """A number of things: ``1 year``, ``8 years``, ``2.5 weeks``, ``no marks``."""
    shown = two_figures(number) if abs(number) < 10 else f"{number:,.0f}"
    many = f"{noun}s" if plural is None else plural
    if shown == "0":
        return f"no {many}"
    return f"{shown} {noun if shown == '1' else many}"


def times(number: float) -> str:
    """How often, in whole numbers: ``never``, ``once``, ``12 times``."""
    shown = f"{number:,.0f}"
    return {"0": "never", "1": "once", "2": "twice"}.get(shown, f"{shown} times")


def percent(share: float) -> str:
    """A share in hundredths that is never as certain as nothing at all: ``less than 1 %``, ``12 %``."""
    return "less than 1 %" if 0 < share < 0.005 else f"{100 * share:.0f} %"


def duration(days: float) -> str:
    """A length of time in the unit in which one thinks of it: ``19 days``, ``9 months``, ``3.7 years``."""
    if days < 60:
        return counted(round(days), "day")
    if days < 730:
        return counted(round(days / 30.4375), "month")
    return counted(float(two_figures(days / 365.25).replace(",", "")), "year")


def date_words(day: dt.date) -> str:
    """``12 January 2026``."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def two_figures(number: float) -> str:
    """Two figures and no more than whole numbers, never in powers of ten: ``0.019``, ``12``, ``1,300``."""
    if number == 0:
        return "0"
    if abs(number) >= 100:
        return f"{float(f'{number:.2g}'):,.0f}"
    if abs(number) >= 9.95:
        return f"{number:.0f}"
    if abs(number) < 0.0001:
        return "less than 0.0001"
    return f"{float(f'{number:.2g}'):.6f}".rstrip("0").rstrip(".")


def about(number: float) -> str:
    """A rough figure: ``about 0.0019``; too small a one as ``less than 0.0001``."""
    shown = two_figures(number)
    return shown if shown.startswith("less") else f"about {shown}"


def listed(names: Sequence[str], last: str = "and") -> str:
    """``A``, ``A and B``, ``A, B and C``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"


def lowered(title: str) -> str:
    """A title inside a sentence; abbreviations keep their capitals."""
    return title if title[1:2].isupper() else title[:1].lower() + title[1:]


def sentence(text: str) -> str:
    """A text that begins with a capital and ends."""
    whole = f"{text[:1].upper()}{text[1:]}"
    return whole if whole.endswith((".", "?", "!")) else f"{whole}."


def show_distance(metres: float, system: System) -> str:
    """How far two things are apart, as nobody measures it to the half inch: ``34 ft``, ``10.2 m``."""
    if system == "si":
        return f"{metres:.1f} m" if metres >= 2.95 else show_length(round(metres, 2), system)
    if metres >= 10 * FOOT_M:
        return f"{metres / FOOT_M:.0f} ft"
    return show_length(round(metres / FOOT_M * 12) / 12 * FOOT_M, system)


def show_rise(kelvin: float, system: System) -> str:
    """A difference of temperature with no more than two figures: ``26 K`` or ``47 °F``."""
    return f"{two_figures(kelvin)} K" if system == "si" else f"{two_figures(kelvin * 1.8)} °F"


def show_round(celsius: float, system: System) -> str:
    """A temperature that is meant in whole degrees: ``20 °C`` or ``68 °F``."""
    return f"{celsius:.0f} °C" if system == "si" else f"{celsius * 1.8 + 32:.0f} °F"


def show_inches(metres: float, system: System) -> str:
    """A height that codes give in inches: ``80 in`` or ``2.03 m``."""
    return show_length(metres, system) if system == "si" else f"{metres / INCH_M:.0f} in"


def show_force(newtons: float, system: System) -> str:
    """A force: ``98 N`` or ``22 lbf``."""
    return f"{newtons:.0f} N" if system == "si" else f"{newtons / NEWTONS_PER_LBF:.0f} lbf"


def show_energy(joules: float, system: System) -> str:
    """An energy: ``35 J`` or ``26 ft-lb``."""
    return f"{joules:.0f} J" if system == "si" else f"{joules / JOULES_PER_FT_LB:.0f} ft-lb"


def show_speed(mm_per_s: float, system: System) -> str:
    """A speed of vibration: ``2 mm/s`` or ``0.08 in/s``."""
    return f"{mm_per_s:g} mm/s" if system == "si" else f"{mm_per_s / 1000 / INCH_M:.2f} in/s"


_ROUND = re.compile(
    r"(?P<number>\d+(?:\.\d+)?)(?: to (?P<upper>\d+(?:\.\d+)?))? (?P<unit>mm|cm|m|kg|K|°C)(?![\w²/])"
)
_METRES = {"mm": 0.001, "cm": 0.01, "m": 1.0}


def in_words(text: str, system: System) -> str:
    """A text whose round figures are written in SI, as people of a system would write it.

    In US units lengths are whole inches, masses two significant figures: rules of thumb, not measurements.
    """
    return text if system == "si" else _ROUND.sub(_us, text)


def _us(found: re.Match[str]) -> str:
    low = _round_us(float(found["number"]), found["unit"])
    high = None if found["upper"] is None else _round_us(float(found["upper"]), found["unit"])
    if high is None or high == low:
        return low
    return f"{low} to {high}"


def _round_us(value: float, unit: str) -> str:
    if unit == "kg":
        return f"{float(f'{value / POUND_KG:.2g}'):.0f} lb"
    if unit in _METRES:
        return show_length(max(1, round(value * _METRES[unit] / INCH_M)) * INCH_M, "us")
    return f"{value * 1.8 + (32 if unit == '°C' else 0):.0f} °F"

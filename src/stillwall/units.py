"""Quantities with units: read from text, kept as SI floats, shown in US or SI units.

The registry of pint is the only table of factors. Which spellings are read is a closed list, so that
text from a file is never evaluated. pint is imported on first use, since it is slow to import.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from stillwall.spellings import folded, unit_names

if TYPE_CHECKING:
    from pint import UnitRegistry

System = Literal["us", "si"]

SI_UNIT = {
    "length": "m",
    "mass": "kg",
    "power": "W",
    "time": "h",
    "temperature": "degC",
    "temperature_difference": "delta_degC",
    "humidity": "percent",
    "illuminance": "lux",
    "light_dose": "lux * hour",
    "angle": "degree",
    "area": "m ** 2",
    "conductance": "W / m ** 2 / K",
    "uv_proportion": "uW / lm",
    "force": "N",
    "speed": "mm / s",
}
"""The unit in which each kind of quantity is kept."""

EXAMPLE = {
    "length": "1.8 m",
    "mass": "18 kg",
    "power": "500 W",
    "time": "4 h",
    "temperature": "20 degC",
    "temperature_difference": "0.4 K",
    "humidity": "50 %",
    "illuminance": "50 lx",
    "light_dose": "150 klx h",
    "angle": "90 deg",
    "area": "2 m2",
    "conductance": "1.5 W/(m2 K)",
    "uv_proportion": "75 uW/lm",
    "force": "100 N",
    "speed": "2 mm/s",
}
"""How a quantity of each kind is written."""

INCH_M, FOOT_M, POUND_KG = 0.0254, 0.3048, 0.45359237
"""Exact by definition: the international yard and pound agreement of 1959."""
_DEFINED = {
    ("cm", "length"): (0.01, 0.0),
    ("mm", "length"): (0.001, 0.0),
    ("inch", "length"): (INCH_M, 0.0),
    ("foot", "length"): (FOOT_M, 0.0),
    ("g", "mass"): (0.001, 0.0),
    ("lb", "mass"): (POUND_KG, 0.0),
    ("degF", "temperature"): (5.0 / 9.0, -160.0 / 9.0),
}
"""Slope and intercept of the commonest units, exact by definition: most surveys are read without the unit
registry, which takes longer to load than they take to judge."""
_SUMS = {"length", "mass", "time"}
"""Kinds that may be said in several units, such as feet and inches."""
_WHOLE_COMMAS = {"illuminance", "light_dose"}
"""Kinds of which nobody writes thousandths, so that ``150,000`` can only be thousands."""

_GLYPHS = str.maketrans(
    {
        "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "−": "-", "×": " x ",
        "²": "2", "·": " ", "⋅": " ", "µ": "u", "μ": "u", "⁻": "-", "¹": "1", "º": "°",
        "\u00a0": " ", "\u2009": " ", "\u202f": " ", "⁄": "/",
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
        "⅓": " 1/3", "⅔": " 2/3",
    }
)  # fmt: skip
_NUMBER = re.compile(
    r"(?P<fraction>\d+/\d+)"
    r"|(?P<whole>\d[\d,]*)[ -]\s*(?P<part>\d+/\d+)"
    r"|(?P<decimal>(?:\d[\d,]*(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?)",
    re.ASCII,
)
_WORD = re.compile(r"[A-Za-z]+\.?|\"|''|'")
_SIDES = re.compile(r"\s+by\s+|(?<![A-Za-z])\s*x\s*(?=[\d.])|\s+x\s+|(?<=[A-Za-z])\s+x\s*(?=[\d.])", re.I)
_LABEL = re.compile(
    r"\b(?:(high|height|tall|h)|(wide|width|w|across|long|broad)|(deep|depth|d|thick))\b\.?", re.I
)
_MAX_TEXT = 200


class QuantityError(ValueError):
    """Text that is no quantity of the kind that is wanted, with what would be one."""

    def __init__(self, found: str, expected: str, fix: str) -> None:
        super().__init__(found)
        self.found, self.expected, self.fix = found, expected, fix

    def __reduce__(self) -> tuple[type[QuantityError], tuple[str, str, str]]:
        return (type(self), (self.found, self.expected, self.fix))


@dataclass(frozen=True, slots=True)
class Amount:
    """A figure with its unit, for people and for JSON."""

    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Size:
    """Height by width (by depth), height first. [m]"""

    height_m: float
    width_m: float
    depth_m: float | None = None


@lru_cache(maxsize=1)
def registry() -> UnitRegistry[float]:
    """The one unit registry."""
    from pint import UnitRegistry

    made: UnitRegistry[float] = UnitRegistry(cache_folder=None)
    return made


@lru_cache(maxsize=512)
def _line(unit: str, kind: str) -> tuple[float, float]:
    """Slope and intercept from one unit to the unit that is kept."""
    if unit == SI_UNIT[kind]:
        return 1.0, 0.0
    if (unit, kind) in _DEFINED:
        return _DEFINED[unit, kind]
    units = registry()
    zero, one = (float(units.Quantity(value, unit).to(SI_UNIT[kind]).magnitude) for value in (0.0, 1.0))
    # Exact factors have at most nine digits; what pint adds behind the twelfth is rounding.
    return (float(f"{one:.12g}"), 0.0) if zero == 0 else (one - zero, zero)


def _number(match: re.Match[str], kind: str, text: str) -> float:
    if match["fraction"]:
        return _fraction(match["fraction"], text, kind)
    if match["whole"]:
        return _plain(match["whole"], kind, text) + _fraction(match["part"], text, kind)
    return _plain(match["decimal"], kind, text)


def _fraction(text: str, whole_text: str, kind: str) -> float:
    top, bottom = text.split("/")
    if len(text) > 20 or int(bottom) == 0:
        raise _unread(whole_text, kind)
    return int(top) / int(bottom)


def _plain(digits: str, kind: str, text: str) -> float:
    if "," in digits:
        groups = re.fullmatch(r"[1-9]\d{0,2}((?:,\d{3})+)(\.\d+)?", digits)
        if groups is None:
            raise QuantityError(
                f"{text!r} has a comma in its number",
                "a decimal point",
                f"write {digits.replace(',', '.', 1)} if the comma is a decimal comma",
            )
        if groups[1].count(",") == 1 and groups[2] is None and kind not in _WHOLE_COMMAS:
            plain, point = digits.replace(",", ""), digits.replace(",", ".")
            raise QuantityError(
                f"{text!r} can be read as {plain} and as {point}",
                "a number without a comma",
                f"write {plain} or {point}",
            )
        digits = digits.replace(",", "")
    return float(digits)


def _unread(text: str, kind: str) -> QuantityError:
    return QuantityError(
        f"{_shown(text)} is not a number with a unit",
        f"{_article(kind)} such as {EXAMPLE[kind]!r}",
        "write the number, then the unit",
    )


def _shown(text: str) -> str:
    return repr(text if len(text) <= 60 else text[:57] + "...")


@lru_cache(maxsize=65536)
def parse_quantity(text: str, kind: str) -> float:
    """Read a quantity such as ``"6 ft 2 in"``, ``"1.8 m"``, ``"48 1/2 in"`` or ``"68 degF"``.

    Parameters
    ----------
    text
        A number with a unit. Lengths, masses and times may be said in several units, such as feet and
        inches. Numbers have a decimal point or a fraction; commas only as thousands, where that is sure.
    kind
        A key of :data:`SI_UNIT`.

    Returns
    -------
    float
        In the unit that :data:`SI_UNIT` names for this kind, always finite.

    Raises
    ------
    QuantityError
        A ValueError: there is no number, no unit, or a unit of another kind; the message says which.
    """
    if len(text) > _MAX_TEXT:
        raise _unread(text, kind)
    rest = text.translate(_GLYPHS).strip()
    sign = -1.0 if rest.startswith("-") else 1.0
    rest = rest[1:].lstrip() if rest[:1] in ("+", "-") else rest
    total, terms, coarser = 0.0, 0, math.inf
    while rest or not terms:
        match = _NUMBER.match(rest)
        if match is None:
            raise _unread(text, kind)
        value = _number(match, kind, text)
        rest = rest[match.end() :].lstrip()
        unit = rest
        if kind in _SUMS:
            word = _WORD.match(rest)
            unit = word[0] if word else rest
        rest = rest[len(unit) :].lstrip()
        slope, intercept = _line(_unit(unit, kind, text), kind)
        if slope >= coarser:
            found = f"{_shown(text)} has its units out of order"
            raise QuantityError(
                found, "the larger unit first, such as '6 ft 2 in'", "write one quantity only"
            )
        coarser = slope
        total += value * slope + (intercept if terms == 0 and sign > 0 else 0.0)
        total -= intercept if sign < 0 else 0.0
        terms += 1
    total = round(total * sign, 9) if kind == "temperature" else total * sign
    if not math.isfinite(total):
        raise QuantityError(f"{_shown(text)} is not a finite number", EXAMPLE[kind], "write a smaller number")
    return total


def _unit(spelled: str, kind: str, text: str) -> str:
    short = folded(spelled)
    known = unit_names()[kind]
    if short in known:
        return known[short]
    wanted = f"{_article(kind)} such as {EXAMPLE[kind]!r}"
    if not short:
        raise QuantityError(f"{_shown(text)} has no unit", wanted, f"add its unit, as in {EXAMPLE[kind]!r}")
    if re.search(r"\d", short) and kind in _SUMS:
        raise _unread(text, kind)
    others = [other for other, units in unit_names().items() if short in units]
    if others:
        raise QuantityError(f"{_shown(text)} is {_article(others[0])}", wanted, "check the unit")
    near = difflib.get_close_matches(short, known, n=1)
    nearest = f"write {near[0]!r} if that is meant" if near else f"use a unit as in {EXAMPLE[kind]!r}"
    raise QuantityError(f"{_shown(text)} has an unknown unit {spelled.strip()!r}", wanted, nearest)


def _article(kind: str) -> str:
    words = kind.replace("_", " ")
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"


@lru_cache(maxsize=65536)
def parse_size(text: str) -> Size:
    """Read ``"6 ft x 8 ft"`` or ``"30 x 40 in"``: height by width (by depth), height first.

    A part without a unit takes the unit of the last part, where that has but one. Words such as
    ``high``, ``wide`` and ``deep`` are read where they say the same order, and refused where they say
    another.
    QuantityError as for :func:`parse_quantity`; also where there are not two or three parts, or where
    one is not above zero.
    """
    return Size(*_sides(text, ("height", "width", "depth"), "6 ft x 8 ft"))


@lru_cache(maxsize=4096)
def parse_footprint(text: str) -> Size:
    """Read the width x depth of something that stands: the width as ``height_m``, the depth as ``width_m``.

    QuantityError as for :func:`parse_size`.
    """
    sides = _sides(text, ("width", "depth"), "14 in x 12 in")
    return Size(sides[0], sides[1])


def _sides(text: str, order: tuple[str, ...], example: str) -> list[float]:
    wanted = f"{' x '.join(order[:2])}, such as {example!r}"
    if len(text) > _MAX_TEXT:
        raise QuantityError(f"{_shown(text)} is too long for a size", wanted, "write only the size")
    parts = [
        part.strip()
        for part in _SIDES.split(re.sub(r"[()]", " ", text.translate(_GLYPHS)).strip())
        if part.strip()
    ]
    if not 2 <= len(parts) <= len(order):
        raise QuantityError(f"{_shown(text)} is not {' x '.join(order[:2])}", wanted, f"write {wanted}")
    labels: list[str | None] = []
    for place, part in enumerate(parts):
        labels.append(_label(part))
        parts[place] = _LABEL.sub("", part).strip()
    unit = re.search(r"(?<=[\d\s])[A-Za-z\"'][A-Za-z\"'.\s]*$", parts[-1])
    lone = [part for part in parts if not re.search(r"[A-Za-z\"']", part)]
    if unit is None or (lone and re.search(r"[A-Za-z\"']", parts[-1][: unit.start()])):
        raise QuantityError(f"{_shown(text)} has no unit", wanted, f"add the unit, as in {example!r}")
    metres = [parse_quantity(f"{part} {unit[0]}" if part in lone else part, "length") for part in parts]
    said = [label for label in labels if label]
    if any(label and label != meant for label, meant in zip(labels, order, strict=False)):
        right = (
            _in_order(dict(zip(labels, parts, strict=True)), order) if len(set(said)) == len(parts) else None
        )
        raise QuantityError(
            f"{_shown(text)} says {' before '.join(said)}",
            f"{' x '.join(order[: len(parts)])}, {order[0]} first",
            f"write {right!r}" if right else f"write the {order[0]} first",
        )
    if min(metres) <= 0:
        raise QuantityError(f"{_shown(text)} has a side that is not above zero", wanted, "measure it again")
    return metres


def _label(part: str) -> str | None:
    match = _LABEL.search(part)
    if match is None:
        return None
    return "height" if match[1] else "width" if match[2] else "depth"


def _in_order(parts: dict[str | None, str], order: tuple[str, ...]) -> str | None:
    return " x ".join(parts[side] for side in order if side in parts)


def show_length(metres: float, system: System) -> str:
    """A length as a person would say it: ``6 ft 2 in`` or ``1.88 m``."""
    if system == "si":
        return f"{metres:.2f} m" if abs(metres) >= 0.995 else f"{metres * 1000:.0f} mm"
    inches = round(metres / INCH_M * 2) / 2
    feet, rest = divmod(abs(inches), 12)
    sign = "-" if inches < 0 else ""
    if feet == 0:
        return f"{sign}{rest:g} in"
    return f"{sign}{feet:.0f} ft {rest:g} in" if rest else f"{sign}{feet:.0f} ft"


def show_size(size: Size, system: System) -> str:
    """A size, height x width."""
    sides = [size.height_m, size.width_m] + ([] if size.depth_m is None else [size.depth_m])
    return " x ".join(show_length(side, system) for side in sides)


def show_mass(kilograms: float, system: System) -> str:
    """A mass: ``73 kg`` or ``161 lb``."""
    if system == "si":
        return f"{kilograms:.0f} kg" if kilograms >= 10 else f"{kilograms:.1f} kg"
    return f"{kilograms / POUND_KG:.0f} lb"


def show_temperature(celsius: float, system: System) -> str:
    """A temperature: ``21.0 degC`` or ``69.8 degF``."""
    return f"{celsius:.1f} °C" if system == "si" else f"{celsius * 1.8 + 32:.0f} °F"


def show_temperature_difference(kelvin: float, system: System) -> str:
    """A difference of temperature: ``2.0 K`` or ``3.6 °F``."""
    return f"{kelvin:.1f} K" if system == "si" else f"{kelvin * 1.8:.1f} °F"

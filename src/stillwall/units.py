"""Quantities with units: read from text, kept as SI floats, shown in US or SI units.

The registry of pint is the only table of factors; it is made on first use, since it is slow to import.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

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

_ALIASES = (
    (re.compile(r"°\s*C|\bdeg\s*C\b|\bcelsius\b", re.I), "degC"),
    (re.compile(r"°\s*F|\bdeg\s*F\b|\bfahrenheit\b", re.I), "degF"),
    (re.compile(r"\bK\b"), "kelvin"),
    (re.compile(r"%\s*RH|%", re.I), "percent"),
    (re.compile(r"°"), "degree"),
    (re.compile(r"\bdeg\b", re.I), "degree"),
    (re.compile(r"\bklx\b"), "kilolux"),
    (re.compile(r"\bMlx\b"), "megalux"),
    (re.compile(r"\blx\b"), "lux"),
    (re.compile(r"\b(?:fc|foot-?candles?)\b", re.I), "(lumen / foot ** 2)"),
    (re.compile(r"\blbs\b"), "lb"),
    (re.compile(r"(?<=\d)\s*(?:″|”|\")"), " inch"),
    (re.compile(r"(?<=\d)\s*(?:′|’|')"), " foot"),
    (re.compile(r"\bins?\b\.?"), "inch"),
)
_NUMBER = r"[+-]?(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:\.\d+)?(?:[eE][+-]?\d+)?|\.\d+)"

_TIMES = re.compile(r"""\s*×\s*|(?<=[\d\s\w"'.])\s*\bx\s*(?=[\d.])|\s+x\s+|\s+by\s+""")


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


def _canonical(text: str) -> str:
    for pattern, name in _ALIASES:
        text = pattern.sub(name, text)
    return text.strip().rstrip(".")


def _number(text: str) -> float:
    total = 0.0
    for part in text.split():
        if "/" in part:
            top, bottom = part.split("/")
            total += float(top) / float(bottom)
        else:
            total += float(part)
    return total


@lru_cache(maxsize=4096)
def parse_quantity(text: str, kind: str) -> float:
    """Read a quantity such as ``"6 ft 2 in"``, ``"1.8 m"``, ``"48 1/2 in"`` or ``"68 degF"``.

    Parameters
    ----------
    text
        A number with a unit; feet may be followed by inches.
    kind
        A key of :data:`SI_UNIT`.

    Returns
    -------
    float
        In the unit that :data:`SI_UNIT` names for this kind, always finite.

    Raises
    ------
    ValueError
        If there is no number, no unit, or a unit of another kind; the message says which.
    """
    canonical = _canonical(text)
    target = SI_UNIT[kind]
    terms = re.findall(rf"({_NUMBER})\s*([A-Za-z(%][^+]*?)?(?=\s*{_NUMBER}\s*[A-Za-z(]|$)", canonical)
    joined = "".join(number + unit for number, unit in terms)
    if not terms or re.sub(r"\s", "", joined) != re.sub(r"\s", "", canonical):
        raise ValueError(f"{text!r} is not a number with a unit")
    total = 0.0
    for number, unit in terms:
        if not unit.strip():
            raise ValueError(f"{text!r} has no unit")
        try:
            value = _convert(_number(number), unit.strip(), kind, target)
        except Exception as error:
            raise ValueError(f"{text!r} is not {_article(kind)}") from error
        total += value
    if not abs(total) < float("inf"):
        raise ValueError(f"{text!r} is not a finite number")
    return total


def _convert(value: float, unit: str, kind: str, target: str) -> float:
    units = registry()
    if kind == "temperature_difference":
        unit = {"degC": "delta_degC", "degF": "delta_degF", "kelvin": "delta_degC"}.get(unit, unit)
    return float(units.Quantity(value, unit).to(target).magnitude)


def _article(kind: str) -> str:
    words = kind.replace("_", " ")
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"


@lru_cache(maxsize=4096)
def parse_size(text: str) -> Size:
    """Read ``"6 ft x 8 ft"`` or ``"30 x 40 in"``: height by width (by depth), height first.

    A part without a unit takes the unit of the last part. ValueError as for :func:`parse_quantity`;
    also where there are not two or three parts, or where one is not above zero.
    """
    parts = [
        part
        for part in re.split(r"\s*×\s*|(?<=[\d\s\w\"'.])\s*\bx\s*(?=[\d.])|\s+x\s+|\s+by\s+", text)
        if part
    ]
    if len(parts) not in (2, 3):
        raise ValueError(f"{text!r} is not height x width, such as '6 ft x 8 ft'")
    last_unit = re.search(r"[^\d\s./+\-][^\d]*$", parts[-1].strip())
    if last_unit is None:
        raise ValueError(f"{text!r} has no unit")
    whole = [part if re.search(r"[A-Za-z\"'′″]", part) else f"{part} {last_unit.group()}" for part in parts]
    metres = [parse_quantity(part.strip(), "length") for part in whole]
    if min(metres) <= 0:
        raise ValueError(f"{text!r} has a side that is not above zero")
    return Size(*metres)


def show_length(metres: float, system: System) -> str:
    """A length as a person would say it: ``6 ft 2 in`` or ``1.88 m``."""
    if system == "si":
        return f"{metres:.2f} m" if abs(metres) >= 0.995 else f"{metres * 1000:.0f} mm"
    inches = round(metres / 0.0254 * 2) / 2
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
    return f"{kilograms / 0.45359237:.0f} lb"


def show_temperature(celsius: float, system: System) -> str:
    """A temperature: ``21.0 degC`` or ``69.8 degF``."""
    return f"{celsius:.1f} °C" if system == "si" else f"{celsius * 1.8 + 32:.0f} °F"


def show_temperature_difference(kelvin: float, system: System) -> str:
    """A difference of temperature: ``2.0 K`` or ``3.6 °F``."""
    return f"{kelvin:.1f} K" if system == "si" else f"{kelvin * 1.8:.1f} °F"

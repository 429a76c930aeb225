"""Units as files write them, and the factors to the units in which a record is kept."""

# ruff: noqa: E501
from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from stillwall.logs.words import role_of
from stillwall.record import Floats, Role
from stillwall.units import registry

DEGREE = "[°º˚*¡ø\ufffd?'’^~]|Â°|�|Ã‚Â°"
_DEGREES = ("temperature", "dew_point", "surface_temperature")
FOOT_CANDLE = "lumen / foot ** 2"

_UNITS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(rf"^(?:{pattern})$", re.I), name)
    for pattern, name in (
        (
            rf"(?:{DEGREE})\s*c\.?|deg\.?\s*c\.?|degrees?\s*c(?:elsius)?|celsius|℃|°\s*celsius|grad\s*c(?:elsius)?|"
            r"grados?\s*c(?:elsius)?|gradi\s*c(?:elsius)?|graden\s*c(?:elsius)?|degres?\s*c(?:elsius)?|centigrade|"
            r"degrés?\s*c(?:elsius)?|stupne\s*c|stupně\s*c(?:elsia)?|gr\.?\s*c|degc|deg_c",
            "degC",
        ),
        (
            rf"(?:{DEGREE})\s*f\.?|deg\.?\s*f\.?|degrees?\s*f(?:ahrenheit)?|fahrenheit|℉|°\s*fahrenheit|"
            r"grad\s*f(?:ahrenheit)?|grados?\s*f(?:ahrenheit)?|degf|deg_f",
            "degF",
        ),
        (r"kelvin|deg\.?\s*k|°\s*k", "K"),
        (
            r"%\s*-?r\.?\s?[hfv]\.?|r\.?\s?[hfv]\.?\s*%|%\s*h\.?\s?r\.?|h\.?\s?r\.?\s*%|%\s*u\.?\s?r\.?|u\.?\s?r\.?\s*%|"
            r"%\s*rlf|pct\.?\s*rh|%\s*rel\.?\s*(?:hum|feuchte|f)\.?|percent_rh|pctrh|percent\s*rh|%\s*r\.?l\.?f\.?",
            "%RH",
        ),
        (
            r"%|pct\.?|percent|per\s*cent|prozent|pour\s*cent|por\s*ciento|per\s*cento|procent|procento|procenta|%\s*rel\.?",
            "%",
        ),
        (
            r"fraction|frac|0\s*[-–.]{1,2}\s*1|0\s*(?:to|bis|a)\s*1|anteil|ratio|unitless fraction|part of 1",
            "fraction",
        ),
        (r"klx|klux|kilolux|k\s?lx", "klx"),
        (r"lx|lux|luxes|lm\s*/\s*m(?:²|\^?2)|lumens?\s*/\s*m(?:²|\^?2)", "lx"),
        (r"100\s*lx|hlx|hundreds of lux", "hlx"),
        (
            r"fc|f\.c\.|ft\.?\s*-?\s*cd?l?|foot[\s-]?candles?|lm\s*/\s*ft(?:²|\^?2)|lumens?\s*/\s*(?:ft|foot|sq ft)(?:²|\^?2)?",
            "fc",
        ),
        (
            r"[uµμ]w\s*/\s*(?:lm|lumen)|[uµμ]w\s*(?:per|pro)\s*(?:lm|lumen)|[uµμ]w\s*(?:·|\.)?\s*lm\^?-1|microwatts?\s*/\s*lumen",
            "uW/lm",
        ),
        (r"mw\s*/\s*m(?:²|\^?2|2)|mw\s*m\^?-2|mw\s*per\s*m2", "mW/m2"),
        (r"[uµμ]w\s*/\s*cm(?:²|\^?2)", "uW/cm2"),
        (r"w\s*/\s*m(?:²|\^?2)|w\s*m\^?-2", "W/m2"),
        (r"c", "C?"),
        (r"f", "F?"),
        (r"k", "K?"),
    )
)

_OTHER = re.compile(
    r"^(?:[mkh]?pa|m?bar|psi|mm\s*hg|in\.?\s*hg|atm|torr|ppm|ppb|mg/l|g/m[³3]|g/kg|kg/kg|g/m\^3|m?v(?:olts?|dc)?|m?a|ma|w|"
    r"kwhr?/m\^?2|cd/m\^?2|db\w*|m/s|km/h|mph|kn|deg(?:rees)?|feet|ft|m|mm|cm|in|l|s|sec|min|h|hr|hrs|kj/kg|hz|"
    r"mmol.*|umol.*|µmol.*|code|tenths|deg from n|°|µg/m[³3]|ug/m3|bq/m[³3]|aw|index|mm/h|gon|counts?)$",
    re.I,
)

CONVERTED: Mapping[Role, frozenset[str]] = {
    "temperature": frozenset({"degC", "degF", "K"}),
    "dew_point": frozenset({"degC", "degF", "K"}),
    "surface_temperature": frozenset({"degC", "degF", "K"}),
    "humidity": frozenset({"%", "fraction"}),
    "light": frozenset({"lx", "klx", "hlx", "fc"}),
    "ultraviolet": frozenset({"uW/lm", "mW/m2", "uW/cm2", "W/m2"}),
}
"""Units in which a file may give a role."""

_PINT = {
    "degF": "degF", "K": "kelvin", "fraction": "dimensionless", "klx": "kilolux", "hlx": "hectolux",
    "fc": FOOT_CANDLE, "uW/cm2": "uW / cm ** 2", "W/m2": "W / m ** 2",
}  # fmt: skip
_KEPT_PINT = {"degC": "degC", "%": "percent", "lx": "lux", "mW/m2": "mW / m ** 2"}


@lru_cache(maxsize=4096)
def unit_of(text: str) -> str | None:
    """The unit that a text is, in this module's spelling; ``other`` for a known unit of another quantity.

    ``C?``, ``F?`` and ``K?`` are single letters that are units only beside a word that fits.
    """
    bare = text.strip().strip("()[]{}").strip()
    if not bare:
        return None
    for pattern, name in _UNITS:
        if pattern.match(bare):
            return name
    return "other" if _OTHER.match(bare) else None


@lru_cache(maxsize=4096)
def split_unit(header: str) -> tuple[str, str | None]:
    """Name and unit of a header cell such as ``Temp. (°C)``, ``RH, %`` or ``Lux``."""
    text = header.strip().strip('"').strip()
    for inside in reversed(re.findall(r"[(\[{<]([^()\[\]{}<>]*)[)\]}>]", text)):
        unit = unit_of(inside)
        if unit is None and "," in inside:
            unit = unit_of(inside.split(",")[0])
        if unit is not None:
            name = text.replace(inside, " ", 1)
            return re.sub(r"[(\[{<]\s*[)\]}>]", " ", name).strip(" ,;:-/_"), _settled(unit, bracketed=True)
    without = re.sub(r"[(\[{][^()\[\]{}]*[)\]}]", " ", text)
    parts = [
        part.strip()
        for part in re.split(r",|;|:|/(?!\s*(?:lm|m|cm|ft|lumen))|\s-\s|\bin\b|\s{2,}|\|", without)
    ]
    for position in range(len(parts) - 1, 0, -1):
        unit = unit_of(parts[position])
        if unit is not None and parts[position]:
            name = " ".join(parts[:position] + parts[position + 1 :])
            return name, _settled(unit, bracketed=True)
    bits = without.replace("_", " ").split()
    for size in (2, 1):
        if len(bits) > size:
            unit = unit_of(" ".join(bits[-size:]))
            rest = " ".join(bits[:-size])
            if unit in ("C?", "F?", "K?") and role_of(rest, None) not in _DEGREES:
                continue
            if unit is not None and unit != "other":
                return rest, _settled(unit, bracketed=True)
    unit = unit_of(without)
    if unit is not None and unit not in ("other", "C?", "F?", "K?"):
        return text, unit
    glued = re.match(r"^(.*?[a-zA-Z.])(°C|°F|degC|degF|%RH|%rF|%)$", without.strip())
    if glued:
        return glued[1], unit_of(glued[2])
    camel = re.match(
        r"^(t|temp|temperature|airtemp|tair|temperatur|dewpoint|td)_?([CFK])$", without.strip(), re.I
    )
    if camel and camel[2].isupper():
        return camel[1], _settled(f"{camel[2]}?", bracketed=True)
    return text, None


def _settled(unit: str, *, bracketed: bool) -> str:
    if unit == "%RH":
        return unit
    return settled(unit) if bracketed or unit != "K?" else "other"


def settled(unit: str) -> str:
    """A unit as it is converted: a letter taken as degrees, percent of what it says."""
    return _SETTLED.get(unit, unit)


_SETTLED = {"C?": "degC", "F?": "degF", "K?": "K", "%RH": "%"}


@lru_cache(maxsize=64)
def _line(unit: str, kept: str) -> tuple[float, float]:
    """Offset and slope from a unit of a file to the one kept."""
    units = registry()
    zero, one = (
        float(units.Quantity(value, _PINT[unit]).to(_KEPT_PINT[kept]).magnitude) for value in (0.0, 1.0)
    )
    return zero, one - zero


def kept_unit(role: Role, unit: str) -> str:
    """The unit in which a role that a file gives in ``unit`` is kept."""
    if role == "ultraviolet":
        return "uW/lm" if unit == "uW/lm" else "mW/m2"
    return {"humidity": "%", "light": "lx"}.get(role, "degC")


def convert(values: Floats, role: Role, unit: str) -> Floats:
    """Readings in a file's unit, in the unit that is kept."""
    kept = kept_unit(role, unit)
    if unit == kept:
        return values
    zero, slope = _line(unit, kept)
    if unit == "degF":
        made: Floats = (values - 32.0) / 1.8
        return made
    if unit == "K":
        return values + zero
    return values * np.float64(slope) + np.float64(zero)

"""What the words of a header say: a quantity, a time, a running number, a statistic."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from itertools import pairwise

from stillwall.logs.vocabulary import (
    COUNTER_WORDS,
    DEW_POINT,
    HUMIDITY,
    INTENSITY,
    LIGHT,
    OTHER_QUANTITY,
    STATISTICS,
    SURFACE,
    TEMPERATURE,
    TIME_WORDS,
    ULTRAVIOLET,
)
from stillwall.record import Role

NUMBERED = re.compile(
    r"^(?:ch|chan|channel|col|column|field|val|value|sensor|probe|in|input|kanal|spalte|wert|messwert|fuhler|voie|"
    r"canal|colonne|valeur|capteur|columna|valor|canale|colonna|valore|sensore|kanaal|kolom|waarde|sloupec|"
    r"hodnota|senzor|cidlo|ain|ai|a|v|x|y|c|s)?[ ._#:-]*\d{1,3}$"
)


@lru_cache(maxsize=8192)
def plain(text: str) -> str:
    """Small letters without accents; blanks made single."""
    text = text.replace("ß", "ss").replace("µ", "u").replace("μ", "u")
    stripped = unicodedata.normalize("NFKD", text)
    letters = "".join(char for char in stripped if not unicodedata.combining(char))
    return re.sub(r"\s+", " ", letters).strip().lower()


@lru_cache(maxsize=8192)
def words(text: str) -> tuple[str, ...]:
    """Words of a header cell: camel case and digits parted (``RelHumidity2`` gives rel, humidity, 2)."""
    spaced = re.sub(r"(?<=[a-zà-ž])(?=[A-Z])|(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])", " ", text)
    return tuple(re.findall(r"[a-z]+|\d+|[#%]", plain(spaced)))


def names_time(text: str) -> bool:
    """Whether a header cell names a date or a time."""
    found = words(text)
    whole = "".join(found)
    return any(word in TIME_WORDS and word != "t" for word in found) or whole in TIME_WORDS


def names_counter(text: str) -> bool:
    """Whether a header cell names a running number."""
    found = plain(text)
    return found in COUNTER_WORDS or (bool(found) and words(text)[:1] == ("unnamed",))


def statistic_of(text: str) -> str | None:
    """``mean``, ``highest``, ``lowest`` or ``spread`` where a header says that its column is one."""
    found = words(text)
    for kind, known in reversed(STATISTICS):
        if any(word in known for word in found):
            return kind
    return None


def without_statistic(text: str) -> tuple[str, ...]:
    """The words of a header that do not speak of a statistic; each once."""
    known = frozenset().union(*(names for _, names in STATISTICS))
    return tuple(dict.fromkeys(word for word in words(text) if word not in known))


def role_of(name: str, unit: str | None) -> Role | None:
    """Role that a header's words, with its unit where it has one, give a column; None where they give none.

    ``unit`` is a unit as :func:`stillwall.logs.quantities.unit_of` writes it.
    """
    text = plain(name)
    found = words(name)
    compact = "".join(found)
    if unit == "%RH":
        return "humidity" if not any(stem in text for stem in DEW_POINT) else None
    if unit is not None and unit.startswith("other"):
        return None
    if any(stem in text for stem in DEW_POINT) or found[:1] in (("td",), ("dp",)) or "dewpt" in compact:
        return None if unit in ("%", "fraction", "lx") else "dew_point"
    if "uv" in found or any(stem in text for stem in ULTRAVIOLET):
        return "ultraviolet" if "index" not in found else None
    if _names_other(text, found):
        return None
    if any(stem in text for stem in HUMIDITY) or _short_humidity(found, unit):
        return "humidity" if unit in (None, "%", "fraction") else None
    if compact in ("temps", "tempo"):
        return None
    if any(stem in text for stem in TEMPERATURE) or _short_temperature(found, unit):
        if unit not in (None, "degC", "degF", "K"):
            return None
        return "surface_temperature" if any(stem in text for stem in SURFACE) else "temperature"
    if any(stem in text for stem in (*LIGHT, *INTENSITY)):
        if unit in ("lx", "klx", "fc", "hlx"):
            return "light"
        return "light" if unit is None and any(stem in text for stem in LIGHT) else None
    return _by_unit(unit, name)


def _by_unit(unit: str | None, name: str) -> Role | None:
    if unit in ("degC", "degF"):
        return "temperature"
    if unit in ("lx", "klx", "fc", "hlx"):
        return "light"
    if unit in ("uW/lm",):
        return "ultraviolet"
    if unit == "%" and re.search(r"r\.?\s?[hfv]|h\.?\s?r|u\.?\s?r", plain(name)):
        return "humidity"
    return None


def _names_other(text: str, found: tuple[str, ...]) -> bool:
    for word in OTHER_QUANTITY:
        if len(word) <= 5:
            if word in found:
                return True
        elif word in text:
            return True
    return "abs" in found and any(stem in text for stem in HUMIDITY)


def _short_humidity(found: tuple[str, ...], unit: str | None) -> bool:
    short = {"rh", "rf", "rv", "rlf", "hum", "hygro", "rhe", "rhi", "hrel", "rhin", "rhout"}
    if any(word in short for word in found) or "".join(found) in short:
        return True
    if any(first + second in ("rh", "rf", "rv") for first, second in pairwise(found)):
        return True  # camel case has parted them
    if unit in ("%", "fraction"):
        return bool({"hr", "ur", "h", "u", "f", "phi", "r", "rel"} & set(found))
    letters = [word for word in found if word.isalpha()]
    return letters[-1:] in (["hr"], ["ur"]) and not {"time", "zeit", "hour", "per", "quantity"} & set(found)


def _short_temperature(found: tuple[str, ...], unit: str | None) -> bool:
    short = {"t", "ta", "te", "ti", "tair", "tamb", "tmp", "tc", "tf", "tin", "tout", "tl", "tr", "theta"}
    if unit in ("degC", "degF", "K"):
        return bool(short & set(found)) or unit != "K"
    if unit is not None or not found:
        return False
    letters = [word for word in found if word.isalpha()]
    return found[0] in short or (len(found) <= 4 and letters[-1:] == ["t"] and len(letters[0]) <= 2)

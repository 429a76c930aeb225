"""Numbers as files write them: which mark is decimal, and text columns turned into floats."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from stillwall.logs.arrow import Array, pa, pc
from stillwall.logs.vocabulary import UNUSED_MARKS
from stillwall.record import Floats

Decimal = Literal["comma", "point"]
BOTH = "both decimal commas and decimal points are used"
_NONE = np.zeros(0, np.int64)
_TRIED = 64
_SUFFIX = r"\s*(?:%\s?(?:RH|rF|rH|HR|UR|r\.F\.)?|°\s?[CFcf]|º\s?[CF]|lx|lux|Lux|deg ?[CF]|K)$"
_BETWEEN = re.compile(r"[\s\u00a0\u202f'’]")
_BEHIND = re.compile(r"(?:%.*|°.*|[A-Za-z ]+)$")
_CLEAN = {
    "point": r"^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$",
    "comma": r"^[+-]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?$",
}
_THOUSANDS = {
    "point": r"^[+-]?\d{1,3}(?:,\d{3})+(?:\.\d*)?$",
    "comma": r"^[+-]?\d{1,3}(?:\.\d{3})+(?:,\d*)?$",
}


@lru_cache(maxsize=1)
def marks() -> Array:
    """Texts that stand where no reading is. Made when first asked for: pyarrow loads pandas for it."""
    return pa.array(sorted(set(UNUSED_MARKS)))


@dataclass(frozen=True, slots=True, eq=False)
class Converted:
    """Values of a text column, NaN where a cell holds no reading.

    ``bad`` are rows of cells that hold digits and yet are no number; ``words`` rows of cells of letters.
    """

    values: Floats
    bad: np.ndarray
    words: np.ndarray


def decimal_of(columns: Iterable[Sequence[str]]) -> tuple[Decimal | None, str]:
    """The decimal mark of a file, from cells of its columns of readings.

    With what tells it; a point and no reason where no cell has a mark. None with the reason where the
    cells fit both, or speak for both.
    """
    comma = point = 0
    doubtful = ""
    for cells in columns:
        bare = [_BEHIND.sub("", _BETWEEN.sub("", cell)).lstrip("+-−") for cell in cells]
        sure_comma = [cell for cell in bare if _sure(cell, ",", ".")]
        sure_point = [cell for cell in bare if _sure(cell, ".", ",")]
        comma += len(sure_comma)
        point += len(sure_point)
        if not sure_comma and not sure_point:
            three = [cell for cell in bare if re.fullmatch(r"\d{1,3},\d{3}", cell)]
            if three:
                whole = [cell for cell in bare if cell.isdigit()]
                if not whole or (
                    any(re.fullmatch(r"\d{1,3}(?:,\d{3}){2,}", cell) for cell in bare)
                    or max(map(int, whole)) >= 1
                ):
                    doubtful = doubtful or three[0]
    if comma and point:
        return None, f"{BOTH} ({comma} commas, {point} points)"
    if comma or point:
        return ("comma" if comma else "point"), "cells"
    if doubtful:
        return None, f"{doubtful!r} may be a decimal comma or a mark of thousands"
    return "point", ""


def _sure(cell: str, mark: str, other: str) -> bool:
    """Whether ``mark`` can only be decimal in this cell."""
    if cell.count(mark) != 1:
        return False
    whole, part = cell.split(mark)
    if other in part:
        return False
    if other in whole:
        return re.fullmatch(rf"\d{{1,3}}(?:{re.escape(other)}\d{{3}})+", whole) is not None and part.isdigit()
    return (len(part) != 3 or whole in ("", "0") or len(whole) > 3) and (whole + part).isdigit()


def to_floats(column: Array, decimal: Decimal) -> Converted:
    """Turn a text column into floats.

    Marks of thousands, padding blanks, plus signs and a unit written behind each number are allowed.
    """
    array = column.combine_chunks() if isinstance(column, pa.ChunkedArray) else column
    array = array.cast(pa.string())
    hopeful = decimal == "point" and not array.null_count and _cast(array[:_TRIED]) is not None
    plainly = _cast(array) if hopeful else None
    if plainly is not None and not np.isinf(plainly).any():
        return Converted(plainly, _NONE, _NONE)
    array = pc.ascii_trim_whitespace(pc.fill_null(array, ""))
    known = pc.invert(pc.is_in(array, value_set=marks()))
    quick = _quick(array, known, decimal)
    if quick is not None:
        return Converted(quick, _NONE, _NONE)
    array = pc.utf8_trim_whitespace(array)
    known = pc.invert(pc.is_in(array, value_set=marks()))
    fine = pc.match_substring_regex(array, _CLEAN[decimal])
    odd = pc.and_(known, pc.invert(fine))
    if pc.any(odd).as_py():
        tidied = pc.replace_substring(array, "\u2212", "-")
        tidied = _of_one_unit(tidied)
        tidied = pc.replace_substring_regex(tidied, _SUFFIX, "")
        tidied = pc.replace_substring_regex(tidied, r"(\d)[\s\x{00A0}\x{202F}\x{2009}'’](\d)", r"\1\2")
        grouped = pc.match_substring_regex(tidied, _THOUSANDS[decimal])
        ungrouped = pc.replace_substring(tidied, "," if decimal == "point" else ".", "")
        tidied = pc.if_else(grouped, ungrouped, tidied)
        array = pc.if_else(odd, pc.utf8_trim_whitespace(tidied), array)
        known = pc.and_(known, pc.invert(pc.is_in(array, value_set=marks())))
        fine = pc.match_substring_regex(array, _CLEAN[decimal])
    usable = pc.and_(known, fine)
    text = pc.if_else(usable, array, None)
    if decimal == "comma":
        text = pc.replace_substring(text, ",", ".")
    values = np.asarray(pc.fill_null(text.cast(pa.float64()), np.nan).to_numpy(zero_copy_only=False))
    left = pc.and_(known, pc.invert(fine))
    bad = words = _NONE
    if pc.any(left).as_py():
        digits = pc.match_substring_regex(array, r"\d")
        bad = np.flatnonzero(pc.and_(left, digits).to_numpy(zero_copy_only=False))
        words = np.flatnonzero(pc.and_(left, pc.invert(digits)).to_numpy(zero_copy_only=False))
    return Converted(values, bad, words)


def _of_one_unit(array: Array) -> Array:
    """Cells whose unit is not that of most are left so that they cannot be read as numbers."""
    kinds = [pc.match_substring_regex(array, rf"(?:[°º] ?|deg ?){letters}$") for letters in ("[Cc]", "[Ff]")]
    kinds.append(pc.match_substring_regex(array, r"\d\s*K$"))
    counts = [pc.sum(kind).as_py() or 0 for kind in kinds]
    usual = counts.index(max(counts))
    for place, (kind, count) in enumerate(zip(kinds, counts, strict=True)):
        if count and place != usual:
            array = pc.if_else(kind, pc.binary_join_element_wise(array, "among others", " "), array)
    return array


def _quick(array: Array, known: Array, decimal: Decimal) -> Floats | None:
    """All cells at once, where every one is a plain number or a mark; None where some are not."""
    text = pc.if_else(known, array, None)
    if decimal == "comma":
        if pc.any(pc.match_substring(text, ".")).as_py():
            return None
        text = pc.replace_substring(text, ",", ".", max_replacements=1)
    return _cast(text)


def _cast(text: Array) -> Floats | None:
    """Numbers of cells that are all plain ones or null."""
    try:
        made: Floats = np.asarray(
            pc.fill_null(text.cast(pa.float64()), np.nan).to_numpy(zero_copy_only=False)
        )
    except pa.ArrowInvalid:
        return None
    return made

"""A column of written stamps, row by row: each layout read for all its rows at once, at the same places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillwall.logs.arrow import Array, pa, pc
from stillwall.logs.dates import DAY_S, NO_OFFSET, Ints, Mask, Stamps, century
from stillwall.logs.stamps import Layout, Span, layout_of

LONGEST = 48
MOST_LAYOUTS = 400
_ROUNDS = 14


def no_stamps(count: int) -> Stamps:
    """As many rows without any."""
    return Stamps(
        np.zeros((3, count), np.int32).T,
        np.zeros(count, bool),
        np.zeros(count, bool),
        np.full(count, NO_OFFSET, np.int32),
        np.zeros(count, np.int64),
        np.zeros(count, bool),
        False,
        False,
        False,
        0,
    )


def characters(array: Array) -> NDArray[np.uint8]:
    """The bytes of short texts, one row each, padded by blanks; longer ones than a stamp become blank."""
    array = pc.fill_null(array.cast(pa.string()), "")
    lengths = pc.binary_length(array)
    longest = pc.max(lengths).as_py() or 0
    if longest > LONGEST:
        array = pc.if_else(pc.greater(lengths, LONGEST), "", array)
        lengths = pc.binary_length(array)
        longest = pc.max(lengths).as_py() or 0
    if longest == 0:
        return np.full((len(array), 1), 32, np.uint8)
    if pc.min(lengths).as_py() != longest:
        array = _padded(array, lengths, longest)
    offsets = np.frombuffer(array.buffers()[1], np.int32)[array.offset : array.offset + len(array) + 1]
    data = np.frombuffer(array.buffers()[2], np.uint8)[offsets[0] : offsets[-1]]
    return data.reshape(len(array), longest)


def _padded(array: Array, lengths: Array, longest: int) -> Array:
    blanks = pa.array([" " * size for size in range(longest + 1)])
    missing = pc.subtract(pa.scalar(longest, pa.int32()), lengths)
    return pc.binary_join_element_wise(array, blanks.take(missing), "")


def read_by_row(array: Array) -> Stamps:
    """Read texts, each by itself. Rows that are no stamps have ``read`` false."""
    array = array.cast(pa.string())
    places = np.ascontiguousarray(characters(array).T)
    if places.max(initial=0) > 127:
        for wide in ("\u202f", "\u00a0", "\u2009"):
            array = pc.replace_substring(array, wide, " ")
        places = np.ascontiguousarray(characters(array).T)
    if not len(array):
        return no_stamps(0)
    return read_places(places, families(places))


def read_places(places: NDArray[np.uint8], found: Sequence[Family]) -> Stamps:
    """Read stamps from their characters, one line for each place, and their layouts."""
    made = no_stamps(places.shape[1])
    top_hour = 0
    for family in found:
        top_hour = max(top_hour, _fill(made, places, family))
    return replace(
        made,
        has_date=any(family.layout.has_date for family in found),
        has_time=any(family.layout.has_time for family in found),
        half_day=any(family.layout.half is not None for family in found),
        top_hour=top_hour,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Family:
    """Rows whose parts stand at the same places; they may differ in half of the day and in month's name."""

    rows: Ints | slice
    layout: Layout
    half: NDArray[np.int32] | int
    month: NDArray[np.int32] | int


def families(places: NDArray[np.uint8]) -> list[Family]:
    """Rows by layout. ``places`` holds the characters of all rows, one line for each place."""
    codes, templates = _templates(places)
    by_spans: dict[Layout, list[tuple[int, Layout]]] = {}
    for code, template in enumerate(templates):
        layout = layout_of(template)
        if layout is not None:
            same = replace(
                layout,
                half=None if layout.half is None else 0,
                month_number=None if layout.month_number is None else 0,
            )
            by_spans.setdefault(same, []).append((code, layout))
    made: list[Family] = []
    for same, members in by_spans.items():
        if codes is None:
            return [Family(slice(None), same, members[0][1].half or 0, members[0][1].month_number or 0)]
        half, month = np.zeros(len(templates), np.int32), np.zeros(len(templates), np.int32)
        belongs = np.zeros(len(templates), bool)
        for code, layout in members:
            half[code], month[code], belongs[code] = layout.half or 0, layout.month_number or 0, True
        rows: Ints | slice = slice(None) if belongs[codes].all() else np.flatnonzero(belongs[codes])
        own = codes[rows]
        made.append(Family(rows, same, half[own], month[own]))
    return made


def _templates(places: NDArray[np.uint8]) -> tuple[NDArray[np.uint16] | None, list[str]]:
    """Templates (a text with each digit made ``0``, without blanks at the end), and which one each row has.

    None for the rows where all have the same. Of very many templates some are kept; the others are an
    empty text.
    """
    length, count = places.shape
    first = np.empty(length, np.uint8)
    mixed: list[int] = []
    for place in range(length):
        line = places[place]
        low, high = int(line.min()), int(line.max())
        if low >= 48 and high <= 57:
            first[place] = 48
        elif low == high:
            first[place] = low
        else:
            mixed.append(place)
    if not mixed:
        return None, [_text(first)]
    classes = places[mixed]
    classes = np.where((classes - np.uint8(48)) < 10, np.uint8(48), classes)
    codes = np.zeros(count, np.int64)
    kinds: list[NDArray[np.uint8]] = []
    left: Ints | slice = slice(None)
    while (size := count if isinstance(left, slice) else len(left)) and len(kinds) < _ROUNDS:
        here = classes[:, left]
        kind = here[:, size // 2]
        same = (here == kind[:, None]).all(axis=0)
        codes[left] = np.where(same, len(kinds), -1)
        kinds.append(kind)
        left = np.flatnonzero(codes == -1)
    if not isinstance(left, slice) and len(left):
        rare, which = np.unique(classes[:, left], axis=1, return_inverse=True)
        rare = rare[:, :MOST_LAYOUTS]
        codes[left] = len(kinds) + np.minimum(which.ravel(), MOST_LAYOUTS)
        kinds += list(rare.T)
    templates: list[str] = []
    for kind in kinds:
        first[mixed] = kind
        templates.append(_text(first))
    return codes.astype(np.uint16), [*templates, ""]


def _text(template: NDArray[np.uint8]) -> str:
    return template.tobytes().decode("latin-1").rstrip(" ")


def _number(places: NDArray[np.uint8], rows: Ints | slice, span: Span) -> NDArray[np.int32]:
    """The number that stands at some places of every row."""
    start, end = span
    total: NDArray[np.int32] = places[start][rows].astype(np.int32)
    for place in range(start + 1, end):
        total *= 10
        total += places[place][rows]
    total -= 48 * ((10 ** (end - start) - 1) // 9)
    return total


def _fill(made: Stamps, places: NDArray[np.uint8], family: Family) -> int:
    rows, layout = family.rows, family.layout
    good: Mask | None = None
    top = 0
    if layout.parts is not None:
        for part, span in enumerate(layout.parts):
            made.parts[rows, part] = _number(places, rows, span)
        made.open_order[rows] = True
    elif layout.year is not None and layout.day is not None:
        year = _number(places, rows, layout.year)
        if layout.year[1] - layout.year[0] == 2:
            year = century(year)
        made.parts[rows, 0] = year
        made.parts[rows, 2] = _number(places, rows, layout.day)
        if layout.order == "doy":
            made.day_of_year[rows] = True
        elif layout.month is not None:
            made.parts[rows, 1] = _number(places, rows, layout.month)
        else:
            made.parts[rows, 1] = family.month
    if layout.hour is not None:
        hour = _number(places, rows, layout.hour)
        minute = np.int32(0) if layout.minute is None else _number(places, rows, layout.minute)
        second = np.int32(0) if layout.second is None else _number(places, rows, layout.second)
        top = int(hour.max(initial=0))
        if layout.half is not None:
            if top > 12 or hour.min(initial=1) < 1:
                good = (hour >= 1) & (hour <= 12)
            hour = np.where(hour == 12, np.int32(0), hour) + np.int32(12) * family.half
        whole = hour * 3600 + minute * 60 + second
        made.second[rows] = whole
        if np.max(minute) >= 60 or np.max(second) >= 61 or whole.max(initial=0) > DAY_S:
            fits = (minute < 60) & (second < 61) & (whole <= DAY_S)
            good = fits if good is None else good & fits
    if layout.offset is not None:
        made.offset_min[rows] = _offsets(places, rows, layout.offset)
    elif layout.offset_min is not None:
        made.offset_min[rows] = layout.offset_min
    made.read[rows] = True if good is None else good
    return top


def _offsets(places: NDArray[np.uint8], rows: Ints | slice, span: Span) -> NDArray[np.int32]:
    first = 0 if isinstance(rows, slice) else int(rows[0])
    text = bytes(places[span[0] : span[1], first])
    digits = [span[0] + place for place, char in enumerate(text) if 48 <= char <= 57]
    sign = -1 if b"-" in text else 1
    hours = digits[:2] if len(digits) in (2, 4) else digits[:1]
    minutes = digits[len(hours) :]
    total = _number(places, rows, (hours[0], hours[-1] + 1)) * 60
    if minutes:
        total = total + _number(places, rows, (minutes[0], minutes[-1] + 1))
    made: NDArray[np.int32] = sign * total
    return made

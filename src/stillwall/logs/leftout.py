"""Columns left out because the quantity is read from another one: statistics, the instrument's own warmth."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stillwall.logs.quantities import split_unit
from stillwall.logs.sensors import Column, serial_number
from stillwall.logs.vocabulary import AIR_WORDS
from stillwall.logs.words import statistic_of, without_statistic, words


def one_ultraviolet(found: Sequence[Column]) -> tuple[list[Column], list[str]]:
    """Of ultraviolet in both units, the share of the light is read."""
    shares = [column for column in found if column.role == "ultraviolet" and column.unit == "uW/lm"]
    others = [column for column in found if column.role == "ultraviolet" and column.unit != "uW/lm"]
    if not shares or not others:
        return list(found), []
    names = ", ".join(column.header for column in others)
    return [column for column in found if column not in others], [f"left out beside uW/lm: {names}"]


def without_statistics(found: Sequence[Column], forced: Mapping[int, str]) -> tuple[list[Column], list[str]]:
    """Leave out columns of a statistic where the reading itself is there, else keep the mean."""
    groups: dict[tuple[str, ...], list[Column]] = {}
    for column in found:
        groups.setdefault((column.role, *without_statistic(split_unit(column.header)[0])), []).append(column)
    made: list[Column] = []
    notes: list[str] = []
    for columns in groups.values():
        kinds = [
            None if column.place in forced else statistic_of(split_unit(column.header)[0])
            for column in columns
        ]
        plainly = [column for column, kind in zip(columns, kinds, strict=True) if kind is None]
        means = [column for column, kind in zip(columns, kinds, strict=True) if kind == "mean"]
        if plainly:
            made += plainly
        elif means:
            made += means
            notes.append(f"{means[0].header!r} holds means over the interval")
        left = [column.header for column in columns if column not in made]
        if left:
            notes.append(f"left out as statistics: {', '.join(left)}")
    return sorted(made, key=lambda column: column.place), notes


def without_instruments(found: Sequence[Column], forced: Mapping[int, str]) -> tuple[list[Column], list[str]]:
    """Where one temperature is called the air's, leave out others of the same logger, which are not."""
    same = [column for column in found if column.role == "temperature" and column.place not in forced]
    air = [column for column in same if set(words(column.header)) & AIR_WORDS]
    if len(air) != 1 or len(same) < 2:
        return list(found), []
    serial = serial_number(air[0].header)
    left = [
        column
        for column in same
        if column is not air[0] and (serial is None or serial_number(column.header) == serial)
    ]
    if not left:
        return list(found), []
    names = ", ".join(column.header for column in left)
    note = f"{air[0].header!r} is the air's; left out: {names} (name one in columns to use it)"
    return [column for column in found if column not in left], [note]

"""Columns of readings, and the names of their sensors."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stillwall.logs.quantities import split_unit
from stillwall.logs.words import role_of, words
from stillwall.record import Role


@dataclass(frozen=True, slots=True)
class Column:
    """One column of readings."""

    place: int
    header: str
    role: Role
    unit: str
    unit_told: bool
    sensor: str | None = None


def serial_number(text: str) -> str | None:
    """The serial number that a header names."""
    found = re.search(r"(?:S/?N|serial|seriennummer|numero de serie)[ .:#]*([A-Za-z0-9-]{3,})", text, re.I)
    return found[1] if found else None


def label_sensors(found: Sequence[Column], groups: Sequence[str]) -> list[Column]:
    """Give each of several columns of one role the name of its sensor."""
    by_role: dict[Role, list[Column]] = {}
    for column in found:
        by_role.setdefault(column.role, []).append(column)
    if all(len(columns) == 1 for columns in by_role.values()):
        return list(found)
    labels: dict[int, str] = {}
    known: dict[str, str] = {}
    for columns in by_role.values():
        if len(columns) > 1:
            for column, label in zip(columns, _labels(columns, groups), strict=True):
                labels[column.place] = label
                known.setdefault(label.lower(), label)
    for columns in by_role.values():
        if len(columns) == 1:
            bits = [bit.lower() for bit in _segments(columns[0].header)] + list(words(columns[0].header))
            if groups and columns[0].place < len(groups) and groups[columns[0].place].lower() in known:
                bits.insert(0, groups[columns[0].place].lower())
            match = next((known[bit] for bit in bits if bit in known), None)
            if match is not None:
                labels[columns[0].place] = match
    return [replace(column, sensor=labels.get(column.place)) for column in found]


def _segments(header: str) -> list[str]:
    name = re.sub(r"[(\[].*?[)\]]", " ", split_unit(header)[0])
    return [bit for bit in re.split(r"[\s_\-/.,:;@|]+", name) if bit]


def _labels(columns: Sequence[Column], groups: Sequence[str]) -> list[str]:
    if groups and all(column.place < len(groups) and groups[column.place] for column in columns):
        named = [groups[column.place] for column in columns]
        if len(set(named)) == len(named):
            return named
    bits = [_segments(column.header) for column in columns]
    common = set.intersection(*(set(bit) for bit in bits))
    rest = [" ".join(part for part in bit if part not in common) for bit in bits]
    if len(set(rest)) == len(rest) and all(rest):
        stripped = [_without_role(label, column.role) for label, column in zip(rest, columns, strict=True)]
        return stripped if len(set(stripped)) == len(stripped) else rest
    serials = [serial_number(column.header) for column in columns]
    if None not in serials and len(set(serials)) == len(serials):
        return [str(serial) for serial in serials]
    if len(set(rest)) == len(rest):
        return [label or str(number) for number, label in enumerate(rest, 1)]
    return [str(number) for number in range(1, len(columns) + 1)]


def _without_role(label: str, role: Role) -> str:
    found = re.fullmatch(r"([A-Za-z°%.]+?)[ _-]?(\d+)", label)
    if found is not None and role_of(found[1], None) == role:
        return found[2]
    return label

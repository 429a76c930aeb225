"""Columns that hold the time of a row."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stillwall.logs.quantities import unit_of
from stillwall.logs.stamps import kind_of_cell
from stillwall.logs.table import Table
from stillwall.logs.words import names_time, plain, words
from stillwall.survey.loggers import LoggerSettings

TimeKind = Literal["stamp", "split", "epoch_s", "epoch_ms", "serial", "ordinal", "fields"]


@dataclass(frozen=True, slots=True)
class TimeColumns:
    """Where the time of a row stands.

    ``places``: one column for a stamp, an epoch or a serial day; date and time for ``split``; year, day
    of year and perhaps time for ``ordinal``; year, month, day, hour and perhaps minute and second for
    ``fields``.
    """

    kind: TimeKind
    places: tuple[int, ...]
    header: str


def place_of(key: str, header: Sequence[str]) -> int | None:
    """Column by its header text, or by its number counted from 1."""
    wanted = plain(key)
    for place, text in enumerate(header):
        if plain(text) == wanted:
            return place
    if key.strip().isdigit() and 1 <= int(key) <= len(header):
        return int(key) - 1
    return None


def time_columns(table: Table, header: Sequence[str], settings: LoggerSettings) -> TimeColumns | None:
    """The columns that hold the time of a row; None where there are none."""
    if "time" in settings.names:
        places = tuple(
            place
            for key in settings.names["time"].split("+")
            if (place := place_of(key.strip(), header)) is not None
        )
        told = {place: usual_kind(table, place) for place in places}
        if len(places) == 2:
            return TimeColumns("split", places, " ".join(header[place] for place in places))
        if len(places) == 1:
            kind = told[places[0]]
            if kind == "epoch":
                return _epoch(table, places[0], header)
            if kind is None and _serial(table, places[0]):
                return TimeColumns("serial", places, header[places[0]])
            return TimeColumns("stamp", places, header[places[0]])
    kinds = {place: kind for place in range(table.width) if (kind := usual_kind(table, place)) is not None}
    by_kind: dict[str, list[int]] = {}
    for place, kind in kinds.items():
        by_kind.setdefault(str(kind), []).append(place)
    ordinal = _ordinal(table, header)
    if ordinal is not None and not by_kind.get("stamp"):
        return ordinal
    if stamps := by_kind.get("stamp"):
        return TimeColumns("stamp", (_preferred(stamps, header),), header[_preferred(stamps, header)])
    if dates := by_kind.get("date"):
        date = dates[0]
        time = _time_of_day(table, header, by_kind.get("time", []), date)
        if time is not None:
            return TimeColumns("split", (date, time), f"{header[date]} {header[time]}")
        return TimeColumns("stamp", (date,), header[date])
    if epochs := by_kind.get("epoch"):
        named = [place for place in epochs if not header[place] or names_time(header[place])]
        if named:
            return _epoch(table, named[0], header)
    fields = _fields(header)
    if fields is not None:
        return fields
    for place in by_kind.get("serial", []):
        if (names_time(header[place]) or not header[place] or place == 0) and _serial(table, place):
            return TimeColumns("serial", (place,), header[place])
    for place, text in enumerate(header):
        if names_time(text) and _serial(table, place):
            return TimeColumns("serial", (place,), text)
    return None


def _preferred(places: Sequence[int], header: Sequence[str]) -> int:
    """Of several columns of stamps: the one in UTC, else the first that is called a time."""
    for place in places:
        if {"utc", "gmt", "zulu"} & set(words(header[place])):
            return place
    for place in places:
        if names_time(header[place]):
            return place
    return places[0]


def usual_kind(table: Table, place: int) -> str | None:
    """What most cells of a column are, as :func:`kind_of_cell` says it."""
    kinds = Counter(kind_of_cell(row[place]) for row in table.sample if place < len(row))
    if not kinds:
        return None
    kind, count = kinds.most_common(1)[0]
    if kind == "date" and kinds.get("stamp"):
        return "stamp"
    return (
        kind
        if count >= 0.8 * sum(kinds.values())
        else ("stamp" if kinds.get("stamp", 0) * 2 > count else None)
    )


def _time_of_day(table: Table, header: Sequence[str], times: Sequence[int], date: int) -> int | None:
    if times:
        return min(times, key=lambda place: (abs(place - date), place))
    for place in sorted(range(len(header)), key=lambda place: abs(place - date)):
        if place == date or not (names_time(header[place]) or unit_of(header[place])):
            continue
        cells = [row[place].strip() for row in table.sample if place < len(row)]
        if {"date", "datum", "fecha", "data"} & set(words(header[place])) or not names_time(header[place]):
            continue
        if all(
            re.fullmatch(r"\d{1,2}[.h]\d{2}(?:[.m]\d{2})?s?|\d{3,6}|\d{1,4}", cell) for cell in cells if cell
        ):
            return place
    return None


def _epoch(table: Table, place: int, header: Sequence[str]) -> TimeColumns:
    cell = next(
        row[place] for row in table.sample if place < len(row) and kind_of_cell(row[place]) == "epoch"
    )
    first = float(cell.strip().replace(",", "."))
    return TimeColumns("epoch_ms" if first > 1e11 else "epoch_s", (place,), header[place])


def _serial(table: Table, place: int) -> bool:
    cells = [row[place].strip().replace(",", ".") for row in table.sample if place < len(row)]
    try:
        numbers = [float(cell) for cell in cells if cell]
    except ValueError:
        return False
    return bool(numbers) and all(29_000 < number < 65_000 for number in numbers)


def _ordinal(table: Table, header: Sequence[str]) -> TimeColumns | None:
    names = ["".join(words(text)) for text in header]
    year = _first(names, ("year", "jahr", "annee", "ano", "anno", "jaar", "rok", "yyyy", "yr"))
    day = _first(
        names,
        (
            "doy",
            "dayofyear",
            "julianday",
            "julian",
            "jday",
            "jd",
            "yearday",
            "tagdesjahres",
            "jourdelannee",
            "diadelano",
            "giornodellanno",
            "dagvanhetjaar",
            "denroku",
            "day365",
        ),
    )
    if year is None or day is None:
        return None
    clock = None
    for place in range(day + 1, min(day + 3, len(header))):
        cells = [row[place].strip() for row in table.sample if place < len(row)]
        named = (
            names_time(header[place])
            or "hhmm" in names[place]
            or re.fullmatch("[A-Z]{3,4}", header[place].strip())
        )
        if named and all(re.fullmatch(r"\d{1,4}|\d{1,2}:\d{2}(?::\d{2})?", cell) for cell in cells):
            clock = place
            break
    places = (year, day) if clock is None else (year, day, clock)
    return TimeColumns("ordinal", places, " ".join(header[place] for place in places))


_FIELDS = (
    ("year", "jahr", "annee", "ano", "anno", "jaar", "rok", "yyyy", "yr"),
    ("month", "monat", "mois", "mes", "mese", "maand", "mesic", "mm", "mo"),
    ("day", "tag", "jour", "dia", "giorno", "dag", "den", "dd"),
    ("hour", "stunde", "heure", "hora", "ora", "uur", "hodina", "hh", "hr"),
    ("minute", "min", "minuto", "minuut", "minuta", "minuten", "mi"),
    ("second", "sec", "sekunde", "seconde", "segundo", "secondo", "sekunda", "ss"),
)


def _fields(header: Sequence[str]) -> TimeColumns | None:
    names = ["".join(words(text)) for text in header]
    places: list[int] = []
    for choice in _FIELDS:
        place = _first(names, choice)
        if place is None:
            break
        places.append(place)
    if len(places) < 4:
        return None
    return TimeColumns("fields", tuple(places), " ".join(header[place] for place in places))


def _first(names: Sequence[str], wanted: Sequence[str]) -> int | None:
    for place, text in enumerate(names):
        if text in wanted:
            return place
    return None

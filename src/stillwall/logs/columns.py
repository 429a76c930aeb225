"""What each column of a table holds: times, quantities with their units, sensors; or a question."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stillwall.errors import LogError
from stillwall.logs.quantities import CONVERTED, settled, split_unit, unit_of
from stillwall.logs.questions import ask
from stillwall.logs.stamps import kind_of_cell
from stillwall.logs.table import Table, is_blank, is_number
from stillwall.logs.vocabulary import AIR_WORDS, QUANTITY_WORDS, SENSOR_WORDS, UNIT_WORDS, VALUE_WORDS
from stillwall.logs.words import (
    NUMBERED,
    names_counter,
    names_time,
    plain,
    role_of,
    statistic_of,
    without_statistic,
    words,
)
from stillwall.record import ROLES, Role
from stillwall.survey.loggers import LoggerSettings

TimeKind = Literal["stamp", "split", "epoch_s", "epoch_ms", "serial", "ordinal", "fields"]
LEFT_OUT = "none"
"""What ``columns`` says of a column that is not to be read."""
_ROLE_KEYS = {"relative_humidity": "humidity", "rh": "humidity", "illuminance": "light", "uv": "ultraviolet"}


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


@dataclass(frozen=True, slots=True)
class Column:
    """One column of readings."""

    place: int
    header: str
    role: Role
    unit: str
    unit_told: bool
    sensor: str | None = None


@dataclass(frozen=True, slots=True)
class Columns:
    """What the reader takes from a table. ``sensor``, ``quantity``, ``value`` and ``unit`` are columns
    that tell rows apart, in files of several sensors or in long form."""

    time: TimeColumns
    readings: tuple[Column, ...]
    names: tuple[str, ...]
    sensor: int | None = None
    quantity: int | None = None
    value: int | None = None
    unit: int | None = None
    notes: tuple[str, ...] = ()
    irradiance: tuple[int, ...] = ()
    others: tuple[Columns, ...] = ()
    """The same for further sensors that have a time column of their own."""

    @property
    def long(self) -> bool:
        """Whether each row holds one quantity, named in the row."""
        return self.quantity is not None


def aligned_header(
    table: Table, settings: LoggerSettings, name: str
) -> tuple[tuple[str, ...], tuple[str, ...], str | None]:
    """Header and units row, one cell per column; and a note where the header was one name short."""
    header, units = list(table.header), list(table.units)
    note = None
    if header and len(header) == table.width - 1 and not _last_is_blank(table) and settings.columns:
        header = [""] * table.width  # told by number
    elif header and len(header) == table.width - 1 and not _last_is_blank(table):
        stamps = [place for place, cell in enumerate(table.sample[0]) if kind_of_cell(cell)]
        named = [place for place, cell in enumerate(header) if names_time(cell)]
        first_counts = all(row[0].strip().strip('"').isdigit() for row in table.sample)
        if stamps and named and named[0] + 1 == stamps[0]:
            note = "the header is one name short: the first column has none"
        elif stamps and named and named[0] == stamps[0]:
            header.append("")
            units = units and [*units, ""]
        elif first_counts and stamps and not named:
            note = "the header is one name short: the first column has none"
        else:
            raise ask(
                name, "the header has one name fewer than the rows have cells",
                "columns by their number, counted from 1", line=table.header_line, columns=_numbered_example(table),
                instead="correct the quantities to what the columns hold",
            )  # fmt: skip
        if note is not None:
            header = ["", *header]
            units = ["", *units] if units else units
    width = max(table.width, len(header))
    header += [""] * (width - len(header))
    units += [""] * (width - len(units))
    return tuple(header), tuple(units[:width]), note


def _numbered_example(table: Table) -> dict[str, str]:
    numeric = [
        place for place in range(table.width)
        if place and not kind_of_cell(table.sample[0][place] if place < len(table.sample[0]) else "")
        and any(is_number(row[place]) for row in table.sample if place < len(row))
    ]  # fmt: skip
    roles = ("temperature", "humidity", "light")
    return {str(place + 1): role for place, role in zip(numeric, roles, strict=False)} or {"2": "temperature"}


def _last_is_blank(table: Table) -> bool:
    return all(len(row) < table.width or is_blank(row[-1]) for row in table.sample)


def find_columns(table: Table, settings: LoggerSettings, name: str) -> Columns:
    """Tell the columns of a table.

    Raises
    ------
    LogError
        Where the header does not tell which columns hold readings or times, with the lines to add.
    """
    header, units, note = aligned_header(table, settings, name)
    notes = [note] if note else []
    forced = _forced(settings, header, name)
    time = _time_columns(table, header, settings)
    if time is None:
        raise ask(
            name, "no column of dates and times was found", "a column with the date and the time of each reading",
            line=table.first_line, names={"time": "1"},
        )  # fmt: skip
    taken = set(time.places)
    cells = _by_column(table, len(header))
    quantity, value, unit_place = _long_form(header, cells, taken, settings)
    if quantity is not None:
        sensor = _sensor_column(header, cells, taken | {quantity, value or 0, unit_place or 0}, settings)
        return Columns(time, (), header, sensor, quantity, value, unit_place, tuple(notes))
    sensor = _sensor_column(header, cells, taken, settings)
    unit_cells = _unit_columns(header, cells)
    found: list[Column] = []
    irradiance: list[int] = []
    for place, text in enumerate(header):
        if place in taken or place == sensor or place in unit_cells:
            continue
        column = _column(
            place, text, units[place], unit_cells.get(place + 1), cells[place], forced, settings, name
        )
        if column is not None:
            found.append(column)
        elif split_unit(text)[1] == "W/m2" or unit_of(units[place]) == "W/m2":
            irradiance.append(place)
    found, more = _without_statistics(found, forced)
    notes += more
    found, more = _without_instruments(found, forced)
    notes += more
    if not found:
        raise _unknown_columns(table, header, taken, name)
    found, more = _one_ultraviolet(found)
    notes += more
    labelled = _label_sensors(found, table.groups)
    clocks = _clocks(table, header, time, labelled)
    if len(clocks) > 1:
        parts = [
            Columns(clock, tuple(columns), header, notes=tuple(notes) if number == 0 else ())
            for number, (clock, columns) in enumerate(clocks)
        ]
        return replace(parts[0], others=tuple(parts[1:]))
    return Columns(time, tuple(labelled), header, sensor, notes=tuple(notes), irradiance=tuple(irradiance))


def _clocks(
    table: Table, header: Sequence[str], time: TimeColumns, found: Sequence[Column]
) -> list[tuple[TimeColumns, list[Column]]]:
    """Time columns that each stand before the readings of their own sensor, with those readings."""
    if time.kind != "stamp":
        return []
    places = [place for place in range(table.width) if _usual_kind(table, place) == "stamp"]
    bare = {re.sub(r"\W*\d+\W*$", "", plain(header[place])) for place in places}
    if len(places) < 2 or len(bare) > 1:
        return []
    made: list[tuple[TimeColumns, list[Column]]] = []
    for place, end in zip(places, [*places[1:], len(header)], strict=True):
        own = [column for column in found if place < column.place < end]
        if own:
            made.append((TimeColumns("stamp", (place,), header[place]), own))
    whole = sum(len(own) for _, own in made) == len(found)
    return made if whole and len(made) == len(places) else []


def _one_ultraviolet(found: Sequence[Column]) -> tuple[list[Column], list[str]]:
    """Of ultraviolet in both units, the share of the light is read."""
    shares = [column for column in found if column.role == "ultraviolet" and column.unit == "uW/lm"]
    others = [column for column in found if column.role == "ultraviolet" and column.unit != "uW/lm"]
    if not shares or not others:
        return list(found), []
    names = ", ".join(column.header for column in others)
    return [column for column in found if column not in others], [f"left out beside uW/lm: {names}"]


def _by_column(table: Table, width: int) -> list[list[str]]:
    return [[row[place] for row in table.sample if place < len(row)] for place in range(width)]


def _forced(settings: LoggerSettings, header: Sequence[str], name: str) -> dict[int, str]:
    made: dict[int, str] = {}
    for key, told in settings.columns.items():
        role = _ROLE_KEYS.get(told, told)
        place = place_of(key, header)
        if role not in (*ROLES, LEFT_OUT):
            raise ask(
                name, f"{told!r} in columns is no quantity", f"one of {', '.join(ROLES)}", columns={key: "temperature"}
            )  # fmt: skip
        if place is None:
            raise ask(
                name, f"there is no column {key!r}", f"one of {', '.join(map(repr, filter(None, header)))}, or a number",
                columns={"2": role},
            )  # fmt: skip
        made[place] = role
    return made


def place_of(key: str, header: Sequence[str]) -> int | None:
    """Column by its header text, or by its number counted from 1."""
    wanted = plain(key)
    for place, text in enumerate(header):
        if plain(text) == wanted:
            return place
    if key.strip().isdigit() and 1 <= int(key) <= len(header):
        return int(key) - 1
    return None


def _time_columns(table: Table, header: Sequence[str], settings: LoggerSettings) -> TimeColumns | None:
    if "time" in settings.names:
        places = tuple(
            place
            for key in settings.names["time"].split("+")
            if (place := place_of(key.strip(), header)) is not None
        )
        told = {place: _usual_kind(table, place) for place in places}
        if len(places) == 2:
            return TimeColumns("split", places, " ".join(header[place] for place in places))
        if len(places) == 1:
            kind = told[places[0]]
            if kind == "epoch":
                return _epoch(table, places[0], header)
            if kind is None and _serial(table, places[0]):
                return TimeColumns("serial", places, header[places[0]])
            return TimeColumns("stamp", places, header[places[0]])
    kinds = {place: kind for place in range(table.width) if (kind := _usual_kind(table, place)) is not None}
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


def _usual_kind(table: Table, place: int) -> str | None:
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
    first = float(table.sample[0][place].strip().replace(",", "."))
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
        names, ("doy", "dayofyear", "julianday", "julian", "jday", "jd", "yearday", "tagdesjahres", "jourdelannee",
                "diadelano", "giornodellanno", "dagvanhetjaar", "denroku", "day365"),
    )  # fmt: skip
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


def _long_form(
    header: Sequence[str], cells: Sequence[Sequence[str]], taken: set[int], settings: LoggerSettings
) -> tuple[int | None, int | None, int | None]:
    """Columns that hold the name of the quantity, its value and its unit, in long form."""
    value = next(
        (place for place, text in enumerate(header)
         if place not in taken and set(words(text)) & VALUE_WORDS and sum(map(is_number, cells[place])) > 0), None,
    )  # fmt: skip
    if value is None:
        return None, None, None
    quantity = None
    for place, _ in enumerate(header):
        if place in taken or place == value or not cells[place]:
            continue
        known = [cell for cell in cells[place] if cell.strip() and role_of(*split_unit(cell)) is not None]
        if len(known) >= 0.3 * len(cells[place]) and not any(map(is_number, cells[place])):
            called = set(words(header[place])) & QUANTITY_WORDS
            if quantity is None or called:
                quantity = place
    if quantity is None:
        return None, None, None
    unit = next(
        (place for place, text in enumerate(header)
         if place not in taken | {value, quantity} and set(words(text)) & UNIT_WORDS), None,
    )  # fmt: skip
    return quantity, value, unit


_NAMING = frozenset(
    [
        "id",
        "no",
        "nr",
        "nummer",
        "number",
        "code",
        "label",
        "bezeichnung",
        "nom",
        "nombre",
        "nome",
        "naam",
        "nazev",
        "of",
        "the",
        "der",
        "de",
    ]
)


def _sensor_column(
    header: Sequence[str], cells: Sequence[Sequence[str]], taken: set[int], settings: LoggerSettings
) -> int | None:
    if "sensor_column" in settings.names:
        return place_of(settings.names["sensor_column"], header)
    for place, text in enumerate(header):
        found = words(text)
        letters = {word for word in found if word.isalpha()}
        if place in taken or not letters & SENSOR_WORDS or letters - SENSOR_WORDS - _NAMING:
            continue
        if split_unit(text)[1] is not None or names_counter(text) or NUMBERED.match(plain(text)):
            continue
        held = {cell.strip() for cell in cells[place] if cell.strip()}
        measured = [cell for cell in held if re.fullmatch(r"[+-]?\d+[.,]\d+", cell)]
        if held and not measured and len(held) <= max(1, len(cells[place]) // 2):
            return place
    return None


def _unit_columns(header: Sequence[str], cells: Sequence[Sequence[str]]) -> dict[int, str]:
    """Columns whose cells are units of the column before them, with the unit."""
    made: dict[int, str] = {}
    for place in range(1, len(header)):
        held = {cell.strip() for cell in cells[place] if cell.strip()}
        if len(held) == 1:
            unit = unit_of(next(iter(held)))
            told = set(words(header[place])) & UNIT_WORDS
            silent = not header[place].strip() and unit not in ("other", "C?", "F?", "K?")
            if unit is not None and (told or silent):
                made[place] = unit
    return made


def _column(
    place: int,
    text: str,
    unit_row: str,
    unit_beside: str | None,
    cells: Sequence[str],
    forced: Mapping[int, str],
    settings: LoggerSettings,
    file: str,
) -> Column | None:
    if names_counter(text) and place not in forced:
        return None
    name, unit = split_unit(text)
    unit = unit_of(unit_row) or unit_beside or unit or _unit_in_cells(cells)
    if unit in ("C?", "F?", "K?"):
        unit = settled(unit)
    told_role = forced.get(place)
    if told_role == LEFT_OUT:
        return None
    role: Role | None = told_role if told_role in ROLES else role_of(name, unit)
    if role is None or (place not in forced and cells and not _has_numbers(cells)):
        return None
    unit = None if unit is None else settled(unit)
    given = settings.units.get(text) or settings.units.get(str(place + 1)) or settings.units.get(role)
    if given is not None:
        told = settled(unit_of(given) or "")
        if told not in CONVERTED[role]:
            raise ask(
                file, f"{given!r} is no unit of {role}", f"one of {', '.join(sorted(CONVERTED[role]))}",
                units={role: sorted(CONVERTED[role])[0]},
            )  # fmt: skip
        return Column(place, text, role, told, True)
    if unit is None or unit not in CONVERTED[role]:
        if role == "ultraviolet":
            return Column(place, text, role, "", False)
        return Column(place, text, role, _usual_unit(role), False)
    return Column(place, text, role, unit, True)


def _usual_unit(role: Role) -> str:
    return {"humidity": "%", "light": "lx"}.get(role, "degC")


def _has_numbers(cells: Sequence[str]) -> bool:
    return any(map(is_number, cells)) or all(map(is_blank, cells))


def _unit_in_cells(cells: Sequence[str]) -> str | None:
    found = Counter(
        match[1]
        for cell in cells
        if (match := re.fullmatch(r"[+\-−]?[\d.,' ]+\s*([^\d\s.,'+-].*)", cell.strip()))
    )
    if len(found) != 1:
        return None
    return unit_of(next(iter(found)))


def _without_statistics(found: Sequence[Column], forced: Mapping[int, str]) -> tuple[list[Column], list[str]]:
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


def _serial_number(text: str) -> str | None:
    found = re.search(r"(?:S/?N|serial|seriennummer|numero de serie)[ .:#]*([A-Za-z0-9-]{3,})", text, re.I)
    return found[1] if found else None


def _without_instruments(
    found: Sequence[Column], forced: Mapping[int, str]
) -> tuple[list[Column], list[str]]:
    """Where one temperature is called the air's, leave out others of the same logger, which are not."""
    same = [column for column in found if column.role == "temperature" and column.place not in forced]
    air = [column for column in same if set(words(column.header)) & AIR_WORDS]
    if len(air) != 1 or len(same) < 2:
        return list(found), []
    serial = _serial_number(air[0].header)
    left = [
        column for column in same if column is not air[0] and (serial is None or _serial_number(column.header) == serial)
    ]  # fmt: skip
    if not left:
        return list(found), []
    names = ", ".join(column.header for column in left)
    note = f"{air[0].header!r} is the air's; left out: {names} (name one in columns to use it)"
    return [column for column in found if column not in left], [note]


def _unknown_columns(table: Table, header: Sequence[str], taken: set[int], name: str) -> LogError:
    numeric = [
        place for place, cells in enumerate(_by_column(table, len(header)))
        if place not in taken and any(map(is_number, cells)) and not names_counter(header[place])
    ]  # fmt: skip
    roles = ["temperature", "humidity", "light"]
    if not any(header):
        found = "there is no header line, and values alone do not tell what they are"
    elif all(NUMBERED.match(plain(text)) for text in header if text and not names_time(text)):
        found = f"the header only numbers its columns ({', '.join(text for text in header if text)})"
    else:
        found = f"no column is named as temperature, humidity or light ({', '.join(text for text in header if text)})"
    example = {
        (
            header[place] if header[place] and list(header).count(header[place]) == 1 else str(place + 1)
        ): roles[n % 3]
        for n, place in enumerate(numeric[:3])
    } or {"2": "temperature"}
    return ask(
        name, found, "which columns hold what", line=table.header_line or table.first_line, columns=example,
        instead="correct the quantities to what the columns hold",
    )  # fmt: skip


def _label_sensors(found: Sequence[Column], groups: Sequence[str]) -> list[Column]:
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
    serials = [_serial_number(column.header) for column in columns]
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

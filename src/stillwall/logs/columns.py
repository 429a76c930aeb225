"""What each column of a table holds: times, quantities with their units, sensors; or a question."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stillwall.errors import LogError
from stillwall.logs.leftout import one_ultraviolet, without_instruments, without_statistics
from stillwall.logs.quantities import CONVERTED, settled, split_unit, unit_of
from stillwall.logs.questions import ask
from stillwall.logs.sensors import Column, label_sensors
from stillwall.logs.stamps import kind_of_cell
from stillwall.logs.table import Table, is_blank, is_number
from stillwall.logs.timing import TimeColumns, place_of, time_columns, usual_kind
from stillwall.logs.vocabulary import QUANTITY_WORDS, SENSOR_WORDS, UNIT_WORDS, VALUE_WORDS
from stillwall.logs.words import (
    NUMBERED,
    names_counter,
    names_time,
    plain,
    role_of,
    words,
)
from stillwall.record import ROLES, Role
from stillwall.survey.loggers import LoggerSettings

CELSIUS_OR_NOT = ("degC", "degF", "K", "C?", "F?", "K?")
LEFT_OUT = "none"
"""What ``columns`` says of a column that is not to be read."""
_ROLE_KEYS = {"relative_humidity": "humidity", "rh": "humidity", "illuminance": "light", "uv": "ultraviolet"}


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
                name,
                "the header has one name fewer than the rows have cells",
                "columns by their number, counted from 1",
                line=table.header_line,
                columns=_numbered_example(table),
                instead="correct the quantities to what the columns hold",
            )
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
    time = time_columns(table, header, settings)
    if time is None:
        raise ask(
            name,
            "no column of dates and times was found",
            "a column with the date and the time of each reading",
            line=table.first_line,
            names={"time": "1"},
        )
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
    found, more = without_statistics(found, forced)
    notes += more
    found, more = without_instruments(found, forced)
    notes += more
    if not found:
        raise _unknown_columns(table, header, taken, name)
    found, more = one_ultraviolet(found)
    notes += more
    labelled = label_sensors(found, table.groups)
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
    places = [place for place in range(table.width) if usual_kind(table, place) == "stamp"]
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


def _by_column(table: Table, width: int) -> list[list[str]]:
    return [[row[place] for row in table.sample if place < len(row)] for place in range(width)]


def _forced(settings: LoggerSettings, header: Sequence[str], name: str) -> dict[int, str]:
    made: dict[int, str] = {}
    for key, told in settings.columns.items():
        role = _ROLE_KEYS.get(told, told)
        place = place_of(key, header)
        if role not in (*ROLES, LEFT_OUT):
            raise ask(
                name,
                f"{told!r} in columns is no quantity",
                f"one of {', '.join(ROLES)}",
                columns={key: "temperature"},
            )
        if place is None:
            raise ask(
                name,
                f"there is no column {key!r}",
                f"one of {', '.join(map(repr, filter(None, header)))}, or a number",
                columns={"2": role},
            )
        made[place] = role
    return made


def _long_form(
    header: Sequence[str], cells: Sequence[Sequence[str]], taken: set[int], settings: LoggerSettings
) -> tuple[int | None, int | None, int | None]:
    """Columns that hold the name of the quantity, its value and its unit, in long form."""
    value = next(
        (
            place
            for place, text in enumerate(header)
            if place not in taken and set(words(text)) & VALUE_WORDS and sum(map(is_number, cells[place])) > 0
        ),
        None,
    )
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
    unit = unit_of(unit_row) or unit_beside or unit
    written = _unit_in_cells(cells)
    if written in CELSIUS_OR_NOT and unit in CELSIUS_OR_NOT and not (place in forced or settings.units):
        told_unit, cell_unit = settled(unit), settled(written)
        if told_unit != cell_unit:
            raise ask(
                file, f"the header of {text!r} says {told_unit} and its cells say {cell_unit}", "one unit",
                units={text: cell_unit}, instead=f'or "{told_unit}"',
            )  # fmt: skip
    unit = unit or written
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


_WITH_UNIT = re.compile(r"[+\-−]?[\d.,' ]+\s*([^\d\s.,'+-].*)")


def _unit_in_cells(cells: Sequence[str]) -> str | None:
    found = Counter(match[1] for cell in cells if (match := _WITH_UNIT.fullmatch(cell.strip())))
    if len(found) != 1:
        return None
    return unit_of(next(iter(found)))


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
        found = f"no column is named as temperature, humidity or light ({', '.join(text for text in header if text)})"  # noqa: E501
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

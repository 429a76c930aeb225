"""One logger's file, read whole: ``read_log``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from stillwall.errors import LogError
from stillwall.logs.arrow import pa
from stillwall.logs.channels import build
from stillwall.logs.clock import Moments, moments
from stillwall.logs.columns import Columns, find_columns
from stillwall.logs.encoding import Source, open_source, refuse
from stillwall.logs.harmless import shown_channel, shown_error, shown_lines
from stillwall.logs.numbers import BOTH, Decimal, decimal_of
from stillwall.logs.parse import NotTyped, Rows, parse_typed
from stillwall.logs.questions import ask, below_existing
from stillwall.logs.stamps import layout_of
from stillwall.logs.table import Table, further_rows, sniff, split
from stillwall.logs.text import parse_text
from stillwall.record import Channel
from stillwall.survey.loggers import LoggerSettings

_EARLIEST_S, _LATEST_S = -2_208_988_800, 7_258_118_400


@dataclass(frozen=True, slots=True)
class LogFile:
    """What one file holds.

    ``channels`` are in the order of the file's columns, each with its sensor where there are several.
    """

    name: str
    sha256: str
    channels: tuple[Channel, ...]
    notes: tuple[str, ...]


def read_log(
    path: Path, *, name: str, settings: LoggerSettings | None = None, zone: str | None = None
) -> LogFile:
    """Read any logger's CSV.

    Parameters
    ----------
    path
        The file.
    name
        What the file is called in messages and in ``survey.toml``.
    settings
        What the survey settles about this file.
    zone
        IANA zone (or offset) of the building, for files that do not say how their clock stands to UTC.

    Returns
    -------
    LogFile
        Readings in degC, %, lx, and uW/lm or mW/m2, in order of time, with every fault flagged.

    Raises
    ------
    LogError
        If the file cannot be read, or leaves something open that only a person can tell; the fault says
        which lines of ``survey.toml`` settle it.
    """
    try:
        return _read(path, name, settings or LoggerSettings(), zone)
    except LogError as error:
        told = shown_error(error)
        new = settings is None or settings == LoggerSettings()
        raise (told if new else below_existing(told, name)) from error


@dataclass(frozen=True, slots=True, eq=False)
class Parsed:
    """One clock's rows of a file, before they are made channels."""

    columns: Columns
    rows: Rows
    when: Moments
    cut: int | None


def parse_file(path: Path, name: str, settings: LoggerSettings) -> tuple[Source, Table, tuple[Parsed, ...]]:
    """Sniff a file and read its numbers and times; the first part of :func:`read_log`."""
    source = open_source(path, name)
    table = sniff(source)
    columns = find_columns(table, settings, name)
    decimal = _decimal(source, table, columns, settings, name)
    made: list[Parsed] = []
    for part in (columns, *columns.others):
        whole, cut = _without_cut_row(source, table, part)
        try:
            rows = parse_typed(whole, table, part, decimal)
        except NotTyped:
            rows = parse_text(whole, table, part, decimal)
        _mostly_readings(rows, name)
        when = moments(rows, part, table, settings, name)
        if not when.good.all():
            rows, when, cut = _with_times(rows, when, cut, name)
        _of_this_age(when, table, name)
        made.append(Parsed(part, rows, when, cut))
    return source, table, tuple(made)


def _read(path: Path, name: str, settings: LoggerSettings, zone: str | None) -> LogFile:
    source, table, parsed = parse_file(path, name, settings)
    channels: list[Channel] = []
    notes: list[str] = []
    for part in parsed:
        made, more = build(part.rows, part.when, part.columns, table, settings, zone, name, part.cut)
        channels += made
        notes += (*part.columns.notes, *_dropped(part.rows), *part.when.notes, *more)
    seen = tuple(dict.fromkeys(map(shown_lines, notes)))
    return LogFile(name, source.sha256, tuple(map(shown_channel, channels)), seen)


def _decimal(source: Source, table: Table, columns: Columns, settings: LoggerSettings, name: str) -> Decimal:
    if settings.decimal is not None:
        return settings.decimal
    places = [column.place for column in columns.readings]
    if columns.value is not None:
        places.append(columns.value)
    if columns.time.kind == "serial":
        places.append(columns.time.places[0])
    decimal, why = decimal_of(_cells(table.sample, places))
    if decimal is None or not why:
        decimal, why = decimal_of(_cells([*table.sample, *further_rows(source, table)], places))
    if decimal is None and why.startswith(BOTH):
        commas, points = map(int, re.findall(r"\d+", why))
        parse_text(
            source, table, columns, "comma" if commas > points else "point"
        )  # names the first odd cell
    elif decimal is None:
        decimal, _ = decimal_of(_cells(table.sample, range(table.width)))
    if decimal is None:
        raise ask(name, why, "one decimal mark", line=table.first_line, decimal="comma", instead='or "point"')
    return decimal


def _cells(rows: Iterable[Sequence[str]], places: Iterable[int]) -> list[list[str]]:
    kept = list(rows)
    return [[row[place] for row in kept if place < len(row)] for place in places]


def _without_cut_row(source: Source, table: Table, columns: Columns) -> tuple[Source, int | None]:
    """A file without a last line end may be cut short: leave out a stamp without readings; say which column
    of the last row is in doubt."""
    data = source.data
    if len(data) == 0 or bytes(data[-1:]) in (b"\n", b"\r"):
        return source, None
    tail = bytes(data[max(table.start, len(data) - (1 << 16)) :])
    cut = max(tail.rfind(b"\n"), tail.rfind(b"\r")) + 1
    text = tail[cut:].decode("utf-8", errors="replace")
    cells = split(text, table.delimiter)
    last = len(cells) - 1
    shorter = replace(source, data=data[: len(data) - len(tail) + cut])
    if text.count('"') % 2:
        return (shorter, None) if len(shorter.data) > table.start else (source, None)
    if last in columns.time.places:
        known = {re.sub(r"\d", "0", row[last].strip()) for row in table.sample[:-1] if last < len(row)}
        if (
            last < table.width - 1
            or re.sub(r"\d", "0", cells[last].strip()) not in known
            or not layout_of(cells[last])
        ):
            return (shorter, None) if len(shorter.data) > table.start else (source, None)
        return source, None
    if text.rstrip().endswith('"') or not cells[last].strip():
        return source, None
    decimals = {_decimals(row[last]) for row in table.sample if last < len(row) and row[last].strip()}
    steady = len(decimals) == 1 and len(table.sample) > 3 and decimals != {0}
    if steady and _decimals(cells[last]) in decimals:
        return source, None
    return source, last


def _decimals(cell: str) -> int:
    found = re.search(r"[.,](\d*)\s*$", cell.strip())
    return len(found[1]) if found else 0


def _mostly_readings(rows: Rows, name: str) -> None:
    other = rows.dropped.get("other", 0) + rows.dropped.get("torn", 0)
    if rows.count == 0:
        raise refuse(name, "it holds no readings", "rows of readings", "export the file again")
    if other > rows.count and other > 200:
        raise refuse(
            name, f"{other} of {other + rows.count} rows are no readings", "a table of readings",
            "export the readings alone, without other tables",
        )  # fmt: skip


def _with_times(rows: Rows, when: Moments, cut: int | None, name: str) -> tuple[Rows, Moments, int | None]:
    """The rows whose date exists."""
    keep = np.flatnonzero(when.good)
    if len(keep) == 0:
        raise refuse(name, "no row holds a date that exists", "rows of readings", "export the file again")
    kept = replace(
        rows,
        count=len(keep),
        values={place: values[keep] for place, values in rows.values.items()},
        texts={place: texts.take(pa.array(keep)) for place, texts in rows.texts.items()},
        lines=None if rows.lines is None else rows.lines[keep],
    )
    return (
        kept,
        replace(when, seconds=when.seconds[keep], good=when.good[keep]),
        cut if when.good[-1] else None,
    )


def _of_this_age(when: Moments, table: Table, name: str) -> None:
    seconds = when.seconds
    if len(seconds) and (seconds.min() < _EARLIEST_S or seconds.max() > _LATEST_S):
        raise refuse(name, "some times are before 1900 or after 2200", "times of readings",
                     "correct the clock's times in a copy of the file", table.first_line)  # fmt: skip


def _dropped(rows: Rows) -> tuple[str, ...]:
    said = {
        "header": "repeated header lines", "other": "lines of other text (statistics, footers, messages)",
        "broken": "lines whose date or time cannot be read", "torn": "lines with an open quote",
    }  # fmt: skip
    made = [f"{count} {said[kind]} left out" for kind, count in rows.dropped.items() if kind in said]
    words = sum(rows.words.values())
    if words:
        made.append(f"{words} cells hold words instead of a reading")
    return tuple(made)

"""The fast way: typed columns straight from the parser, in the layout that sniffing found."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stillwall.logs.arrow import Array, ArrowTable, pa, pacsv, pc
from stillwall.logs.columns import Columns
from stillwall.logs.dates import Ints, Stamps
from stillwall.logs.encoding import Source
from stillwall.logs.numbers import Decimal
from stillwall.logs.steady import read_stamps
from stillwall.logs.table import Table
from stillwall.logs.vocabulary import UNUSED_MARKS
from stillwall.record import Floats

_ISO = re.compile(r"\d{4}-\d{2}-\d{2}[ T](?:[01]\d|2[0-3]):\d{2}(?::\d{2})?")
_ISO_ZONED = re.compile(rf"{_ISO.pattern}(?:Z|[+-]\d{{2}}:?\d{{2}})")
_BLOCK = 1 << 20


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Rows as read: either whole seconds, or written stamps whose order is still to be told.

    ``values`` are by column, NaN where a cell holds no reading; ``texts`` by column, for those that tell
    sensors or quantities apart. ``dropped`` counts rows without a time by what they were.
    """

    count: int
    seconds: NDArray[np.int64] | None
    stamps: tuple[Stamps, ...]
    numbers: tuple[Floats, ...]
    utc: bool
    values: dict[int, Floats]
    texts: dict[int, Array]
    dropped: dict[str, int] = field(default_factory=dict)
    words: dict[int, int] = field(default_factory=dict)
    lines: NDArray[np.int64] | None = None


class NotTyped(Exception):  # noqa: N818
    """The file is not what the typed parse needs."""


def time_form(table: Table, columns: Columns) -> str:
    """``iso``, ``zoned`` or ``text``: how the parser may take the time column."""
    if columns.time.kind != "stamp":
        return "text"
    place = columns.time.places[0]
    cells = [row[place] for row in table.sample if place < len(row)]
    if all(_ISO.fullmatch(cell) for cell in cells):
        return "iso"
    return "zoned" if all(_ISO_ZONED.fullmatch(cell) for cell in cells) else "text"


def parse_typed(source: Source, table: Table, columns: Columns, decimal: Decimal) -> Rows:
    """Read every column with its type.

    Raises
    ------
    NotTyped
        If any cell or row is not as the sample promised; the text path then finds out which.
    """
    if table.aligned:
        raise NotTyped
    form = time_form(table, columns)
    return typed_rows(source.data[table.start :], table.delimiter, table.width, columns, decimal, form)


def typed_rows(
    text: memoryview | bytes | bytearray,
    delimiter: str,
    width: int,
    columns: Columns,
    decimal: Decimal,
    form: str,
    marks: Sequence[str] = UNUSED_MARKS,
) -> Rows:
    """Read lines of ``width`` cells with a type for each column; ``marks`` are cells that hold no reading.

    Raises
    ------
    NotTyped
        If any cell is not of its column's type, or a line is longer or shorter.
    """
    if columns.long or columns.time.kind == "serial":
        raise NotTyped
    names = [f"c{place}" for place in range(width)]
    types: dict[str, Any] = {names[column.place]: pa.float64() for column in columns.readings}
    types |= {names[place]: pa.float64() for place in columns.irradiance}
    timed = _time_types(columns, form)
    types |= {names[place]: kind for place, kind in timed.items()}
    if columns.sensor is not None:
        types[names[columns.sensor]] = pa.string()
    options = pacsv.ConvertOptions(
        include_columns=list(types),
        column_types=types,
        null_values=list(marks),
        strings_can_be_null=False,
        decimal_point="," if decimal == "comma" else ".",
        check_utf8=True,
    )
    try:
        data = pacsv.read_csv(
            pa.BufferReader(pa.py_buffer(text)),
            read_options=pacsv.ReadOptions(column_names=names, block_size=_BLOCK),
            parse_options=pacsv.ParseOptions(delimiter=delimiter),
            convert_options=options,
        )
    except (pa.ArrowInvalid, pa.ArrowKeyError, UnicodeDecodeError) as error:
        raise NotTyped from error
    return _rows(data, columns, names, form)


def _time_types(columns: Columns, form: str) -> dict[int, Any]:
    places = columns.time.places
    if form == "iso":
        return {places[0]: pa.timestamp("s")}
    if form == "zoned":
        return {places[0]: pa.timestamp("s", "UTC")}
    if columns.time.kind in ("epoch_s", "epoch_ms", "ordinal", "fields"):
        clock = len(places) > 2 and columns.time.kind == "ordinal"
        return {place: pa.string() if clock and place == places[2] else pa.float64() for place in places}
    return {place: pa.string() for place in places}


def _floats(column: Array) -> Floats:
    """The numbers of a column, NaN where there is none. pyarrow's own way would load pandas for it."""
    return _joined([_floats_of(chunk) for chunk in column.chunks if len(chunk)], np.dtype(np.float64))


def _floats_of(chunk: Array) -> Floats:
    values: Floats = _plain(chunk, np.dtype(np.float64))
    if not chunk.null_count:
        return values
    bits = np.unpackbits(np.frombuffer(chunk.buffers()[0], np.uint8), bitorder="little")
    return np.where(bits[chunk.offset : chunk.offset + len(chunk)], values, np.nan)


def _whole_numbers(column: Array) -> Ints:
    """The numbers of a column of int64 that lacks none."""
    kind = np.dtype(np.int64)
    return _joined([_plain(chunk, kind) for chunk in column.chunks if len(chunk)], kind)


def _plain(chunk: Array, kind: np.dtype[Any]) -> np.ndarray[Any, Any]:
    numbers = np.frombuffer(chunk.buffers()[1], kind)
    return numbers[chunk.offset : chunk.offset + len(chunk)]


def _joined(pieces: list[np.ndarray[Any, Any]], kind: np.dtype[Any]) -> np.ndarray[Any, Any]:
    """Pieces as one, in memory of the parser's pool: it keeps it for the next file, new memory costs more."""
    if len(pieces) == 1:
        return pieces[0]
    size = sum(map(len, pieces))
    made = np.frombuffer(pa.allocate_buffer(size * kind.itemsize), kind) if size else np.empty(0, kind)
    return np.concatenate(pieces, out=made) if pieces else made


def _rows(data: ArrowTable, columns: Columns, names: Sequence[str], form: str) -> Rows:
    places = columns.time.places
    values = {column.place: _floats(data[names[column.place]]) for column in columns.readings}
    values |= {place: _floats(data[names[place]]) for place in columns.irradiance}
    texts = {} if columns.sensor is None else {columns.sensor: data[names[columns.sensor]]}
    count = data.num_rows
    if form in ("iso", "zoned"):
        column = data[names[places[0]]]
        if column.null_count:
            raise NotTyped
        seconds = _whole_numbers(column.cast(pa.int64()))
        return Rows(count, seconds, (), (), form == "zoned", values, texts)
    if columns.time.kind in ("epoch_s", "epoch_ms", "ordinal", "fields"):
        numbers: list[Floats] = []
        stamps: list[Stamps] = []
        for place in places:
            column = data[names[place]]
            if pa.types.is_floating(column.type):
                numbers.append(_floats(column))
            else:
                stamps.append(clock_of_day(column))
        if any(not np.isfinite(column).all() for column in numbers) or any(
            not one.read.all() for one in stamps
        ):
            raise NotTyped
        return Rows(count, None, tuple(stamps), tuple(numbers), False, values, texts)
    stamps = []
    for number, place in enumerate(places):
        column = data[names[place]]
        stamps.append(clock_of_day(column) if number == 1 else read_stamps(column))
    if not all(one.read.all() for one in stamps):
        raise NotTyped
    return Rows(count, None, tuple(stamps), (), False, values, texts)


def clock_of_day(column: Array) -> Stamps:
    """Times of day in a column of their own: ``09:05``, ``9.05``, ``9h05``, or ``905`` and ``90500``."""
    plainly = read_stamps(column)
    if plainly.has_time and plainly.read.all():
        return plainly
    flat = column.combine_chunks() if isinstance(column, pa.ChunkedArray) else column
    text = pc.utf8_trim_whitespace(pc.fill_null(flat.cast(pa.string()), ""))
    bare = pc.match_substring_regex(text, r"^\d{1,6}$")
    if not pc.any(bare).as_py():
        return read_stamps(text)
    long = (pc.max(pc.if_else(bare, pc.binary_length(text), 0)).as_py() or 0) > 4
    padded = pc.utf8_lpad(text, 6 if long else 4, "0")
    shape = r"^(\d\d)(\d\d)(\d\d)$" if long else r"^(\d\d)(\d\d)$"
    clocked = pc.replace_substring_regex(padded, shape, r"\1:\2:\3" if long else r"\1:\2")
    return read_stamps(pc.if_else(bare, clocked, text))

"""The slow way: every cell as text, for files that a typed parse cannot take, and to find the bad cell."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from stillwall.errors import Fault, LogError
from stillwall.logs.arrow import Array, ArrowTable, pa, pacsv, pc
from stillwall.logs.columns import Columns
from stillwall.logs.dates import Stamps, read_stamps, together
from stillwall.logs.encoding import Source, as_utf8, refuse
from stillwall.logs.further import MOST_LOOKED_AT, OddRow, no_second_table
from stillwall.logs.numbers import Decimal, marks, to_floats
from stillwall.logs.parse import Rows, clock_of_day
from stillwall.logs.table import MOST_COLUMNS, Table
from stillwall.record import Floats

PIECE_BYTES = 1 << 24
_BLOCK = 1 << 17
MOST_BROKEN = 50


@dataclass(slots=True)
class _Gathered:
    stamps: list[list[Stamps]] = field(default_factory=list)
    numbers: list[list[Floats]] = field(default_factory=list)
    values: dict[int, list[Floats]] = field(default_factory=dict)
    texts: dict[int, list[Array]] = field(default_factory=dict)
    lines: list[NDArray[np.int64]] = field(default_factory=list)
    dropped: Counter[str] = field(default_factory=Counter)
    words: Counter[int] = field(default_factory=Counter)
    bad: list[tuple[int, str, int]] = field(default_factory=list)
    bad_count: int = 0
    broken: list[tuple[int, str]] = field(default_factory=list)
    broken_count: int = 0
    odd: list[OddRow] = field(default_factory=list)


def parse_text(source: Source, table: Table, columns: Columns, decimal: Decimal) -> Rows:
    """Read a file with every cell as text.

    Raises
    ------
    LogError
        If a cell of a column of readings holds digits and is no number, or if a row's time cannot be read.
    """
    gathered = _Gathered()
    line = table.first_line
    left = len(source.data) - table.start
    for piece in _pieces(source.data[table.start :]):
        text = as_utf8(piece)
        data, numbers = _cells(text, table, source.name, line)
        _gather(gathered, data, columns, decimal, numbers)
        left -= len(piece)
        if left:
            line += _line_ends(piece)
    last = max((int(lines[-1]) for lines in gathered.lines if len(lines)), default=0)
    no_second_table(gathered.odd, last, columns, table.preamble, source.name)
    _complain(gathered, source, columns, decimal)
    return _joined(gathered)


def _line_ends(piece: bytes) -> int:
    ends = piece.count(b"\n")
    return ends if ends else piece.count(b"\r")


def _pieces(data: memoryview) -> Iterator[bytes]:
    start = 0
    while start < len(data):
        end = min(len(data), start + PIECE_BYTES)
        piece = bytes(data[start:end])
        if end < len(data):
            cut = max(piece.rfind(b"\n"), piece.rfind(b"\r"))
            if cut > 0:
                piece = piece[: cut + 1]
        start += len(piece)
        yield piece


def _cells(text: bytes, table: Table, name: str, first_line: int) -> tuple[ArrowTable, NDArray[np.int64]]:
    """Cells of a piece as text columns, and the number of the line of each row."""
    if b"\r" in text:
        text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if not text.endswith(b"\n"):
        text += b"\n"
    delimiter = table.delimiter
    if table.aligned:
        text = _tabbed(text, single=delimiter == " ")
        delimiter = "\t"
    text, width, numbers = _evened(text, delimiter, table, name, first_line)
    if not text or text.isspace():
        return pa.table({f"c{place}": pa.array([], pa.string()) for place in range(width)}), numbers[:0]
    names = [f"c{place}" for place in range(width)]
    try:
        data = pacsv.read_csv(
            pa.BufferReader(text),
            read_options=pacsv.ReadOptions(column_names=names, block_size=max(1 << 20, len(text) + 1)),
            parse_options=pacsv.ParseOptions(
                delimiter=delimiter, ignore_empty_lines=False, quote_char=False if table.aligned else '"'
            ),
            convert_options=pacsv.ConvertOptions(
                column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=False, check_utf8=False
            ),
        )
    except pa.ArrowInvalid as error:
        raise refuse(name, "its rows cannot be told apart (an open quote?)", "one reading per line",
                     "export the file again", first_line) from error  # fmt: skip
    return data, numbers[: data.num_rows]


def _tabbed(text: bytes, *, single: bool) -> bytes:
    """Runs of blanks turned into one tab each; single blanks too, or left as they are."""
    data = np.frombuffer(text, np.uint8)
    if b"\t" not in text and not text.startswith(b" ") and b"\n " not in text:
        made = np.empty(len(data), np.uint8)
        for start in range(0, len(data), _BLOCK):
            end = min(start + _BLOCK, len(data))
            mark = data[start:end] == 32
            mark[: min(end, len(data) - 1) - start] &= data[start + 1 : end + 1] > 32  # the last of its run
            if not single:
                mark[1:] &= data[start : end - 1] == 32
                mark[0] &= start == 0 or data[start - 1] == 32
            np.subtract(data[start:end], mark.view(np.uint8) * np.uint8(32 - 9), out=made[start:end])
        return made.tobytes()
    blank = (data == 32) | (data == 9)
    after = np.concatenate((blank[1:], [False]))
    before = np.concatenate(([False], blank[:-1]))
    mark = blank & ~before & (after | single | (data == 9))
    tabbed: bytes = np.where(mark, np.uint8(9), data)[~(blank & before)].tobytes()
    return tabbed.replace(b"\n\t", b"\n").replace(b"\t\n", b"\n").removeprefix(b"\t")


def _evened(
    text: bytes, delimiter: str, table: Table, name: str, first_line: int
) -> tuple[bytes, int, NDArray[np.int64]]:
    """Rows made equally long by empty cells at their end; lines with an open quote are left out."""
    mark = ord(delimiter)
    data = np.frombuffer(text, np.uint8)
    if b'"' in text and not table.aligned:
        ends = np.flatnonzero(data == 10)
        starts = np.concatenate(([0], ends[:-1] + 1))
        marks = np.flatnonzero(data == mark)
        quotes = np.flatnonzero(data == 34)
        before = np.searchsorted(quotes, marks)
        line_quotes = np.searchsorted(quotes, starts)
        inside = (before - line_quotes[np.searchsorted(starts, marks, side="right") - 1]) % 2 == 1
        marks = marks[~inside]
        per_line = np.searchsorted(quotes, ends) - line_quotes
        torn = per_line % 2 == 1
        counts = np.searchsorted(marks, ends) - np.searchsorted(marks, starts)
    else:
        found = np.flatnonzero((data == mark) | (data == 10))
        lines = np.flatnonzero(data[found] == 10)
        ends = found[lines]
        counts = np.diff(lines, prepend=-1) - 1
        torn = np.zeros(len(ends), bool)
    width = min(max(table.width, int(counts[~torn].max(initial=0)) + 1), MOST_COLUMNS)
    numbers = first_line + np.arange(len(ends), dtype=np.int64)
    wide = counts >= width
    if torn.any() or wide.any():
        keep = ~(torn | wide)
        kept = zip(text.split(b"\n")[:-1], keep.tolist(), strict=True)
        text = b"\n".join([line for line, good in kept if good]) + b"\n"
        ends = np.flatnonzero(np.frombuffer(text, np.uint8) == 10)
        counts, numbers = counts[keep], numbers[keep]
    lacking = width - 1 - counts
    if lacking.any():
        text = _lengthened(text, ends[: len(lacking)], lacking, mark)
    return text, width, numbers


def _lengthened(text: bytes, ends: NDArray[np.int64], lacking: NDArray[np.int64], mark: int) -> bytes:
    """Lines with the delimiters that they lack put at their ends."""
    short = np.flatnonzero(lacking)
    if len(short) * 20 > len(ends):
        return np.insert(np.frombuffer(text, np.uint8), np.repeat(ends, lacking), mark).tobytes()
    parts: list[bytes] = []
    start = 0
    for end, count in zip(ends[short].tolist(), lacking[short].tolist(), strict=True):
        parts += (text[start:end], bytes([mark]) * count)
        start = end
    return b"".join((*parts, text[start:]))


def _gather(
    gathered: _Gathered, data: ArrowTable, columns: Columns, decimal: Decimal, numbers: NDArray[np.int64]
) -> None:
    if data.num_rows == 0:
        return
    cells = [data.column(place).combine_chunks() for place in range(data.num_columns)]
    wanted = [column.place for column in columns.readings] + list(columns.irradiance)
    if columns.value is not None:
        wanted.append(columns.value)
    stamps, clocks, timed = _times(cells, columns, decimal)
    keep = np.flatnonzero(timed)
    whole = len(keep) == data.num_rows
    if not whole:
        lost = np.flatnonzero(~timed)
        some = np.zeros(data.num_rows, bool)
        for place in wanted:
            some[lost] |= ~np.isnan(to_floats(cells[place].take(pa.array(lost)), decimal).values)
        _classify(gathered, cells, columns, ~timed, some, numbers)
        kept_rows = pa.array(keep)
    for place in wanted:
        column = cells[place] if whole else cells[place].take(kept_rows)
        one = to_floats(column, decimal)
        gathered.values.setdefault(place, []).append(one.values)
        for row in one.bad[:3].tolist():
            gathered.bad.append((int(numbers[keep[row]]), column[row].as_py(), place))
        gathered.bad_count += len(one.bad)
        if len(one.words):
            gathered.words[place] += len(one.words)
    for key in (columns.sensor, columns.quantity, columns.unit):
        if key is not None:
            text = pc.utf8_trim_whitespace(cells[key])
            gathered.texts.setdefault(key, []).append(text if whole else text.take(pa.array(keep)))
    gathered.stamps.append([_taken(one, keep, whole) for one in stamps])
    gathered.numbers.append([one if whole else one[keep] for one in clocks])
    gathered.lines.append(numbers if whole else numbers[keep])


def _times(
    cells: list[Array], columns: Columns, decimal: Decimal
) -> tuple[list[Stamps], list[Floats], NDArray[np.bool_]]:
    stamps: list[Stamps] = []
    clocks: list[Floats] = []
    timed = np.ones(len(cells[0]), bool)
    for number, place in enumerate(columns.time.places):
        clock = (number == 1 and columns.time.kind == "split") or (
            number == 2 and columns.time.kind == "ordinal"
        )
        if columns.time.kind in ("stamp", "split") or clock:
            text = pc.utf8_trim_whitespace(cells[place])
            one = clock_of_day(text) if clock else read_stamps(text)
            stamps.append(one)
            timed &= one.read
            if not clock and not one.has_date:
                timed &= False
        else:
            values = to_floats(cells[place], decimal if columns.time.kind == "serial" else "point").values
            if columns.time.kind == "serial" and np.isnan(values).all():
                values = to_floats(cells[place], "point" if decimal == "comma" else "comma").values
            clocks.append(values)
            timed &= np.isfinite(values)
    return stamps, clocks, timed


def _taken(stamps: Stamps, keep: NDArray[np.int64], whole: bool) -> Stamps:
    if whole:
        return stamps
    return Stamps(
        stamps.parts[keep],
        stamps.open_order[keep],
        stamps.day_of_year[keep],
        stamps.second[keep],
        stamps.offset_min[keep],
        stamps.read[keep],
        stamps.has_date,
        stamps.has_time,
        stamps.half_day,
        stamps.top_hour,
    )


def _classify(
    gathered: _Gathered,
    cells: list[Array],
    columns: Columns,
    lost: NDArray[np.bool_],
    some: NDArray[np.bool_],
    numbers: NDArray[np.int64],
) -> None:
    """Say what rows without a readable time are; those that try to be readings are remembered as broken."""
    rows = np.flatnonzero(lost)
    place = columns.time.places[0]
    texts = pc.utf8_trim_whitespace(cells[place]).take(pa.array(rows))
    empty = np.ones(len(rows), bool)
    for column in cells:
        empty &= pc.is_in(pc.utf8_trim_whitespace(column.take(pa.array(rows))), value_set=marks()).to_numpy(
            zero_copy_only=False
        )
    header = pc.equal(texts, columns.names[place].strip()).to_numpy(zero_copy_only=False) & ~empty
    if room := max(0, MOST_LOOKED_AT - len(gathered.odd)):
        some_rows = pa.array(np.flatnonzero(~empty)[:room])
        texts_of = [pc.utf8_trim_whitespace(column.take(pa.array(rows)).take(some_rows)) for column in cells]
        gathered.odd += [
            OddRow(int(numbers[rows[at]]), row)
            for at, row in zip(
                some_rows.to_pylist(), zip(*(c.to_pylist() for c in texts_of), strict=True), strict=True
            )
        ]
    attempt = pc.match_substring_regex(texts, r"^\W*\d+\D+\d").to_numpy(zero_copy_only=False)
    broken = attempt & some[rows] & ~header
    gathered.dropped["blank"] += int(empty.sum())
    gathered.dropped["header"] += int(header.sum())
    gathered.dropped["other"] += int((~empty & ~header & ~broken).sum())
    gathered.broken_count += int(broken.sum())
    for row in np.flatnonzero(broken)[:3].tolist():
        gathered.broken.append((int(numbers[rows[row]]), texts[row].as_py()))


def _complain(gathered: _Gathered, source: Source, columns: Columns, decimal: Decimal) -> None:
    count = sum(map(len, gathered.lines))
    name = source.name
    if count == 0 and not gathered.broken:
        raise refuse(name, "no row holds a date or a time that can be read", "rows of readings",
                     "export the file again")  # fmt: skip
    if gathered.broken_count > min(MOST_BROKEN, max(1, count // 100)):
        line, text = gathered.broken[0]
        raise refuse(
            name,
            f"{text!r} is no date and time that can be read{_more(gathered.broken_count)}",
            "a date and a time, such as 2026-03-31 14:05",
            "export the file with dates written as numbers",
            line,
        )
    if gathered.broken_count:
        gathered.dropped["broken"] += gathered.broken_count
    if gathered.bad:
        line, text, place = min(gathered.bad)
        header = columns.names[place] or str(place + 1)
        other = "comma" if decimal == "point" else "point"
        looks = re.fullmatch(r"[+-]?\d+,\d+" if decimal == "point" else r"[+-]?\d+\.\d+", text.strip())
        fix = (
            f'the rest of the file has decimal {decimal}s: make this cell agree, or set decimal = "{other}" under '  # noqa: E501
            f'[logger."{name}"] in survey.toml'
            if looks
            else "correct the cell in a copy of the file, or empty it if there was no reading"
        )
        raise LogError(
            Fault(
                f"{name}:{line}", f"{text!r} in column {header!r}{_more(gathered.bad_count)}",
                f"a number with a decimal {decimal}, or an empty cell for no reading", fix,
            )
        )  # fmt: skip


def _more(count: int) -> str:
    return f" (and {count - 1} more like it)" if count > 1 else ""


def _joined(gathered: _Gathered) -> Rows:
    stamp_count = len(gathered.stamps[0])
    number_count = len(gathered.numbers[0])
    lines = np.concatenate(gathered.lines)
    return Rows(
        len(lines),
        None,
        tuple(together([piece[place] for piece in gathered.stamps]) for place in range(stamp_count)),
        tuple(np.concatenate([piece[place] for piece in gathered.numbers]) for place in range(number_count)),
        False,
        {place: np.concatenate(parts) for place, parts in gathered.values.items()},
        {place: pa.chunked_array(parts) for place, parts in gathered.texts.items()},
        {kind: count for kind, count in gathered.dropped.items() if count},
        dict(gathered.words),
        lines,
    )

"""The slow way: every cell as text, for files that a typed parse cannot take, and to find the bad cell."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from stillwall.errors import Fault, LogError
from stillwall.logs.arrow import Array, ArrowTable, pa, pc
from stillwall.logs.aside import Apart, set_aside
from stillwall.logs.cells import (
    Even,
    Text,
    evened,
    line_ends,
    mark_of,
    pieces,
    places_of,
    plain_lines,
    text_cells,
)
from stillwall.logs.columns import Columns
from stillwall.logs.dates import Stamps, together
from stillwall.logs.encoding import Source, refuse
from stillwall.logs.further import MOST_LOOKED_AT, OddRow, no_second_table
from stillwall.logs.numbers import Decimal, marks, to_floats
from stillwall.logs.parse import NotTyped, Rows, clock_of_day, typed_rows
from stillwall.logs.steady import read_stamps
from stillwall.logs.table import Table
from stillwall.logs.vocabulary import UNUSED_MARKS
from stillwall.record import Floats

MOST_BROKEN = 50
MOST_BAD = 1_000
MOST_OTHER = 20_000


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

    @property
    def count(self) -> int:
        """Rows with a time so far."""
        return sum(map(len, self.lines))

    @property
    def is_hopeless(self) -> bool:
        """Whether nothing that may follow makes this a log."""
        return self.bad_count > MOST_BAD or self.other > max(MOST_OTHER, 10 * self.count)

    @property
    def other(self) -> int:
        """Rows so far that are no readings."""
        return self.dropped["other"] + self.dropped["torn"]


def parse_text(source: Source, table: Table, columns: Columns, decimal: Decimal) -> Rows:
    """Read a file of which not every line and cell is as the sample promised.

    Raises
    ------
    LogError
        If a cell of a column of readings holds digits and is no number, or if a row's time cannot be read.
    """
    gathered = _Gathered()
    line = table.first_line
    left = len(source.data) - table.start
    for piece in pieces(source.data[table.start :]):
        text = plain_lines(piece, table)
        ends = places_of(text, b"\n")
        numbers = np.arange(line, line + len(ends), dtype=np.int64)
        quoted = b'"' in text and not table.aligned
        even = Even(text, ends, numbers, table.width, changed=table.aligned)
        if quoted or not _gather_typed(gathered, even, table, columns, decimal):
            even = evened(text, table, numbers)
            gathered.dropped["torn"] += even.torn
            if not (quoted or even.changed) or not _gather_typed(gathered, even, table, columns, decimal):
                _gather(gathered, text_cells(even, table, source.name, line), columns, decimal, even.numbers)
        left -= len(piece)
        if left and gathered.is_hopeless:
            break
        if left:
            line += line_ends(piece)
    last = max((int(lines[-1]) for lines in gathered.lines if len(lines)), default=0)
    no_second_table(gathered.odd, last, columns, table.preamble, source.name)
    _complain(gathered, source, columns, decimal)
    return _joined(gathered)


def _gather_typed(gathered: _Gathered, even: Even, table: Table, columns: Columns, decimal: Decimal) -> bool:
    """Gather lines that, but for a few, can be read with a type for each column; False where they cannot."""
    apart = set_aside(even)
    if apart is None or not (apart.other or even.changed):
        return False
    unused = _padded_marks(apart.text) if table.aligned else UNUSED_MARKS
    try:
        rows = typed_rows(apart.text, mark_of(table), even.width, columns, decimal, "text", unused)
    except NotTyped:
        return False
    if rows.count != len(apart.numbers) or not _are_plain(rows):
        return False
    if apart.other:
        others = _untimed(apart, table, columns, decimal)
        if others is None:
            return False
        gathered.dropped += others.dropped
        gathered.odd += others.odd[: max(0, MOST_LOOKED_AT - len(gathered.odd))]
        gathered.broken += others.broken
        gathered.broken_count += others.broken_count
    for place, values in rows.values.items():
        gathered.values.setdefault(place, []).append(values)
    for place, texts in rows.texts.items():
        gathered.texts.setdefault(place, []).append(pc.utf8_trim_whitespace(texts.combine_chunks()))
    gathered.stamps.append(list(rows.stamps))
    gathered.numbers.append(list(rows.numbers))
    gathered.lines.append(apart.numbers)
    return True


def _untimed(apart: Apart, table: Table, columns: Columns, decimal: Decimal) -> _Gathered | None:
    """What the lines set aside are; None where one of them is a reading after all, or cannot be parted."""
    few = evened(apart.other, table, apart.other_numbers)
    others = _Gathered()
    try:
        _gather(others, text_cells(few, table, "lines set aside", 1), columns, decimal, few.numbers)
    except LogError:
        return None
    return None if any(map(len, others.lines)) else others


def _padded_marks(text: Text) -> list[str]:
    """Marks for no reading, also with blanks behind them to the widths of the first line's cells."""
    widths = {0, *map(len, bytes(text[: text.index(b"\n")]).split(b"\t"))}
    return list({mark.ljust(width) for width in widths for mark in UNUSED_MARKS})


def _are_plain(rows: Rows) -> bool:
    """Whether every row has a date and no number is infinite."""
    dated = not rows.stamps or rows.stamps[0].has_date or len(rows.numbers) > 0
    return dated and not any(np.isinf(values).any() for values in rows.values.values())


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
    gathered.stamps.append([one if whole else one.take(keep) for one in stamps])
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
    count = gathered.count
    name = source.name
    other = gathered.other
    if other > max(MOST_OTHER, 10 * count):
        raise refuse(name, f"{other:,} of {other + count:,} rows are no readings", "a table of readings",
                     "export the readings alone, without other tables")  # fmt: skip
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
        opposite = "comma" if decimal == "point" else "point"
        looks = re.fullmatch(r"[+-]?\d+,\d+" if decimal == "point" else r"[+-]?\d+\.\d+", text.strip())
        fix = (
            f'the rest of the file has decimal {decimal}s: make this cell agree, or set decimal = "{opposite}" under '  # noqa: E501
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
    if count > MOST_BAD:
        return f" (and more than {MOST_BAD:,} like it)"
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

"""A column of written stamps: where they are of one width, read by the runs in which only the clock's digits
change; else row by row.

From one midnight to the next, stamps are alike but for the time of day. All that is not a digit of the clock
(date, marks, half of the day, offset) is the same bytes throughout such a run, so it is read once for the
run; the clock's digits are read for all rows at once, as words of eight characters.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from stillwall.logs.arrow import Array, pa
from stillwall.logs.dates import DAY_S, Ints, Stamps, together
from stillwall.logs.families import LONGEST, families, no_stamps, read_by_row, read_places
from stillwall.logs.stamps import Layout, Span, layout_of

Words = NDArray[np.uint64]
_WORD = 8
_ROWS = 1 << 18
_FEWEST = 64
_ROWS_A_RUN = 4
"""Where runs are shorter than this on the whole, reading row by row is as good."""
_HALF_S = DAY_S // 2


def read_stamps(column: Array) -> Stamps:
    """Read a text column of stamps. Rows that are no stamps have ``read`` false."""
    chunks = column.chunks if isinstance(column, pa.ChunkedArray) else [column]
    by_runs = _by_runs(chunks)
    if by_runs is not None:
        return by_runs
    if len(chunks) > 1 and len(column) <= _ROWS:
        chunks = [column.combine_chunks()]
    pieces = [
        read_by_row(chunk.slice(start, _ROWS)) for chunk in chunks for start in range(0, len(chunk), _ROWS)
    ]
    return together(pieces or [no_stamps(0)])


def _by_runs(chunks: Sequence[Array]) -> Stamps | None:
    """Stamps of one width whose clock stands at one place; None where they are not such."""
    if sum(map(len, chunks)) < _FEWEST:
        return None
    parts: list[NDArray[np.uint8]] = []
    for chunk in filter(len, chunks):
        rows = _of_one_width(chunk)
        if rows is None or (parts and rows.shape[1] != parts[0].shape[1]):
            return None
        parts.append(rows)
    layout = layout_of(_template(parts[0][0])) if parts else None
    if layout is None:
        return None
    clock = [span for span in (layout.hour, layout.minute, layout.second) if span is not None]
    if clock and clock[-1][1] - clock[0][0] > _WORD:
        return None
    starts = [_starts(rows, clock) for rows in parts]
    counts = [len(rows) for rows in parts]
    if sum(map(len, starts)) * _ROWS_A_RUN > sum(counts):
        return None
    of_runs = _of_runs(
        np.concatenate([rows[begin] for rows, begin in zip(parts, starts, strict=True)]), layout
    )
    if of_runs is None:
        return None
    second = np.empty(sum(counts), np.int64) if clock else np.zeros(sum(counts), np.int64)
    at = 0
    for rows in parts if clock else ():
        own = _seconds(rows, clock, half_day=layout.half is not None)
        if own is None:
            return None
        second[at : at + len(rows)] = own
        at += len(rows)
    ends = [np.append(begin, count) for begin, count in zip(starts, counts, strict=True)]
    lengths = np.concatenate([np.diff(end) for end in ends])
    top = int(second.max()) // 3600
    if layout.half is not None:
        second -= (second >= _HALF_S) * np.int64(_HALF_S)
        second += np.repeat(of_runs.second // _HALF_S * _HALF_S, lengths)
    return replace(of_runs, second=second, read=np.ones(len(second), bool), top_hour=top, lengths=lengths)


def _of_one_width(array: Array) -> NDArray[np.uint8] | None:
    """The characters of texts that have as many bytes each, one row each; of eight at least."""
    count = len(array)
    if array.null_count or array.type != pa.string():
        return None
    offsets = np.frombuffer(array.buffers()[1], np.int32)[array.offset : array.offset + count + 1]
    width = int(offsets[1] - offsets[0])
    if not 3 <= width <= LONGEST or not (np.diff(offsets) == width).all():
        return None
    rows = np.frombuffer(array.buffers()[2], np.uint8)[offsets[0] : offsets[-1]].reshape(count, width)
    if width >= _WORD:
        return rows
    wide = np.full((count, _WORD), 32, np.uint8)
    wide[:, :width] = rows
    return wide


def _template(row: NDArray[np.uint8]) -> str:
    return np.where(row - np.uint8(48) < 10, np.uint8(48), row).tobytes().decode("latin-1").rstrip(" ")


def _words(rows: NDArray[np.uint8], place: int) -> Words:
    """Eight characters of every row, from some place on."""
    return np.ndarray((len(rows),), "<u8", rows, place, (rows.shape[1],)).astype(np.uint64)


def _mask(places: Iterable[int], of_each: int = 0xFF) -> np.uint64:
    """A byte at each of some places of a word."""
    return np.uint64(sum(of_each << 8 * place for place in places))


def _starts(rows: NDArray[np.uint8], clock: Sequence[Span]) -> Ints:
    """Rows that differ from the one before in more than digits of the clock."""
    width = rows.shape[1]
    left = set(range(width)) - {place for start, end in clock for place in range(start, end)}
    changed = np.zeros(len(rows) - 1, np.uint64)
    while left:
        at = min(min(left), width - _WORD)
        fixed = left & set(range(at, at + _WORD))
        words = _words(rows, at)
        change = words[1:] ^ words[:-1]
        if len(fixed) < _WORD:
            change &= _mask(place - at for place in fixed)
        changed |= change
        left -= fixed
    return np.concatenate((np.zeros(1, np.int64), np.flatnonzero(changed != 0) + 1))


def _of_runs(rows: NDArray[np.uint8], layout: Layout) -> Stamps | None:
    """The stamp with which each run begins; None unless each is one, with its clock at the same place."""
    places = np.ascontiguousarray(rows.T)
    if places.max() > 127:
        return None
    found = families(places)
    alike = all(
        (family.layout.hour, family.layout.minute, family.layout.second)
        == (layout.hour, layout.minute, layout.second)
        and (family.layout.half is None) == (layout.half is None)
        for family in found
    )
    made = read_places(places, found) if alike else None
    return made if made is not None and made.read.all() else None


def _seconds(rows: NDArray[np.uint8], clock: Sequence[Span], *, half_day: bool) -> Ints | None:
    """Seconds of the day by the clock's digits alone; None unless every row has digits there, of a time."""
    begin = min(clock[0][0], rows.shape[1] - _WORD)
    spans = [(start - begin, end - begin) for start, end in clock]
    digits = [place for span in spans for place in range(*span)]
    words = _words(rows, begin)
    words ^= _mask(digits, 48)
    words &= _mask(digits)
    check = words + _mask(digits, 128 - 10)  # 10 and more, and no digits at all, show in the top bit
    check |= words
    if np.bitwise_or.reduce(check) & _mask(digits, 128):
        return None
    pairs = words * np.uint64(10)
    pairs += words >> np.uint64(8)  # each byte now holds ten times its digit and the digit after it
    pairs &= _mask(start for start, end in spans if end - start == 2)
    if single := [start for start, end in spans if end - start == 1]:
        words &= _mask(single)
        pairs |= words
    tops = zip(spans, (13, 60, 61) if half_day else (25, 60, 61), strict=False)
    np.add(pairs, np.uint64(sum((128 - top) << 8 * start for (start, _), top in tops)), out=check)
    if np.bitwise_or.reduce(check) & _mask((start for start, _ in spans), 128):
        return None
    total = np.zeros(len(rows), np.uint64)
    for (start, _), size in zip(spans, (3600, 60, 1), strict=False):
        part = pairs >> np.uint64(8 * start)
        if start != spans[-1][0]:
            part &= np.uint64(0xFF)
        if size != 1:
            part *= np.uint64(size)
        total += part
    second = total.view(np.int64)
    least = 3600 if half_day else 0
    return second if second.max() <= DAY_S and second.min() >= least else None

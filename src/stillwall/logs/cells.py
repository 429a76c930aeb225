"""Lines of a file made even, and parted into cells of text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.logs.arrow import ArrowTable, pa, pacsv
from stillwall.logs.encoding import as_utf8, refuse
from stillwall.logs.table import MOST_COLUMNS, Table

Text = bytes | bytearray
PIECE_BYTES = 1 << 22
_BLOCK = 1 << 17


@dataclass(frozen=True, slots=True, eq=False)
class Even:
    """Lines of ``width`` cells each: where each ends, its number in the file, and whether any was changed.

    ``torn`` lines were left out: a quote is open in them.
    """

    text: Text
    ends: NDArray[np.int64]
    numbers: NDArray[np.int64]
    width: int
    changed: bool
    torn: int = 0


def line_ends(piece: bytes) -> int:
    """How many lines a piece of a file ends."""
    ends = piece.count(b"\n")
    return ends if ends else piece.count(b"\r")


def pieces(data: memoryview) -> Iterator[bytes]:
    """A long file in pieces of whole lines."""
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


def plain_lines(piece: bytes, table: Table) -> Text:
    """A piece of a file in UTF-8, its lines ended by a line feed, its columns parted by one mark."""
    text = as_utf8(piece)
    if b"\r" in text:
        text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if not text.endswith(b"\n"):
        text += b"\n"
    return _tabbed(text, single=table.delimiter == " ") if table.aligned else text


def mark_of(table: Table) -> str:
    """What parts the columns of :func:`plain_lines`."""
    return "\t" if table.aligned else table.delimiter


def text_cells(even: Even, table: Table, name: str, first_line: int) -> ArrowTable:
    """Cells of even lines as columns of text, named by their places."""
    names = [f"c{place}" for place in range(even.width)]
    if not even.text or even.text.isspace():
        return pa.table({name: pa.array([], pa.string()) for name in names})
    try:
        return pacsv.read_csv(
            pa.BufferReader(even.text),
            read_options=pacsv.ReadOptions(column_names=names, block_size=max(1 << 20, len(even.text) + 1)),
            parse_options=pacsv.ParseOptions(
                delimiter=mark_of(table), ignore_empty_lines=False, quote_char=False if table.aligned else '"'
            ),
            convert_options=pacsv.ConvertOptions(
                column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=False, check_utf8=False
            ),
        )
    except pa.ArrowInvalid as error:
        raise refuse(name, "its rows cannot be told apart (an open quote?)", "one reading per line",
                     "export the file again", first_line) from error  # fmt: skip


def places_of(text: Text, marks: bytes) -> NDArray[np.int64]:
    """Where any of some characters stand."""
    data = np.frombuffer(text, np.uint8)
    found, also = np.empty(_BLOCK, bool), np.empty(_BLOCK, bool)
    made: list[NDArray[np.int64]] = []
    for start in range(0, len(data), _BLOCK):
        block = data[start : start + _BLOCK]
        here = np.equal(block, marks[0], out=found[: len(block)])
        for mark in marks[1:]:
            here |= np.equal(block, mark, out=also[: len(block)])
        made.append(np.flatnonzero(here) + start)
    return np.concatenate(made) if made else np.zeros(0, np.int64)


def _tabbed(text: bytes, *, single: bool) -> Text:
    """Runs of blanks turned into one tab each; single blanks too, or left as they are."""
    data = np.frombuffer(text, np.uint8)
    if b"\t" not in text and not _some_line_begins_blank(data):
        made = bytearray(text)
        _tab_last_blanks(data, np.frombuffer(made, np.uint8), single=single)
        return made
    blank = (data == 32) | (data == 9)
    after = np.concatenate((blank[1:], [False]))
    before = np.concatenate(([False], blank[:-1]))
    mark = blank & ~before & (after | single | (data == 9))
    tabbed: bytes = np.where(mark, np.uint8(9), data)[~(blank & before)].tobytes()
    return tabbed.replace(b"\n\t", b"\n").replace(b"\t\n", b"\n").removeprefix(b"\t")


def _some_line_begins_blank(data: NDArray[np.uint8]) -> bool:
    end, blank = np.empty(_BLOCK, bool), np.empty(_BLOCK, bool)
    for start in range(0, len(data) - 1, _BLOCK):
        block = data[start : start + _BLOCK + 1]
        here = np.equal(block[:-1], 10, out=end[: len(block) - 1])
        here &= np.equal(block[1:], 32, out=blank[: len(block) - 1])
        if here.any():
            return True
    return bool(data[0] == 32)


def _tab_last_blanks(data: NDArray[np.uint8], made: NDArray[np.uint8], *, single: bool) -> None:
    """Put a tab for the last of each run of blanks; the others stay, as padding of the cell before.

    ``data`` ends with a line end.
    """
    mark, other = np.empty(_BLOCK, bool), np.empty(_BLOCK, bool)
    for start in range(0, len(data) - 1, _BLOCK):
        end = min(start + _BLOCK, len(data) - 1)
        here = np.equal(data[start:end], 32, out=mark[: end - start])
        here &= np.greater(data[start + 1 : end + 1], 32, out=other[: end - start])
        if not single:
            here[1:] &= np.equal(data[start : end - 1], 32, out=other[: end - start - 1])
            here[0] &= start == 0 or data[start - 1] == 32
        made[start:end] -= here.view(np.uint8) * np.uint8(32 - 9)


def evened(text: Text, table: Table, numbers: NDArray[np.int64]) -> Even:
    """Lines made equally long by empty cells at their end; those with an open quote are left out.

    ``numbers`` are those of the lines in the file.
    """
    mark = ord(mark_of(table))
    data = np.frombuffer(text, np.uint8)
    if b'"' in text and not table.aligned:
        ends = places_of(text, b"\n")
        starts = np.concatenate(([0], ends[:-1] + 1))
        marks = places_of(text, bytes([mark]))
        quotes = places_of(text, b'"')
        before = np.searchsorted(quotes, marks)
        line_quotes = np.searchsorted(quotes, starts)
        inside = (before - line_quotes[np.searchsorted(starts, marks, side="right") - 1]) % 2 == 1
        marks = marks[~inside]
        per_line = np.searchsorted(quotes, ends) - line_quotes
        torn = per_line % 2 == 1
        counts = np.searchsorted(marks, ends) - np.searchsorted(marks, starts)
    else:
        found = places_of(text, bytes([mark, 10]))
        lines = np.flatnonzero(data[found] == 10)
        ends = found[lines]
        counts = np.diff(lines, prepend=-1) - 1
        torn = np.zeros(len(ends), bool)
    width = min(max(table.width, int(counts[~torn].max(initial=0)) + 1), MOST_COLUMNS)
    changed = False
    wide = counts >= width
    if torn.any() or wide.any():
        changed = True
        keep = ~(torn | wide)
        kept = zip(bytes(text).split(b"\n")[:-1], keep.tolist(), strict=True)
        text = b"\n".join([line for line, good in kept if good]) + b"\n"
        counts, numbers = counts[keep], numbers[keep]
        ends = places_of(text, b"\n")[: len(counts)]
    lacking = width - 1 - counts
    if lacking.any():
        changed = True
        text = _lengthened(text, ends, lacking, mark)
        ends = ends + np.cumsum(lacking)
    return Even(text, ends, numbers, width, changed, int((torn | wide).sum()))


def _lengthened(text: Text, ends: NDArray[np.int64], lacking: NDArray[np.int64], mark: int) -> Text:
    """Lines with the delimiters that they lack put at their ends."""
    usual = int(np.bincount(lacking).argmax())
    others = np.flatnonzero(lacking != usual)
    if len(others) * 20 > len(ends):
        return np.insert(np.frombuffer(text, np.uint8), np.repeat(ends, lacking), mark).tobytes()
    marks = bytes([mark])
    lengthened = marks * usual + b"\n"
    parts: list[Text] = []
    start = 0
    for line, end, count in zip(
        others.tolist(), ends[others].tolist(), lacking[others].tolist(), strict=True
    ):
        begin = int(ends[line - 1]) + 1 if line else 0
        parts += (text[start:begin].replace(b"\n", lengthened), text[begin:end], marks * count, b"\n")
        start = end + 1
    return b"".join((*parts, text[start:].replace(b"\n", lengthened)))

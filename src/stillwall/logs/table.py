"""The table inside a file: its delimiter, where readings begin, and the header above them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from stillwall.logs.encoding import HEAD_BYTES, Source, decode, refuse
from stillwall.logs.lines import Line, lines_of
from stillwall.logs.quantities import split_unit, unit_of
from stillwall.logs.stamps import kind_of_cell
from stillwall.logs.vocabulary import UNUSED_MARKS
from stillwall.logs.words import names_counter, names_time, role_of

DELIMITERS = (",", ";", "\t", "|", "  ", " ")
"""The last two are columns aligned by blanks: two or more, or any."""
DEEPEST_BYTES = 1 << 22
MOST_COLUMNS = 4096
_SAMPLE = 24
_TIMED = re.compile(
    rb"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}|\d:\d\d|\d{8}|[3-6]\d{4}[.,]\d{3}|(?:19|20)\d\d *[,;\t|]"
)
"""Something like a date or a time, anywhere; looked for before a long preamble is taken apart."""
_NUMBER = re.compile(r"^[+\-−]?(?:\d[\d.,'’ \u00a0\u202f]*|[.,]\d+)(?:[eE][+-]?\d+)?\s*(?:%|°\s?[CF])?$")
MARKS = frozenset(UNUSED_MARKS)


@dataclass(frozen=True, slots=True)
class Table:
    """Layout of a table.

    ``sample`` holds rows of cells from where readings begin and from further on; ``header`` is empty where
    there is none. Columns count from 0. ``start`` is the byte of the first row of readings.
    """

    delimiter: str
    header: tuple[str, ...]
    header_line: int | None
    units: tuple[str, ...]
    groups: tuple[str, ...]
    start: int
    first_line: int
    width: int
    sample: tuple[tuple[str, ...], ...]
    preamble: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default=())

    @property
    def aligned(self) -> bool:
        """Whether columns are parted by blanks alone."""
        return self.delimiter in ("  ", " ")


def split(text: str, delimiter: str) -> list[str]:
    """Cells of a line, quotes taken off."""
    if delimiter == "  ":
        return re.split(r" *\t *| {2,}", text.strip())
    if delimiter == " ":
        return text.split()
    if '"' not in text:
        return text.split(delimiter)
    cells: list[str] = []
    at = 0
    pattern = _QUOTED[delimiter]
    while at <= len(text):
        found = pattern.match(text, at)
        if found is None:
            break
        quoted, bare = found[1], found[2]
        cells.append(quoted.replace('""', '"') if quoted is not None else bare)
        at = found.end() + 1
    return cells


_QUOTED = {
    mark: re.compile(rf'[ ]*"((?:[^"]|"")*)"[ ]*(?={re.escape(mark)}|$)|([^{re.escape(mark)}]*)', re.S)
    for mark in (",", ";", "\t", "|")
}


@lru_cache(maxsize=8192)
def is_number(cell: str) -> bool:
    """Whether a cell looks like a number, in any decimal mark."""
    return _NUMBER.match(cell.strip()) is not None


_AMONG_COMMAS = re.compile(r"[;|\t]|\S {2,}\S")
_AMONG_BLANKS = re.compile(r"[,;|\t]")
_SERIAL = re.compile(r"\d{5}(?:\.\d+)?")


def is_blank(cell: str) -> bool:
    """Whether a cell holds no reading."""
    return cell.strip() in MARKS


@dataclass(frozen=True, slots=True)
class _Guess:
    delimiter: str
    width: int
    stamps: tuple[tuple[int, str], ...]
    score: tuple[float, float]


def sniff(source: Source) -> Table:
    """Find the table in a file.

    Raises
    ------
    LogError
        If no rows of readings can be found.
    """
    size = HEAD_BYTES
    while True:
        part = bytes(source.data[:size])
        whole = size >= len(source.data)
        if b"\0" in part:
            raise refuse(source.name, "this is not text (it holds zero bytes)", "a text file of readings",
                         "export the readings as CSV text")  # fmt: skip
        timeless = size > HEAD_BYTES and _TIMED.search(part) is None
        lines = [] if timeless else lines_of(part, 1, 0, whole=whole)
        guess = _guess(lines)
        if guess is not None:
            found = _table(lines, guess, source)
            if found is not None:
                return found
        if whole or size >= DEEPEST_BYTES:
            break
        size *= 8
    raise refuse(
        source.name,
        "no rows of readings were found (no line holds a date or a time beside a number)",
        "rows of a time and readings, parted by commas, semicolons, tabs, bars or blanks",
        "export the file again as CSV, with a header line and a column of dates and times",
    )


def _chosen(lines: Sequence[Line]) -> list[Line]:
    full = [line for line in lines if line.text.strip()]
    if len(full) <= 3 * _SAMPLE:
        return full
    middle = full[len(full) // 4 : -1]
    stride = max(1, len(middle) // (2 * _SAMPLE))
    return middle[::stride][: 2 * _SAMPLE]


def _guess(lines: Sequence[Line]) -> _Guess | None:
    chosen = _chosen(lines)
    best: _Guess | None = None
    for delimiter in DELIMITERS:
        if best is not None and best.score[0] >= 0.9 * len(chosen):
            break
        found = _guess_by(chosen, delimiter)
        if found is None:
            continue
        if best is None or found.score > best.score:
            by_blanks = delimiter in ("  ", " ")
            if best is None or not by_blanks or found.score[0] > 1.5 * best.score[0]:
                best = found
    return best


def _guess_by(chosen: Sequence[Line], delimiter: str) -> _Guess | None:
    signs: Counter[tuple[int, tuple[tuple[int, str], ...]]] = Counter()
    numbers = 0
    for line in chosen:
        if (delimiter.strip() and delimiter not in line.text) or (
            delimiter == "\t" and "\t" not in line.text
        ):
            continue
        cells = split(line.text, delimiter)
        if not 2 <= len(cells) <= MOST_COLUMNS:
            continue
        kinds = tuple((place, kind) for place, cell in enumerate(cells) if (kind := kind_of_cell(cell)))
        timed = {place for place, _ in kinds}
        if delimiter in (",", "  ", " ") and _holds_marks(cells, timed, delimiter):
            continue
        count = sum(is_number(cell) for place, cell in enumerate(cells) if place not in timed)
        if count == 0 and not (kinds and all(is_blank(cell) or kind_of_cell(cell) for cell in cells)):
            continue
        if not kinds and count < max(2, 0.5 * len(cells)):
            continue
        signs[len(cells), kinds] += 1
        numbers += count
    if not signs:
        return None
    by_stamps: Counter[tuple[tuple[int, str], ...]] = Counter()
    for (_, kinds), count in signs.items():
        by_stamps[kinds] += count
    dated = {kinds: count for kinds, count in by_stamps.items() if any(kind != "time" for _, kind in kinds)}
    kinds = max(dated or by_stamps, key=lambda key: (dated or by_stamps)[key])
    rows = by_stamps[kinds]
    widths = Counter({width: count for (width, key), count in signs.items() if key == kinds})
    width = max(widths, key=lambda key: (widths[key], key))
    tidy = widths[width] / rows
    quality = rows * (1.0 if dated else 0.2) * (0.5 + 0.5 * tidy)
    return _Guess(delimiter, width, kinds, (quality, numbers / max(1, sum(signs.values()))))


def _holds_marks(cells: Sequence[str], timed: set[int], delimiter: str) -> bool:
    """Whether cells hold marks that part cells in other files."""
    marks = _AMONG_COMMAS if delimiter == "," else _AMONG_BLANKS
    return any(
        place not in timed and marks.search(cell) is not None and not is_number(cell)
        for place, cell in enumerate(cells)
    )


def _is_reading(cells: Sequence[str], guess: _Guess) -> bool:
    for place, kind in guess.stamps:
        if place >= len(cells):
            return False
        if kind == "serial" and _is_serial(cells[place]):
            continue
        if kind_of_cell(cells[place]) != kind:
            return False
    if guess.stamps:
        return len(cells) >= 2 and len(cells) > max(place for place, _ in guess.stamps) - 1
    return len(cells) == guess.width and sum(map(is_number, cells)) >= max(2, 0.5 * len(cells))


def _is_serial(cell: str) -> bool:
    text = cell.strip().replace(",", ".")
    return _SERIAL.fullmatch(text) is not None and 29_000 < float(text) < 65_000


def _table(lines: Sequence[Line], guess: _Guess, source: Source) -> Table | None:
    first = None
    for position, line in enumerate(lines):
        cells = split(line.text, guess.delimiter)
        if _is_reading(cells, guess) and _settles(lines, position, guess):
            first = position
            break
    if first is None:
        return None
    above = lines[:first]
    header, units, groups, header_line = _header(above, guess)
    rows: list[tuple[str, ...]] = []
    for line in [*lines[first : first + _SAMPLE], *_chosen(lines[first:])]:
        cells = split(line.text, guess.delimiter)
        if _is_reading(cells, guess):
            rows.append(tuple(cells))
    preamble = tuple(line.text for line in above if line.number != header_line)
    width = max(guess.width, max(len(row) for row in rows))
    while len(header) > width and not header[-1]:
        header = header[:-1]
    width = max(width, len(header))
    return Table(
        guess.delimiter, header, header_line, units, groups, lines[first].start, lines[first].number, width,
        tuple(rows), preamble,
    )  # fmt: skip


def _settles(lines: Sequence[Line], position: int, guess: _Guess) -> bool:
    """Whether readings go on from here: a preamble may hold one line that looks like a reading."""
    following = [line for line in lines[position + 1 : position + 9] if line.text.strip()]
    if not following:
        return True
    good = sum(_is_reading(split(line.text, guess.delimiter), guess) for line in following)
    return good * 2 >= len(following) or position + 9 > len(lines)


def looks_like_units(cells: Sequence[str]) -> bool:
    """Whether a row holds units and nothing else (beside blanks)."""
    full = [cell for cell in cells if cell.strip()]
    known = [cell for cell in full if unit_of(cell) is not None]
    odd = [cell for cell in full if unit_of(cell) is None and not _is_date_form(cell)]
    return len(known) >= 1 and not odd


def _is_date_form(cell: str) -> bool:
    return re.fullmatch(r"[\[(]?[ymdhstjganiYMDHSTJGAN:/.\- ]+[\])]?", cell.strip()) is not None and (
        len(cell.strip()) > 3
    )


def _words_in(cells: Sequence[str]) -> tuple[int, int]:
    """How many cells name a quantity or a time, and how many hold letters at all."""
    known = 0
    lettered = 0
    for cell in cells:
        name, unit = split_unit(cell)
        known += role_of(name, unit) is not None or names_time(cell) or names_counter(cell)
        lettered += any(char.isalpha() for char in cell) or cell.strip() in ("#", "%", "°")
    return known, lettered


def _cells(line: Line, delimiter: str) -> list[str]:
    text = re.sub(r"^\s*(?:#|//|%|;)+\s+(?=\S)", "", line.text)
    return split(text, delimiter)


def _header(
    above: Sequence[Line], guess: _Guess
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...], int | None]:
    near = [line for line in above if line.text.strip()][-40:]
    units: tuple[str, ...] = ()
    best: tuple[float, int] | None = None
    rows = [_cells(line, guess.delimiter) for line in near]
    for place, cells in enumerate(rows):
        known, lettered = _words_in(cells)
        if len([cell for cell in cells if cell.strip()]) < 2 or len(cells) + 1 < min(guess.width, 3):
            continue
        if looks_like_units(cells) and place and _words_in(rows[place - 1])[0] >= 1:
            continue
        fit = 1.0 - min(1.0, abs(len(cells) - guess.width) / guess.width)
        score = known + 0.4 * min(lettered, guess.width) / guess.width + fit
        if known == 0 and (fit < 0.6 or place < len(rows) - 2):
            continue
        if best is None or score >= best[0]:
            best = (score, place)
    if best is None:
        return (), (), (), None
    place = best[1]
    header = tuple(cell.strip() for cell in rows[place])
    if place + 1 < len(rows) and looks_like_units(rows[place + 1]):
        units = tuple(cell.strip() for cell in rows[place + 1])
    groups: tuple[str, ...] = ()
    if place:
        upper = rows[place - 1]
        named = [cell for cell in upper if cell.strip()]
        if len(named) >= 2 and abs(len(upper) - len(header)) <= 1 and _repeats(header):
            groups = _carried(upper)
    return header, units, groups, near[place].number


def _repeats(header: Sequence[str]) -> bool:
    named = [cell for cell in header if cell]
    return len(set(named)) < len(named)


def _carried(cells: Sequence[str]) -> tuple[str, ...]:
    made: list[str] = []
    for cell in cells:
        made.append(cell.strip() or (made[-1] if made else ""))
    return tuple(made)


def further_rows(source: Source, table: Table) -> list[tuple[str, ...]]:
    """Rows from further on in a long file, for what its beginning leaves open."""
    made: list[tuple[str, ...]] = []
    length = len(source.data) - table.start
    for part in range(1, 16):
        start = table.start + length * part // 16
        piece = bytes(source.data[start : start + HEAD_BYTES])
        lines = re.split(rb"\r\n|\n|\r", piece)[1:-1]
        made += [tuple(split(decode(line), table.delimiter)) for line in lines if line.strip()]
    return [row for row in made if 2 <= len(row) <= table.width]

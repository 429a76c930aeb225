"""A second table below the first: other columns, or another logger's readings, which must not be mixed in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from stillwall.logs.columns import Columns
from stillwall.logs.encoding import refuse
from stillwall.logs.quantities import split_unit
from stillwall.logs.vocabulary import SENSOR_WORDS
from stillwall.logs.words import names_time, plain, role_of, words

MOST_LOOKED_AT = 5_000
_TOLD = re.compile(r"^\W*([^:;=,|\t]{2,40}?)\s*[:;=,|\t]\s*(\S.*?)\W*$")


@dataclass(frozen=True, slots=True)
class OddRow:
    """A row without a time of its own: its line in the file and its cells."""

    line: int
    cells: tuple[str, ...]


def no_second_table(
    odd: Sequence[OddRow], last_timed_line: int, columns: Columns, preamble: Sequence[str], name: str
) -> None:
    """Look at the rows between readings.

    Raises
    ------
    LogError
        If one is a header unlike the first, or names another logger than the lines above the first table,
        and readings follow it.
    """
    above = dict(told for line in preamble if (told := _told(line)) is not None)
    for row in odd[:MOST_LOOKED_AT]:
        if row.line > last_timed_line:
            return
        cells = [plain(cell.removeprefix("\ufeff")) for cell in row.cells]
        if _is_header(row.cells, columns) and _full(cells) != _full([plain(text) for text in columns.names]):
            raise refuse(
                name, f"a second table with other columns begins here ({', '.join(filter(None, row.cells))})",
                "one table in a file", "part the file above this line", row.line,
            )  # fmt: skip
        told = _told(": ".join(filter(None, row.cells)))
        if told is not None and above.get(told[0], told[1]) != told[1]:
            raise refuse(
                name, f"readings of another logger begin here ({told[0]}: {told[1]}, above {above[told[0]]})",
                "one logger in a file, or a column that names it", "part the file above this line", row.line,
            )  # fmt: skip


def _full(cells: Sequence[str]) -> list[str]:
    return [cell for cell in cells if cell]


def _is_header(cells: Sequence[str], columns: Columns) -> bool:
    place = columns.time.places[0]
    if place >= len(cells) or not names_time(cells[place]):
        return False
    return any(role_of(*split_unit(cell)) is not None for at, cell in enumerate(cells) if at != place)


def _told(line: str) -> tuple[str, str] | None:
    """What a line such as ``Logger: Hall`` says of the logger; None where it says nothing of it."""
    found = _TOLD.match(line)
    if found is None or not set(words(found[1])) & SENSOR_WORDS:
        return None
    return plain(found[1]), plain(found[2])

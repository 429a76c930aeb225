"""What a column of stamps holds, and its dates as days since 1970."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
Order = str
ORDERS: tuple[Order, ...] = ("day-first", "month-first", "year-first")
DAY_S = 86_400
NO_OFFSET = -100_000
PLACES: dict[Order, tuple[int, int, int]] = {
    "day-first": (2, 1, 0),
    "month-first": (2, 0, 1),
    "year-first": (0, 1, 2),
}
_MONTH_DAYS = np.array([0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31], np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Stamps:
    """What a column of stamps holds.

    ``parts`` (d, 3) are the three numbers of a date as written where ``open_order``, else year, month and
    day; ``day_of_year`` dates hold year, 0, day. ``offset_min`` is :data:`NO_OFFSET` where none is written.
    ``lengths`` says for how many rows in turn each of the d dates stands; None where each row has its own.

    By row: ``second`` is of the day and may be 86,400 (``24:00``); ``read`` says which rows are stamps at
    all (every one, where dates stand for several rows).
    """

    parts: NDArray[np.int32]
    open_order: Mask
    day_of_year: Mask
    offset_min: NDArray[np.int32]
    second: Ints
    read: Mask
    has_date: bool
    has_time: bool
    half_day: bool
    top_hour: int
    lengths: Ints | None = None

    @property
    def order_is_open(self) -> bool:
        """Whether some rows hold a date whose order the layout does not tell."""
        return bool(self.open_order.any())

    @property
    def open_rows(self) -> Mask:
        """Rows that were read and hold a date whose order the layout does not tell."""
        return self.by_row(self.open_order) & self.read

    @property
    def open_parts(self) -> NDArray[np.int32]:
        """The numbers of the dates of :attr:`open_rows`."""
        use = self.open_order if self.lengths is not None else self.open_rows
        return self.parts if use.all() else self.parts[use]

    def by_row(self, of_dates: NDArray[Any]) -> NDArray[Any]:
        """What is so of each date, for each row."""
        return of_dates if self.lengths is None else np.repeat(of_dates, self.lengths, axis=0)

    def take(self, rows: Ints) -> Stamps:
        """The stamps of some rows."""
        of = rows if self.lengths is None else np.repeat(np.arange(len(self.lengths)), self.lengths)[rows]
        return replace(
            self,
            parts=self.parts[of],
            open_order=self.open_order[of],
            day_of_year=self.day_of_year[of],
            offset_min=self.offset_min[of],
            second=self.second[rows],
            read=self.read[rows],
            lengths=None,
        )


def together(pieces: Sequence[Stamps]) -> Stamps:
    """Stamps of several parts of one column, one after the other."""
    if len(pieces) == 1:
        return pieces[0]
    lengths = [
        np.ones(len(piece.read), np.int64) if piece.lengths is None else piece.lengths for piece in pieces
    ]
    return Stamps(
        np.concatenate([piece.parts for piece in pieces]),
        np.concatenate([piece.open_order for piece in pieces]),
        np.concatenate([piece.day_of_year for piece in pieces]),
        np.concatenate([piece.offset_min for piece in pieces]),
        np.concatenate([piece.second for piece in pieces]),
        np.concatenate([piece.read for piece in pieces]),
        any(piece.has_date for piece in pieces),
        any(piece.has_time for piece in pieces),
        any(piece.half_day for piece in pieces),
        max(piece.top_hour for piece in pieces),
        None if all(piece.lengths is None for piece in pieces) else np.concatenate(lengths),
    )


def century(year: NDArray[np.int32]) -> NDArray[np.int32]:
    """Two-digit years: 69 to 99 are of the last century, 00 to 68 of this one (POSIX)."""
    made: NDArray[np.int32] = np.where(year < 100, year + np.where(year >= 69, 1900, 2000), year).astype(
        np.int32
    )
    return made


def days_of(year: Ints, month: Ints, day: Ints) -> tuple[Ints, Mask]:
    """Days since 1970-01-01 in the Gregorian calendar, and which dates exist."""
    safe_month = np.clip(month, 1, 12)
    leap = ((year % 4 == 0) & (year % 100 != 0)) | (year % 400 == 0)
    longest = _MONTH_DAYS[safe_month] - ((safe_month == 2) & ~leap)
    good = (month >= 1) & (month <= 12) & (day >= 1) & (day <= longest) & (year >= 1900) & (year <= 2200)
    start = (
        ((year - 1970) * 12 + safe_month - 1).astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
    )
    return start + day - 1, good


def days(stamps: Stamps, order: Order | None) -> tuple[Ints, Mask]:
    """Days since 1970-01-01 of every row under an order, and which rows hold a date that exists.

    Works on each run of equal dates once.
    """
    parts, is_open, is_doy, lengths = stamps.parts, stamps.open_order, stamps.day_of_year, stamps.lengths
    count = len(parts)
    if count == 0:
        return np.zeros(0, np.int64), np.zeros(0, bool)
    if lengths is None:
        code = (
            (parts[:, 0].astype(np.int64) * 100_000_000 + parts[:, 1].astype(np.int64) * 10_000 + parts[:, 2])
            * 4
            + is_open * 2
            + is_doy
        )
        starts = np.flatnonzero(np.concatenate(([True], code[1:] != code[:-1])))
        parts, is_open, is_doy = parts[starts], is_open[starts], is_doy[starts]
        lengths = np.diff(np.append(starts, count))
    some = parts.astype(np.int64)
    year, month, day = some[:, 0].copy(), some[:, 1].copy(), some[:, 2].copy()
    if order is not None and is_open.any():
        places = PLACES[order]
        year[is_open] = century(some[is_open, places[0]].astype(np.int32))
        month[is_open] = some[is_open, places[1]]
        day[is_open] = some[is_open, places[2]]
    month[is_doy] = 1
    ordinal = day[is_doy].copy()
    day[is_doy] = 1
    found, good = days_of(year, month, day)
    if is_doy.any():
        leap = ((year % 4 == 0) & (year % 100 != 0)) | (year % 400 == 0)
        found[is_doy] += ordinal - 1
        good[is_doy] &= (ordinal >= 1) & (ordinal <= 365 + leap[is_doy])
    if order is None:
        good &= ~is_open
    by_row = np.repeat(found, lengths)
    return by_row, np.ones(len(by_row), bool) if good.all() else np.repeat(good, lengths)

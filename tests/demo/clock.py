"""The time grid of the simulation and the clock on the wall."""

from __future__ import annotations

import datetime as dt

import numpy as np
from numpy.typing import NDArray

STEP_S = 300
START = np.datetime64("2024-06-15T00:00:00")
"""Six weeks before the first reading, so that the buffers have settled."""
END = np.datetime64("2026-11-01T00:00:00")

Times = NDArray[np.datetime64]
Floats = NDArray[np.float64]


def grid() -> Times:
    """Every step from START to END, UTC."""
    return np.arange(START, END, np.timedelta64(STEP_S, "s"))


def _last_sunday(year: int, month: int) -> dt.date:
    day = dt.date(year, month, 31)
    return day - dt.timedelta(days=(day.weekday() + 1) % 7)


def summer(times: Times) -> NDArray[np.bool_]:
    """Whether summer time is in force: last Sunday of March to last Sunday of October, 01:00 UTC.

    Directive 2000/84/EC, articles 2 and 3.
    """
    inside = np.zeros(len(times), dtype=bool)
    for year in range(2024, 2027):
        begin = np.datetime64(f"{_last_sunday(year, 3)}T01:00:00")
        end = np.datetime64(f"{_last_sunday(year, 10)}T01:00:00")
        inside |= (times >= begin) & (times < end)
    return inside


def local(times: Times) -> Times:
    """What a clock on the wall shows in Larkmoor (winter time is UTC)."""
    return times + np.where(summer(times), 3600, 0).astype("timedelta64[s]")


def hour_of_day(times: Times) -> Floats:
    """Hours since midnight of the given clock."""
    return (times - times.astype("datetime64[D]")).astype(np.int64) / 3600.0


def weekday(times: Times) -> NDArray[np.int64]:
    """0 for Monday to 6 for Sunday."""
    return (times.astype("datetime64[D]").astype(np.int64) + 3) % 7


def month(times: Times) -> NDArray[np.int64]:
    """1 to 12."""
    return times.astype("datetime64[M]").astype(np.int64) % 12 + 1


def day_of_year(times: Times) -> NDArray[np.int64]:
    """1 to 366."""
    return (times.astype("datetime64[D]") - times.astype("datetime64[Y]")).astype(np.int64) + 1

"""Dates along a chart: months by name, the year where it begins, nothing cut at the edges."""

from __future__ import annotations

import datetime as dt

import matplotlib.dates as mdates
import numpy as np
from matplotlib.axes import Axes

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def calendar_axis(ax: Axes, start: float, end: float, *, compact: bool = False) -> None:
    """Label the x axis from ``start`` to ``end`` (matplotlib date numbers) with as many dates as fit."""
    fits = 6 if compact else 12
    first, last = (mdates.num2date(moment).date() for moment in (start, end))
    months = (last.year - first.year) * 12 + last.month - first.month + 1
    dates = _days(first, last, fits) if months <= 3 else _months(first, last, months, fits)
    edge = 0.03 * (end - start)
    kept = [day for day in dates if start - 1 <= mdates.date2num(day) <= end - edge]
    ax.set_xticks([float(mdates.date2num(day)) for day in kept], [_say(day, months) for day in kept])
    for label, day in zip(ax.get_xticklabels(), kept, strict=True):
        if mdates.date2num(day) < start + edge:
            label.set_horizontalalignment("left")
    ax.tick_params(axis="x", length=2)


def _months(first: dt.date, last: dt.date, months: int, fits: int) -> list[dt.date]:
    every = next(step for step in (1, 2, 3, 4, 6, 12, 24, 60, 120, 1200) if months / step <= fits)
    counts = np.arange(first.year * 12 + first.month - 1, last.year * 12 + last.month)
    return [dt.date(int(count) // 12, int(count) % 12 + 1, 1) for count in counts if count % every == 0]


def _days(first: dt.date, last: dt.date, fits: int) -> list[dt.date]:
    span = (last - first).days + 1
    every = max(1, -(-span // (fits // 2)))
    return [first + dt.timedelta(days=day) for day in range(0, span, every)]


def _say(day: dt.date, months: int) -> str:
    if months <= 3:
        return f"{day.day} {MONTHS[day.month - 1]}"
    return str(day.year) if day.month == 1 and months > 12 else MONTHS[day.month - 1]

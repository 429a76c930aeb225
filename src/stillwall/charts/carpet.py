"""When is it light, and is that the sun? Illuminance by hour and day, with the predicted sun outlined."""

from __future__ import annotations

from dataclasses import dataclass

import matplotlib.dates as mdates
import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LogNorm
from numpy.typing import NDArray

from stillwall.charts.calendar import calendar_axis
from stillwall.charts.theme import (
    LIMIT,
    NARROW_PX,
    PAPER,
    SMALL_PT,
    WASH_MAP,
    WIDE_PX,
    Drawing,
    drawn,
)

LEAST_LUX, GREATEST_LUX = 10.0, 5000.0


@dataclass(frozen=True, slots=True, eq=False)
class CarpetView:
    """Illuminance by day and time of day.

    ``lux`` has shape (days, slots of a day), the greatest of each slot, NaN where nothing was read.
    ``sun`` has the same number of days and any number of slots: whether the sun is predicted on the
    work.
    """

    first_day: np.datetime64
    lux: NDArray[np.float64]
    sun: NDArray[np.bool_] | None = None
    clock: str = "local time"


def draw_carpet(ax: Axes, view: CarpetView, *, compact: bool = False) -> None:
    """Draw the carpet: darker is more light; unread hours stay paper."""
    days, _ = view.lux.shape
    start = float(mdates.date2num(view.first_day))
    extent = (start, start + days, 0.0, 24.0)
    ax.imshow(
        np.clip(view.lux, LEAST_LUX, None).T,
        origin="lower",
        aspect="auto",
        extent=extent,
        cmap=WASH_MAP,
        norm=LogNorm(LEAST_LUX, GREATEST_LUX, clip=True),
        interpolation="nearest",
    )
    if view.sun is not None and view.sun.any():
        _outline_sun(ax, view.sun, start)
    ax.spines[["left", "bottom"]].set_visible(False)
    ax.set(xlim=extent[:2], ylim=(0, 24))
    ax.set_yticks([0, 6, 12, 18, 24], ["0 h", "6", "noon", "18", "24 h"])
    calendar_axis(ax, start, start + days, compact=compact)


def _outline_sun(ax: Axes, sun: NDArray[np.bool_], start: float) -> None:
    days, slots = sun.shape
    hour = 24.0 / slots
    padded = np.pad(sun, ((0, 0), (1, 1))).astype(np.int8)
    change = np.diff(padded, axis=1)
    label_at: tuple[float, float] | None = None
    for run in range(int((change == 1).sum(axis=1).max())):
        first, last = np.full(days, np.nan), np.full(days, np.nan)
        for day in np.flatnonzero((change == 1).sum(axis=1) > run):
            first[day] = np.flatnonzero(change[day] == 1)[run] * hour
            last[day] = np.flatnonzero(change[day] == -1)[run] * hour
        at = start + np.arange(days) + 0.5
        ax.fill_between(at, first, last, facecolor="none", edgecolor=LIMIT, linewidth=1.1, step="mid")
        if label_at is None:
            lit = np.flatnonzero(~np.isnan(last))
            middle = lit[len(lit) // 8]
            label_at = (float(at[middle]), float(np.nanmax(last)))
    if label_at is not None:
        ax.text(
            label_at[0],
            min(label_at[1] + 0.6, 22.6),
            "sun on the work",
            color=LIMIT,
            fontsize=SMALL_PT,
            va="bottom",
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.2, "alpha": 0.85},
        )


def carpet_drawing(view: CarpetView, *, prefix: str) -> Drawing:
    """Light by hour and day for the page, with its months in a table."""
    return Drawing(
        wide=drawn(
            lambda ax: draw_carpet(ax, view),
            (WIDE_PX, 232),
            left=54,
            right=8,
            top=8,
            bottom=26,
            prefix=f"{prefix}-w",
        ),
        narrow=drawn(
            lambda ax: draw_carpet(ax, view, compact=True),
            (NARROW_PX, 210),
            left=50,
            right=4,
            top=8,
            bottom=26,
            prefix=f"{prefix}-n",
        ),
        alternative=_say(view),
        columns=("month", "days read", "greatest of a day, middling", "greatest of all"),
        rows=_months(view),
    )


def _months(view: CarpetView) -> tuple[tuple[str, ...], ...]:
    days = view.first_day.astype("datetime64[D]") + np.arange(len(view.lux))
    months = days.astype("datetime64[M]")
    read = ~np.isnan(view.lux).all(axis=1)
    rows = []
    for month in np.unique(months[read]):
        here = view.lux[(months == month) & read]
        peak = np.nanmax(here, axis=1)
        rows.append((str(month), str(len(here)), f"{np.median(peak):,.0f} lx", f"{peak.max():,.0f} lx"))
    return tuple(rows)


def _say(view: CarpetView) -> str:
    read = ~np.isnan(view.lux).all(axis=1)
    sun = (
        f" The sun is predicted on the work on {int(view.sun.any(axis=1).sum())} days."
        if view.sun is not None
        else ""
    )
    peak = float(np.nanmax(view.lux)) if read.any() else 0.0
    return (
        f"Illuminance by hour ({view.clock}) and day, from {view.first_day.astype('datetime64[D]')}, "
        f"{int(read.sum())} days read, greatest {peak:,.0f} lx. Darker is more light.{sun}"
    )

"""When does the sun land on the work? A calendar by day and hour, for a clear sky."""

from __future__ import annotations

from dataclasses import dataclass

import matplotlib.dates as mdates
import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from numpy.typing import NDArray

from stillwall.charts.calendar import MONTHS, calendar_axis
from stillwall.charts.theme import BAND, LIMIT, NARROW_PX, RULE, WIDE_PX, Drawing, drawn

SUN_MAP = LinearSegmentedColormap.from_list("sun", (BAND, LIMIT))


@dataclass(frozen=True, slots=True, eq=False)
class SunView:
    """Lit share of the work by day and slot of the local clock; ``lit`` has shape (days, slots)."""

    first_day: np.datetime64
    lit: NDArray[np.float64]


def draw_sun(ax: Axes, view: SunView, *, compact: bool = False) -> None:
    """Draw the calendar: deeper is more of the work in the sun; the hours shown are those that matter."""
    days, slots = view.lit.shape
    start = float(mdates.date2num(view.first_day))
    shown = np.where(view.lit > 0.0, view.lit, np.nan)
    ax.imshow(
        shown.T,
        origin="lower",
        aspect="auto",
        extent=(start, start + days, 0.0, 24.0),
        cmap=SUN_MAP,
        vmin=0.0,
        vmax=1.0,
        interpolation="nearest",
    )
    hours = np.flatnonzero((view.lit > 0.0).any(axis=0)) * 24.0 / slots
    low, high = (int(hours.min()) - 1, int(hours.max()) + 2) if len(hours) else (6, 20)
    low, high = max(0, low), min(24, high)
    every = 1 if high - low <= 6 else 2 if high - low <= 12 else 4
    ticks = list(range(low, high + 1, every))
    ax.set(xlim=(start, start + days), ylim=(low, high))
    ax.set_yticks(ticks, [f"{tick}:00" for tick in ticks])
    ax.yaxis.grid(visible=True, color=RULE, linewidth=0.5)
    ax.spines[["left", "bottom"]].set_color(RULE)
    calendar_axis(ax, start, start + days, compact=compact)


def sun_drawing(view: SunView, *, prefix: str) -> Drawing:
    """The calendar for the page, with its months in a table."""
    rows = _months(view)
    lit_days = int((view.lit > 0.0).any(axis=1).sum())
    return Drawing(
        wide=drawn(
            lambda ax: draw_sun(ax, view),
            (WIDE_PX, 176),
            left=54,
            right=8,
            top=8,
            bottom=26,
            prefix=f"{prefix}-w",
        ),
        narrow=drawn(
            lambda ax: draw_sun(ax, view, compact=True),
            (NARROW_PX, 170),
            left=50,
            right=4,
            top=8,
            bottom=26,
            prefix=f"{prefix}-n",
        ),
        alternative=(
            f"Calendar of direct sun on the work under a clear sky: on {lit_days} days of the year, "
            f"in {len(rows)} months."
        ),
        columns=("month", "days with sun", "between", "hours under a clear sky"),
        rows=rows,
    )


def _months(view: SunView) -> tuple[tuple[str, ...], ...]:
    days = view.first_day.astype("datetime64[D]") + np.arange(len(view.lit))
    months = days.astype("datetime64[M]")
    slot_h = 24.0 / view.lit.shape[1]
    rows = []
    for month in np.unique(months):
        here = view.lit[months == month] > 0.0
        if here.any():
            slots = np.flatnonzero(here.any(axis=0))
            name = f"{MONTHS[int(str(month)[5:7]) - 1]} {str(month)[:4]}"
            between = f"{_clock(slots[0] * slot_h)} to {_clock((slots[-1] + 1) * slot_h)}"
            rows.append((name, str(int(here.any(axis=1).sum())), between, f"{here.sum() * slot_h:.0f}"))
    return tuple(rows)


def _clock(hour: float) -> str:
    minutes = round(hour * 60)
    return f"{minutes // 60}:{minutes % 60:02d}"

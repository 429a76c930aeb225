"""Will the year's light stay within its budget? Dose so far and to come, against the limit."""

from __future__ import annotations

from dataclasses import dataclass

import matplotlib.dates as mdates
import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from stillwall.charts.calendar import calendar_axis
from stillwall.charts.figures import significant
from stillwall.charts.theme import (
    INK,
    LIMIT,
    NARROW_PX,
    RULE,
    SMALL_PT,
    SOFT,
    WASH,
    WIDE_PX,
    Drawing,
    drawn,
)


@dataclass(frozen=True, slots=True, eq=False)
class DoseView:
    """Cumulative light dose over a stay. [lx h]

    ``days`` has shape (n,); ``low``, ``median``, ``high`` are the 5th, 50th and 95th percentiles of the
    dose from the first day on, on the same days.
    """

    days: NDArray[np.datetime64]
    low: NDArray[np.float64]
    median: NDArray[np.float64]
    high: NDArray[np.float64]
    budget_lux_h: float
    budget_words: str
    method: str = ""


def draw_dose(ax: Axes, view: DoseView, *, compact: bool = False) -> None:
    """Draw the fan of the cumulative dose [klx h] and the budget as a line."""
    at = mdates.date2num(view.days)
    low, median, high = (curve / 1000 for curve in (view.low, view.median, view.high))
    budget = view.budget_lux_h / 1000
    ax.fill_between(at, low, high, color=WASH[1], linewidth=0, zorder=2)
    ax.plot(at, median, color=INK, linewidth=1.5, zorder=3)
    top = max(float(high[-1]), budget) * 1.12
    ax.plot([at[0], at[-1]], [budget, budget], color=LIMIT, linewidth=1.2, zorder=4)
    ax.text(
        at[0] + (at[-1] - at[0]) * 0.02,
        budget + top * 0.015,
        view.budget_words,
        color=LIMIT,
        fontsize=SMALL_PT,
        va="bottom",
    )
    ax.set(xlim=(at[0], at[-1]), ylim=(0, top))
    ax.spines["left"].set_visible(False)
    ax.spines["bottom"].set_color(RULE)
    ax.yaxis.grid(visible=True, color=RULE, linewidth=0.5)
    calendar_axis(ax, float(at[0]), float(at[-1]), compact=compact)
    ax.yaxis.set_major_locator(MaxNLocator(nbins=4))
    ticks = [tick for tick in ax.get_yticks() if 0 <= tick <= top]
    ax.set_yticks(ticks, [*(f"{tick:,.0f}" for tick in ticks[:-1]), f"{ticks[-1]:,.0f} klx h"])
    _end_labels(ax, float(at[-1]), (float(low[-1]), float(median[-1]), float(high[-1])), top)


def _end_labels(ax: Axes, at: float, ends: tuple[float, float, float], top: float) -> None:
    """The three figures at the right edge, moved apart where they would touch."""
    apart = top * 0.075
    low, median, high = ends
    places = (min(low, median - apart), median, max(high, median + apart))
    for end, place, color in zip(ends, places, (SOFT, INK, SOFT), strict=True):
        ax.annotate(
            significant(end),
            (at, place),
            xytext=(5, 0),
            textcoords="offset points",
            va="center",
            color=color,
            fontsize=SMALL_PT,
            annotation_clip=False,
        )


def dose_drawing(view: DoseView, *, prefix: str) -> Drawing:
    """Dose against budget for the page, with its months in a table."""
    ends = [float(curve[-1]) / 1000 for curve in (view.low, view.median, view.high)]
    months = view.days.astype("datetime64[M]")
    last = np.flatnonzero(np.append(months[1:] != months[:-1], True))
    return Drawing(
        wide=drawn(
            lambda ax: draw_dose(ax, view),
            (WIDE_PX, 240),
            left=88,
            right=52,
            top=10,
            bottom=26,
            prefix=f"{prefix}-w",
        ),
        narrow=drawn(
            lambda ax: draw_dose(ax, view, compact=True),
            (NARROW_PX, 220),
            left=76,
            right=46,
            top=10,
            bottom=26,
            prefix=f"{prefix}-n",
        ),
        alternative=(
            f"Cumulative light dose: {significant(ends[1])} klx h at the end, 90 % interval "
            f"{significant(ends[0])} to {significant(ends[2])} klx h, against {view.budget_words}."
        ),
        columns=("by the end of", "low", "median", "high"),
        rows=tuple(
            (
                str(months[index]),
                *(
                    f"{significant(float(curve[index]) / 1000)} klx h"
                    for curve in (view.low, view.median, view.high)
                ),
            )
            for index in last
        ),
    )

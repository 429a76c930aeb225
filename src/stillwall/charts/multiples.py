"""Did this season differ from the last? One small chart a room and quantity, all alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from stillwall.charts.theme import BAND, DATA, INK, RULE, SMALL_PT, SOFT, WASH, Drawing, drawn

Floats = NDArray[np.float64]
WIDTH_PX, HEIGHT_PX = 340, 132


@dataclass(frozen=True, slots=True, eq=False)
class SeasonView:
    """Daily means of one quantity over a season and over the same days a year before.

    ``now`` and ``before`` have shape (days of the season,), NaN where nothing was read. ``low`` and
    ``high`` are the band's levels, None where there is none.
    """

    title: str
    unit: str
    now: Floats
    before: Floats
    low: float | None
    high: float | None
    first_words: str
    last_words: str
    alarmed: bool


def draw_season(ax: Axes, view: SeasonView) -> None:
    """Draw this season as a firm line over last year's pale one and the band."""
    days = np.arange(len(view.now))
    if view.low is not None and view.high is not None:
        ax.axhspan(view.low, view.high, color=BAND, linewidth=0, zorder=1)
    ax.plot(days, view.before, color=WASH[2], linewidth=1.0, zorder=2)
    ax.plot(days, view.now, color=INK if view.alarmed else DATA, linewidth=1.6, zorder=3)
    known = [each for each in (view.now, view.before) if not np.isnan(each).all()]
    ends = [value for each in known for value in (np.nanmin(each), np.nanmax(each))]
    low, high = (min(ends), max(ends)) if ends else (0.0, 1.0)
    margin = 0.12 * (high - low) + 0.3
    ax.set(xlim=(0, max(1, len(days) - 1)), ylim=(low - margin, high + margin))
    ax.spines["left"].set_visible(False)
    ax.spines["bottom"].set_color(RULE)
    ax.set_xticks([0, max(1, len(days) - 1)], [view.first_words, view.last_words])
    first, last = ax.get_xticklabels()
    first.set_horizontalalignment("left")
    last.set_horizontalalignment("right")
    ax.set_yticks([low, high], [f"{low:.0f}", f"{high:.0f} {view.unit}"])
    ax.tick_params(axis="y", labelsize=SMALL_PT)
    ax.tick_params(axis="x", labelsize=SMALL_PT, length=0)
    _label_end(ax, view)


def _label_end(ax: Axes, view: SeasonView) -> None:
    """Name each line at its last day; the names stand apart where the lines meet."""
    ends = [
        (words, color, int(seen[-1]), float(values[seen[-1]]))
        for values, words, color in ((view.before, "last year", SOFT), (view.now, "this", INK))
        if len(seen := np.flatnonzero(~np.isnan(values)))
    ]
    low, high = ax.get_ylim()
    apart = 0.16 * (high - low)
    if len(ends) == 2 and abs(ends[1][3] - ends[0][3]) < apart:
        words, color, day, level = ends[1]
        ends[1] = (words, color, day, ends[0][3] + (apart if level >= ends[0][3] else -apart))
    for words, color, day, level in ends:
        ax.annotate(
            words,
            (day, level),
            xytext=(4, 0),
            textcoords="offset points",
            va="center",
            color=color,
            fontsize=SMALL_PT,
            annotation_clip=False,
        )


def season_drawing(view: SeasonView, *, prefix: str) -> Drawing:
    """One of the small charts, the same on a page and on a telephone."""
    made = drawn(
        lambda ax: draw_season(ax, view),
        (WIDTH_PX, HEIGHT_PX),
        left=52,
        right=58,
        top=8,
        bottom=22,
        prefix=prefix,
    )
    return Drawing(wide=made, narrow="", alternative=_say(view))


def _say(view: SeasonView) -> str:
    def mean(values: Floats) -> str:
        return "not read" if np.isnan(values).all() else f"{np.nanmean(values):.1f} {view.unit}"

    return (
        f"{view.title}: mean of this season {mean(view.now)}, of the same days last year {mean(view.before)}."
    )

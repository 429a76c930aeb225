"""Which loads are near the limit? Each with its interval, against the line at 1."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from numpy.typing import NDArray

from stillwall.charts.figures import against, hazard_words, severity, show_interval, show_ratio
from stillwall.charts.theme import (
    INK,
    LIMIT,
    LOAD_FROM,
    LOAD_TO,
    NARROW_PX,
    RULE,
    SMALL_PT,
    SOFT,
    WASH,
    WIDE_PX,
    Drawing,
    drawn,
    strokes,
    wash,
)
from stillwall.load import Load
from stillwall.units import System

Floats = NDArray[np.float64]
ROW_PX, NARROW_ROW_PX = 30, 39
EDGE = 1.06
"""How far past a tenth and ten times the axis runs, so that a tick at the end can be seen."""


def draw_loads(ax: Axes, loads: Sequence[Load], *, system: System, compact: bool = False) -> None:
    """Draw loads, largest first, as 90 % intervals with a tick at the median, on a log scale."""
    ordered = sorted(loads, key=lambda load: (-severity(load), load.hazard))
    count = len(ordered)
    levels: Floats = np.arange(count, dtype=np.float64) + (0.16 if compact else 0.0)
    ax.set(xlim=(_at(LOAD_FROM / EDGE), _at(LOAD_TO * EDGE)), ylim=(count - 0.4, -0.75))
    ax.spines[["left", "bottom"]].set_visible(False)
    ax.set_yticks([])
    ax.set_xticks([_at(LOAD_FROM), _at(1.0), _at(LOAD_TO)], ["a tenth", "1", "ten times"])
    ax.tick_params(axis="x", length=0)
    first, _, last = ax.get_xticklabels()
    first.set_horizontalalignment("left")
    last.set_horizontalalignment("right")
    between = np.arange(count) + 0.5
    ends = np.full(count, ax.get_xlim()[0]), np.full(count, ax.get_xlim()[1])
    strokes(ax, ends, (between, between), color=RULE, linewidth=0.5, zorder=1)
    _draw_bars(ax, levels, ordered, thick=0.11 if compact else 0.15)
    _draw_unknown(ax, levels, ordered)
    for row, load in enumerate(ordered):
        _write_row(ax, row, load, system, compact=compact)
    ax.plot([_at(1.0)] * 2, [-0.42, count - 0.4], color=LIMIT, linewidth=1.3, zorder=4)
    ax.text(_at(1.0), -0.5, "allowance", color=LIMIT, ha="center", va="bottom", fontsize=SMALL_PT)


def _at(ratio: float) -> float:
    """Where a load stands on the logarithmic scale; loads off it stand at its ends."""
    return math.log10(min(max(ratio, LOAD_FROM / EDGE), LOAD_TO * EDGE))


def _draw_bars(ax: Axes, levels: Floats, ordered: Sequence[Load], *, thick: float) -> None:
    """One bar a load, in its wash; a tick at the median; an arrow where the interval runs off the scale."""
    bars: list[list[tuple[float, float]]] = []
    washes, edges, ticks, heights = [], [], [], []
    for level, load in zip(levels, ordered, strict=True):
        if load.barred:
            span = (_at(1.0), _at(LOAD_TO * EDGE))
            washes.append(WASH[-1])
            edges.append(WASH[-1])
        elif load.low is None or load.high is None or load.ratio is None or load.high < LOAD_FROM:
            continue
        else:
            low, high = _at(max(load.low, LOAD_FROM)), _at(min(load.high, LOAD_TO))
            span = (low, max(high, low + 0.002))
            washes.append(wash(load.ratio))
            edges.append(WASH[2])
            if LOAD_FROM <= load.ratio <= LOAD_TO:
                ticks.append(_at(load.ratio))
                heights.append(level)
        up, down = level - thick, level + thick
        bars.append([(span[0], up), (span[1], up), (span[1], down), (span[0], down)])
    ax.add_collection(
        PolyCollection(bars, facecolors=washes, edgecolors=edges, linewidths=0.5, zorder=3), autolim=False
    )
    across, middle, reach = np.array(ticks), np.array(heights), 1.8 * thick
    strokes(ax, (across, across), (middle - reach, middle + reach), color=INK, linewidth=2, zorder=5)
    for mark, edge, off in (
        ("<", LOAD_FROM, [load.low is not None and load.low < LOAD_FROM for load in ordered]),
        (">", LOAD_TO, [load.high is not None and load.high > LOAD_TO for load in ordered]),
    ):
        rows = levels[np.array(off, bool) & ~np.array([load.barred for load in ordered], bool)]
        at = np.full(len(rows), _at(edge))
        ax.plot(at, rows, marker=mark, markersize=3.5, color=INK, linestyle="none", zorder=6, clip_on=False)


def _draw_unknown(ax: Axes, levels: Floats, ordered: Sequence[Load]) -> None:
    """A dotted line along the whole scale where nothing can be said."""
    unknown = levels[np.array([load.draws is None and not load.barred for load in ordered], bool)]
    ends = np.full(len(unknown), _at(LOAD_FROM)), np.full(len(unknown), _at(LOAD_TO))
    strokes(ax, ends, (unknown, unknown), color=SOFT, linewidth=0.8, linestyle=(0, (1, 4)), zorder=3)


def _write_row(ax: Axes, row: int, load: Load, system: System, *, compact: bool) -> None:
    words = against(load, system)
    across = ax.get_yaxis_transform()
    if compact:
        ax.text(0, row - 0.24, hazard_words(load.hazard), ha="left", va="center", transform=across)
        ax.text(
            1, row - 0.24, words, ha="right", va="center", color=SOFT, fontsize=SMALL_PT, transform=across
        )
    else:
        ax.text(-0.012, row, hazard_words(load.hazard), ha="right", va="center", transform=across)
        ax.text(1.03, row, words, ha="left", va="center", color=SOFT, fontsize=SMALL_PT, transform=across)


def loads_drawing(loads: Sequence[Load], *, system: System, prefix: str) -> Drawing:
    """Loads of one place, for the page."""
    wide_height = 52 + ROW_PX * len(loads)
    ordered = sorted(loads, key=lambda load: (-severity(load), load.hazard))
    return Drawing(
        wide=drawn(
            lambda ax: draw_loads(ax, loads, system=system),
            (WIDE_PX, wide_height),
            left=132,
            right=236,
            top=6,
            bottom=24,
            prefix=f"{prefix}-w",
        ),
        narrow=drawn(
            lambda ax: draw_loads(ax, loads, system=system, compact=True),
            (NARROW_PX, 56 + NARROW_ROW_PX * len(loads)),
            left=4,
            right=6,
            top=8,
            bottom=24,
            prefix=f"{prefix}-n",
        ),
        alternative=_say(ordered),
        columns=(
            "hazard",
            "load",
            "90 % interval",
            "chance over 1",
            "exposure against allowance",
            "evidence",
        ),
        rows=tuple(_row(load, system) for load in ordered),
    )


def _row(load: Load, system: System) -> tuple[str, ...]:
    if load.draws is None or load.ratio is None or load.low is None or load.high is None:
        ratio, interval, chance = ("barred" if load.barred else "—"), "—", "—"
    else:
        ratio = "barred" if load.barred else show_ratio(load.ratio)
        interval = show_interval(load.low, load.high)
        chance = f"{load.chance_over or 0:.2f}"
    return (hazard_words(load.hazard), ratio, interval, chance, against(load, system), load.evidence)


def _say(ordered: Sequence[Load]) -> str:
    over = [load for load in ordered if load.barred or (load.ratio is not None and load.ratio > 1)]
    unknown = [load for load in ordered if load.draws is None and not load.barred]
    parts = [
        f"Bar chart of {len(ordered)} loads, largest first, each as an interval against the allowance at 1."
    ]
    if over:
        parts.append("Over the allowance: " + ", ".join(hazard_words(load.hazard) for load in over) + ".")
    else:
        parts.append("None is over the allowance at its best estimate.")
    if unknown:
        parts.append("Not known: " + ", ".join(hazard_words(load.hazard) for load in unknown) + ".")
    return " ".join(parts)

"""Which loads are near the limit? Each with its interval, against the line at 1."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes

from stillwall.charts.figures import against, hazard_words, show_interval, show_ratio
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
    figure,
    margins,
    svg,
    wash,
)
from stillwall.load import Load
from stillwall.units import System

ROW_PX, NARROW_ROW_PX = 32, 46
EDGE = 1.06
"""How far past a tenth and ten times the axis runs, so that a tick at the end can be seen."""


def severity(load: Load) -> float:
    """Order of loads on the page: bars, then what is not known, then by size."""
    if load.barred:
        return float("inf")
    return 1e6 if load.ratio is None else load.ratio


def draw_loads(ax: Axes, loads: Sequence[Load], *, system: System, compact: bool = False) -> None:
    """Draw loads, largest first, as 90 % intervals with a tick at the median, on a log scale."""
    ordered = sorted(loads, key=lambda load: (-severity(load), load.hazard))
    left, right = LOAD_FROM / EDGE, LOAD_TO * EDGE
    ax.set(xscale="log", xlim=(left, right), ylim=(len(ordered) - 0.4, -0.75))
    ax.spines[["left", "bottom"]].set_visible(False)
    ax.set_yticks([])
    ax.minorticks_off()
    ax.set_xticks([LOAD_FROM, 1.0, LOAD_TO], ["a tenth", "1", "ten times"])
    ax.tick_params(axis="x", length=0)
    first, _, last = ax.get_xticklabels()
    first.set_horizontalalignment("left")
    last.set_horizontalalignment("right")
    for row, load in enumerate(ordered):
        ax.plot([left, right], [row + 0.5, row + 0.5], color=RULE, linewidth=0.5, zorder=1)
        _draw_load(ax, row + (0.16 if compact else 0.0), load, thick=0.11 if compact else 0.15)
        _write_row(ax, row, load, system, compact=compact)
    ax.plot([1, 1], [-0.42, len(ordered) - 0.4], color=LIMIT, linewidth=1.3, zorder=4)
    ax.text(1, -0.5, "allowance", color=LIMIT, ha="center", va="bottom", fontsize=SMALL_PT)


def _draw_load(ax: Axes, row: float, load: Load, *, thick: float) -> None:
    if load.barred:
        ax.barh(row, LOAD_TO * EDGE - 1, left=1, height=2 * thick, color=WASH[-1], zorder=3)
        return
    if load.draws is None or load.low is None or load.high is None or load.ratio is None:
        ax.plot([LOAD_FROM, LOAD_TO], [row, row], color=SOFT, linewidth=0.8, linestyle=(0, (1, 4)), zorder=3)
        return
    low, middle, high = (min(max(value, LOAD_FROM), LOAD_TO) for value in (load.low, load.ratio, load.high))
    ax.barh(
        row,
        max(high - low, low * 0.004),
        left=low,
        height=2 * thick,
        color=wash(load.ratio),
        zorder=3,
        edgecolor=WASH[2],
        linewidth=0.5,
    )
    ax.plot(
        [middle, middle],
        [row - 1.8 * thick, row + 1.8 * thick],
        color=INK,
        linewidth=2,
        solid_capstyle="butt",
        zorder=5,
    )
    for value, edge, mark in ((load.low, LOAD_FROM, "<"), (load.high, LOAD_TO, ">")):
        if (value < edge) if mark == "<" else (value > edge):
            ax.plot([edge], [row], marker=mark, markersize=3.5, color=INK, zorder=6, clip_on=False)


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
    wide, ax = figure(WIDE_PX, wide_height)
    margins(ax, left=132, right=236, top=6, bottom=24)
    draw_loads(ax, loads, system=system)
    narrow, ax = figure(NARROW_PX, 56 + NARROW_ROW_PX * len(loads))
    margins(ax, left=4, right=6, top=8, bottom=24)
    draw_loads(ax, loads, system=system, compact=True)
    ordered = sorted(loads, key=lambda load: (-severity(load), load.hazard))
    return Drawing(
        wide=svg(wide, f"{prefix}-w"),
        narrow=svg(narrow, f"{prefix}-n"),
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

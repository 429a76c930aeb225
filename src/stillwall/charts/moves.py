"""What has to move, and in which order? The chain of moves between places."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.patches import FancyArrowPatch, Rectangle

from stillwall.charts.theme import (
    INK,
    NARROW_PX,
    SMALL_PT,
    SOFT,
    WIDE_PX,
    Drawing,
    figure,
    margins,
    svg,
    write_lines,
)

ROW_PX = 64


@dataclass(frozen=True, slots=True)
class MoveView:
    """One move as it is drawn."""

    number: int
    work: str
    start: str
    end: str
    when: str = ""


def draw_moves(ax: Axes, moves: Sequence[MoveView], *, compact: bool = False) -> None:
    """Draw each move as an arrow between its two places, top to bottom in the order of the work."""
    ax.axis("off")
    width = 30.0 if not compact else 15.0
    ax.set(xlim=(0, 100), ylim=(len(moves) * 10, 0))
    letters = 26 if not compact else 15
    for row, move in enumerate(moves):
        level = row * 10 + 5
        for left, place in (
            (6.0 if not compact else 7.0, move.start),
            (100 - width - 14 * compact, move.end),
        ):
            box_width = width + 14 * compact
            left = left if place is move.start else 100 - box_width
            ax.add_patch(
                Rectangle(
                    (left, level - 3.1),
                    box_width - 0.3,
                    6.2,
                    facecolor="#F5EFE2",
                    edgecolor=INK,
                    linewidth=0.9,
                )
            )
            write_lines(
                ax,
                left + box_width / 2,
                level,
                textwrap.wrap(place, letters)[:2],
                ha="center",
                fontsize=SMALL_PT,
            )
        begin, finish = (6.0 if not compact else 7.0) + width + 14 * compact, 100 - width - 14 * compact
        ax.add_patch(
            FancyArrowPatch(
                (begin, level),
                (finish, level),
                arrowstyle="-|>",
                mutation_scale=10,
                color=INK,
                linewidth=1.2,
                shrinkA=2,
                shrinkB=1,
            )
        )
        ax.text(1, level, str(move.number), ha="left", va="center", color=SOFT)
        if not compact:
            middle = (begin + finish) / 2
            ax.text(
                middle,
                level - 1.1,
                textwrap.shorten(move.work, 38, placeholder="…"),
                ha="center",
                va="bottom",
                style="italic",
            )
            ax.text(middle, level + 1.1, move.when, ha="center", va="top", fontsize=SMALL_PT, color=SOFT)
        else:
            ax.text(
                7,
                level - 3.6,
                textwrap.shorten(move.work, 44, placeholder="…"),
                va="bottom",
                style="italic",
                fontsize=SMALL_PT,
            )


def moves_drawing(moves: Sequence[MoveView], *, prefix: str) -> Drawing:
    """The chain of moves for the page, with its steps in a table."""
    wide, ax = figure(WIDE_PX, ROW_PX * len(moves) + 4)
    margins(ax, left=0, right=2, top=2, bottom=2)
    draw_moves(ax, moves)
    narrow, ax = figure(NARROW_PX, 1.25 * ROW_PX * len(moves) + 4)
    margins(ax, left=0, right=2, top=2, bottom=2)
    draw_moves(ax, moves, compact=True)
    return Drawing(
        wide=svg(wide, f"{prefix}-w"),
        narrow=svg(narrow, f"{prefix}-n"),
        alternative="; ".join(f"move {m.number}: {m.work} from {m.start} to {m.end}" for m in moves) + ".",
        columns=("step", "work", "from", "to", "when"),
        rows=tuple((str(m.number), m.work, m.start, m.end, m.when) for m in moves),
    )

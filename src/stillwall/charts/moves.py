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
    drawn,
    write_lines,
)

ROW_PX = 64
NARROW_ROW_PX = 90
MOST_LINES = 3


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
    ax.set(xlim=(0, 100), ylim=(len(moves) * 10, 0))
    left, width, letters = (8.0, 37.0, 18) if compact else (6.0, 30.0, 30)
    right = 100 - width
    for row, move in enumerate(moves):
        level = row * 10 + 5 + compact
        for start, place in ((left, move.start), (right, move.end)):
            ax.add_patch(
                Rectangle(
                    (start, level - 3.5),
                    width - 0.3,
                    7.0,
                    facecolor="#F5EFE2",
                    edgecolor=INK,
                    linewidth=0.9,
                )
            )
            lines = textwrap.wrap(place, letters, max_lines=MOST_LINES, placeholder="…")
            write_lines(ax, start + width / 2, level, lines, ha="center", fontsize=SMALL_PT)
        ax.add_patch(
            FancyArrowPatch(
                (left + width, level),
                (right, level),
                arrowstyle="-|>",
                mutation_scale=10,
                color=INK,
                linewidth=1.2,
                shrinkA=2,
                shrinkB=1,
            )
        )
        ax.text(1, level, str(move.number), ha="left", va="center", color=SOFT)
        title = textwrap.shorten(move.work, 44 if compact else 38, placeholder="…")
        if compact:
            ax.text(left, level - 3.8, title, va="bottom", style="italic", fontsize=SMALL_PT)
        else:
            middle = (left + width + right) / 2
            ax.text(middle, level - 1.1, title, ha="center", va="bottom", style="italic")
            ax.text(middle, level + 1.1, move.when, ha="center", va="top", fontsize=SMALL_PT, color=SOFT)


def moves_drawing(moves: Sequence[MoveView], *, prefix: str) -> Drawing:
    """The chain of moves for the page, with its steps in a table."""
    return Drawing(
        wide=drawn(
            lambda ax: draw_moves(ax, moves),
            (WIDE_PX, ROW_PX * len(moves) + 4),
            left=0,
            right=2,
            top=2,
            bottom=2,
            prefix=f"{prefix}-w",
        ),
        narrow=drawn(
            lambda ax: draw_moves(ax, moves, compact=True),
            (NARROW_PX, NARROW_ROW_PX * len(moves) + 4),
            left=0,
            right=2,
            top=2,
            bottom=2,
            prefix=f"{prefix}-n",
        ),
        alternative="; ".join(f"move {m.number}: {m.work} from {m.start} to {m.end}" for m in moves) + ".",
        columns=("step", "work", "from", "to", "when"),
        rows=tuple((str(m.number), m.work, m.start, m.end, m.when) for m in moves),
    )

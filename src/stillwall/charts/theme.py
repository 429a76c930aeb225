"""One visual language: inks on paper, one wash that deepens with the load, text as text.

Colours are ordered by lightness, so that greyscale print and colour-blind eyes read the same order.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, to_hex
from matplotlib.figure import Figure

PAPER = "#FBF8F2"
INK = "#1F2A33"
SOFT = "#5E6973"
RULE = "#D9D2C5"
WASH = ("#F1E6D0", "#E0C491", "#C1904C", "#8A5A2B", "#4E2D1B")
LIMIT = "#1D5B5E"
BAND = "#CFE3DF"
DATA = "#35506B"

WASH_MAP = LinearSegmentedColormap.from_list("wash", WASH)
LOAD_FROM, LOAD_TO = 0.1, 10.0
"""Loads are drawn on a logarithmic scale from a tenth of the allowance to ten times it."""

PX = 1 / 96
"""One CSS pixel. [in]"""
WIDE_PX, NARROW_PX = 736, 360

STYLE: dict[Any, Any] = {
    "font.family": "serif",
    "font.serif": ["DejaVu Serif"],
    "font.size": 9.75,
    "text.color": INK,
    "axes.edgecolor": SOFT,
    "axes.labelcolor": SOFT,
    "axes.linewidth": 0.6,
    "axes.facecolor": "none",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "xtick.color": RULE,
    "ytick.color": RULE,
    "xtick.labelcolor": SOFT,
    "ytick.labelcolor": SOFT,
    "xtick.major.width": 0.6,
    "ytick.major.width": 0.6,
    "xtick.major.size": 3,
    "ytick.major.size": 0,
    "figure.facecolor": "none",
    "savefig.facecolor": "none",
    "svg.fonttype": "none",
    "svg.hashsalt": "stillwall",
    "path.simplify": False,
}
"""9.75 pt is 13 px on the page; nothing on a chart is set smaller than 9 pt, 12 px."""

SMALL_PT = 9.0


def wash(ratio: float) -> str:
    """The wash for a load: lightest at a tenth of the allowance or less, darkest at ten times or more."""
    share = (np.log10(np.clip(ratio, LOAD_FROM, LOAD_TO)) - np.log10(LOAD_FROM)) / 2.0
    return to_hex(WASH_MAP(float(share)))


@dataclass(frozen=True, slots=True)
class Drawing:
    """A chart for one page: the same thing drawn for a page and for a telephone, and said in words.

    Attributes
    ----------
    wide, narrow
        SVG elements without width and height; text is text, in the page's own family.
    alternative
        What the chart shows, in a sentence or two.
    columns, rows
        Its numbers, for the table beside it.
    other
        The same in the other system of units, where that differs.
    """

    wide: str
    narrow: str
    alternative: str
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    other: Drawing | None = None


def drawn(
    draw: Callable[[Axes], None],
    size_px: tuple[float, float],
    *,
    left: float,
    right: float,
    top: float,
    bottom: float,
    prefix: str,
) -> str:
    """The SVG element of what ``draw`` draws in the page's style, on axes with margins in CSS pixels."""
    width, height = size_px
    with mpl.rc_context(STYLE), warnings.catch_warnings():
        # Text stays text and takes the page's family, whatever the family it is measured in lacks.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        made = Figure(figsize=(width * PX, height * PX), dpi=96)
        inside = ((width - left - right) / width, (height - top - bottom) / height)
        draw(made.add_axes((left / width, bottom / height, *inside)))
        return _svg(made, prefix)


def write_lines(ax: Axes, x: float, y: float, lines: Sequence[str], **style: Any) -> None:
    """Write lines one below the other, each anchored by itself, about the point (x, y).

    Each line is a text of its own: the page's family is not the one that the drawing is measured in.
    """
    step = style.get("fontsize", STYLE["font.size"]) * 1.2
    for row, line in enumerate(lines):
        offset = ((len(lines) - 1) / 2 - row) * step
        ax.annotate(line, (x, y), xytext=(0, offset), textcoords="offset points", va="center", **style)


def strokes(ax: Axes, across: tuple[Any, Any], up: tuple[Any, Any], **style: Any) -> None:
    """Draw many straight strokes as one broken line: from each start to each end, shape (n,) each."""
    gap = np.full(len(across[0]), np.nan)
    x, y = (np.column_stack([*ends, gap]).ravel() for ends in (across, up))
    ax.plot(x, y, solid_capstyle="butt", **style)


_TAG = re.compile(r"<[^>]*>")
_LONG_DECIMAL = re.compile(r"(\d\.\d)\d+")
_ID = re.compile(r' id="([^"]+)"')
_REFERENCE = re.compile(r'(?:url\(#|href="#)([^)"]+)')
_DROPPED = re.compile(
    r"<metadata>.*?</metadata>|<style type=\"text/css\">.*?</style>|<g/>|<defs>\s*</defs>"
    r"| transform=\"rotate\(-?0 [^\"]*\)\"|font-family: ?[^;\"]*;? ?"
    r"|<path d=\"[^\"]*\" style=\"fill: none\"/>",
    re.S,
)
_BREAK = re.compile(r"\s*\n\s*")
_GROUP = re.compile(r"(<g(?: [^>]*)?>|</g>)")


def _svg(made: Figure, prefix: str) -> str:
    """The SVG element of a figure: the same bytes for the same drawing.

    Identifiers that something refers to carry ``prefix``, so that several drawings can share a page, and
    the others go; the text takes the page's family; width and height are left to the page.
    """
    buffer = io.StringIO()
    plain = {"Date": None, "Creator": None, "Format": None, "Type": None}
    made.savefig(buffer, format="svg", metadata=plain)
    text = buffer.getvalue()
    text = text[text.index("<svg") :]
    head, rest = text.split(">", 1)
    head = re.sub(r' (width|height|xmlns:xlink|version)="[^"]*"', "", head)
    head += ' aria-hidden="true" focusable="false"'
    used = set(_REFERENCE.findall(rest))
    rest = _ID.sub(lambda found: f' id="{prefix}-{found[1]}"' if found[1] in used else "", rest)
    rest = re.sub(r"url\(#([^)]+)\)", rf"url(#{prefix}-\1)", rest)
    rest = re.sub(r'xlink:href="#([^"]+)"', rf'href="#{prefix}-\1"', rest)
    rest = re.sub(r'xlink:href="(data:[^"]+)"', r'href="\1"', rest)
    rest = _TAG.sub(lambda tag: _LONG_DECIMAL.sub(r"\1", tag.group()), rest)
    rest = _BREAK.sub("", _DROPPED.sub("", rest))
    rest = re.sub(r"font: ([^\"';]*?)(\d[\d.]*)px [^;\"]*", _font, rest)
    return f"{head}>{_without_bare_groups(rest)}".strip()


def _without_bare_groups(rest: str) -> str:
    """A drawing without the groups that say nothing of what is in them."""
    kept: list[str] = []
    bare: list[bool] = []
    for part in _GROUP.split(rest):
        if part == "</g>":
            if bare.pop():
                continue
        elif part.startswith("<g"):
            bare.append(part == "<g>")
            if bare[-1]:
                continue
        kept.append(part)
    return "".join(kept)


def _font(found: re.Match[str]) -> str:
    words = found.group(1).split()
    styles = [f"font-style: {word}" for word in words if word in ("italic", "oblique")]
    weights = [f"font-weight: {word}" for word in words if word in ("bold", "600", "700")]
    return "; ".join([f"font-size: {found.group(2)}px", *styles, *weights])

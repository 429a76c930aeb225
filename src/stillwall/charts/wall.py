"""Where exactly does it hang? The wall to scale, with the work, what threatens it and a person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from matplotlib.axes import Axes
from matplotlib.patches import Arc, Ellipse, Polygon, Rectangle

from stillwall.charts.theme import (
    BAND,
    INK,
    LIMIT,
    NARROW_PX,
    PX,
    RULE,
    SMALL_PT,
    SOFT,
    WASH,
    WIDE_PX,
    Drawing,
    drawn,
    write_lines,
)
from stillwall.units import System, show_length

ZoneKind = Literal["heat", "knocks", "door", "keep_clear"]
FeatureKind = Literal["door", "window", "hearth", "furniture", "fitting", "work"]
LETTER_PX = 6.2
"""Mean width of a small letter. [px]"""
ARROW_HEADS_PX = 18
SHOULDER_M, EYE_M, STATURE_M = 1.40, 1.60, 1.72
"""Heights of the scale figure; a person of middling height. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the wall, from its left corner and the floor. [m]"""

    left_m: float
    bottom_m: float
    width_m: float
    height_m: float

    @property
    def right_m(self) -> float:
        """Right edge. [m]"""
        return self.left_m + self.width_m

    @property
    def top_m(self) -> float:
        """Top edge. [m]"""
        return self.bottom_m + self.height_m

    @property
    def middle(self) -> tuple[float, float]:
        """Middle. [m]"""
        return self.left_m + self.width_m / 2, self.bottom_m + self.height_m / 2


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of the wall where something threatens, with the load that it stands for."""

    kind: ZoneKind
    box: Box
    label: str


@dataclass(frozen=True, slots=True)
class Feature:
    """Something that stands in or before the wall."""

    kind: FeatureKind
    box: Box
    label: str = ""
    hinge: Literal["left", "right"] | None = None


@dataclass(frozen=True, slots=True)
class WallView:
    """A wall as it is drawn. Lengths in metres, from the wall's left corner and the floor."""

    name: str
    length_m: float
    height_m: float
    work: Box
    image: Box | None
    work_name: str
    dado_top_m: float | None = None
    picture_rail_m: float | None = None
    zones: tuple[Zone, ...] = ()
    features: tuple[Feature, ...] = ()
    sun: tuple[tuple[tuple[float, float], ...], ...] = ()
    sun_label: str = ""
    assumed: tuple[str, ...] = ()
    """What on the drawing was not measured."""


def draw_wall(ax: Axes, view: WallView, *, system: System, compact: bool = False) -> None:
    """Draw a wall to scale: one metre is the same across and up."""
    ax.set_aspect("equal")
    ax.axis("off")
    person_m = 0.0 if compact else 0.95
    ax.set(xlim=(-0.42, view.length_m + 0.12 + person_m), ylim=(-0.42, view.height_m + 0.12))
    ax.add_patch(
        Rectangle((0, 0), view.length_m, view.height_m, facecolor="#F5EFE2", edgecolor=INK, linewidth=1.0)
    )
    if view.dado_top_m is not None:
        ax.plot([0, view.length_m], [view.dado_top_m] * 2, color=SOFT, linewidth=0.6)
    if view.picture_rail_m is not None:
        ax.plot([0, view.length_m], [view.picture_rail_m] * 2, color=SOFT, linewidth=0.6)
    for zone in view.zones:
        _draw_zone(ax, zone)
    for feature in view.features:
        _draw_feature(ax, feature)
    _draw_work(ax, view)
    _draw_sun(ax, view)
    ax.plot([-0.3, view.length_m + 0.1 + person_m], [0, 0], color=INK, linewidth=1.6, solid_capstyle="butt")
    ax.plot([0, view.length_m], [EYE_M, EYE_M], color=SOFT, linewidth=0.6, linestyle=(0, (2, 3)), zorder=2)
    if not compact:
        _draw_person(ax, view.length_m + 0.55)
    _draw_dimensions(ax, view, system)
    _label(ax, view)


def _draw_zone(ax: Axes, zone: Zone) -> None:
    shade = {"heat": WASH[2], "knocks": WASH[1], "door": WASH[1], "keep_clear": RULE}[zone.kind]
    box = zone.box
    ax.add_patch(
        Rectangle(
            (box.left_m, box.bottom_m),
            box.width_m,
            box.height_m,
            facecolor=shade,
            alpha=0.45,
            edgecolor=WASH[2],
            linewidth=0.4,
            zorder=2,
        )
    )


def _draw_feature(ax: Axes, feature: Feature) -> None:
    box = feature.box
    fill = {"hearth": WASH[1], "window": BAND, "furniture": "#EFE8DA", "work": "#E9E1D0"}.get(
        feature.kind, "#FBF8F2"
    )
    ax.add_patch(
        Rectangle(
            (box.left_m, box.bottom_m),
            box.width_m,
            box.height_m,
            facecolor=fill,
            edgecolor=SOFT,
            linewidth=0.8,
            zorder=3,
        )
    )
    if feature.kind == "door" and feature.hinge is not None:
        knob = box.right_m - 0.07 if feature.hinge == "left" else box.left_m + 0.07
        ax.add_patch(Ellipse((knob, box.bottom_m + 1.0), 0.05, 0.05, color=SOFT, zorder=4))
    if feature.kind == "hearth":
        ax.add_patch(
            Arc(
                (box.left_m + box.width_m / 2, box.bottom_m),
                box.width_m * 0.66,
                box.height_m * 1.3,
                theta1=0,
                theta2=180,
                color=WASH[3],
                linewidth=0.8,
                zorder=4,
            )
        )


def _draw_work(ax: Axes, view: WallView) -> None:
    work = view.work
    ax.add_patch(
        Rectangle(
            (work.left_m, work.bottom_m),
            work.width_m,
            work.height_m,
            facecolor="#D8CDB9",
            edgecolor=INK,
            linewidth=1.3,
            zorder=5,
        )
    )
    if view.image is not None:
        image = view.image
        ax.add_patch(
            Rectangle(
                (image.left_m, image.bottom_m),
                image.width_m,
                image.height_m,
                facecolor="#8F9FA9",
                edgecolor=INK,
                linewidth=0.6,
                zorder=5,
            )
        )


def _draw_sun(ax: Axes, view: WallView) -> None:
    for corners in view.sun:
        ax.add_patch(
            Polygon(
                corners, closed=True, facecolor="none", edgecolor=LIMIT, linewidth=1.0, hatch="////", zorder=6
            )
        )


def _draw_person(ax: Axes, x: float) -> None:
    style: dict[str, Any] = {"color": SOFT, "linewidth": 1.3, "solid_capstyle": "round", "zorder": 5}
    ax.add_patch(Ellipse((x, STATURE_M - 0.11), 0.17, 0.22, facecolor="none", edgecolor=SOFT, linewidth=1.3))
    ax.plot([x, x], [STATURE_M - 0.22, 0.86], **style)
    ax.plot([x - 0.21, x + 0.21], [SHOULDER_M, SHOULDER_M], **style)
    ax.plot([x - 0.21, x - 0.25], [SHOULDER_M, 0.85], **style)
    ax.plot([x + 0.21, x + 0.25], [SHOULDER_M, 0.85], **style)
    ax.plot([x, x - 0.12], [0.86, 0.0], **style)
    ax.plot([x, x + 0.12], [0.86, 0.0], **style)


def _draw_dimensions(ax: Axes, view: WallView, system: System) -> None:
    work = view.work
    middle, _ = work.middle
    if work.bottom_m > 0.15:
        on_wall = (middle, 0.0), (middle, work.bottom_m)
        _dimension(ax, *on_wall, show_length(work.bottom_m, system), ground="#F5EFE2")
    _dimension(ax, (work.left_m, -0.2), (work.right_m, -0.2), show_length(work.width_m, system))
    _dimension(ax, (-0.2, work.bottom_m), (-0.2, work.top_m), show_length(work.height_m, system))


def _dimension(
    ax: Axes, start: tuple[float, float], end: tuple[float, float], words: str, *, ground: str = "#FBF8F2"
) -> None:
    """An arrow with its length: written on it where it is long enough, else beside it."""
    upright = start[0] == end[0]
    arrow = {"arrowstyle": "<->", "color": SOFT, "linewidth": 0.7, "shrinkA": 0, "shrinkB": 0}
    ax.annotate("", start, end, arrowprops={**arrow, "mutation_scale": 7}, annotation_clip=False, zorder=7)
    length_px = (end[0] - start[0] + end[1] - start[1]) * _metre_px(ax)
    style: dict[str, Any] = {"fontsize": SMALL_PT, "color": SOFT, "zorder": 8, "va": "center"}
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    style["bbox"] = {"facecolor": ground, "edgecolor": "none", "pad": 1.0}
    if length_px > LETTER_PX * len(words) + ARROW_HEADS_PX:
        ax.text(*middle, words, rotation=90 if upright else 0, ha="center", **style)
    else:
        rightwards = middle[0] < sum(ax.get_xlim()) / 2
        at = middle if upright else end if rightwards else start
        way = (5, 0) if rightwards else (-5, 0)
        aligned = {**style, "ha": "left" if rightwards else "right"}
        ax.annotate(words, at, way, textcoords="offset points", annotation_clip=False, **aligned)


def _label(ax: Axes, view: WallView) -> None:
    """Write each label where nothing drawn yet stands, if there is room; the table has all of them."""
    letter = LETTER_PX / _metre_px(ax)
    middle, _ = view.work.middle
    dimension = Box(middle - 1.5 * letter, 0, 3 * letter, view.work.bottom_m)
    taken: list[Box] = [view.work, dimension, *(feature.box for feature in view.features)]
    if any(view.sun) and view.sun_label:
        _label_sun(ax, view, letter, taken)
    lit = [_around(corners) for corners in view.sun if corners]
    for zone in view.zones:
        spot = _free_spot(zone.box, zone.label, letter, [*taken, *lit])
        if spot is not None:
            ax.text(
                *spot.middle, zone.label, ha="center", va="center", fontsize=SMALL_PT, color=WASH[3], zorder=8
            )
            taken.append(spot)
    avoid = [view.work, dimension, *lit]
    for feature in view.features:
        spot = _free_spot(feature.box, feature.label, letter, avoid) if feature.label else None
        if spot is not None:
            ax.text(
                *spot.middle, feature.label, ha="center", va="center", fontsize=SMALL_PT, color=SOFT, zorder=8
            )


def _metre_px(ax: Axes) -> float:
    root = ax.get_figure(root=True)
    assert root is not None
    (left, right), (bottom, top) = ax.get_xlim(), ax.get_ylim()
    width, height = root.get_size_inches() / PX
    return float(min(width / (right - left), height / (top - bottom)))


def _label_sun(ax: Axes, view: WallView, letter: float, taken: list[Box]) -> None:
    """Name the patch of sun beside it and the work, where there is room."""
    lines = view.sun_label.split(", ")
    width, height = letter * max(map(len, lines)), 2.6 * letter * len(lines)
    across = [x for corners in view.sun for x, _ in corners] + [view.work.left_m, view.work.right_m]
    top = max(y for corners in view.sun for _, y in corners)
    level = min(top, view.height_m) - 0.1 - height
    for left, align in ((min(across) - width - letter, "right"), (max(across) + letter, "left")):
        if left > 0 and left + width < view.length_m:
            spot = Box(left, level, width, height)
            edge = spot.right_m if align == "right" else spot.left_m
            write_lines(
                ax, edge, level + height / 2, lines, ha=align, fontsize=SMALL_PT, color=LIMIT, zorder=9
            )
            taken.append(spot)
            return


def _around(corners: Sequence[tuple[float, float]]) -> Box:
    across, up = [x for x, _ in corners], [y for _, y in corners]
    return Box(min(across), min(up), max(across) - min(across), max(up) - min(up))


def _free_spot(zone: Box, label: str, letter: float, taken: Sequence[Box]) -> Box | None:
    width, height = letter * (len(label) + 1), 2.6 * letter
    if zone.width_m < width or zone.height_m < height:
        return None
    for up in (0.5, 0.85, 0.15):
        for across in (0.5, 0.0, 1.0, 0.25, 0.75):
            left = zone.left_m + across * (zone.width_m - width)
            spot = Box(left, zone.bottom_m + up * (zone.height_m - height), width, height)
            if not any(_overlap(spot, other) for other in taken):
                return spot
    return None


def _overlap(one: Box, other: Box) -> bool:
    return (
        one.left_m < other.right_m
        and other.left_m < one.right_m
        and one.bottom_m < other.top_m
        and other.bottom_m < one.top_m
    )


def wall_drawing(view: WallView, *, system: System, prefix: str) -> Drawing:
    """A wall for the page, with what stands on it as a table."""
    things = [
        ("the work, framed", view.work),
        *((feature.label or feature.kind, feature.box) for feature in view.features),
    ]
    things += [(zone.label, zone.box) for zone in view.zones]
    return Drawing(
        wide=drawn(
            lambda ax: draw_wall(ax, view, system=system),
            (WIDE_PX, _height_px(view, WIDE_PX, 0.95)),
            left=0,
            right=0,
            top=4,
            bottom=4,
            prefix=f"{prefix}-w",
        ),
        narrow=drawn(
            lambda ax: draw_wall(ax, view, system=system, compact=True),
            (NARROW_PX, _height_px(view, NARROW_PX, 0.0)),
            left=0,
            right=0,
            top=4,
            bottom=4,
            prefix=f"{prefix}-n",
        ),
        alternative=(
            f"{view.name} drawn to scale with {view.work_name} in its place: bottom edge at "
            f"{show_length(view.work.bottom_m, system)}, framed {show_length(view.work.height_m, system)} x "
            f"{show_length(view.work.width_m, system)}. The dotted line is eye height."
        ),
        columns=("what", "from the left corner", "above the floor", "height x width"),
        rows=tuple(
            (
                name,
                show_length(box.left_m, system),
                show_length(box.bottom_m, system),
                f"{show_length(box.height_m, system)} x {show_length(box.width_m, system)}",
            )
            for name, box in things
        ),
    )


def _height_px(view: WallView, width_px: float, person_m: float) -> float:
    scale = width_px / (view.length_m + 0.54 + person_m)
    return min(560.0, 8 + scale * (view.height_m + 0.54))

"""Where exactly a work hangs: its framed size and its place on the wall, by custom and by what is in the way.

Several hazards and the drawing of a wall need the same rectangle, so it is worked out once here.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from stillwall.case import Case, Site
from stillwall.draws import Z90, Floats
from stillwall.exposure.framed_size import framed_dimension
from stillwall.exposure.placing import (
    Rectangle,
    centre_height,
    clear_run,
    hook_height,
    place_rectangle,
    span_load,
    span_needed,
)
from stillwall.load import Evidence, weakest
from stillwall.reference.library import Library
from stillwall.reference.sources import Figure
from stillwall.survey.places import HoldingPlace, Pedestal, Wall
from stillwall.survey.room_sides import heat_sources_in, opening_size, openings_in, side_length
from stillwall.survey.survey import Survey
from stillwall.survey.works import Work
from stillwall.units import Size

ON_THE_FLOOR = frozenset({"outside_door", "lobby_door", "inside_door", "service_door", "arch", "lift"})
UNKNOWN_CEILING_M = 2.4
UNKNOWN_SPAN_M = 2.5
SOLID = frozenset({"bust", "object", "relief"})
BUST_M = (0.65, 0.45, 0.30)
"""Height, width and depth assumed of a bust that nobody has measured. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FramedSize:
    """Outer size of a work, with the span that an unmeasured frame leaves open. [m]"""

    height_m: float
    width_m: float
    depth_m: float
    height_span_m: tuple[float, float]
    width_span_m: tuple[float, float]
    depth_span_m: tuple[float, float]
    evidence: Evidence
    missing: tuple[str, ...] = ()

    def at(self, z: float) -> tuple[float, float]:
        """Height and width where the frame's uncertainty stands at ``z`` standard deviations. [m]"""
        return (
            _stretched(self.height_m, self.height_span_m, z),
            _stretched(self.width_m, self.width_span_m, z),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something on a wall that a work may not cover, with what it is."""

    what: str
    box: Rectangle


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """What is free of a wall: how far across, how high, what stands in it, and how sure that is."""

    left_m: float
    right_m: float
    bottom_least_m: float
    bottom_rule: str
    top_most_m: float
    top_rule: str
    obstacles: tuple[Obstacle, ...]
    margin_m: float
    least_margin_m: float
    span_evidence: Evidence
    height_evidence: Evidence
    missing: tuple[str, ...] = ()

    @property
    def boxes(self) -> tuple[Rectangle, ...]:
        """The obstacles' rectangles, without margins."""
        return tuple(obstacle.box for obstacle in self.obstacles)

    def span_ratio(self, height_m: float, width_m: float) -> float:
        """Needed over clear span, at the height on the wall where a work of this size has most room."""
        needed = span_needed([width_m], 0.0, self.margin_m)
        heights = {self.bottom_least_m}
        for box in self.boxes:
            heights |= {box.top + self.margin_m, box.bottom - self.margin_m - height_m}
        highest = max(self.bottom_least_m, self.top_most_m - height_m)
        runs = [
            self.run(bottom, height_m)
            for bottom in {min(max(bottom, self.bottom_least_m), highest) for bottom in heights}
        ]
        return span_load(needed, max(end - start for start, end in runs))

    def run(self, bottom_m: float, height_m: float) -> tuple[float, float]:
        """Longest stretch free of obstacles for a work at this height: (start, end). [m]"""
        blocked = [
            (box.left, box.right)
            for box in self.boxes
            if box.bottom - self.margin_m < bottom_m + height_m - 1e-9
            and box.top + self.margin_m > bottom_m + 1e-9
        ]
        return clear_run(self.left_m, self.right_m, blocked)

    def height_ratio(self, height_m: float) -> float:
        """Height of a work over the height that the wall has for it."""
        return span_load(height_m, self.top_most_m - self.bottom_least_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """One work at its place: the rectangle that it takes, measured from the left corner and the floor.

    Attributes
    ----------
    left_m, bottom_m, height_m, width_m
        The rectangle of the framed work. [m]
    projection_m
        Wall face to the frontmost point. [m]
    hook_m
        Height of the hook or of the taut wire. [m]
    partners
        Ids of works that hang in one row with it.
    needed_span_m
        Width of wall that the row takes, with gaps and margins. [m]
    free
        Whether there is a place that touches no obstacle.
    tight
        Whether that needs margins narrower than is usual.
    across_known, up_known
        Whether the left and the bottom edge follow from surveyed facts.
    """

    size: FramedSize
    field: Field | None
    left_m: float
    bottom_m: float
    projection_m: float
    hook_m: float
    needed_span_m: float
    free: bool = True
    tight: bool = False
    partners: tuple[str, ...] = ()
    evidence: Evidence = "surveyed"
    missing: tuple[str, ...] = ()

    @property
    def height_m(self) -> float:
        """Framed height. [m]"""
        return self.size.height_m

    @property
    def width_m(self) -> float:
        """Framed width. [m]"""
        return self.size.width_m

    @property
    def right_m(self) -> float:
        """Right edge, from the wall's left corner. [m]"""
        return self.left_m + self.size.width_m

    @property
    def top_m(self) -> float:
        """Top edge above the floor. [m]"""
        return self.bottom_m + self.size.height_m

    @property
    def centre_m(self) -> float:
        """Height of the centre above the floor. [m]"""
        return self.bottom_m + self.size.height_m / 2

    @property
    def box(self) -> Rectangle:
        """The rectangle that the work takes."""
        return Rectangle(self.left_m, self.bottom_m, self.right_m, self.top_m)


_MADE: WeakKeyDictionary[Site, dict[Hashable, tuple[Survey, Library, Hanging]]] = WeakKeyDictionary()


def hang(case: Case) -> Hanging:
    """Where the work of a case hangs. Remembered by site, work and the settings that measures make."""
    raised, frame, bare = (case.setting("fit", part) for part in ("bottom", "frame", "furniture"))
    key = (id(case.survey), id(case.library), case.work, raised, frame, bare)
    made = _MADE.setdefault(case.site, {})
    if key not in made:
        # The survey and the library stay beside the result, so that their ids cannot be used again.
        made[key] = (case.survey, case.library, _hang(case))
    return made[key][2]


def framed_size(library: Library, work: Work, frame: str | None = None) -> FramedSize:
    """Framed size of a work, measured or estimated from its image and the kind of its frame.

    ``frame`` is another frame that it is to be given.
    """
    kind = work.frame or "unknown"
    depth = _figure(library, f"fit.depth.{frame or kind}")
    depth_span = (work.depth_m,) * 2 if work.depth_m and frame is None else _span(depth)
    depth_m = work.depth_m if work.depth_m and frame is None else depth.value
    if work.framed is not None and frame is None:
        size = work.framed
        return FramedSize(
            height_m=size.height_m,
            width_m=size.width_m,
            depth_m=size.depth_m or depth_m,
            height_span_m=(size.height_m, size.height_m),
            width_span_m=(size.width_m, size.width_m),
            depth_span_m=(size.depth_m, size.depth_m) if size.depth_m else depth_span,
            evidence="surveyed",
        )
    if work.kind in SOLID and work.image is not None:
        return _solid(work.image)
    rebate = library.figure("fit.rebate.cover")
    face = _figure(library, f"fit.face.{frame or kind}")
    image = work.image
    if image is None and work.framed is not None:
        less = 2 * (library.figure(f"fit.face.{kind}") - rebate)
        sides = (max(work.framed.height_m - less, 0.05), max(work.framed.width_m - less, 0.05))
    elif image is not None:
        sides = (image.height_m, image.width_m)
    else:
        return _unmeasured(work, depth_m, depth_span)
    faces = [max(value, rebate) for value in (_low(face), face.value, _high(face))]
    heights, widths = ([float(framed_dimension(side, f, rebate)) for f in faces] for side in sides)
    question = "" if frame else f"Framed size of {work.name}, outer edge to outer edge, height x width?"
    return FramedSize(
        height_m=heights[1],
        width_m=widths[1],
        depth_m=depth_m,
        height_span_m=(heights[0], heights[2]),
        width_span_m=(widths[0], widths[2]),
        depth_span_m=depth_span,
        evidence="assumed",
        missing=(question,) if question else (),
    )


def size_draws(case: Case, size: FramedSize) -> tuple[Floats, Floats]:
    """Joint draws of framed height and width; one error of the moulding's width moves both. [m]"""
    z = case.draws.normal(f"work:{case.work.id}:face")
    return _stretched(size.height_m, size.height_span_m, z), _stretched(size.width_m, size.width_span_m, z)


def field_of(case: Case, wall: Wall) -> Field:
    """What is free of a wall, with the rules that set its lowest and highest edge."""
    library = case.library
    margin = _figure(library, "fit.margin.side")
    room = case.site.room
    missing: list[str] = []
    span, span_evidence = wall.span_m, _surveyed(wall.span_m)
    if span is None:
        missing.append(f"Clear span of wall {wall.id}, free of casings, corners and radiators?")
        span = side_length(room, wall.side) or UNKNOWN_SPAN_M
    height, height_evidence = wall.height_m, _surveyed(wall.height_m)
    if height is None:
        height = room.size.height_m if room is not None and room.size is not None else None
        height_evidence = "assumed" if height is None else "surveyed"
        if height is None:
            missing.append(f"Height of wall {wall.id}, floor to cornice or ceiling?")
            height = UNKNOWN_CEILING_M
    bottom, bottom_rule = max(_bottoms(case, wall))
    top, top_rule = min(_tops(library, wall, height))
    return Field(
        left_m=wall.at_m,
        right_m=wall.at_m + span,
        bottom_least_m=bottom,
        bottom_rule=bottom_rule,
        top_most_m=top,
        top_rule=top_rule,
        obstacles=tuple(_obstacles(case.survey, wall, height, missing)),
        margin_m=margin.value,
        least_margin_m=_low(margin),
        span_evidence=span_evidence,
        height_evidence=height_evidence,
        missing=tuple(missing),
    )


def partners_of(survey: Survey, work: Work) -> list[Work]:
    """Works that hang in one row with a work: its pair and its group, without itself."""
    return [
        other
        for other in survey.works.values()
        if other.id != work.id
        and (
            other.id == work.pair_with
            or other.pair_with == work.id
            or (work.group is not None and other.group == work.group)
        )
    ]


def _hang(case: Case) -> Hanging:
    frame = case.setting("fit", "frame")
    size = framed_size(case.library, case.work, None if frame is None else str(frame))
    place = case.site.place
    projection = size.depth_m + case.library.figure("fit.projection.bumper")
    if isinstance(place, Wall):
        return _on_wall(case, place, size, projection)
    if isinstance(place, Pedestal):
        return _on_pedestal(place, size)
    assert isinstance(place, HoldingPlace)
    return Hanging(
        size=size,
        field=None,
        left_m=0.0,
        bottom_m=0.0,
        projection_m=projection,
        hook_m=0.0,
        needed_span_m=size.width_m,
        evidence=size.evidence,
        missing=size.missing,
    )


def _on_pedestal(place: Pedestal, size: FramedSize) -> Hanging:
    missing = list(size.missing)
    height = place.height_m
    if height is None:
        missing.append(f"Height of pedestal {place.id}?")
    return Hanging(
        size=size,
        field=None,
        left_m=(place.at_m or 0.0) - size.width_m / 2,
        bottom_m=1.1 if height is None else height,
        projection_m=max(size.depth_m, 0.0 if place.base is None else place.base.width_m),
        hook_m=0.0,
        needed_span_m=size.width_m,
        evidence=weakest(size.evidence, _surveyed(height)),
        missing=tuple(missing),
    )


def _on_wall(case: Case, wall: Wall, size: FramedSize, projection: float) -> Hanging:
    library = case.library
    field = field_of(case, wall)
    row = sorted(
        [
            (work.id, size.width_m if work is case.work else framed_size(library, work).width_m)
            for work in [case.work, *partners_of(case.survey, case.work)]
        ]
    )
    gap = library.figure("fit.margin.gap")
    preferred = wall.centre_m or library.figure("fit.height.centre")
    bottom = centre_height(preferred, field.bottom_least_m, size.height_m) - size.height_m / 2
    bottom = max(field.bottom_least_m, min(bottom, field.top_most_m - size.height_m))
    row_width = span_needed([width for _, width in row], gap, 0.0)
    before = span_needed([width for name, width in row if name < case.work.id] + [0.0], gap, 0.0)
    wanted = _middle(case, wall, field) - row_width / 2
    place, tight = None, False
    for margin in (field.margin_m, field.least_margin_m):
        place = place_rectangle(
            size.height_m,
            row_width,
            Rectangle(field.left_m + margin, field.bottom_least_m, field.right_m - margin, field.top_most_m),
            [box.grown(margin) for box in field.boxes],
            (wanted, bottom),
        )
        if place is not None:
            break
        tight = True
    left, bottom = (wanted, bottom) if place is None else place
    known = weakest(size.evidence, field.span_evidence, field.height_evidence)
    drop = case.work.hook_drop_m or library.figure("fit.height.hook_drop")
    return Hanging(
        size=size,
        field=field,
        left_m=left + before,
        bottom_m=bottom,
        projection_m=projection,
        hook_m=hook_height(bottom + size.height_m / 2, size.height_m, drop),
        needed_span_m=span_needed([width for _, width in row], gap, field.margin_m),
        free=place is not None,
        tight=tight and place is not None,
        partners=tuple(name for name, _ in row if name != case.work.id),
        evidence=known,
        missing=size.missing + field.missing,
    )


def _middle(case: Case, wall: Wall, field: Field) -> float:
    """The line about which a work is centred: the piece or the hearth below it, else the field's middle."""
    below = wall.furniture_below
    if below is not None and below.at_m is not None and below.width_m is not None:
        return below.at_m + below.width_m / 2
    if wall.mantel_shelf_m is not None:
        for source in heat_sources_in(case.survey, wall):
            if source.at_m is not None and source.width_m is not None:
                return source.at_m + source.width_m / 2
    return (field.left_m + field.right_m) / 2


def _bottoms(case: Case, wall: Wall) -> Iterator[tuple[float, str]]:
    figure = case.library.figure
    yield figure("fit.height.bottom_least"), "the skirting"
    if wall.dado_top_m is not None:
        yield wall.dado_top_m + figure("fit.height.above_dado"), "the dado rail"
    if wall.mantel_shelf_m is not None:
        yield wall.mantel_shelf_m + figure("fit.height.above_mantel"), "the mantel shelf"
    if wall.furniture_below is not None:
        above = wall.furniture_below.height_m + figure("fit.height.above_furniture")
        yield above, f"the {wall.furniture_below.what} below"
    added = case.setting("fit", "furniture")
    if added is not None:
        yield float(added) + figure("fit.height.above_furniture"), "the console below"
    raised = case.setting("fit", "bottom")
    if raised is not None:
        yield float(raised), "the height to which it is raised"


def _tops(library: Library, wall: Wall, height: float) -> Iterator[tuple[float, str]]:
    cornice = library.figure("fit.margin.cornice")
    yield height - cornice, "the ceiling"
    if wall.cornice_bottom_m is not None:
        yield wall.cornice_bottom_m - cornice, "the cornice"
    if wall.picture_rail_m is not None:
        yield wall.picture_rail_m - library.figure("fit.height.below_rail"), "the picture rail"


def _obstacles(survey: Survey, wall: Wall, height: float, missing: list[str]) -> Iterator[Obstacle]:
    for item in wall.keep_clear:
        bottom = item.sill_m
        if bottom is None:
            missing.append(f"Height above the floor of the {item.what} on wall {wall.id}?")
        low = 0.0 if bottom is None else bottom
        high = height if bottom is None else bottom + item.size.height_m
        yield Obstacle(what=item.what, box=Rectangle(item.at_m, low, item.at_m + item.size.width_m, high))
    for opening in openings_in(survey, wall):
        size = opening_size(opening)
        if opening.at_m is None or opening.kind == "skylight":
            continue
        if size is None:
            missing.append(f"Size of {opening.id}, which stands in wall {wall.id}?")
            size = (height, 0.9)
        sill = 0.0 if opening.kind in ON_THE_FLOOR else opening.sill_m
        box = Rectangle(
            opening.at_m,
            0.0 if sill is None else sill,
            opening.at_m + size[1],
            height if sill is None else sill + size[0],
        )
        yield Obstacle(what=opening.kind.replace("_", " "), box=box)
    for source in heat_sources_in(survey, wall):
        if source.at_m is not None and source.width_m is not None and source.top_m is not None:
            right = source.at_m + source.width_m
            yield Obstacle(
                what=source.kind.replace("_", " "), box=Rectangle(source.at_m, 0.0, right, source.top_m)
            )


def _solid(size: Size) -> FramedSize:
    """A bust or a relief is as large as it is: nothing stands round it."""
    depth = size.depth_m or 0.7 * size.width_m
    return FramedSize(
        height_m=size.height_m,
        width_m=size.width_m,
        depth_m=depth,
        height_span_m=(size.height_m, size.height_m),
        width_span_m=(size.width_m, size.width_m),
        depth_span_m=(depth, depth),
        evidence="surveyed",
    )


def _unmeasured(work: Work, depth: float, depth_span: tuple[float, float]) -> FramedSize:
    solid = work.kind in SOLID
    height, width, deep = BUST_M if solid else (0.8, 0.8, depth)
    return FramedSize(
        height_m=height,
        width_m=width,
        depth_m=deep,
        height_span_m=(0.3, 1.0) if solid else (0.25, 2.5),
        width_span_m=(0.2, 0.7) if solid else (0.25, 2.5),
        depth_span_m=(0.15, 0.5) if solid else depth_span,
        evidence="assumed",
        missing=(f"Size of {work.name}, outer edge to outer edge, height x width?",),
    )


def _stretched(value: float, span: tuple[float, float], z: Any) -> Any:
    below, above = np.log(value / span[0]), np.log(span[1] / value)
    return value * np.exp(np.where(np.less(z, 0), z * below, z * above) / Z90)


def _figure(library: Library, name: str) -> Figure:
    return library.figures[name]


def _low(figure: Figure) -> float:
    return figure.value if figure.low is None else figure.low


def _high(figure: Figure) -> float:
    return figure.value if figure.high is None else figure.high


def _span(figure: Figure) -> tuple[float, float]:
    return _low(figure), _high(figure)


def _surveyed(value: object) -> Evidence:
    return "assumed" if value is None else "surveyed"

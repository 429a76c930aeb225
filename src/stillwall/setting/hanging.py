"""Where exactly a work hangs: its framed size and its place on the wall, by custom and by what is in the way.

Several hazards and the drawing of a wall need the same rectangle, so it is worked out once here.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from stillwall.case import Case, Site
from stillwall.exposure.placing import (
    Rectangle,
    centre_height,
    hook_height,
    place_rectangle,
    span_needed,
)
from stillwall.load import Evidence, weakest
from stillwall.setting.field import Field, field_of, surveyed
from stillwall.setting.framing import FramedSize, framed_size
from stillwall.setting.naming import place_name
from stillwall.survey.places import HoldingPlace, Pedestal, Wall
from stillwall.survey.room_sides import heat_sources_in
from stillwall.survey.survey import Survey
from stillwall.survey.works import Work


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


_MADE: WeakKeyDictionary[Site, dict[Hashable, tuple[object, Hanging]]] = WeakKeyDictionary()


def hang(case: Case) -> Hanging:
    """Where the work of a case hangs. Remembered by site, work and the settings that measures make."""
    raised, frame, bare = (case.setting("fit", part) for part in ("bottom", "frame", "furniture"))
    key = (id(case.survey), id(case.library), id(case.work), raised, frame, bare)
    made = _MADE.setdefault(case.site, {})
    if key not in made:
        # What they are the ids of stays beside the result, so that they cannot be used again.
        made[key] = ((case.survey, case.library, case.work), _hang(case))
    return made[key][1]


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
        return _on_pedestal(place, size, place_name(case))
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


def _on_pedestal(place: Pedestal, size: FramedSize, named: str) -> Hanging:
    missing = list(size.missing)
    height = place.height_m
    if height is None:
        missing.append(f"How high is the pedestal {named}?")
    return Hanging(
        size=size,
        field=None,
        left_m=(place.at_m or 0.0) - size.width_m / 2,
        bottom_m=1.1 if height is None else height,
        projection_m=max(size.depth_m, 0.0 if place.base is None else place.base.width_m),
        hook_m=0.0,
        needed_span_m=size.width_m,
        evidence=weakest(size.evidence, surveyed(height)),
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

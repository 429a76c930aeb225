"""What is free of a wall: how far across, how high, and what stands in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stillwall.case import Case
from stillwall.exposure.placing import (
    Rectangle,
    clear_run,
    span_load,
    span_needed,
)
from stillwall.load import Evidence
from stillwall.reference.library import Library
from stillwall.setting.framing import figure_of, low_of
from stillwall.setting.naming import names_of, place_name, place_named
from stillwall.survey.places import Wall
from stillwall.survey.room_sides import heat_sources_in, opening_size, openings_in, side_length
from stillwall.survey.survey import Survey

ON_THE_FLOOR = frozenset({"outside_door", "lobby_door", "inside_door", "service_door", "arch", "lift"})
UNKNOWN_CEILING_M = 2.4
UNKNOWN_SPAN_M = 2.5


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


def field_of(case: Case, wall: Wall) -> Field:
    """What is free of a wall, with the rules that set its lowest and highest edge."""
    library = case.library
    margin = figure_of(library, "fit.margin.side")
    room = case.site.room
    missing: list[str] = []
    span, span_evidence = wall.span_m, surveyed(wall.span_m)
    if span is None:
        missing.append(span_question(case))
        span = side_length(room, wall.side) or UNKNOWN_SPAN_M
    height, height_evidence = wall.height_m, surveyed(wall.height_m)
    if height is None:
        height = room.size.height_m if room is not None and room.size is not None else None
        height_evidence = "assumed" if height is None else "surveyed"
        if height is None:
            missing.append(height_question(case))
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
        least_margin_m=low_of(margin),
        span_evidence=span_evidence,
        height_evidence=height_evidence,
        missing=tuple(missing),
    )


def span_question(case: Case) -> str:
    """What to ask where the clear span of a wall is not known."""
    return f"How wide is the wall, clear of casings, corners and radiators, at {place_name(case)}?"


def height_question(case: Case) -> str:
    """What to ask where the height of a wall is not known."""
    return f"How high is the wall, from the floor to the cornice or the ceiling, at {place_name(case)}?"


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
    named = place_named(survey, wall)
    for item in wall.keep_clear:
        bottom = item.sill_m
        if bottom is None:
            missing.append(f"How high above the floor is the {item.what} on {named}?")
        low = 0.0 if bottom is None else bottom
        high = height if bottom is None else bottom + item.size.height_m
        yield Obstacle(what=item.what, box=Rectangle(item.at_m, low, item.at_m + item.size.width_m, high))
    for opening in openings_in(survey, wall):
        size = opening_size(opening)
        if opening.at_m is None or opening.kind == "skylight":
            continue
        if size is None:
            missing.append(f"What size is {names_of(survey).fittings_of[opening.id]}?")
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


def surveyed(value: object) -> Evidence:
    """Whether a fact stands in the survey."""
    return "assumed" if value is None else "surveyed"

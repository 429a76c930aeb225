"""A wall of the survey as it is drawn: the work in its place, what stands there, what threatens it."""

from __future__ import annotations

from collections.abc import Iterable

from stillwall.answers import Placed
from stillwall.charts.wall import Box, Feature, FeatureKind, WallView, Zone
from stillwall.load import Load
from stillwall.report.words import place_name
from stillwall.setting.hanging import Hanging, hang
from stillwall.setting.sun_on_work import patches_of
from stillwall.survey.features import DOORS, HeatSource, Opening
from stillwall.survey.places import Wall
from stillwall.survey.room_sides import heat_sources_in, opening_size, openings_in
from stillwall.survey.survey import Survey

SHOULDER_BAND_M = (0.70, 1.50)
"""Heights at which people and chairs touch a wall. Judgement of this project."""
FIRES = frozenset({"hearth", "stove", "gas_fire", "electric_fire"})


def wall_view(placed: Placed) -> WallView | None:
    """The drawing of a place, or None where it is not a wall."""
    wall = placed.place
    if not isinstance(wall, Wall):
        return None
    case = placed.case
    hanging = hang(case)
    survey = case.survey
    work = Box(hanging.left_m, hanging.bottom_m, hanging.width_m, hanging.height_m)
    room = case.site.room
    ceiling = room.size.height_m if room is not None and room.size is not None else None
    length = max(wall.at_m + (wall.span_m or 0.0), work.right_m + 0.2)
    height = max(wall.height_m or 0.0, ceiling or 0.0, work.top_m + 0.15)
    features = [*_openings(survey, wall), *_heat(survey, wall), *_furniture(wall), *_kept_clear(wall)]
    length = max([length, *(feature.box.right_m + 0.05 for feature in features)])
    return WallView(
        name=place_name(survey, wall),
        length_m=length,
        height_m=height,
        work=work,
        image=_image(placed, hanging),
        work_name=case.work.name,
        dado_top_m=wall.dado_top_m,
        picture_rail_m=wall.picture_rail_m,
        zones=tuple(_zones(placed.judged.loads, wall, survey, length, height)),
        features=tuple(features),
        sun=_sun(placed),
        sun_label="sun on the wall",
        assumed=hanging.missing,
    )


def _sun(placed: Placed) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The largest patch of sun that can lie on the work, by geometry."""
    patches = patches_of(placed.case, 1)
    return tuple(corners for patch in patches for corners in patch.corners_m)


def _image(placed: Placed, hanging: Hanging) -> Box | None:
    image = placed.work.image
    if image is None or image.width_m >= hanging.width_m or image.height_m >= hanging.height_m:
        return None
    return Box(
        hanging.left_m + (hanging.width_m - image.width_m) / 2,
        hanging.bottom_m + (hanging.height_m - image.height_m) / 2,
        image.width_m,
        image.height_m,
    )


def _openings(survey: Survey, wall: Wall) -> Iterable[Feature]:
    for opening in openings_in(survey, wall):
        size = opening_size(opening)
        if opening.at_m is None or size is None:
            continue
        kind: FeatureKind = "window" if opening.kind in ("window", "skylight") else "door"
        bottom = (opening.sill_m or 0.9) if kind == "window" else 0.0
        yield Feature(kind, Box(opening.at_m, bottom, size[1], size[0]), _said(opening.kind), opening.hinge)


def _heat(survey: Survey, wall: Wall) -> Iterable[Feature]:
    for source in heat_sources_in(survey, wall):
        if source.at_m is None or source.width_m is None:
            continue
        kind: FeatureKind = "hearth" if source.kind in FIRES else "fitting"
        top = source.top_m or (1.0 if kind == "hearth" else 0.6)
        yield Feature(kind, Box(source.at_m, 0.0, source.width_m, top), _said(source.kind))


def _furniture(wall: Wall) -> Iterable[Feature]:
    below = wall.furniture_below
    if below is not None and below.at_m is not None and below.width_m is not None:
        yield Feature("furniture", Box(below.at_m, 0.0, below.width_m, below.height_m), below.what)


def _kept_clear(wall: Wall) -> Iterable[Feature]:
    for item in wall.keep_clear:
        if item.sill_m is not None:
            box = Box(item.at_m, item.sill_m, item.size.width_m, item.size.height_m)
            yield Feature("fitting", box, item.what)


def _zones(loads: Iterable[Load], wall: Wall, survey: Survey, length: float, height: float) -> Iterable[Zone]:
    touched = {load.hazard for load in loads}
    if "bump" in touched:
        low, high = SHOULDER_BAND_M
        yield Zone("knocks", Box(0.0, low, length, min(high, height) - low), "shoulders, chair backs")
    if "hearth" in touched:
        for source in heat_sources_in(survey, wall):
            if (zone := _warm(source, length, height)) is not None:
                yield zone
    if "doorway" in touched:
        for opening in openings_in(survey, wall):
            if opening.kind in DOORS and (zone := _beside_door(opening, length)) is not None:
                yield zone


def _warm(source: HeatSource, length: float, height: float) -> Zone | None:
    if source.at_m is None or source.width_m is None or source.used == "never":
        return None
    top = source.top_m or 1.0
    left = max(0.0, source.at_m - 0.3)
    right = min(length, source.at_m + source.width_m + 0.3)
    return Zone("heat", Box(left, top, right - left, max(0.1, height - top)), "warm air")


def _beside_door(opening: Opening, length: float) -> Zone | None:
    size = opening_size(opening)
    if opening.at_m is None or size is None:
        return None
    leaf = opening.leaf_width_m or size[1]
    left = opening.at_m - 0.3 if opening.hinge != "left" else opening.at_m - leaf
    right = opening.at_m + size[1] + (0.3 if opening.hinge != "right" else leaf)
    left, right = max(0.0, left), min(length, right)
    return Zone("door", Box(left, 0.0, right - left, size[0]), "door")


def _said(word: str) -> str:
    return word.replace("_", " ")

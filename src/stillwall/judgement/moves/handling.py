"""What it takes to carry a work of a survey: its weight in a plan, its packed size, its way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stillwall.judgement.moves.model import Carry
from stillwall.reference.library import Library
from stillwall.setting.carrying import OUTSIDE, Packet, ratio, way
from stillwall.setting.framing import framed_size
from stillwall.setting.weighing import weight
from stillwall.survey.survey import Place, Survey
from stillwall.survey.works import Work

ORNATE = frozenset({"composition", "gilded_gesso", "carved_wood"})
STOPS: Mapping[str, str] = {
    "flaking": "its paint flakes",
    "loose_ornament": "its ornament is loose",
    "cracked_glass": "its glass is cracked",
    "active_mould": "mould grows on it",
    "active_insects": "insects are active in it",
}
"""Conditions in which nobody moves a work before a conservator has seen it."""


def carry_of(library: Library, work: Work) -> Carry:
    """What the crew has to know of a work; an unknown mass is estimated from size and materials."""
    size, heavy = framed_size(library, work), weight(library, work)
    packing = 2 * library.figure("moves.packing")
    sides = (size.height_m + packing, size.width_m + packing, size.depth_m + packing)
    if work.packed is not None:
        sides = (work.packed.height_m, work.packed.width_m, work.packed.depth_m or sides[2])
    known = work.framed is not None or work.image is not None or work.packed is not None
    return Carry(
        name=work.name,
        height_m=sides[0] if known else None,
        width_m=sides[1] if known else None,
        depth_m=sides[2] if known else None,
        mass_kg=heavy.value_kg if known or work.mass_kg is not None else None,
        mass_known=work.mass_kg is not None and work.mass_known == "weighed",
        ornate=work.frame in ORNATE,
        glazed=work.glazing in ("glass", "laminated"),
        stop="its ornament is loose" if work.ornament_loose else STOPS.get(work.condition or "", ""),
    )


def handling_of(library: Library, work: Work) -> float:
    """The weight of moving a work once, before buildings and floors: its own, else by size and frame. [1]"""
    if work.handling:
        return work.handling
    figure = library.figure
    size, mass = framed_size(library, work), weight(library, work).value_kg
    side = max(size.height_m, size.width_m)
    if (
        work.frame == "composition"
        or mass > figure("moves.people.two_mass")
        or side > figure("moves.people.two_side")
    ):
        base = figure("moves.handling.large")
    elif mass <= figure("moves.people.one_mass") and work.condition in (None, "sound"):
        base = figure("moves.handling.light")
    else:
        base = figure("moves.handling.two_people")
    flaking = work.condition == "flaking" or work.surface == "flaking"
    return base * figure("moves.handling.flaking") if flaking else base


def handling_to(survey: Survey, library: Library, work: Work, here: str | None, place: Place) -> float:
    """The weight of moving a work to a place from where it is, buildings and floors counted. [1]"""
    handling = handling_of(library, work)
    if here is None:
        return handling
    origin = survey.places[here]
    first, second = survey.building_of(origin), survey.building_of(place)
    if first is not None and second is not None and first.id != second.id:
        return handling + library.figure("moves.handling.another_building")
    floors = [None if room is None else room.floor for room in map(survey.room_of, (origin, place))]
    if floors[0] is None or floors[1] is None or (first is not None and has_lift(survey, first.id)):
        return handling
    return handling * library.figure("moves.handling.floor_without_lift") ** abs(floors[0] - floors[1])


def has_lift(survey: Survey, building: str) -> bool:
    """Whether a building has a lift, as an opening or as a step of a route in it."""
    rooms = {room.id for room in survey.rooms.values() if room.building == building}
    by_route = any(
        step.kind == "lift" and {route.start, route.end} & {building, *rooms}
        for route in survey.routes.values()
        for step in route.steps
    )
    return by_route or any(
        opening.kind == "lift" and opening.room in rooms for opening in survey.openings.values()
    )


def no_way(survey: Survey, library: Library, work: Work, start: str, ends: Iterable[str]) -> set[str]:
    """Places to which a work cannot be carried from another, by what has been measured on every way.

    A way that is not surveyed is none that is barred.
    """
    packet = _packet(library, work)
    origin = _node(survey, survey.places[start])
    barred = set()
    for end in ends:
        found = way(survey, library, packet, origin, _node(survey, survey.places[end]))
        if found.found and any(
            passage.known and ratio(library, passage, packet) > 1 for passage in found.passages
        ):
            barred.add(end)
    return barred


def _packet(library: Library, work: Work) -> Packet:
    size = framed_size(library, work)
    hands = 2 * library.figure("fit.way.hands")
    if work.packed is not None:
        sides = sorted((work.packed.height_m, work.packed.width_m))
        return Packet(sides[0], sides[1], work.packed.depth_m or size.depth_m + hands)
    clearance = 2 * library.figure("fit.way.clearance")
    sides = sorted((size.height_m + clearance, size.width_m + clearance))
    return Packet(sides[0], sides[1], size.depth_m + hands)


def _node(survey: Survey, place: Place) -> str:
    building = survey.building_of(place)
    return place.room or (OUTSIDE if building is None else building.id)

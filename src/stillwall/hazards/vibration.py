"""Vibration: never invented; where something shakes the wall, the question is what a meter says."""

from __future__ import annotations

from collections.abc import Iterator

from stillwall.case import Case
from stillwall.load import Load
from stillwall.phrases import show_speed
from stillwall.setting.naming import place_name, the_place
from stillwall.survey.places import HoldingPlace, Wall
from stillwall.survey.room_sides import openings_in

FRAGILE_CONDITIONS = frozenset({"flaking", "loose_ornament", "cracked_glass"})
STUD_WALLS = frozenset({"gypsum_stud", "gypsum_metal", "lath_plaster", "panelling", "partition"})


def load(case: Case) -> Load | None:
    """A question for a meter where doors slam, lifts run or loudspeakers play; else nothing."""
    if isinstance(case.site.place, HoldingPlace) or case.site.room is None:
        return None
    causes = list(_causes(case))
    if not causes:
        return None
    fragile = (
        case.work.condition in FRAGILE_CONDITIONS
        or case.work.kind == "pastel"
        or case.work.surface in ("fragile", "flaking")
        or case.work.ornament_loose is True
    )
    allowance = case.library.figures[f"vibration.allowance.{'fragile' if fragile else 'sound'}"]
    may = show_speed(allowance.value, case.survey.head.units)
    return Load(
        hazard="vibration",
        kind="graded",
        draws=None,
        reason=(
            f"{causes[0].capitalize()} there; nobody has measured how that shakes {the_place(case)}. "
            f"{case.work.name} may take a peak velocity of {may}."
        ),
        evidence="missing",
        sources=(allowance.source,),
        missing=(
            f"What peak particle velocity does a meter show, while {causes[0]}, at {place_name(case)}?",
        ),
        notes=(
            *(f"Also: {cause}." for cause in causes[1:]),
            "Light objects that creep along a shelf until they fall are the commoner harm; stand no bust on "
            "glass.",
        ),
    )


def _causes(case: Case) -> Iterator[str]:
    room, place = case.site.room, case.site.place
    assert room is not None
    if room.loud_music or any(event.music for event in room.events):
        yield "loud music plays"
    if isinstance(place, Wall):
        openings = list(openings_in(case.survey, place))
        if place.build in STUD_WALLS and any(each.kind.endswith("door") for each in openings):
            yield "a door slams in the same light wall"
        if any(each.kind == "lift" for each in openings):
            yield "a lift runs in the same wall"
        if place.stair is not None and place.build in STUD_WALLS:
            yield "people run on the stair beside it"

"""What people call the rooms, places and fittings of a survey: sentences name things, never their ids.

Doors, windows and sources of heat have no names of their own, so they are called by what they are and where
they stand.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stillwall.case import Case
from stillwall.survey.features import HeatSource, Opening, Route
from stillwall.survey.places import HoldingPlace, Pedestal, Place, Room, Wall
from stillwall.survey.room_sides import room_of, side_of
from stillwall.survey.survey import Survey

COMMON = frozenset(
    {
        *(
            "attic",
            "ballroom",
            "bar",
            "basement",
            "bedroom",
            "chapel",
            "corridor",
            "cupboard",
            "gallery",
            "hall",
        ),
        *(
            "hallway",
            "kitchen",
            "landing",
            "library",
            "lobby",
            "office",
            "parlour",
            "passage",
            "porch",
            "room",
        ),
        *("saloon", "stair", "staircase", "stairs", "store", "study", "vestibule", "workroom"),
    }
)
"""Words with which a room's name takes an article: the Dining Room, but Larkmoor."""
KINDS = {
    "inside_door": "door",
    "gas_fire": "gas fire",
    "electric_fire": "electric fire",
    "pipe": "hot pipe",
    "register": "air register",
    "diffuser": "air diffuser",
    "fan_coil": "fan coil",
    "picture_light": "picture light",
    "range": "kitchen range",
    "warmer": "food warmer",
}
IN_THE_WALL = frozenset({"hearth", "flue", "window", "arch", "lift", "hatch"})
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
MOST_REMEMBERED = 8


@dataclass(frozen=True, slots=True)
class Names:
    """Names by id.

    Attributes
    ----------
    rooms
        Inside a sentence: ``the Dining Room``.
    rooms_of
        The same with their building, where there are several.
    places
        With their room and their building, as a question that stands among others needs it.
    fittings
        Openings and sources of heat, for one who stands in their room: ``the hearth in the north wall``.
    fittings_of
        The same with their room.
    """

    rooms: Mapping[str, str]
    rooms_of: Mapping[str, str]
    places: Mapping[str, str]
    fittings: Mapping[str, str]
    fittings_of: Mapping[str, str]


_MADE: OrderedDict[int, tuple[Survey, Names]] = OrderedDict()


def names_of(survey: Survey) -> Names:
    """Names of all that a survey lists. Remembered by survey."""
    if id(survey) not in _MADE:
        # The survey stays beside the result, so that its id cannot be used again.
        _MADE[id(survey)] = (survey, _names(survey))
        if len(_MADE) > MOST_REMEMBERED:
            _MADE.popitem(last=False)
    return _MADE[id(survey)][1]


def place_name(case: Case) -> str:
    """The place of a case with its room and its building, for a question."""
    return place_named(case.survey, case.site.place)


def place_named(survey: Survey, place: Place) -> str:
    """A place with its room and its building, for a question that stands among others."""
    return names_of(survey).places.get(place.id, place.name or place.id)


def the_place(case: Case) -> str:
    """The place of a case, for a sentence about it: ``the wall``."""
    if isinstance(case.site.place, Pedestal):
        return "the pedestal"
    return "the holding place" if isinstance(case.site.place, HoldingPlace) else "the wall"


def hangs(case: Case) -> str:
    """What a work does at its place: it hangs on a wall and stands anywhere else."""
    return "hang" if isinstance(case.site.place, Wall) else "stand"


def room_name(survey: Survey, room: str | None) -> str:
    """A room inside a sentence, by its id."""
    return "its room" if room is None else names_of(survey).rooms.get(room, room)


def room_named(survey: Survey, room: str | None) -> str:
    """A room with its building, for a question that stands among others."""
    return "its room" if room is None else names_of(survey).rooms_of.get(room, room)


def size_question(survey: Survey, room: str) -> str:
    """What to ask where a room has no size."""
    return f"How large is {room_named(survey, room)}, height x width (west to east) x depth?"


def node_name(survey: Survey, node: str) -> str:
    """A room, a building or outdoors, inside a sentence."""
    building = survey.buildings.get(node)
    if building is not None:
        return building.name or building.id
    return "outside" if node == "outside" else room_name(survey, node)


def step_name(survey: Survey, route: Route, number: int) -> str:
    """A step of a route, counted from 1: ``the second door on the way from the Hall to the Library``."""
    kind = route.steps[number - 1].kind
    alike = [index for index, step in enumerate(route.steps, start=1) if step.kind == kind]
    which = "" if len(alike) == 1 else f"{_ordinal(alike.index(number))} "
    ends = [_end(survey, end) for end in (route.start, route.end)]
    return f"the {which}{kind} on the way from {ends[0]} to {ends[1]}"


def _ordinal(index: int) -> str:
    return ORDINALS[index] if index < len(ORDINALS) else f"{index + 1}th"


def _end(survey: Survey, name: str) -> str:
    place = survey.places.get(name)
    return node_name(survey, name) if place is None else place.name or place.id


def the(name: str) -> str:
    """A room's name with an article where it wants one."""
    words = name.casefold().split()
    if not words or words[0] in ("the", "a", "an") or "'s" in name or "," in name or name == name.casefold():
        return name
    return f"the {name}" if words[-1] in COMMON else name


def _names(survey: Survey) -> Names:
    rooms = {room.id: the(room.name or room.id) for room in survey.rooms.values()}
    items: list[Opening | HeatSource] = [*survey.openings.values(), *survey.heat_sources.values()]
    fittings = _fittings(survey, items)
    rooms_of = {room.id: f"{rooms[room.id]}{_of_building(survey, room)}" for room in survey.rooms.values()}
    return Names(
        rooms=rooms,
        rooms_of=rooms_of,
        places={
            place.id: _joined(
                [*_above(survey, survey.room_of(place), place), place.name or place.id],
            )
            for place in survey.places.values()
        },
        fittings=fittings,
        fittings_of={item.id: f"{fittings[item.id]}{_of_room(survey, rooms_of, item)}" for item in items},
    )


def _above(survey: Survey, room: Room | None, place: object) -> list[str]:
    """Names of the building, where there are several, and of the room."""
    named = []
    building = survey.buildings.get(room.building) if room is not None else None
    if building is None and isinstance(place, HoldingPlace) and place.building is not None:
        building = survey.buildings.get(place.building)
    if building is not None and len(survey.buildings) > 1:
        named.append(building.name or building.id)
    if room is not None:
        named.append(room.name or room.id)
    return named


def _joined(names: list[str]) -> str:
    """Names from the largest to the smallest, without those that the smaller ones say already."""
    kept = [
        name
        for index, name in enumerate(names)
        if not any(name.casefold() in smaller.casefold() for smaller in names[index + 1 :])
    ]
    return ", ".join(kept)


def _of_building(survey: Survey, room: Room) -> str:
    building = survey.buildings.get(room.building)
    if building is None or len(survey.buildings) < 2:
        return ""
    return f", {building.name or building.id}"


def _of_room(survey: Survey, rooms_of: Mapping[str, str], item: Opening | HeatSource) -> str:
    room = survey.rooms.get(room_of(survey, item) or "")
    return "" if room is None else f" of {rooms_of[room.id]}"


def _fittings(survey: Survey, items: Iterable[Opening | HeatSource]) -> dict[str, str]:
    alike: dict[tuple[str | None, str, str], list[Opening | HeatSource]] = {}
    for item in items:
        alike.setdefault((room_of(survey, item), item.kind, _where(survey, item)), []).append(item)
    made = {}
    for (_, kind, where), group in alike.items():
        noun = KINDS.get(kind, kind.replace("_", " "))
        ordered = sorted(group, key=lambda item: (item.at_m is None, item.at_m or 0.0, item.id))
        for index, item in enumerate(ordered):
            which = "" if len(group) == 1 else f"{_ordinal(index)} "
            left = " from the left" if which and item.at_m is not None else ""
            made[item.id] = f"the {which}{noun}{left}{where}"
    return made


def _where(survey: Survey, item: Opening | HeatSource) -> str:
    side = side_of(survey, item)
    if side is not None:
        inside = item.kind in IN_THE_WALL or item.kind.endswith("door")
        return f" {'in' if inside else 'at'} the {side} {'wall' if item.kind != 'skylight' else 'side'}"
    for preposition, wall in (
        ("at", item.wall),
        ("below", getattr(item, "below_wall", None)),
        ("facing", getattr(item, "facing_wall", None)),
    ):
        if wall in survey.walls:
            named = survey.walls[str(wall)]
            return f" {preposition} {named.name or named.id}"
    leads = getattr(item, "leads_to", None)
    if leads in survey.rooms:
        return f" to {the(survey.rooms[str(leads)].name or str(leads))}"
    return ""

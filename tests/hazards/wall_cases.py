"""Cases for the hazards of the wall itself: one work, one place, one room of the Larkmoor Botanical Society.

Facts are given as the survey would hold them; whatever is not named stays unknown.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from stillwall.case import Case, Site, Stay
from stillwall.draws import Draws
from stillwall.record import Record
from stillwall.reference.library import load_library
from stillwall.survey.features import HeatSource, Opening, Route
from stillwall.survey.places import Building, HoldingPlace, Pedestal, Room, Wall
from stillwall.survey.survey import Survey, SurveyHead
from stillwall.survey.works import Work
from stillwall.units import Size

KNOWN_WALL: dict[str, Any] = {
    "side": "north",
    "height_m": 3.0,
    "span_m": 4.0,
    "build": "brick",
    "fixings_allowed": "any",
    "circulation": "none",
    "clear_width_m": 4.0,
    "outside": False,
}
KNOWN_WORK: dict[str, Any] = {
    "framed": Size(0.90, 0.70, 0.05),
    "image": Size(0.80, 0.60),
    "depth_m": 0.05,
    "mass_kg": 8.0,
    "mass_known": "weighed",
    "frame": "plain_wood",
    "glazing": "none",
    "condition": "sound",
}
KNOWN_ROOM: dict[str, Any] = {
    "use": "drawing",
    "size": Size(3.0, 6.0, 5.0),
    "people_per_day": 20.0,
    "people_peak_hour": 6.0,
    "children_share": 0.0,
    "bags_share": 0.05,
    "wheelchair_share": 0.0,
    "trolley_trips_per_day": 0.0,
    "supervised_share": 0.9,
    "cooking": "none",
    "smoking": False,
    "candles_evenings_per_year": 0.0,
    "pipes_overhead": False,
    "leaks_known": False,
    "sprinklers": False,
    "pests_seen": False,
    "loud_music": False,
    "unseen_hours": 0.0,
}
SAFE_DOOR = Opening(
    id="hall-door",
    kind="inside_door",
    room="room",
    side="south",
    at_m=0.3,
    clear=Size(2.05, 0.85),
    leaf_width_m=0.85,
    hinge="right",
    opens="out",
    opens_to_deg=90.0,
    stop=True,
    opens_per_day=40.0,
    leads_to="outside",
)


def place_of(kind: type, facts: dict[str, Any]) -> Wall | Pedestal | HoldingPlace:
    base = dict(KNOWN_WALL) if kind is Wall else {}
    return kind(**({"id": "wall", "room": "room"} | base | facts))


def case(
    *,
    work: dict[str, Any] | None = None,
    wall: dict[str, Any] | None = None,
    pedestal: dict[str, Any] | None = None,
    room: dict[str, Any] | None = None,
    building: dict[str, Any] | None = None,
    heat: Iterable[dict[str, Any]] = (),
    doors: Iterable[Opening] | None = None,
    routes: Iterable[Route] = (),
    rooms: Iterable[Room] = (),
    walls: Iterable[Wall] = (),
    works: Iterable[Work] = (),
    record: Record | None = None,
    stay: Stay | None = None,
    measures: Iterable[str] = (),
    units: str = "si",
    seed: int = 0,
    library: Any = None,
) -> Case:
    """A case in which everything is known and harmless but for what is given."""
    library = load_library() if library is None else library
    made_room = Room(**({"id": "room", "building": "seed-hall"} | KNOWN_ROOM | (room or {})))
    made_building = Building(**({"id": "seed-hall", "open_days": 300.0} | (building or {})))
    place = place_of(Wall, wall or {}) if pedestal is None else place_of(Pedestal, pedestal)
    made_work = Work(
        **(
            {"id": "work", "kind": "painting_canvas", "medium": "oil-on-canvas", "title": "Lime Avenue"}
            | KNOWN_WORK
            | (work or {})
        )
    )
    openings = [SAFE_DOOR] if doors is None else list(doors)
    sources = [HeatSource(**({"room": "room"} | facts)) for facts in heat]
    survey = Survey(
        folder=Path(),
        head=SurveyHead(name="Larkmoor Botanical Society", units=units, seed=seed),
        buildings={made_building.id: made_building},
        rooms={made_room.id: made_room} | {each.id: each for each in rooms},
        walls={each.id: each for each in ([place] if isinstance(place, Wall) else [])}
        | {each.id: each for each in walls},
        pedestals={place.id: place} if isinstance(place, Pedestal) else {},
        holding_places={},
        openings={opening.id: opening for opening in openings},
        lamps={},
        heat_sources={source.id: source for source in sources},
        routes={route.id: route for route in routes},
        works={made_work.id: made_work} | {each.id: each for each in works},
        loggers={},
    )
    empty = Record(place=place.id, channels={})
    return Case(
        survey=survey,
        library=library,
        work=made_work,
        medium=library.media[made_work.medium],
        guideline=library.guidelines["bizot-2023"],
        site=Site(
            place=place,
            room=made_room,
            building=made_building,
            read=lambda: empty if record is None else record,
        ),
        present=None,
        stay=Stay(start=dt.date(2026, 1, 1)) if stay is None else stay,
        draws=Draws(seed=seed),
        measures=frozenset(measures),
    )


def without(made: dict[str, Any], *names: str) -> dict[str, Any]:
    """The same facts with some left out."""
    return made | dict.fromkeys(names)


__all__ = ["KNOWN_ROOM", "KNOWN_WALL", "KNOWN_WORK", "SAFE_DOOR", "case", "replace", "without"]

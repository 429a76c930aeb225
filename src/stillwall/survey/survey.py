"""The whole survey: buildings, rooms, places, works, and who wrote what down when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from stillwall.survey.features import DOORS, HeatSource, Lamp, Opening, Route
from stillwall.survey.loggers import LightReading, LogFileRef, LoggerSettings, Logs
from stillwall.survey.places import Building, HoldingPlace, Pedestal, Place, Room, Wall
from stillwall.survey.quantities import Date, Number, Whole
from stillwall.survey.spans import YearSpan
from stillwall.survey.works import Work

__all__ = [
    "Acceptance",
    "Acknowledgement",
    "Building",
    "HoldingPlace",
    "LightReading",
    "LogFileRef",
    "LoggerSettings",
    "Note",
    "Pedestal",
    "Place",
    "Room",
    "Survey",
    "SurveyHead",
    "Wall",
    "Work",
]

STRICT = ConfigDict(extra="forbid")


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyHead:
    """The ``[survey]`` table."""

    __pydantic_config__ = STRICT

    name: str = ""
    """The folder's name where it is left out."""
    units: Literal["us", "si"] = "si"
    guideline: str = "bizot-2023"
    seed: Annotated[Whole, Field(ge=0, lt=2**63)] = 0
    surveyed_on: Date | None = None
    surveyed_by: str = ""
    heating_season: YearSpan | None = None
    outdoor_logs: Logs = ()
    uv_limit: Literal[75, 10] = 75
    ageing_limit: Annotated[Number, Field(gt=0, le=100)] = 1.5
    inventory: str | None = None
    """A CSV of works inside the folder, with its column map in ``inventory_columns``."""
    inventory_columns: dict[str, str] = field(default_factory=dict)
    """Key of a work to the header of its column, such as ``{ id = "No.", image = "Size" }``."""
    inventory_units: dict[str, str] = field(default_factory=dict)
    """Key of a work to the unit of the bare numbers in its column, such as ``{ image = "in" }``."""
    inventory_words: dict[str, dict[str, str]] = field(default_factory=dict)
    """Key of a work to what the inventory calls things and what they are called here."""
    inventory_defaults: dict[str, str] = field(default_factory=dict)
    """Key of a work to its value where the inventory has no column or an empty cell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Something that happened: a works week, a party, a leak."""

    __pydantic_config__ = STRICT

    date: Date
    text: str
    to: Date | None = None
    room: str | None = None
    wall: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Acknowledgement:
    """A seasonal alert that a person has seen."""

    __pydantic_config__ = STRICT

    alert: str
    by: str
    on: Date | None = None
    until: Date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """A named risk that a person has accepted, for one work at one place."""

    __pydantic_config__ = STRICT

    work: str
    wall: str
    hazard: str
    by: str
    on: Date
    until: Date | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """Everything in ``survey.toml``, by id, checked against itself."""

    folder: Path
    head: SurveyHead
    buildings: Mapping[str, Building]
    rooms: Mapping[str, Room]
    walls: Mapping[str, Wall]
    pedestals: Mapping[str, Pedestal]
    holding_places: Mapping[str, HoldingPlace]
    openings: Mapping[str, Opening]
    lamps: Mapping[str, Lamp]
    heat_sources: Mapping[str, HeatSource]
    routes: Mapping[str, Route]
    works: Mapping[str, Work]
    loggers: Mapping[str, LoggerSettings]
    notes: tuple[Note, ...] = ()
    acknowledged: tuple[Acknowledgement, ...] = ()
    accepted: tuple[Acceptance, ...] = ()

    @property
    def places(self) -> dict[str, Place]:
        """Walls, pedestals and holding places by id, in that order."""
        return {**self.walls, **self.pedestals, **self.holding_places}

    def room_of(self, place: Place) -> Room | None:
        """The room in which a place is."""
        return None if place.room is None else self.rooms.get(place.room)

    def building_of(self, place: Place) -> Building | None:
        """The building in which a place is."""
        room = self.room_of(place)
        if room is not None:
            return self.buildings.get(room.building)
        if isinstance(place, HoldingPlace) and place.building is not None:
            return self.buildings.get(place.building)
        return None

    def doors_of(self, room: Room) -> list[Opening]:
        """Doors of a room."""
        return [opening for opening in self._openings_of(room) if opening.kind in DOORS]

    def windows_of(self, room: Room) -> list[Opening]:
        """Windows and skylights of a room."""
        return [opening for opening in self._openings_of(room) if opening.kind in ("window", "skylight")]

    def heat_of(self, room: Room) -> list[HeatSource]:
        """Sources of heat in a room."""
        return [source for source in self.heat_sources.values() if source.room == room.id]

    def lamps_of(self, place: Place) -> list[Lamp]:
        """Lamps of a place's own, else those of its room."""
        own = [lamp for lamp in self.lamps.values() if lamp.wall == place.id]
        return own or [lamp for lamp in self.lamps.values() if lamp.wall is None and lamp.room == place.room]

    def _openings_of(self, room: Room) -> list[Opening]:
        return [
            opening
            for opening in self.openings.values()
            if opening.room == room.id
            or (
                opening.wall is not None
                and opening.wall in self.walls
                and self.walls[opening.wall].room == room.id
            )
        ]

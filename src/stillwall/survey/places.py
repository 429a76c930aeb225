"""Buildings, rooms and the places in them where a work can be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, ConfigDict, Field

from stillwall.survey.loggers import LightReading, Logs
from stillwall.survey.quantities import (
    Angle,
    Conductance,
    Count,
    Date,
    Dimensions,
    Extent,
    Footprint,
    Id,
    Length,
    Mass,
    Number,
    Share,
    SignedLength,
    Whole,
    Words,
    YesNo,
    one_or_many,
)
from stillwall.survey.spans import DailyHours, Month, YearSpan, weekday

STRICT = ConfigDict(extra="forbid")
BuildingUse = Literal[
    "club", "house", "restaurant", "hotel", "office", "church", "museum", "library", "school"
]
RoomUse = Literal[
    "hall",
    "corridor",
    "stair",
    "landing",
    "dining",
    "bar",
    "ballroom",
    "lobby",
    "drawing",
    "office",
    "bedroom",
    "library",
    "meeting",
    "kitchen",
    "store",
    "chapel",
    "gallery",
]
WallBuild = Literal[
    "brick",
    "stone",
    "lath_plaster",
    "gypsum_stud",
    "gypsum_metal",
    "panelling",
    "partition",
    "chimney_breast",
    "unknown",
]
Side = Literal["north", "east", "south", "west"]
Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """A kind of occasion held in a building or a room."""

    __pydantic_config__ = STRICT

    name: str
    per_year: Count
    guests: Count | None = None
    months: tuple[Month, ...] = ()
    room: str | None = None
    candles: YesNo | None = None
    drinks: YesNo | None = None
    food: YesNo | None = None
    music: YesNo | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Building:
    """A building. ``open_hours`` is ``"09:00 to 18:00"``; ``heating_season`` is ``"1 Oct to 30 Apr"``."""

    __pydantic_config__ = STRICT

    id: Id
    name: str = ""
    latitude: Annotated[Number, Field(ge=-90, le=90)] | None = None
    longitude: Annotated[Number, Field(ge=-180, le=180)] | None = None
    timezone: str | None = None
    use: BuildingUse | None = None
    open_days: Annotated[Number, Field(ge=0, le=366)] | None = None
    closed_on: Annotated[
        tuple[Annotated[Weekday, BeforeValidator(weekday)], ...], BeforeValidator(one_or_many)
    ] = ()
    """Weekdays on which nothing can be moved in or out."""
    open_hours: DailyHours | None = None
    heating_season: YearSpan | None = None
    outdoor_logs: Logs = ()
    events: tuple[Event, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A room. ``size`` is height x width x depth: width runs west to east, depth south to north."""

    __pydantic_config__ = STRICT

    id: Id
    building: str
    name: str = ""
    floor: Annotated[Whole, Field(ge=-10, le=200)] | None = None
    use: RoomUse | None = None
    size: Dimensions | None = None
    plan: tuple[tuple[SignedLength, SignedLength], ...] = ()
    """Corners seen from above, x to the east and y to the north, clockwise; else ``size``."""
    bearing_deg: Annotated[Angle | None, Field(alias="bearing")] = None
    """Compass bearing (true) of the room's "north" side, where it is not 0."""
    people_per_day: Count | None = None
    people_peak_hour: Count | None = None
    children_share: Share | None = None
    bags_share: Share | None = None
    wheelchair_share: Share | None = None
    trolley_trips_per_day: Count | None = None
    supervised_share: Share | None = None
    cooking: Literal["none", "near", "open"] | None = None
    smoking: YesNo | None = None
    candles_evenings_per_year: Count | None = None
    pipes_overhead: YesNo | None = None
    leaks_known: YesNo | None = None
    flood_level_m: Annotated[Length | None, Field(alias="flood_level")] = None
    sprinklers: YesNo | None = None
    windowless: YesNo | None = None
    """Whether somebody has looked and there is no window."""
    pests_seen: YesNo | None = None
    loud_music: YesNo | None = None
    unseen_hours: Count | None = None
    events: tuple[Event, ...] = ()
    logs: Logs = ()
    light_readings: tuple[LightReading, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepClear:
    """Something on the wall that a work may not cover; ``at`` is its left edge, from the left corner."""

    __pydantic_config__ = STRICT

    what: str
    at_m: Annotated[Length, Field(alias="at")]
    size: Dimensions
    sill_m: Annotated[Length | None, Field(alias="sill")] = None
    """Height of its lower edge above the floor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Furniture:
    """Furniture standing under the place."""

    __pydantic_config__ = STRICT

    what: str
    height_m: Annotated[Extent, Field(alias="height")]
    depth_m: Annotated[Length | None, Field(alias="depth")] = None
    width_m: Annotated[Length | None, Field(alias="width")] = None
    at_m: Annotated[Length | None, Field(alias="at")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tables:
    """Dining or meeting tables near the wall."""

    __pydantic_config__ = STRICT

    edge_to_wall_m: Annotated[Length, Field(alias="edge_to_wall")]
    seatings_per_year: Count
    chair_back_m: Annotated[Length | None, Field(alias="chair_back")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stair:
    """The flight beside the wall."""

    __pydantic_config__ = STRICT

    riser_m: Annotated[Extent, Field(alias="riser")]
    tread_m: Annotated[Extent, Field(alias="tread")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A candidate wall. ``height`` and ``span`` are the clear field; ``side`` is its side of the room."""

    __pydantic_config__ = STRICT

    id: Id
    room: str
    name: str = ""
    side: Side | None = None
    faces_deg: Annotated[Angle | None, Field(alias="faces")] = None
    outside: YesNo | None = None
    insulated: YesNo | None = None
    u_value_w_m2k: Annotated[Conductance | None, Field(alias="u_value")] = None
    f_rsi: Annotated[Number, Field(gt=0, le=1)] | None = None
    build: WallBuild | None = None
    fixings_allowed: Literal["any", "rail_only", "existing", "none"] | None = None
    height_m: Annotated[Extent | None, Field(alias="height")] = None
    span_m: Annotated[Extent | None, Field(alias="span")] = None
    at_m: Annotated[Length, Field(alias="at")] = 0.0
    """Where the clear field begins, from the wall's left corner, facing it."""
    dado_top_m: Annotated[Length | None, Field(alias="dado_top")] = None
    picture_rail_m: Annotated[Length | None, Field(alias="picture_rail")] = None
    cornice_bottom_m: Annotated[Length | None, Field(alias="cornice_bottom")] = None
    mantel_shelf_m: Annotated[Length | None, Field(alias="mantel_shelf")] = None
    keep_clear: tuple[KeepClear, ...] = ()
    clear_width_m: Annotated[Length | None, Field(alias="clear_width")] = None
    circulation: Literal["none", "passing", "required_egress"] | None = None
    people_per_day: Count | None = None
    stair: Stair | None = None
    barrier_m: Annotated[Length | None, Field(alias="barrier")] = None
    furniture_below: Furniture | None = None
    tables: Tables | None = None
    pipes_within_m: Annotated[Length | None, Field(alias="pipes_within")] = None
    marks_last_year: Count | None = None
    marks_years: Count | None = None
    """Years over which the marks were counted, where it was not one."""
    centre_m: Annotated[Length | None, Field(alias="centre")] = None
    """Height of the work's centre that is wanted here."""
    free_from: Date | None = None
    free_until: Date | None = None
    pinned_by: str | None = None
    measures_ruled_out: Words = ()
    preference: Number | None = None
    themes: Words = ()
    logs: Logs = ()
    light_readings: tuple[LightReading, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pedestal:
    """A pedestal as a place for a bust."""

    __pydantic_config__ = STRICT

    id: Id
    room: str
    name: str = ""
    work: str | None = None
    mass_kg: Annotated[Mass | None, Field(alias="mass")] = None
    height_m: Annotated[Extent | None, Field(alias="height")] = None
    base: Footprint | None = None
    """Width x depth of the foot: the width is ``base.height_m``, the depth ``base.width_m``."""
    top: Footprint | None = None
    fixed: Literal["none", "pin", "wall", "floor"] | None = None
    bust_base: Footprint | None = None
    bust_fixed: Literal["none", "pin", "wax", "clip"] | None = None
    clear_width_m: Annotated[Length | None, Field(alias="clear_width")] = None
    barrier_m: Annotated[Length | None, Field(alias="barrier")] = None
    circulation: Literal["none", "passing", "required_egress"] | None = None
    people_per_day: Count | None = None
    marks_last_year: Count | None = None
    side: Side | None = None
    at_m: Annotated[Length | None, Field(alias="at")] = None
    free_from: Date | None = None
    free_until: Date | None = None
    measures_ruled_out: Words = ()
    preference: Number | None = None
    logs: Logs = ()
    light_readings: tuple[LightReading, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldingPlace:
    """A store, a rack or a van where a work can wait."""

    __pydantic_config__ = STRICT

    id: Id
    room: str | None = None
    building: str | None = None
    name: str = ""
    span_m: Annotated[Extent | None, Field(alias="span")] = None
    height_m: Annotated[Extent | None, Field(alias="height")] = None
    side: Side | None = None
    at_m: Annotated[Length | None, Field(alias="at")] = None
    climate_ok: YesNo | None = None
    security: YesNo | None = None
    until: Date | None = None
    logs: Logs = ()
    light_readings: tuple[LightReading, ...] = ()
    note: str = ""


Place = Wall | Pedestal | HoldingPlace

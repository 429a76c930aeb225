"""What is in a room besides works: openings, lamps, sources of heat, ways through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field

from stillwall.survey.places import Side
from stillwall.survey.quantities import (
    Angle,
    Count,
    Dimensions,
    HoursADay,
    Id,
    Length,
    Lux,
    Number,
    Power,
    Share,
    SignedLength,
    UnusableError,
    UvProportion,
    YesNo,
)
from stillwall.survey.spans import DailyHours, DrawnHours

STRICT = ConfigDict(extra="forbid")
OpeningKind = Literal[
    "outside_door", "lobby_door", "inside_door", "service_door", "window", "skylight", "arch", "lift", "hatch"
]
DOORS: frozenset[OpeningKind] = frozenset({"outside_door", "lobby_door", "inside_door", "service_door"})
HeatKind = Literal[
    "hearth",
    "stove",
    "gas_fire",
    "electric_fire",
    "radiator",
    "pipe",
    "register",
    "diffuser",
    "fan_coil",
    "picture_light",
    "sconce",
    "candle",
    "range",
    "warmer",
    "flue",
]


def _which_wall(value: Any) -> Any:
    if isinstance(value, bool) or (isinstance(value, str) and value.strip().lower() in ("yes", "true")):
        raise UnusableError(
            "it does not say which wall", "the id of the wall above", "write below_wall = with the wall's id"
        )
    return value


WallAbove = Annotated[str, BeforeValidator(_which_wall)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Blind:
    """A blind, curtain or shutter of a window."""

    __pydantic_config__ = STRICT

    kind: Literal["roller", "blackout", "shutter", "curtain", "louvre", "net"]
    transmittance: Share | None = None
    drawn: DrawnHours | None = None
    """Hours when it is drawn, such as ``"17:00 to 09:00"`` or ``"closed hours"`` or ``"when sunny"``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door, a window or another opening. ``at`` runs from the wall's left corner, facing it from inside."""

    __pydantic_config__ = STRICT

    id: Id
    kind: OpeningKind
    room: str | None = None
    wall: str | None = None
    """Id of the candidate wall it stands in or beside, or one of north, east, south, west with ``room``."""
    side: Side | None = None
    at_m: Annotated[Length | None, Field(alias="at")] = None
    clear: Dimensions | None = None
    size: Dimensions | None = None
    sill_m: Annotated[Length | None, Field(alias="sill")] = None
    leaf_width_m: Annotated[Length | None, Field(alias="leaf_width")] = None
    hinge: Literal["left", "right"] | None = None
    hinge_to_corner_m: Annotated[Length | None, Field(alias="hinge_to_corner")] = None
    opens: Literal["in", "out", "both"] | None = None
    opens_to_deg: Annotated[Angle | None, Field(alias="opens_to")] = None
    stop: YesNo | None = None
    vestibule: YesNo | None = None
    opens_per_day: Count | None = None
    wall_depth_m: Annotated[Length | None, Field(alias="wall_depth")] = None
    reveal_m: Annotated[Length | None, Field(alias="reveal")] = None
    bearing_deg: Annotated[Angle | None, Field(alias="bearing")] = None
    """Bearing (map, true) in which a window looks out."""
    obstruction_deg: Annotated[Angle | None, Field(alias="obstruction")] = None
    glass: Literal["single", "double", "triple", "laminated", "leaded", "coloured"] | None = None
    film: Literal["none", "uv", "neutral", "tinted"] | None = None
    glazed_share: Share | None = None
    overhang_m: Annotated[Length | None, Field(alias="overhang")] = None
    blind: Blind | None = None
    leads_to: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """Electric light that falls on a wall or in a room."""

    __pydantic_config__ = STRICT

    id: Id
    kind: Literal["led", "halogen", "tungsten", "fluorescent", "unknown"]
    room: str | None = None
    wall: str | None = None
    lux_at_wall: Lux | None = None
    aim: Literal["wall", "down", "up", "away"] | None = None
    """Where it shines, where ``lux_at_wall`` has not been read: at the wall, or elsewhere."""
    hours_per_day_h: Annotated[HoursADay | None, Field(alias="hours_per_day")] = None
    hours: DailyHours | None = None
    """When it burns, such as ``"09:00 to 22:00"``."""
    days_per_year: Annotated[Number, Field(ge=0, le=366)] | None = None
    uv_uw_lm: Annotated[UvProportion | None, Field(alias="uv")] = None
    dimmable: YesNo | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatSource:
    """A hearth, a radiator or another source of heat."""

    __pydantic_config__ = STRICT

    id: Id
    room: str
    kind: HeatKind
    used: Literal["never", "seasonal", "daily", "events"] | None = None
    fires_per_year: Count | None = None
    power_w: Annotated[Power | None, Field(alias="power")] = None
    wall: str | None = None
    side: Side | None = None
    at_m: Annotated[Length | None, Field(alias="at")] = None
    width_m: Annotated[Length | None, Field(alias="width")] = None
    top_m: Annotated[Length | None, Field(alias="top")] = None
    """Height of the top of the source or of its opening above the floor."""
    below_wall: WallAbove | None = None
    """Id of the wall that stands straight above it; yes on the page means the wall under ``wall``."""
    facing_wall: str | None = None
    offset_m: Annotated[SignedLength | None, Field(alias="offset")] = None
    """Horizontal distance from the source's edge to the clear field of ``wall``."""
    rise_m: Annotated[Length | None, Field(alias="rise")] = None
    facing_distance_m: Annotated[Length | None, Field(alias="facing_distance")] = None
    shelf_depth_m: Annotated[Length | None, Field(alias="shelf_depth")] = None
    flue: Literal["open", "damper", "closed"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteStep:
    """One opening, turn or stair on the way."""

    __pydantic_config__ = STRICT

    kind: Literal["door", "corridor", "turn", "lift", "stair", "ramp", "outside"]
    clear: Dimensions | None = None
    """Height x width (x depth of a lift car)."""
    turn: Dimensions | None = None
    """Widths of the two legs of a turn."""
    depth_m: Annotated[Length | None, Field(alias="depth")] = None
    wall_depth_m: Annotated[Length | None, Field(alias="wall_depth")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A way between two rooms or buildings that a work may be carried."""

    __pydantic_config__ = STRICT

    id: Id
    start: Annotated[str, Field(alias="from")]
    end: Annotated[str, Field(alias="to")]
    steps: tuple[RouteStep, ...] = ()

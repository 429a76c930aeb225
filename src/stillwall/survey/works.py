"""Works of art as the survey knows them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field

from stillwall.survey.quantities import (
    Count,
    Date,
    Dimensions,
    Extent,
    Hours,
    Humidity,
    Id,
    Illuminance,
    Length,
    LightDose,
    Mass,
    Share,
    Temperature,
    UvProportion,
    Words,
    YesNo,
    one_or_many,
)

WorkKind = Literal[
    "painting_canvas", "panel", "paper", "pastel", "textile", "photograph", "bust", "relief", "object"
]
FrameKind = Literal["none", "metal", "plain_wood", "carved_wood", "gilded_gesso", "composition"]
Glazing = Literal["none", "glass", "laminated", "acrylic", "uv_acrylic", "uv_laminated"]
Backing = Literal["none", "board", "sealed", "open"]
Lining = Literal["none", "glue", "wax", "synthetic"]
Hanging = Literal["wire", "plates", "cleat", "chain_rail", "ledge", "pedestal", "two_hooks"]
Condition = Literal[
    "sound", "watch", "flaking", "loose_ornament", "cracked_glass", "active_mould", "active_insects"
]
STRICT = ConfigDict(extra="forbid")


def _backing(value: Any) -> Any:
    word = str(value).strip().lower() if isinstance(value, bool | str) else None
    return {"true": "board", "yes": "board", "false": "none", "no": "none"}.get(word or "", value)


@dataclass(frozen=True, slots=True, kw_only=True)
class LenderLimits:
    """Conditions that a lender sets; they replace the house's band and the class's dose."""

    __pydantic_config__ = STRICT

    humidity_low_pct: Annotated[Humidity | None, Field(alias="humidity_low")] = None
    humidity_high_pct: Annotated[Humidity | None, Field(alias="humidity_high")] = None
    humidity_swing_pct: Annotated[Humidity | None, Field(alias="humidity_swing")] = None
    temperature_low_c: Annotated[Temperature | None, Field(alias="temperature_low")] = None
    temperature_high_c: Annotated[Temperature | None, Field(alias="temperature_high")] = None
    illuminance_lux: Annotated[Illuminance | None, Field(alias="illuminance")] = None
    dose_lux_h: Annotated[LightDose | None, Field(alias="dose")] = None
    """Light dose a year."""
    uv_uw_lm: Annotated[UvProportion | None, Field(alias="uv")] = None
    weeks: Count | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseSpent:
    """Light dose that a work has taken, as far as anybody knows."""

    __pydantic_config__ = STRICT

    dose_lux_h: Annotated[LightDose, Field(alias="dose")]
    since: Date
    to: Date


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One work. Sizes are height x width; ``framed`` is the outermost edge."""

    __pydantic_config__ = STRICT

    id: Id
    kind: WorkKind
    medium: str
    title: str = ""
    species: str | None = None
    cut: Literal["tangential", "radial"] | None = None
    thickness_m: Annotated[Extent | None, Field(alias="thickness")] = None
    lined_with: Lining | None = None
    image: Dimensions | None = None
    framed: Dimensions | None = None
    depth_m: Annotated[Length | None, Field(alias="depth")] = None
    orientation: Literal["upright", "landscape", "square"] | None = None
    mass_kg: Annotated[Mass | None, Field(alias="mass")] = None
    mass_known: Literal["weighed", "estimated"] | None = None
    frame: FrameKind | None = None
    ornament_loose: YesNo | None = None
    glazing: Glazing | None = None
    backing: Annotated[Backing | None, BeforeValidator(_backing)] = None
    """On the page also yes (a board) and no."""
    hanging: Hanging | None = None
    wire_sag_m: Annotated[Length | None, Field(alias="wire_sag")] = None
    hook_drop_m: Annotated[Length | None, Field(alias="hook_drop")] = None
    points: Count | None = None
    ratings_kg: Annotated[
        Annotated[tuple[Mass, ...], BeforeValidator(one_or_many)], Field(alias="ratings")
    ] = ()
    rating_kind: Literal["working", "ultimate"] | None = None
    condition: Condition | None = None
    reflectance: Share | None = None
    varnish: Literal["none", "matt", "satin", "gloss"] | None = None
    surface: Literal["sound", "fragile", "flaking"] | None = None
    salts_seen: YesNo | None = None
    """Whether a conservator has found salts in stone or plaster: bloom, powdering, an analysis."""
    sensitivity: Literal["R0", "R1", "R2", "R3"] | None = None
    """Declared responsivity class to light, where a conservator has set one; else the medium's."""
    now_at: str | None = None
    history: str | None = None
    """Where the work has been living: a place id or a log file; ``now_at`` where it is left out."""
    now_height_m: Annotated[Length | None, Field(alias="now_height")] = None
    dose_spent: DoseSpent | None = None
    arrives: Date | None = None
    leaves: Date | None = None
    lender: LenderLimits | None = None
    guideline: str | None = None
    themes: Words = ()
    pinned: YesNo = False
    pair_with: str | None = None
    group: str | None = None
    on_show_months: Count | None = None
    rest_months: Count | None = None
    packed: Dimensions | None = None
    handling: Count | None = None
    viewed_from_m: Annotated[Length | None, Field(alias="viewed_from")] = None
    hours_lit_h: Annotated[Hours | None, Field(alias="hours_lit")] = None
    note: str = ""

    @property
    def name(self) -> str:
        """Title, or the id where there is none."""
        return self.title or self.id

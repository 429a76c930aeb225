"""Media: what kinds of works are made of, and what that lets them bear."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import ConfigDict

from stillwall.reference.guidelines import Band
from stillwall.reference.sources import Citation, Figure

STRICT = ConfigDict(extra="forbid")
Responsivity = Literal["R0", "R1", "R2", "R3"]
MouldClass = Literal["very_sensitive", "sensitive", "medium_resistant", "resistant"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightResponse:
    """Responsivity class to light, with the span that a conservator would find believable."""

    __pydantic_config__ = STRICT

    responsivity: Responsivity
    span: tuple[Responsivity, Responsivity]
    source: Citation
    bar: str | None = None
    """Why originals of this medium are not to be shown at all, where that is so."""
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MoistureResponse:
    """How an object follows the air: time to 95 % of a step, at its surface and in its bulk. [h]"""

    __pydantic_config__ = STRICT

    surface_t95: Figure
    bulk_t95: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class StrainLimit:
    """What strain the moisture-sensitive part may take, and of which material."""

    __pydantic_config__ = STRICT

    material: str
    """A row of ``data/hazards/strain.toml``: wood, gesso, glue, paint."""
    restrained: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """A relative humidity that the medium should not pass, above or below."""

    __pydantic_config__ = STRICT

    name: str
    above_pct: float | None = None
    below_pct: float | None = None
    hours_per_year: float | None = None
    """Hours a year beyond it that may be borne."""
    source: Citation
    hours_source: Citation | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Medium:
    """One medium. Absent parts mean that the hazard cannot touch it."""

    __pydantic_config__ = STRICT

    id: str
    title: str
    group: Literal["painting", "paper", "photograph", "textile", "wood", "metal", "stone", "other"]
    light: LightResponse
    hygroscopic: bool
    moisture: MoistureResponse | None = None
    humidity: Band | None = None
    """The medium's own band, where it is tighter than a general guideline."""
    temperature: Band | None = None
    strain: StrainLimit | None = None
    activation_energy: Figure | None = None
    """Of the process by which it ages in the dark. [kJ/mol]"""
    mould_class: MouldClass | None = None
    corrosion: tuple[Threshold, ...] = ()
    salts: tuple[str, ...] = ()
    wall_humidity: Figure | None = None
    """Highest surface humidity of an outside wall behind it, monthly mean. [%]"""
    heat_limit: Figure | None = None
    """Surface temperature at which it softens or suffers. [degC]"""
    sun_rise_limit: Figure | None = None
    """Allowed rise of the surface in direct sun, where it is not the general one. [K]"""
    hearth_bar: bool = False
    """Whether it may never hang over a working fire."""
    reflectance: Figure | None = None
    surface_fragility: Literal["robust", "ordinary", "fragile"] = "ordinary"
    deciding: tuple[str, ...] = ()
    """Hazards whose evidence must be there before a wall may be called suitable."""
    note: str = ""

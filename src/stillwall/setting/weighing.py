"""What a work weighs: by the scales, else by its measures and materials."""

from __future__ import annotations

from dataclasses import dataclass

from stillwall.exposure.framed_size import face_per_side
from stillwall.exposure.mass import frame_mass, sheet_mass
from stillwall.load import Evidence
from stillwall.reference.library import Library
from stillwall.setting.framing import SOLID, FramedSize, framed_size
from stillwall.survey.works import Work

LEAST_KG = 0.01
"""No work is lighter. [kg]"""
BACKED = frozenset({None, "board", "sealed"})
_DENSITIES = {"stone": "marble", "metal": "bronze", "wood": "wood_solid"}
_BY_MEDIUM = {
    "plaster": "plaster",
    "painted-plaster": "plaster",
    "terracotta": "terracotta",
    "ceramic": "terracotta",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """Mass of a work with its 90 % span. [kg]"""

    value_kg: float
    low_kg: float
    high_kg: float
    evidence: Evidence
    missing: tuple[str, ...] = ()


def weight(library: Library, work: Work, frame: str | None = None, glazing: str | None = None) -> Weight:
    """Mass of a work as it will hang, in another frame or behind glazing where these are given.

    An estimate is taken to be right within 40 % nine times in ten; the scales within 2 %.
    """
    size = framed_size(library, work, frame)
    added = 0.0
    if glazing is not None and work.glazing in (None, "none"):
        added = size.height_m * size.width_m * library.figure(f"fixing.glazing.{glazing}")
    if work.mass_kg is not None and frame is None:
        kind = {"weighed": "weighed", "estimated": "estimated"}.get(work.mass_known or "", "unsaid")
        question = (
            ()
            if work.mass_known == "weighed"
            else (f"What does {work.name} weigh? Two bathroom scales and a board will do.",)
        )
        return _spread(library, work.mass_kg + added, kind, question)
    question = (f"What does {work.name} weigh? Two bathroom scales and a board will do.",)
    return _spread(library, _estimate(library, work, size, frame) + added, "estimated", question)


def _spread(library: Library, mass_kg: float, kind: str, missing: tuple[str, ...]) -> Weight:
    figure = library.figures[f"fixing.mass.{kind}"]
    assert figure.low is not None
    assert figure.high is not None
    mass_kg = max(mass_kg, LEAST_KG)
    evidence: Evidence = {"weighed": "measured", "unsaid": "surveyed"}.get(kind, "assumed")  # type: ignore[assignment]
    return Weight(
        value_kg=mass_kg,
        low_kg=mass_kg * figure.low,
        high_kg=mass_kg * figure.high,
        evidence=evidence,
        missing=missing,
    )


def _estimate(library: Library, work: Work, size: FramedSize, frame: str | None) -> float:
    """m = area x sheets + perimeter x section x fill x density + glazing + backing. [kg]"""
    figure = library.figure
    if work.kind in SOLID:
        return _solid(library, work, size)
    kind = frame or work.frame or "unknown"
    face = figure(f"fit.face.{kind}")
    rebate = figure("fit.rebate.cover")
    if work.image is not None and work.framed is not None and frame is None:
        face = max(face_per_side(size.height_m, work.image.height_m) + rebate, rebate)
    inside = 2 * (face - rebate)
    height, width = max(size.height_m - inside, 0.05), max(size.width_m - inside, 0.05)
    moulding = "composition_frame" if kind == "composition" else kind
    total = frame_mass(
        size.height_m,
        size.width_m,
        face,
        size.depth_m,
        figure(f"fixing.fill.{kind}"),
        figure(f"fixing.density.{moulding}"),
    )
    for sheet in _sheets(work):
        total += height * width * figure(f"fixing.sheet.{sheet}")
    if work.glazing not in (None, "none"):
        total += height * width * figure(f"fixing.glazing.{work.glazing}")
    if work.kind == "panel" and work.thickness_m is not None:
        panel = sheet_mass(height, width, work.thickness_m, figure("fixing.density.wood_solid"))
        total += panel - height * width * figure("fixing.sheet.panel")
    return total


def _sheets(work: Work) -> list[str]:
    backing = ["backing"] if work.backing in BACKED else []
    if work.kind == "painting_canvas":
        canvas = "canvas" if work.lined_with in (None, "none") else "canvas_lined"
        return [canvas, "stretcher", *backing]
    if work.kind == "panel":
        return ["panel", *backing]
    return ["paper", *backing]


def _solid(library: Library, work: Work, size: FramedSize) -> float:
    material = _BY_MEDIUM.get(work.medium)
    hollow = material in ("plaster", "terracotta")
    if material is None:
        group = library.media[work.medium].group if work.medium in library.media else "other"
        material = _DENSITIES.get(group, "terracotta")
        hollow = group == "metal"
    fill = library.figure("fixing.fill.bust_hollow" if hollow else "fixing.fill.bust")
    return size.height_m * size.width_m * size.depth_m * fill * library.figure(f"fixing.density.{material}")

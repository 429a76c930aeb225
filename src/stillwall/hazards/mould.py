"""Mould: the highest index that surface humidity leads to, by the kind of surface."""

from __future__ import annotations

from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.moist_air import saturation_pressure
from stillwall.exposure.mould import MouldClass
from stillwall.exposure.seasons import SEEN_SHARE, unseen
from stillwall.exposure.wall_surface import Months, OutdoorClimate, SurfaceMould, months, surface_mould
from stillwall.load import Evidence, Load
from stillwall.phrases import percent
from stillwall.setting.bearing import (
    frame_medium,
    needed_seasons,
    sensor_draws,
    unlogged_question,
    unseen_seasons_questions,
)
from stillwall.setting.naming import the_place
from stillwall.setting.wall_face import WallFace, wall_face
from stillwall.units import Amount

NAME: Final = "mould"
PARTS = {
    "index": "highest mould index",
    "stand_off": "whether the work stands off the wall with air behind it",
}
CLASSES: Final = ("very_sensitive", "sensitive", "medium_resistant", "resistant")
ORGANIC: Final = frozenset({"very_sensitive", "sensitive"})
WORDS: Final = {
    "very_sensitive": "a very sensitive surface",
    "sensitive": "a sensitive surface",
    "medium_resistant": "a fairly resistant surface",
    "resistant": "a resistant surface",
}
CAUTION: Final = (
    "Mould harms people too: whoever finds it should not brush or wipe it, should keep others away, and "
    "should ask a conservator and whoever answers for health in the building."
)
_OFFSETS: Final = (-1.0, 0.0, 1.0, 2.0)
_NODES: Final = (0.02, 0.33, 0.67, 0.98)
_LOG_PRESSURE_PER_K: Final = 0.063
_DENSE: Final = 6.0


def load(case: Case) -> Load | None:
    """Highest index over the record, in growth and decline, over that of first growth."""
    name = _class_name(case)
    if name is None:
        return None
    face = wall_face(case, NAME)
    kind = _class(case, name)
    climate = OutdoorClimate(0.0, 0.0, False) if face is None else face.climate
    monthly = case.site.exposure(months, climate)
    factor = None if face is None else _factor(case, face, monthly)
    if factor is None:
        found = case.site.exposure(surface_mould, kind, (1.0,), None, _OFFSETS)
    else:
        found = case.site.exposure(surface_mould, kind, _nodes(factor), climate, (0.0,))
    if found is None:
        return _unlogged(case, name, face)
    allowance = case.library.figures["mould.allowance"]
    index, known = _index(case, factor, found)
    missing = unseen(tuple(share >= SEEN_SHARE for share in found.coverage), needed_seasons(case))
    dampest = None if monthly is None else _dampest_month(face, monthly)
    watch = case.library.figure("mould.watch")
    deciding = name in ORGANIC and (face is not None or dampest is None or dampest > watch)
    evidence: Evidence = (
        "measured" if face is None or (face.known and found.outdoors_logged >= 0.9) else "assumed"
    )
    if missing:
        evidence = "missing" if deciding or name in ORGANIC else "assumed"
    typical = median(index)
    damp_share = found.growing_hours / found.total_hours
    surface = "the air" if face is None else "the wall behind the work"
    return Load(
        hazard=NAME,
        kind="graded",
        draws=index / allowance.value,
        seen=known / allowance.value if missing else None,
        reason=(
            f"The mould index of {WORDS[name]} reaches {_shown(typical)}, where {allowance.value:.0f} is the "
            f"first growth seen under a microscope; {surface} was "
            f"{_damp(damp_share)}{' while it was logged' if missing else ''}."
        ),
        evidence=evidence,
        sources=(allowance.source,),
        missing=(
            *(() if face is None else face.questions),
            *unseen_seasons_questions(case, missing, "temperature and humidity"),
        ),
        deciding=deciding or (bool(missing) and name in ORGANIC),
        exposure=Amount(typical, "1"),
        allowance=Amount(allowance.value, "1"),
        span=None if allowance.high is None else (typical / allowance.high, typical / allowance.value),
        notes=_notes(case, dampest, watch),
        cautions=(CAUTION,) if typical > 0.5 or case.work.condition == "active_mould" else (),
    )


def _shown(index: float) -> str:
    return "0" if index < 0.005 else f"{index:.2f}"


def _damp(share: float) -> str:
    enough = "damp enough for mould to grow"
    return f"never {enough}" if share == 0 else f"{enough} for {percent(share)} of the time"


def _class_name(case: Case) -> str | None:
    frame = frame_medium(case)
    named = [case.medium.mould_class, None if frame is None else frame.mould_class]
    known = [CLASSES.index(name) for name in named if name is not None]
    return CLASSES[min(known)] if known else None


def _class(case: Case, name: str) -> MouldClass:
    fields = ("early", "late", "a", "b", "c", "least", "decline")
    return MouldClass(*(case.library.figure(f"mould.class.{name}.{field}") for field in fields))


def _factor(case: Case, face: WallFace, monthly: Months | None) -> Floats:
    """Temperature factor in draws, with the errors of outdoors and of the room's hygrometer turned into it.

    A humidity that is too low by a share has the effect of a face that is that much too warm.
    """
    step = case.library.figure("mould.temperature_step")
    logged, level = 0.0, 50.0
    if monthly is not None:
        logged = monthly.outdoors_logged
        level = float(np.mean(100.0 * np.array(monthly.vapour_pa) / saturation_pressure(monthly.inside_c)))
    outdoors = (1.0 - face.factor) * (1.0 - logged) * face.outdoor_error_k / step
    damper = np.maximum(1.0 + sensor_draws(case, case.site, "humidity") / max(level, 10.0), 0.1)
    made: Floats = face.factor + outdoors - np.log(damper) / (_LOG_PRESSURE_PER_K * step)
    return np.clip(made, 0.0, 0.999)


def _nodes(factor: Floats) -> tuple[float, ...]:
    """A few temperature factors that span the draws, for an exposure that is computed at these."""
    return tuple(sorted({round(float(node), 2) for node in np.quantile(factor, _NODES)}))


def _index(case: Case, factor: Floats | None, found: SurfaceMould) -> tuple[Floats, Floats]:
    """Highest index in draws of sensor, wall, model and seasons nobody logged; and without the last."""
    offset = np.zeros(case.draws.count) if factor is not None else sensor_draws(case, case.site, "humidity")
    known = index = _between(factor, found, offset)
    for season in needed_seasons(case):
        if found.coverage[season] < SEEN_SHARE:
            spread = case.library.figure("mould.unseen_season")
            draws = case.draws.normal(f"season:{case.site.place.id}:humidity:{season}")
            index = np.maximum(index, _between(factor, found, offset + spread * draws))
    low, mid, high = (case.library.figure(f"mould.model_error.{end}") for end in ("low", "mid", "high"))
    scale = case.draws.between(f"model:{NAME}:index", low, mid, high) * case.factor(NAME, "index")
    return np.minimum(index * scale, _DENSE), np.minimum(known * scale, _DENSE)


def _between(factor: Floats | None, found: SurfaceMould, offset: Floats) -> Floats:
    """The index between the offsets and the temperature factors at which it was computed."""
    rows = np.array([np.interp(offset, found.offsets_pct, row) for row in found.peak])
    if factor is None or len(rows) == 1:
        made: Floats = rows[0]
        return made
    at = np.interp(factor, _nodes(factor), np.arange(len(rows)))
    below = np.minimum(at.astype(np.int64), len(rows) - 2)
    places = np.arange(len(at))
    mixed: Floats = rows[below, places] * (1 - (at - below)) + rows[below + 1, places] * (at - below)
    return mixed


def _dampest_month(face: WallFace | None, monthly: Months) -> float:
    """Highest monthly mean humidity at the surface. [%]"""
    inside, vapour = np.array(monthly.inside_c), np.array(monthly.vapour_pa)
    surface = inside
    if face is not None:
        outside = np.array(monthly.outside_c)
        surface = outside + median(face.factor) * (inside - outside)
    return float((100.0 * vapour / saturation_pressure(surface)).max())


def _notes(case: Case, dampest: float | None, watch: float) -> tuple[str, ...]:
    notes = []
    if dampest is not None:
        notes.append(
            f"In the dampest month the surface stands at {dampest:.0f} %RH on average; from {watch:.0f} %RH "
            "on it wants watching."
        )
    if case.work.condition == "active_mould":
        notes.append("The work carries active mould now; the index begins at nothing and leaves that out.")
    return tuple(notes)


def _unlogged(case: Case, name: str, face: WallFace | None) -> Load:
    organic = name in ORGANIC
    return Load(
        hazard=NAME,
        kind="graded",
        draws=None,
        reason=(
            f"Temperature and humidity are not logged together at {the_place(case)}, so how damp it is there "
            "is not known."
        ),
        evidence="missing",
        sources=(case.library.figures["mould.allowance"].source,),
        missing=(
            *(() if face is None else face.questions),
            unlogged_question(case, "temperature and humidity"),
        ),
        deciding=organic,
        cautions=(CAUTION,) if case.work.condition == "active_mould" else (),
    )

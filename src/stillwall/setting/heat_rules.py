"""What each source of heat in a room does to a work: by distance, by plume or by radiation."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats
from stillwall.exposure.heat_source import (
    light_surface_rise,
    point_plume_rise,
    radiant_flux,
    surface_rise,
    wall_plume_rise,
)
from stillwall.load import Evidence, weakest
from stillwall.setting.hanging import Hanging
from stillwall.setting.heat_reach import Reach, reach
from stillwall.survey.features import HeatKind, HeatSource
from stillwall.survey.places import Wall
from stillwall.units import show_length, show_temperature_difference

FIRES: frozenset[HeatKind] = frozenset({"hearth", "stove", "gas_fire", "electric_fire"})
RADIATORS: frozenset[HeatKind] = frozenset({"radiator", "pipe"})
AIR: frozenset[HeatKind] = frozenset({"register", "diffuser", "fan_coil"})
FLAMES: frozenset[HeatKind] = frozenset({"candle", "sconce"})
LOGGED: frozenset[str] = FIRES | RADIATORS | AIR | {"flue"}
"""Sources whose heat a logger at the wall would see."""
KITCHEN: frozenset[HeatKind] = frozenset({"range", "warmer"})
MARGIN = 0.05
"""Load of a source that is out of use for good."""
TENDER_KINDS = frozenset({"panel", "paper", "pastel"})
TENDER_FRAMES = frozenset({"composition", "gilded_gesso"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """What one source does to the work."""

    draws: Floats
    sentence: str
    evidence: Evidence
    source: str
    kind: str = ""
    over_fire: bool = False
    barred: bool = False
    missing: tuple[str, ...] = ()


def sources(case: Case, hanging: Hanging) -> Iterator[Heat]:
    """What each source of heat in the room of a case does to the work, worst or not."""
    assert case.site.room is not None
    for source in case.survey.heat_sources.values():
        if source.room == case.site.room.id or case.site.place.id in (source.below_wall, source.facing_wall):
            heat = _heat(case, hanging, source)
            if heat is not None:
                yield heat
    yield from _lamps(case)
    wall = case.wall
    if wall is not None and wall.build == "chimney_breast" and not _has_hearth(case, wall):
        yield Heat(
            draws=_draws(case, "over_mantel.doubt_load", f"wall:{wall.id}:flue"),
            sentence=f"{wall.name or wall.id} is a chimney breast; nobody says whether a flue in it is warm.",
            evidence="assumed",
            source="hearth.over_mantel.doubt_load",
            kind="flue",
            missing=(
                f"Is a flue in the breast of {wall.name or wall.id} used, by this house or a neighbour?",
            ),
        )


def _has_hearth(case: Case, wall: Wall) -> bool:
    return any(
        source.kind in FIRES | {"flue"} and wall.id in (source.wall, source.below_wall)
        for source in case.survey.heat_sources.values()
    )


def _heat(case: Case, hanging: Hanging, source: HeatSource) -> Heat | None:
    at = reach(case.survey, case.site, source, hanging)
    if source.kind in FIRES:
        heat = _fire(case, source, at)
    elif source.kind in RADIATORS:
        heat = _radiator(case, hanging, source, at)
    elif source.kind in AIR:
        heat = _air(case, source, at)
    elif source.kind in FLAMES:
        heat = _flame(case, source, at)
    elif source.kind in KITCHEN:
        heat = _kitchen(case, source, at)
    elif source.kind == "picture_light":
        heat = _picture_light(case, source, at)
    else:
        heat = _flue(case, source, at)
    if heat is None:
        return None
    return replace(
        heat,
        kind=source.kind,
        over_fire=source.kind in FIRES and at.relation == "over",
        missing=heat.missing + at.missing,
        evidence=_evidence(heat, at),
    )


def _evidence(heat: Heat, at: Reach) -> Evidence:
    return weakest(heat.evidence, "assumed" if at.missing or heat.missing else "surveyed")


def _fire(case: Case, source: HeatSource, at: Reach) -> Heat | None:
    figure, show = case.library.figure, case.survey.head.units
    kind = source.kind.replace("_", " ")
    use, missing = _use(case, source)
    lit = source.used in ("seasonal", "daily", "events") and case.setting("hearth", "fires") is not False
    lit = lit and source.fires_per_year != 0
    near = _draws(case, "share.spread", f"model:hearth:spread:{source.id}")
    spill = "over_mantel.rise" if source.kind == "hearth" else "over_mantel.fire_rise"
    barred = False
    if at.relation == "over":
        load, where = _draws(case, spill) / figure("hearth.allowance.rise"), "over"
        low = at.above_m is not None and at.above_m < figure("hearth.bar.fire_above")
        barred = lit and (source.kind == "hearth" or low) and tender(case)
        barred = barred or (lit and at.distance_m is not None and at.distance_m < figure("hearth.bar.hearth"))
    elif at.relation == "beside":
        assert at.distance_m is not None
        load = near * figure("hearth.near.hearth_beside") / max(at.distance_m, 0.05)
        where = f"{show_length(at.distance_m, show)} beside"
        barred = lit and at.distance_m < figure("hearth.bar.hearth")
    else:
        load, where = _radiation(case, source, at)
    doubt, questions = _unlit(case, source, at)
    use = np.zeros(case.draws.count) if case.setting("hearth", "fires") is False else use
    draws = np.maximum(np.maximum(load * use, doubt), MARGIN)
    rise = float(np.median(load)) * figure("hearth.allowance.rise")
    words = _use_words(source)
    return Heat(
        draws=draws,
        sentence=(
            f"It would hang {where} the {kind} {source.id} ({words}), which warms such a place by about "
            f"{show_temperature_difference(rise, show)} when it burns; "
            f"{show_temperature_difference(figure('hearth.allowance.rise'), show)} is allowed."
        ),
        evidence="surveyed",
        source=f"hearth.{spill}",
        barred=barred,
        missing=missing + questions,
    )


def _use_words(source: HeatSource) -> str:
    if source.used is None:
        return "nobody says whether it is lit"
    words = {"never": "said to be never lit", "events": "lit for events"}.get(
        source.used, f"lit: {source.used}"
    )
    return words if source.fires_per_year is None else f"{words}, {source.fires_per_year:.0f} fires a year"


def _radiation(case: Case, source: HeatSource, at: Reach) -> tuple[Floats, str]:
    figure, show = case.library.figure, case.survey.head.units
    if source.power_w is None:
        power = _draws(case, f"power.{source.kind}_radiant", f"heat:{source.id}:power")
    else:
        power = source.power_w * _draws(case, "share.radiant_of_fire")
    power = power * case.factor("hearth", "screen")
    distance = at.distance_m if at.distance_m is not None else 3.0
    flux = radiant_flux(power, max(distance, 0.3))
    rise = surface_rise(flux, figure("hearth.share.absorptance"), _draws(case, "film.still_air"))
    if at.relation == "facing":
        return rise / figure("hearth.allowance.rise"), f"{show_length(distance, show)} in front of"
    if at.cosines is not None:
        rise = rise * at.cosines
    else:
        rise = rise * np.minimum(_draws(case, "share.off_axis", f"heat:{source.id}:axis"), 1.0)
    if at.distance_m is None:
        rise = rise * _draws(case, "share.spread", f"heat:{source.id}:place")
        return rise / figure("hearth.allowance.rise"), "in one room with"
    return rise / figure("hearth.allowance.rise"), f"{show_length(distance, show)} from"


def _use(case: Case, source: HeatSource) -> tuple[Floats, tuple[str, ...]]:
    """Share in which use counts, and what to ask about it."""
    enough = case.library.figure("hearth.use.fires_that_count")
    if source.fires_per_year is not None and source.kind in FIRES | FLAMES:
        return np.full(case.draws.count, min(1.0, source.fires_per_year / enough)), ()
    if source.used == "never":
        return np.zeros(case.draws.count), ()
    if source.used is None:
        share = np.minimum(_draws(case, "use.unknown_use", f"heat:{source.id}:use"), 1.0)
        return share, (
            f"Is the {source.kind.replace('_', ' ')} {source.id} used: never, seasonal, daily, events?",
        )
    return np.ones(case.draws.count), ()


def _unlit(case: Case, source: HeatSource, at: Reach) -> tuple[Floats, tuple[str, ...]]:
    """What a hearth does that is said not to be lit: soot and draught by its flue, and the doubt itself."""
    none = np.zeros(case.draws.count)
    closed = source.flue in ("damper", "closed") or case.setting("hearth", "flue") is True
    lit = source.used in ("seasonal", "daily") or (source.fires_per_year or 0) > 0
    if source.kind != "hearth" or at.relation not in ("over", "beside") or closed or lit:
        return none, ()
    questions: list[str] = []
    made = none
    if source.used == "never" and source.fires_per_year is None:
        if case.setting("hearth", "fires") is not False:
            made = _draws(case, "over_mantel.doubt_load", f"heat:{source.id}:lit")
        questions.append(f"How many fires a year are lit in {source.id}, Christmas included?")
    soot = _draws(case, "over_mantel.soot_load", f"heat:{source.id}:soot")
    if source.flue is None:
        questions.append(f"Is the flue of {source.id} open, closed by a damper, or closed for good?")
    return np.maximum(made, soot), tuple(questions)


def tender(case: Case) -> bool:
    """Works that may never hang over a working fire."""
    work = case.work
    return (
        case.medium.hearth_bar
        or work.lined_with == "wax"
        or work.kind in TENDER_KINDS
        or (case.setting("hearth", "frame") or work.frame) in TENDER_FRAMES
    )


def _radiator(case: Case, hanging: Hanging, source: HeatSource, at: Reach) -> Heat | None:
    figure, show = case.library.figure, case.survey.head.units
    use, missing = _use(case, source)
    kind, in_use = source.kind.replace("_", " "), source.used != "never"
    barred = False
    if at.relation == "over":
        above = at.above_m if at.above_m is not None else 0.5
        power = (
            _draws(case, f"power.{source.kind}", f"heat:{source.id}:power")
            if source.power_w is None
            else np.full(case.draws.count, source.power_w)
        )
        width = source.width_m or figure("hearth.radiator.width")
        convected = power * _draws(case, "share.convected_of_radiator") / width
        origin = max(above, 0.0) + figure("hearth.radiator.virtual_origin")
        rise = wall_plume_rise(convected, origin) * _draws(case, "share.plume_by_practice")
        needed = hanging.projection_m + figure("hearth.radiator.shelf_beyond")
        shelf = (source.shelf_depth_m or 0.0) >= needed or case.setting("hearth", "shelf") is True
        if shelf:
            rise = rise * np.minimum(_draws(case, "share.shelf_passes"), 1.0)
        barred = in_use and not shelf and above < figure("hearth.bar.radiator_above")
        where = f"{show_length(above, show)} above"
    elif at.relation == "beside" and at.distance_m is not None:
        near = figure("hearth.near.radiator_beside") / max(at.distance_m, 0.05)
        rise = near * _draws(case, "share.spread", f"model:hearth:spread:{source.id}")
        rise = rise * figure("hearth.allowance.rise")
        where = f"{show_length(at.distance_m, show)} beside"
    elif at.missing:
        rise = _draws(case, "share.spread", f"heat:{source.id}:place") * 0.5
        where = "in one room with"
    else:
        return None
    middle = float(np.median(rise))
    return Heat(
        draws=np.maximum(rise * use / figure("hearth.allowance.rise"), MARGIN),
        sentence=(
            f"It would hang {where} the {kind} {source.id}, whose air warms such a place by about "
            f"{show_temperature_difference(middle, show)}; "
            f"{show_temperature_difference(figure('hearth.allowance.rise'), show)} is allowed."
        ),
        evidence="surveyed",
        source="hearth.near.radiator_above",
        barred=barred,
        missing=missing,
    )


def _air(case: Case, source: HeatSource, at: Reach) -> Heat | None:
    figure = case.library.figure
    struck = at.relation == "over" and case.setting("hearth", "air") is None
    if at.relation in ("facing", "beside", "over"):
        passes = case.factor("hearth", "air")
        return _by_distance(
            case,
            source,
            at,
            figure("hearth.near.air_jet"),
            "hearth.near.air_jet",
            struck=struck,
            factor=passes,
        )
    return _by_distance(case, source, at, figure("hearth.near.air_jet") / 2, "hearth.near.air_jet")


def _flame(case: Case, source: HeatSource, at: Reach) -> Heat | None:
    figure = case.library.figure
    if case.setting("hearth", "flames") is False:
        return None
    name = "candle_above" if at.relation == "over" else "candle_beside"
    close = at.distance_m is not None and at.distance_m < figure(f"hearth.bar.{name}")
    lit = source.used != "never" and source.used is not None
    made = _by_distance(
        case, source, at, figure(f"hearth.near.{name}"), f"hearth.near.{name}", struck=close and lit
    )
    if made is None or at.relation != "over" or at.above_m is None:
        return made
    power = source.power_w if source.power_w is not None else figure(f"hearth.power.{source.kind}")
    convected = power * _draws(case, "share.convected_of_flame")
    use, _ = _use(case, source)
    plume = point_plume_rise(convected, max(at.above_m, 0.1)) * use / figure("hearth.allowance.rise")
    return replace(made, draws=np.maximum(made.draws, plume))


def _kitchen(case: Case, source: HeatSource, at: Reach) -> Heat | None:
    figure = case.library.figure
    same = at.relation in ("over", "beside")
    close = at.distance_m is not None and at.distance_m < figure("hearth.bar.kitchen")
    return _by_distance(
        case, source, at, figure("hearth.near.kitchen"), "hearth.near.kitchen", struck=close or same
    )


def _by_distance(
    case: Case,
    source: HeatSource,
    at: Reach,
    near_m: float,
    name: str,
    *,
    struck: bool = False,
    factor: Floats | float = 1.0,
) -> Heat | None:
    """A load of 1 at the distance within which a source is taken to act, falling with the distance."""
    show = case.survey.head.units
    use, missing = _use(case, source)
    spread = _draws(case, "share.spread", f"model:hearth:spread:{source.id}")
    kind = source.kind.replace("_", " ")
    if at.distance_m is None:
        draws, where = (
            spread * _draws(case, "share.spread", f"heat:{source.id}:place") * 0.5,
            "in one room with",
        )
    else:
        draws, where = spread * near_m / max(at.distance_m, 0.05), f"{show_length(at.distance_m, show)} from"
    return Heat(
        draws=np.maximum(draws * use * factor, MARGIN),
        sentence=(
            f"It would hang {where} the {kind} {source.id}; within {show_length(near_m, show)} such a source "
            "is taken to be too near unless a log clears it."
        ),
        evidence="surveyed",
        source=name,
        barred=struck and source.used not in ("never", None),
        missing=missing,
    )


def _picture_light(case: Case, source: HeatSource, at: Reach) -> Heat | None:
    figure = case.library.figure
    if case.setting("hearth", "lamp") is True:
        return None
    cool = source.power_w is not None and source.power_w <= 10
    missing = () if source.power_w is not None else (f"Kind and power of the picture light {source.id}?",)
    made = _by_distance(
        case,
        source,
        at,
        figure("hearth.near.picture_light") * (0.2 if cool else 1.0),
        "hearth.near.picture_light",
    )
    return None if made is None else replace(made, missing=made.missing + missing)


def _flue(case: Case, source: HeatSource, at: Reach) -> Heat | None:
    if at.relation not in ("over", "beside"):
        return None
    use, missing = _use(case, source)
    draws = _draws(case, "over_mantel.doubt_load", f"heat:{source.id}:flue") * 2
    return Heat(
        draws=np.maximum(draws * use, MARGIN),
        sentence=f"The flue {source.id} runs in the wall and may warm it; log the breast to know.",
        evidence="assumed",
        source="hearth.over_mantel.doubt_load",
        missing=(*missing, f"How warm does the wall become over the flue {source.id}? Log it for six weeks."),
    )


def _lamps(case: Case) -> Iterator[Heat]:
    """Radiation of hot lamps aimed at the wall."""
    figure, show = case.library.figure, case.survey.head.units
    for lamp in case.survey.lamps_of(case.site.place):
        if lamp.kind not in ("halogen", "tungsten") or lamp.lux_at_wall is None:
            continue
        if case.setting("hearth", "lamp") is True:
            continue
        lux = np.full(case.draws.count, lamp.lux_at_wall)
        rise = light_surface_rise(
            lux, figure("hearth.lamp.halogen_lm_per_w"), figure("hearth.share.absorptance"), 1.0
        ) / _draws(case, "film.still_air")
        yield Heat(
            draws=rise / figure("hearth.allowance.rise"),
            sentence=(
                f"The {lamp.kind} lamp {lamp.id} gives {lamp.lux_at_wall:.0f} lx there and warms a dark "
                f"surface by {show_temperature_difference(float(np.median(rise)), show)}."
            ),
            evidence="surveyed",
            source="hearth.lamp.halogen_lm_per_w",
        )


def _draws(case: Case, name: str, stream: str | None = None) -> Floats:
    """Draws of a figure within its span; by one stream for all walls unless another is named."""
    figure = case.library.figures[f"hearth.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream or f"model:hearth:{name}", figure.low, figure.value, figure.high)

"""What each source of heat in a room does to a work: by distance, by plume or by radiation."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.heat_source import light_surface_rise, point_plume_rise, wall_plume_rise
from stillwall.load import Evidence, weakest
from stillwall.phrases import show_distance, show_rise
from stillwall.setting.fires import fire
from stillwall.setting.hanging import Hanging
from stillwall.setting.heat import (
    AIR,
    FIRES,
    FLAMES,
    KITCHEN,
    LOGGED,
    MARGIN,
    RADIATORS,
    Heat,
    heat_draws,
    source_here,
    source_named,
    use_of,
)
from stillwall.setting.heat_reach import Reach, reach
from stillwall.setting.naming import hangs, place_name
from stillwall.survey.features import HeatSource
from stillwall.survey.places import Wall
from stillwall.units import show_length


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
            draws=heat_draws(case, "over_mantel.doubt_load", f"wall:{wall.id}:flue"),
            sentence="The wall is a chimney breast; whether a flue in it is warm is not recorded.",
            evidence="assumed",
            source="hearth.over_mantel.doubt_load",
            kind="flue",
            missing=(
                f"Is a flue in the chimney breast of {place_name(case)} used, by this house or a neighbour?",
            ),
        )


def _has_hearth(case: Case, wall: Wall) -> bool:
    return any(
        source.kind in FIRES | {"flue"} and wall.id in (source.wall, source.below_wall)
        for source in case.survey.heat_sources.values()
    )


def _heat(case: Case, hanging: Hanging, source: HeatSource) -> Heat | None:
    at = reach(case.survey, case.site, source, hanging)
    heat: Heat | None
    if source.kind in FIRES:
        heat = fire(case, source, at)
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


def _radiator(case: Case, hanging: Hanging, source: HeatSource, at: Reach) -> Heat | None:
    figure, show = case.library.figure, case.survey.head.units
    use, missing = use_of(case, source)
    in_use = source.used != "never"
    barred = False
    if at.relation == "over":
        above = at.above_m if at.above_m is not None else 0.5
        power = (
            heat_draws(case, f"power.{source.kind}", f"heat:{source.id}:power")
            if source.power_w is None
            else np.full(case.draws.count, source.power_w)
        )
        width = source.width_m or figure("hearth.radiator.width")
        convected = power * heat_draws(case, "share.convected_of_radiator") / width
        origin = max(above, 0.0) + figure("hearth.radiator.virtual_origin")
        rise = wall_plume_rise(convected, origin) * heat_draws(case, "share.plume_by_practice")
        needed = hanging.projection_m + figure("hearth.radiator.shelf_beyond")
        shelf = (source.shelf_depth_m or 0.0) >= needed or case.setting("hearth", "shelf") is True
        if shelf:
            rise = rise * np.minimum(heat_draws(case, "share.shelf_passes"), 1.0)
        barred = in_use and not shelf and above < figure("hearth.bar.radiator_above")
        where = f"{show_length(above, show)} above" if above > 0 else "down to"
    elif at.relation == "beside" and at.distance_m is not None:
        near = figure("hearth.near.radiator_beside") / max(at.distance_m, 0.05)
        rise = near * heat_draws(case, "share.spread", f"model:hearth:spread:{source.id}")
        rise = rise * figure("hearth.allowance.rise")
        where = f"{show_distance(at.distance_m, show)} beside"
    elif at.missing:
        rise = heat_draws(case, "share.spread", f"heat:{source.id}:place") * 0.5
        where = "in the same room as"
    else:
        return None
    middle, here = median(rise), source_here(case, source)
    return Heat(
        draws=np.maximum(rise * use / figure("hearth.allowance.rise"), MARGIN),
        sentence=(
            f"It would {hangs(case)} {where} {here}, whose warm air raises such a place by about "
            f"{show_rise(middle, show)}; {show_rise(figure('hearth.allowance.rise'), show)} is allowed."
            if in_use
            else f"It would {hangs(case)} {where} {here}, which is said never to be used."
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
    convected = power * heat_draws(case, "share.convected_of_flame")
    use, _ = use_of(case, source)
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
    use, missing = use_of(case, source)
    spread = heat_draws(case, "share.spread", f"model:hearth:spread:{source.id}")
    if at.distance_m is None:
        draws, where = (
            spread * heat_draws(case, "share.spread", f"heat:{source.id}:place") * 0.5,
            "in the same room as",
        )
    else:
        draws, where = (
            spread * near_m / max(at.distance_m, 0.05),
            f"{show_distance(at.distance_m, show)} from",
        )
    here = source_here(case, source)
    cleared = " unless a log at the wall clears it" if source.kind in LOGGED else ""
    return Heat(
        draws=np.maximum(draws * use * factor, MARGIN),
        sentence=(
            f"It would {hangs(case)} {where} {here}; within {show_distance(near_m, show)} such a source "
            f"counts as too near{cleared}."
            if source.used != "never"
            else f"It would {hangs(case)} {where} {here}, which is said never to be used."
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
    missing = (
        ()
        if source.power_w is not None
        else (f"What kind of lamp has {source_named(case, source)}, and of how many watts?",)
    )
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
    use, missing = use_of(case, source)
    draws = heat_draws(case, "over_mantel.doubt_load", f"heat:{source.id}:flue") * 2
    return Heat(
        draws=np.maximum(draws * use, MARGIN),
        sentence="A flue runs in the wall and may warm it; a log on the chimney breast would tell.",
        evidence="assumed",
        source="hearth.over_mantel.doubt_load",
        missing=(
            *missing,
            f"How warm does the wall become over {source_named(case, source)}, logged for six weeks?",
        ),
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
        ) / heat_draws(case, "film.still_air")
        yield Heat(
            draws=rise / figure("hearth.allowance.rise"),
            sentence=(
                f"A {lamp.kind} lamp gives {lamp.lux_at_wall:.0f} lx there and warms a dark surface by "
                f"{show_rise(median(rise), show)}."
            ),
            evidence="surveyed",
            source="hearth.lamp.halogen_lm_per_w",
        )

"""Fires: what a hearth, a stove or another fire does to a work over, beside or in front of it."""

from __future__ import annotations

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.heat_source import radiant_flux, surface_rise
from stillwall.phrases import counted, show_distance, show_rise
from stillwall.setting.heat import MARGIN, Heat, heat_draws, source_here, source_named, tender, use_of
from stillwall.setting.heat_reach import Reach
from stillwall.setting.naming import hangs
from stillwall.survey.features import HeatSource


def fire(case: Case, source: HeatSource, at: Reach) -> Heat:
    """What a fire does to the work, by its use and by where the work hangs to it."""
    figure, show = case.library.figure, case.survey.head.units
    use, missing = use_of(case, source)
    lit = source.used in ("seasonal", "daily", "events") and case.setting("hearth", "fires") is not False
    lit = lit and source.fires_per_year != 0
    near = heat_draws(case, "share.spread", f"model:hearth:spread:{source.id}")
    spill = "over_mantel.rise" if source.kind == "hearth" else "over_mantel.fire_rise"
    barred = False
    if at.relation == "over":
        load, where = heat_draws(case, spill) / figure("hearth.allowance.rise"), "over"
        low = at.above_m is not None and at.above_m < figure("hearth.bar.fire_above")
        barred = lit and (source.kind == "hearth" or low) and tender(case)
        barred = barred or (lit and at.distance_m is not None and at.distance_m < figure("hearth.bar.hearth"))
    elif at.relation == "beside":
        assert at.distance_m is not None
        load = near * figure("hearth.near.hearth_beside") / max(at.distance_m, 0.05)
        where = f"{show_distance(at.distance_m, show)} beside"
        barred = lit and at.distance_m < figure("hearth.bar.hearth")
    else:
        load, where = _radiation(case, source, at)
    doubt, questions = _unlit(case, source, at)
    use = np.zeros(case.draws.count) if case.setting("hearth", "fires") is False else use
    draws = np.maximum(np.maximum(load * use, doubt), MARGIN)
    rise = median(load) * figure("hearth.allowance.rise")
    words = _use_words(source)
    return Heat(
        draws=draws,
        sentence=(
            f"It would {hangs(case)} {where} {source_here(case, source)} ({words}), which warms such a place "
            f"by about {show_rise(rise, show)} when it burns; "
            f"{show_rise(figure('hearth.allowance.rise'), show)} is allowed."
        ),
        evidence="surveyed",
        source=f"hearth.{spill}",
        barred=barred,
        missing=missing + questions,
    )


def _use_words(source: HeatSource) -> str:
    if source.used is None:
        return "whether it is lit is not recorded"
    words = {
        "never": "said never to be lit",
        "seasonal": "lit in the heating season",
        "daily": "lit daily",
        "events": "lit for occasions",
    }[source.used]
    if source.fires_per_year is None or (source.used == "never" and not source.fires_per_year):
        return words
    return f"{words}, {counted(source.fires_per_year, 'fire')} a year"


def _radiation(case: Case, source: HeatSource, at: Reach) -> tuple[Floats, str]:
    figure, show = case.library.figure, case.survey.head.units
    if source.power_w is None:
        power = heat_draws(case, f"power.{source.kind}_radiant", f"heat:{source.id}:power")
    else:
        power = source.power_w * heat_draws(case, "share.radiant_of_fire")
    power = power * case.factor("hearth", "screen")
    distance = at.distance_m if at.distance_m is not None else 3.0
    flux = radiant_flux(power, max(distance, 0.3))
    rise = surface_rise(flux, figure("hearth.share.absorptance"), heat_draws(case, "film.still_air"))
    if at.relation == "facing":
        return rise / figure("hearth.allowance.rise"), f"{show_distance(distance, show)} in front of"
    if at.cosines is not None:
        rise = rise * at.cosines
    else:
        rise = rise * np.minimum(heat_draws(case, "share.off_axis", f"heat:{source.id}:axis"), 1.0)
    if at.distance_m is None:
        rise = rise * heat_draws(case, "share.spread", f"heat:{source.id}:place")
        return rise / figure("hearth.allowance.rise"), "in the same room as"
    return rise / figure("hearth.allowance.rise"), f"{show_distance(distance, show)} from"


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
            made = heat_draws(case, "over_mantel.doubt_load", f"heat:{source.id}:lit")
        questions.append(
            f"How many fires a year are lit in {source_named(case, source)}, Christmas included?"
        )
    soot = heat_draws(case, "over_mantel.soot_load", f"heat:{source.id}:soot")
    if source.flue is None:
        named = source_named(case, source)
        questions.append(f"Is the flue of {named} open, closed by a damper, or closed for good?")
    return np.maximum(made, soot), tuple(questions)

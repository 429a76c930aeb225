"""Heat at the wall: fires, radiators, registers, lamps, candles, kitchens; by the log, else by distance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from stillwall.case import Case
from stillwall.draws import median, quantile
from stillwall.exposure.heat_source import humidity_at_constant_vapour
from stillwall.load import Load, weakest
from stillwall.phrases import counted, show_round, times
from stillwall.setting.hanging import hang
from stillwall.setting.heat import FIRES, LOGGED, MARGIN, Heat, tender
from stillwall.setting.heat_log import agreement, fire_rise, logged_heat, wall_rise
from stillwall.setting.heat_rules import sources
from stillwall.setting.naming import hangs
from stillwall.survey.places import HoldingPlace
from stillwall.units import Amount, show_temperature_difference

PARTS = {
    "bottom": "lowest height of the bottom edge that is asked for, in m",
    "furniture": "height of a console or chest put below, in m",
    "frame": "kind of frame that the work is given",
    "fires": "whether fires are lit",
    "flue": "whether the flue is closed",
    "screen": "radiation that passes a fire screen, by a factor",
    "shelf": "whether a shelf deflects the warm air of a radiator",
    "flames": "whether candles and sconces near the work burn",
    "lamp": "whether a picture light is cool: on the wall or the ceiling, and LED",
    "air": "air that reaches the work from a register, by a factor",
}
DRY_AT_K = 80.0
"""Such warmth dries air of a room to next to nothing; what is known of vapour ends soon above."""
WORTH_SAYING_K = 1.0
CYCLE_K = 3.0
"""Rise over the room that counts as one warming. [K]"""
FIRE_CAUTION = "Never light a fire to test a wall with the work in place; use a logger on a dummy board."
CODE_CAUTION = (
    "Clearances of fire codes protect the building, not the work; hearths, flues and appliances are for "
    "licensed people."
)


def load(case: Case) -> Load | None:
    """Rise of temperature at the work over the 2 K that it may take."""
    place = case.site.place
    if isinstance(place, HoldingPlace) or case.site.room is None:
        return None
    hanging = hang(case)
    found, notes = _logged(case, list(sources(case, hanging)))
    if not found:
        return None
    worst = max(found, key=lambda heat: (heat.barred, median(heat.draws)))
    draws = np.max([heat.draws for heat in found], axis=0)
    allowance = case.library.figures["hearth.allowance.rise"]
    evidence = weakest(*(heat.evidence for heat in found))
    middle = median(draws)
    assert allowance.low is not None
    assert allowance.high is not None
    return Load(
        hazard="hearth",
        kind="graded",
        draws=draws,
        barred=any(heat.barred for heat in found),
        reason=worst.sentence,
        evidence=evidence,
        sources=(allowance.source, case.library.figures[worst.source].source),
        missing=tuple(dict.fromkeys(question for heat in found for question in heat.missing)),
        deciding=any(_source_in_reach(heat) for heat in found),
        safety=any(heat.kind in FIRES and _source_in_reach(heat) for heat in found),
        exposure=Amount(middle * allowance.value, "K"),
        allowance=Amount(allowance.value, "K"),
        span=(middle * allowance.value / allowance.high, middle * allowance.value / allowance.low),
        notes=(
            *_dried(case, middle * allowance.value),
            *notes,
            *(heat.sentence for heat in found if heat is not worst and quantile(heat.draws, 0.95) > 0.3),
        ),
        cautions=(FIRE_CAUTION, CODE_CAUTION),
    )


def _logged(case: Case, found: list[Heat]) -> tuple[list[Heat], tuple[str, ...]]:
    """The sources with the log's word put in the place of distance rules, bars excepted."""
    heated = [heat for heat in found if heat.kind in LOGGED]
    fires = [
        source
        for source in case.survey.heat_sources.values()
        if case.site.room is not None and source.room == case.site.room.id and source.kind in FIRES
    ]
    if not heated and not fires and (case.wall is None or case.wall.build != "chimney_breast"):
        return found, ()
    logged = logged_heat(case)
    if logged is None:
        return found, ()
    said = agreement(case.survey, logged, fires)
    notes = () if said is None else (said,)
    allowance = case.library.figure("hearth.allowance.rise")
    enough = case.library.figure("hearth.use.fires_that_count")
    seen = logged.seen
    if seen.two_loggers and logged.own and logged.enough:
        replaced, lit = LOGGED, seen.cycles_over_3k >= 1.0
        # A few fires a year leave no trace in one hour of twenty: each warmed the wall by 3 K or more.
        rare = wall_rise(case, logged, CYCLE_K) * min(1.0, seen.cycles_over_3k / enough)
        rise = np.maximum(wall_rise(case, logged), rare)
        sentence = (
            f"Over {counted(seen.season_days, 'day')} of the heating season the wall's own logger stands "
            f"above the room's by {_kelvin(case, max(seen.difference_p95_k, 0.0))} or more in one hour of "
            f"twenty, and by over {_kelvin(case, CYCLE_K)} {times(seen.cycles_over_3k)} a year; "
            f"{_kelvin(case, allowance)} is allowed."
        )
    else:
        replaced, lit = FIRES | {"flue"}, logged.sure
        often = min(1.0, logged.fires_a_year / enough) if logged.count else 1.0
        rise = fire_rise(case, logged) * often
        evenings = counted(seen.season_days, "evening")
        warm = _kelvin(case, median(rise))
        sentence = (
            f"The log shows dry heat on {logged.count} of {evenings} of the heating season, by about {warm}; "
            f"{_kelvin(case, allowance)} is allowed."
            if logged.count
            else f"On {evenings} of the heating season the log shows no dry heat; what it could not show is "
            f"about {warm}, and {_kelvin(case, allowance)} is allowed."
        )
    barred = lit and logged.own and any(heat.over_fire for heat in found) and tender(case)
    barred = barred and case.setting("hearth", "fires") is not False
    if barred:
        sentence = (
            f"{case.work.name} would {hangs(case)} over a fire that the log shows to be lit. {sentence}"
        )
    if case.setting("hearth", "fires") is False:
        rise = np.minimum(rise, MARGIN)
    measured = Heat(
        draws=np.maximum(rise / allowance, MARGIN),
        sentence=sentence,
        evidence="measured",
        source="hearth.allowance.rise",
        kind="hearth",
        barred=barred,
    )
    if logged.own and logged.enough:
        kept = [
            replace(measured, barred=True, sentence=heat.sentence) if heat.barred else heat
            for heat in found
            if heat.barred or heat.kind not in replaced
        ]
        return [measured, *kept], notes
    return ([measured, *found] if logged.sure else found), notes


def _dried(case: Case, rise_k: float) -> tuple[str, ...]:
    """What such warmth does to the air's humidity."""
    if rise_k < WORTH_SAYING_K:
        return ()
    left = humidity_at_constant_vapour(50.0, 20.0, 20.0 + min(rise_k, DRY_AT_K))
    air = show_round(20.0, case.survey.head.units)
    return (f"Air of {air} and 50 %RH dries to {left:.0f} %RH when it is warmed by that much.",)


def _kelvin(case: Case, kelvin: float) -> str:
    return show_temperature_difference(kelvin, case.survey.head.units)


def _source_in_reach(heat: Heat) -> bool:
    return heat.barred or quantile(heat.draws, 0.95) > 1.0

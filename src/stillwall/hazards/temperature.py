"""Air temperature against the band of the guideline, or the medium's own."""

from __future__ import annotations

from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.felt_climate import temperature_seasons
from stillwall.exposure.limits import Limits
from stillwall.exposure.reach import Extremes, extremes, reach
from stillwall.exposure.seasons import Seasonal
from stillwall.load import Evidence, Load, weakest
from stillwall.phrases import sentence
from stillwall.setting.bearing import (
    climate_ranks,
    guessed_words,
    history_of_temperature,
    judged_limits,
    needed_seasons,
    season_stream,
    sensor_draws,
    unlogged_question,
    unseen_questions,
)
from stillwall.setting.naming import the_place
from stillwall.units import Amount, show_temperature, show_temperature_difference

NAME: Final = "temperature"
PARTS = {
    "high_side": "how far the warm percentiles lie above the centre of the band",
    "low_side": "how far the cold percentiles lie below the centre of the band",
}


def load(case: Case) -> Load | None:
    """Reach of the seasonal 2nd and 98th percentiles from the centre of the band, over its half width."""
    band = case.once(_band)
    if band is None:
        return None
    seen = case.site.exposure(temperature_seasons)
    return _unlogged(case, band) if seen is None else _logged(case, band, seen)


def _band(case: Case) -> Limits | None:
    history = history_of_temperature(case)
    return judged_limits(case, NAME, case.medium.temperature, history, recentre=False)


def _ends(case: Case) -> tuple[Extremes, Floats]:
    """Extremes of the seasons that count, and the error of the sensor."""
    seen = case.site.exposure(temperature_seasons)
    assert seen is not None
    spread = case.library.figure("temperature.unseen_season")
    ends = extremes(seen, needed_seasons(case), season_stream(case, NAME), spread, ranks=climate_ranks(case))
    return ends, sensor_draws(case, case.site, NAME)


def _logged(case: Case, band: Limits, seen: Seasonal) -> Load:
    ends, error = case.once(_ends)

    def moved(lowest: Floats | float, highest: Floats | float) -> tuple[Floats, Floats]:
        low = band.centre + (lowest + error - band.centre) * case.factor(NAME, "low_side")
        high = band.centre + (highest + error - band.centre) * case.factor(NAME, "high_side")
        return low, high

    low, high = moved(ends.low, ends.high)
    draws = reach(low, high, band.centre, band.low, band.high)
    known = None
    if ends.guessed:
        known = np.nan_to_num(reach(*moved(ends.seen_low, ends.seen_high), band.centre, band.low, band.high))
    questions = unseen_questions(case, seen, "temperature")
    deciding = NAME in case.medium.deciding
    evidence: Evidence = "measured" if not band.assumed else "assumed"
    if questions:
        evidence = "missing" if deciding else weakest(evidence, "assumed")
    lowest, highest = median(low), median(high)
    over = -np.inf if band.high is None else (highest - band.centre) / (band.high - band.centre)
    under = -np.inf if band.low is None else (band.centre - lowest) / (band.centre - band.low)
    above = over >= under
    side, limit = (highest, band.high) if above else (lowest, band.low)
    assert limit is not None
    system = case.survey.head.units
    level = [show_temperature(each, system) for each in (lowest, highest, band.centre)]
    departs, allowed = (
        show_temperature_difference(abs(each - band.centre), system) for each in (side, limit)
    )
    reason = (
        f"The air goes from {level[0]} to {level[1]} over the seasons, {departs} "
        f"{'above' if above else 'below'} the centre of the band, {level[2]}; {allowed} is allowed by "
        f"{band.name}."
        + guessed_words(
            bool(questions),
            ends.guessed,
            show_temperature(ends.seen_low, system),
            show_temperature(ends.seen_high, system),
        )
    )
    notes = (
        (sentence(f"{band.centred_on} stands in for a history that nobody logged"),) if band.assumed else ()
    )
    return Load(
        hazard=NAME,
        kind="graded",
        draws=draws,
        seen=known,
        reason=reason,
        evidence=evidence,
        sources=(band.source,),
        missing=questions,
        deciding=deciding,
        exposure=Amount(abs(side - band.centre), "K"),
        allowance=Amount(abs(limit - band.centre), "K"),
        notes=notes,
    )


def _unlogged(case: Case, band: Limits) -> Load:
    deciding = NAME in case.medium.deciding
    low, mid, high = (case.library.figure(f"temperature.unlogged.{name}") for name in ("low", "mid", "high"))
    return Load(
        hazard=NAME,
        kind="graded",
        draws=None if deciding else case.draws.between(f"season:{case.site.place.id}:{NAME}", low, mid, high),
        reason=(
            f"Temperature is not logged at {the_place(case)}, so whether it keeps to {band.name} is not "
            "known."
        ),
        evidence="missing" if deciding else "assumed",
        sources=(band.source,),
        missing=(unlogged_question(case, "temperature"),),
        deciding=deciding,
    )

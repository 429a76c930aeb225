"""Salts in stone and plaster: how often the air takes them into solution and out again."""

from __future__ import annotations

from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.exceedance import Exceedance, deliquescence
from stillwall.exposure.seasons import SEEN_SHARE, unseen
from stillwall.load import Load
from stillwall.phrases import times
from stillwall.setting.bearing import needed_seasons, unlogged_question, unseen_seasons_questions
from stillwall.setting.naming import the_place
from stillwall.units import Amount

NAME: Final = "salts"
PARTS = {"crossings": "crossings a year into solution"}


def load(case: Case) -> Load | None:
    """Crossings a year of the humidity at which the worst of the likely salts dissolves.

    None for what takes up no salts, and where a conservator has looked for them and found none. Where nobody
    has looked, what they would do leaves a place open and condemns none.
    """
    salts_seen = case.work.salts_seen
    if not case.medium.salts or salts_seen is False:
        return None
    deciding = NAME in case.medium.deciding
    found = {name: _crossings_of(case, name) for name in case.medium.salts}
    if any(made is None for made in found.values()):
        return _unlogged(case, deciding)
    known = {name: made for name, made in found.items() if made is not None}
    yearly = {name: _yearly(case, made) for name, made in known.items()}
    worst = max(yearly, key=lambda name: median(yearly[name]))
    allowance = case.library.figures["salts.crossings"]
    low, mid, high = (case.library.figure(f"salts.model_error.{end}") for end in ("low", "mid", "high"))
    error = case.draws.between(f"model:{NAME}:crossings", low, mid, high)
    crossings = np.maximum.reduce(list(yearly.values())) * error * case.factor(NAME, "crossings")
    missing = unseen(tuple(share >= SEEN_SHARE for share in known[worst].coverage), needed_seasons(case))
    typical = median(crossings)
    salt = worst.replace("_", " ")
    level = case.library.figure(f"salts.salt.{worst}.a") * np.exp(
        case.library.figure(f"salts.salt.{worst}.b") / 293.15
    )
    return Load(
        hazard=NAME,
        kind="graded",
        draws=crossings / allowance.value,
        seen=None if salts_seen else np.zeros(case.draws.count),
        reason=f"{_rises(level, salt, times(typical))}; {allowance.value:.0f} times a year are allowed.",
        evidence="missing"
        if deciding and missing
        else "measured"
        if salts_seen and not missing
        else "assumed",
        sources=(allowance.source, case.library.figures[f"salts.salt.{worst}.a"].source),
        missing=(
            *unseen_seasons_questions(case, missing, "humidity"),
            *(
                ()
                if salts_seen
                else (f"Are there salts in {case.work.name}: white bloom, powdering, an analysis?",)
            ),
        ),
        deciding=deciding,
        exposure=Amount(typical, "1/a"),
        allowance=Amount(allowance.value, "1/a"),
        span=(
            None
            if allowance.low is None or allowance.high is None
            else (typical / allowance.high, typical / allowance.low)
        ),
        notes=(
            "Which salts are in it is assumed; a mixture dissolves over a range of humidity, and sooner than "
            "each salt alone.",
        ),
    )


def _rises(level: float, salt: str, often: str) -> str:
    past = f"past {level:.0f} %RH, at which {salt} dissolves"
    return f"The air never rises {past}" if often == "never" else f"The air rises {past}, {often} a year"


def _crossings_of(case: Case, name: str) -> Exceedance | None:
    figure = case.library.figure
    return case.site.exposure(
        deliquescence,
        figure(f"salts.salt.{name}.a"),
        figure(f"salts.salt.{name}.b"),
        figure("salts.hysteresis"),
    )


def _yearly(case: Case, found: Exceedance) -> Floats:
    """Crossings a year at the rate of the needed seasons; a season nobody logged is about the worst seen."""
    worst = max(number for number in found.crossings if not np.isnan(number))
    spread = float(np.log(case.library.figure("salts.unseen_season")))
    seasons = []
    for index in needed_seasons(case):
        number = found.crossings[index]
        if found.coverage[index] >= SEEN_SHARE:
            seasons.append(np.full(case.draws.count, number))
            continue
        draws = case.draws.normal(f"season:{case.site.place.id}:{NAME}:{index}")
        guess = max(worst, 1.0) * np.exp(spread * draws)
        seasons.append(guess if np.isnan(number) else np.maximum(guess, number))
    made: Floats = 4.0 * np.mean(seasons, axis=0)
    return made


def _unlogged(case: Case, deciding: bool) -> Load:
    place = case.site.place.id
    low, mid, high = (case.library.figure(f"salts.unlogged.{name}") for name in ("low", "mid", "high"))
    return Load(
        hazard=NAME,
        kind="graded",
        draws=None if deciding else case.draws.between(f"season:{place}:{NAME}", low, mid, high),
        reason=(
            f"Humidity is not logged at {the_place(case)}, so how often salts would dissolve there is not "
            "known."
        ),
        evidence="missing" if deciding else "assumed",
        sources=(case.library.figures["salts.crossings"].source,),
        missing=(unlogged_question(case, "humidity"),),
        deciding=deciding,
    )

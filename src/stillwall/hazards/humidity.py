"""The level of relative humidity that a work feels in its bulk, against the band it is used to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.felt_climate import humidity_seasons
from stillwall.exposure.limits import Limits
from stillwall.exposure.reach import Extremes, extremes, reach
from stillwall.exposure.seasons import Seasonal
from stillwall.load import Evidence, Load
from stillwall.phrases import counted, percent
from stillwall.setting.bearing import (
    PROVEN,
    Part,
    by_the_air,
    guessed_words,
    history_of,
    judged_limits,
    moisture_parts,
    needed_seasons,
    season_stream,
    sensor_draws,
    unlogged_question,
    unseen_questions,
)
from stillwall.setting.naming import the_place
from stillwall.units import Amount

NAME: Final = "humidity"
PARTS = {
    "high_side": "how far felt humidity lies above the centre of the band",
    "low_side": "how far felt humidity lies below the centre of the band",
    "enclosure": "what lends the work its own air: a row of the enclosures of felt.toml",
}


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """What measures do not move: what is felt, and between which limits."""

    part: Part
    band: Limits
    seen: Seasonal
    history: Seasonal | None
    ends: Extremes
    error: Floats
    limits: tuple[Floats | float | None, Floats | float | None]


@dataclass(frozen=True, slots=True, eq=False)
class _Judged:
    part: Part
    band: Limits
    seen: Seasonal
    history: Seasonal | None
    low: Floats
    high: Floats
    draws: Floats
    known: Floats | None
    """Draws by what was seen alone, where the others hold a guess."""
    seen_ends: tuple[float, float]
    typical: float


def load(case: Case) -> Load | None:
    """Reach of the seasonal 2nd and 98th percentiles of bulk-felt humidity, over half the band.

    The band is centred on what the work has felt where it has been living, where a year of that is logged,
    and never on this place's own record. Picture and frame are judged each by itself; the worse one counts.
    """
    parts = moisture_parts(case, NAME)
    if not parts:
        return None
    judged = [made for part in parts if (made := _judge(case, part)) is not None]
    deciding = any(part.hygroscopic for part in parts)
    if not judged:
        return _unlogged(case, parts, deciding)
    worst = max(judged, key=lambda made: made.typical)
    draws = np.maximum.reduce([made.draws for made in judged])
    questions = unseen_questions(case, worst.seen, "humidity") + _history_question(case, worst)
    evidence: Evidence = "assumed" if worst.band.assumed else "measured"
    if not all(worst.seen.seen[index] for index in needed_seasons(case)):
        evidence = "missing" if deciding else "assumed"
    low, high = median(worst.low), median(worst.high)
    side, limit = _side(worst, low, high)
    return Load(
        hazard=NAME,
        kind="graded",
        draws=draws,
        seen=_known(judged),
        reason=_reason(worst, low, high, side, limit)
        + guessed_words(
            not all(worst.seen.seen[index] for index in needed_seasons(case)),
            worst.known is not None,
            f"{worst.seen_ends[0]:.0f}",
            f"{worst.seen_ends[1]:.0f} %RH",
        ),
        evidence=evidence,
        sources=(worst.band.source, worst.part.source),
        missing=questions,
        deciding=deciding,
        exposure=Amount(abs(side - worst.band.centre), "%RH"),
        allowance=Amount(abs(limit - worst.band.centre), "%RH"),
        span=None if case.brief or worst.band.basis == "lender" else _span(case, worst),
        notes=() if case.brief else _notes(case, worst, judged),
    )


def _known(judged: list[_Judged]) -> Floats | None:
    """The worst of the parts by what was seen alone; None where none holds a guess."""
    if all(made.known is None for made in judged):
        return None
    known: Floats = np.maximum.reduce([made.draws if made.known is None else made.known for made in judged])
    return known


def _judge(case: Case, part: Part) -> _Judged | None:
    ground = case.once(_ground, part)
    return None if ground is None else _under_measures(case, ground)


def _ground(case: Case, part: Part) -> _Ground | None:
    seen = case.site.exposure(humidity_seasons, part.bulk_t95_h)
    history = history_of(case, part.lived_bulk_t95_h)
    band = judged_limits(case, NAME, part.band, history, recentre=True)
    if band is None or seen is None:
        return None
    return _with(case, part, band, seen, history)


def _with(case: Case, part: Part, band: Limits, seen: Seasonal, history: Seasonal | None) -> _Ground:
    spread = case.library.figure("humidity.unseen_season")
    logged = by_the_air(case.site, seen.coverage)
    ends = extremes(
        seen,
        needed_seasons(case),
        season_stream(case, NAME),
        spread,
        air=logged,
        start_spread=case.library.figure("season.spread_unknown_weather.humidity"),
    )
    shift = _centre_error(case, band, history)
    error = sensor_draws(case, case.site, NAME) - shift
    limits = _limits(case, band, history, shift)
    return _Ground(part, band, replace(seen, coverage=logged), history, ends, error, limits)


def _under_measures(case: Case, ground: _Ground) -> _Judged:
    part, band, seen, history = ground.part, ground.band, ground.seen, ground.history
    ends, error, limits = ground.ends, ground.error, ground.limits

    def moved(lowest: Floats | float, highest: Floats | float) -> tuple[Floats, Floats]:
        low = band.centre + (lowest + error - band.centre) * case.factor(NAME, "low_side")
        high = band.centre + (highest + error - band.centre) * case.factor(NAME, "high_side")
        return low, high

    low, high = moved(ends.low, ends.high)
    draws = reach(low, high, band.centre, *limits)
    known = None
    if ends.guessed:
        known = np.nan_to_num(reach(*moved(ends.seen_low, ends.seen_high), band.centre, *limits))
    seen_ends = (ends.seen_low, ends.seen_high)
    return _Judged(part, band, seen, history, low, high, draws, known, seen_ends, median(draws))


def _limits(
    case: Case, band: Limits, history: Seasonal | None, shift: Floats | float
) -> tuple[Floats | float | None, Floats | float | None]:
    """The limits seen from the centre: those past which it is never widened do not move with it."""
    if history is None or band.basis == "lender" or case.work.condition not in PROVEN:
        return band.low, band.high
    floor, ceiling = (case.library.figure(f"humidity.proofed.{end}") for end in ("low", "high"))
    low, high = band.low, band.high
    return (
        None
        if low is None
        else np.minimum(low + band.proofed[0], np.maximum(min(history.low), floor - shift)),
        None
        if high is None
        else np.maximum(high - band.proofed[1], np.minimum(max(history.high), ceiling - shift)),
    )


def _centre_error(case: Case, band: Limits, history: Seasonal | None) -> Floats | float:
    """How far the true centre may lie from the one used: the old logger's error, or an unknown history."""
    if band.basis == "lender":
        return 0.0
    if history is not None and case.present is not None:
        return sensor_draws(case, case.present, NAME)
    sd = case.library.figure("humidity.unknown_history")
    return sd * case.draws.normal(f"work:{case.work.id}:history")


def _side(made: _Judged, low: float, high: float) -> tuple[float, float]:
    band = made.band
    above = -np.inf if band.high is None else (high - band.centre) / (band.high - band.centre)
    below = -np.inf if band.low is None else (band.centre - low) / (band.centre - band.low)
    if above >= below:
        assert band.high is not None
        return high, band.high
    assert band.low is not None
    return low, band.low


def _reason(made: _Judged, low: float, high: float, side: float, limit: float) -> str:
    band = made.band
    above = limit > band.centre
    apart = f"{abs(side - band.centre):.0f} %RH {'above' if above else 'below'}"
    centre = (
        f"the centre of the band, {band.centre:.0f} %RH"
        if band.centred_on == f"the centre of {band.name}"
        else f"{band.centre:.0f} %RH, {band.centred_on}"
    )
    whole, lived = abs(limit - band.centre), band.proofed[1 if above else 0]
    allowed = f"{whole - lived:.0f} %RH is allowed by {band.name}"
    if lived >= 0.5:
        allowed += f", and {whole:.0f} %RH by what the work has lived with"
    return (
        f"The {made.part.name} feels {low:.0f} to {high:.0f} %RH over the seasons, {apart} {centre}; "
        f"{allowed}."
    )


def _notes(case: Case, worst: _Judged, judged: list[_Judged]) -> tuple[str, ...]:
    notes = [
        f"The {made.part.name} by itself takes {percent(made.typical)} of its allowance."
        for made in judged
        if made is not worst
    ]
    band = worst.band
    if max(band.proofed) > 0:
        notes.append(
            f"The band is wider by {band.proofed[0]:.0f} %RH on the dry side and {band.proofed[1]:.0f} %RH "
            "on the damp side, which the work has lived with; a repair that fills its cracks would end that."
        )
    if worst.history is not None and case.work.condition not in PROVEN:
        notes.append(
            "The band is not widened to what the work has lived with, since its condition is "
            f"{str(case.work.condition).replace('_', ' ')}."
        )
    if worst.history is not None and worst.part.band is not None and band.basis == "guideline":
        notes.append("What the work has lived with counts, and not the band usual for its medium.")
    if band.basis == "medium" and worst.history is None:
        notes.append("The medium's own band governs, since it is no wider than the guideline's.")
    if worst.seen.days:
        notes.append(
            f"It rests on {counted(worst.seen.days, 'day')} of readings; the {worst.part.name} "
            f"{_follows(worst.part)}."
        )
    return tuple(notes)


def _follows(part: Part) -> str:
    if part.bulk_t95_h < 1:
        return "feels the air at once"
    return f"follows a step of humidity to 95 % in {_hours(part.bulk_t95_h)}"


def _hours(hours: float) -> str:
    return counted(round(hours), "hour") if hours < 72 else counted(round(hours / 24), "day")


def _history_question(case: Case, made: _Judged) -> tuple[str, ...]:
    if not made.band.assumed:
        return ()
    return (f"A year of readings of humidity where {case.work.name} has been living?",)


def _span(case: Case, made: _Judged) -> tuple[float, float] | None:
    """The median load if the part followed the air in half and in twice the time."""
    ends = [made.typical]
    for name in ("slower", "quicker"):
        t95_h = made.part.bulk_t95_h * case.library.figure(f"humidity.response_span.{name}")
        seen = case.site.exposure(humidity_seasons, t95_h, True)
        if seen is None:
            return None
        ground = _with(case, made.part, made.band, seen, made.history)
        ends.append(_under_measures(case, ground).typical)
    return min(ends), max(ends)


def _unlogged(case: Case, parts: tuple[Part, ...], deciding: bool) -> Load:
    low, mid, high = (case.library.figure(f"humidity.unlogged.{name}") for name in ("low", "mid", "high"))
    place = case.site.place.id
    return Load(
        hazard=NAME,
        kind="graded",
        draws=None if deciding else case.draws.between(f"season:{place}:{NAME}", low, mid, high),
        reason=(
            f"Humidity is not logged at {the_place(case)} for long enough to say what the {parts[0].name} "
            "feels."
        ),
        evidence="missing" if deciding else "assumed",
        sources=(case.guideline.source,),
        missing=(unlogged_question(case, "humidity"),),
        deciding=deciding,
    )

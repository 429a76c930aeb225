"""Chemical ageing: how fast a work ages here, relative to 20 degC and 50 %RH, averaged as damage."""

from __future__ import annotations

from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.ageing import GAS_CONSTANT, HUMIDITY_EXPONENT, LEAST_HUMIDITY_PCT, Ageing, ageing
from stillwall.exposure.moist_air import ZERO_CELSIUS_K
from stillwall.exposure.seasons import SEASON_DAYS, SEEN_SHARE, unseen
from stillwall.load import Load
from stillwall.phrases import percent, show_round
from stillwall.reference.sources import Citation
from stillwall.setting.bearing import (
    moisture_parts,
    needed_seasons,
    sensor_draws,
    unlogged_question,
    unseen_seasons_questions,
)
from stillwall.setting.naming import the_place
from stillwall.units import Amount

NAME: Final = "ageing"
PARTS = {"rate": "rate of ageing relative to 20 degC and 50 %RH"}
FOLLOWS = ("humidity",)


def load(case: Case) -> Load | None:
    """Mean rate of ageing over the seasons of the stay, over the house's limit."""
    energy = case.medium.activation_energy
    if energy is None:
        return None
    limit = case.survey.head.ageing_limit
    source = Citation(
        key="judgement", locator="house policy, ageing_limit of the survey", checked="judgement"
    )
    found = case.once(_by_energy)
    if found is None:
        return _unlogged(case, limit, source)
    middle = found[len(found) // 2][1]
    rate = case.once(_rate) * case.factor(NAME, "rate")
    seen_share = _seen_share(case, middle)
    seen = tuple(share >= SEEN_SHARE for share in middle.coverage)
    missing = unseen(seen, needed_seasons(case))
    typical = median(rate)
    normal = show_round(20.0, case.survey.head.units)
    notes = []
    if middle.dry_share > 0:
        notes.append(
            f"For {percent(middle.dry_share)} of the time the air was drier than {LEAST_HUMIDITY_PCT:.0f} "
            "%RH and was counted as that."
        )
    return Load(
        hazard=NAME,
        kind="graded",
        draws=rate / limit,
        seen=rate * seen_share / limit if missing else None,
        reason=(
            f"The work ages {typical:.2f} times as fast as at {normal} and 50 %RH (activation energy "
            f"{energy.value:.0f} kJ/mol); the house allows {limit:.2f} times."
        ),
        evidence="assumed" if missing else "measured",
        sources=(source, energy.source),
        missing=unseen_seasons_questions(case, missing, "temperature and humidity"),
        deciding=NAME in case.medium.deciding,
        exposure=Amount(typical, "1"),
        allowance=Amount(limit, "1"),
        span=None if case.brief else _span(case, typical, limit),
        notes=tuple(notes),
    )


def _by_energy(case: Case) -> list[tuple[float, Ageing]] | None:
    energy = case.medium.activation_energy
    assert energy is not None
    parts = moisture_parts(case, NAME)
    t95_h = parts[0].bulk_t95_h if parts else 0.0
    made = []
    for value in sorted({energy.low or energy.value, energy.value, energy.high or energy.value}):
        found = case.site.exposure(ageing, value, t95_h)
        if found is None:
            return None
        made.append((value, found))
    return made


def _rate(case: Case) -> Floats:
    """Mean rate over the stay's seasons in draws of activation energy, sensors and unseen seasons."""
    found, energy = case.once(_by_energy), case.medium.activation_energy
    assert found is not None
    assert energy is not None
    logs = np.array([np.log(_mean(case, made)) for _, made in found])
    rate: Floats = np.exp(logs[len(found) // 2])
    if len(found) > 1:
        low, high = energy.low or energy.value, energy.high or energy.value
        drawn = case.draws.between(f"model:{NAME}:energy:{energy.value:g}", low, energy.value, high)
        at = np.interp(drawn, [value for value, _ in found], np.arange(len(found)))
        below = np.minimum(at.astype(np.int64), len(found) - 2)
        places = np.arange(case.draws.count)
        share = at - below
        rate = np.exp(logs[below, places] * (1 - share) + logs[below + 1, places] * share)
    middle = found[len(found) // 2][1]
    kelvin = middle.temperature_c + ZERO_CELSIUS_K
    warmth = energy.value * 1000.0 / GAS_CONSTANT / kelvin**2
    humidity = max(middle.humidity_pct, LEAST_HUMIDITY_PCT)
    damper = np.maximum(humidity + sensor_draws(case, case.site, "humidity"), LEAST_HUMIDITY_PCT) / humidity
    error: Floats = np.exp(warmth * sensor_draws(case, case.site, "temperature")) * damper**HUMIDITY_EXPONENT
    return rate * error


def _mean(case: Case, made: Ageing) -> Floats:
    """Mean rate over the needed seasons; one that nobody logged is about the worst seen, in draws."""
    worst = max(rate for rate in made.rate if not np.isnan(rate))
    spread = float(np.log(case.library.figure("ageing.unseen_season")))
    total, days = np.zeros(case.draws.count), 0.0
    for index in needed_seasons(case):
        rate = made.rate[index]
        seen = made.coverage[index] >= SEEN_SHARE and not np.isnan(rate)
        if not seen:
            draws = case.draws.normal(f"season:{case.site.place.id}:{NAME}")
            guess = worst * np.exp(spread * draws)
            total += SEASON_DAYS[index] * (guess if np.isnan(rate) else np.maximum(guess, rate))
        else:
            total += SEASON_DAYS[index] * rate
        days += SEASON_DAYS[index]
    return total / days


def _seen_share(case: Case, made: Ageing) -> float:
    """Share of the least mean rate that comes from what was seen: guessed seasons count as nothing. [1]"""
    needed = needed_seasons(case)
    seen = sum(
        SEASON_DAYS[index] * made.rate[index] * (1.0 if share >= SEEN_SHARE else share)
        for index in needed
        if (share := made.coverage[index]) > 0 and not np.isnan(made.rate[index])
    )
    worst = max(rate for rate in made.rate if not np.isnan(rate))
    whole = sum(
        SEASON_DAYS[index] * (made.rate[index] if made.coverage[index] >= SEEN_SHARE else worst)
        for index in needed
    )
    return float(seen / whole)


def _span(case: Case, typical: float, limit: float) -> tuple[float, float] | None:
    figure = case.library.figures["ageing.limit"]
    if figure.low is None or figure.high is None:
        return None
    return typical / max(figure.high, limit), typical / min(figure.low, limit)


def _unlogged(case: Case, limit: float, source: Citation) -> Load:
    place = case.site.place.id
    low, mid, high = (case.library.figure(f"ageing.unlogged.{name}") for name in ("low", "mid", "high"))
    rate = case.draws.between(f"season:{place}:{NAME}", low, mid, high)
    return Load(
        hazard=NAME,
        kind="graded",
        draws=rate / limit,
        reason=(
            f"Temperature and humidity are not logged together at {the_place(case)}; a heated house is "
            "assumed."
        ),
        evidence="assumed",
        sources=(source,),
        missing=(unlogged_question(case, "temperature and humidity"),),
        deciding=NAME in case.medium.deciding,
        exposure=Amount(median(rate), "1"),
        allowance=Amount(limit, "1"),
    )

"""Time that the air spends beyond a threshold of humidity: metals, glass, gelatin, water gilding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.exceedance import Exceedance, exceedance, share_at
from stillwall.exposure.seasons import SEASON_DAYS, SEEN_SHARE, unseen
from stillwall.load import Load
from stillwall.phrases import counted, times
from stillwall.reference.media import Medium, Threshold
from stillwall.setting.bearing import (
    frame_medium,
    needed_seasons,
    sensor_draws,
    unlogged_question,
    unseen_seasons_questions,
)
from stillwall.setting.naming import the_place
from stillwall.units import Amount

NAME: Final = "corrosion"
PARTS = {"hours": "hours a year beyond the threshold"}


@dataclass(frozen=True, slots=True, eq=False)
class _Judged:
    threshold: Threshold
    hours: Floats
    known: Floats
    """Hours in the seasons that were seen."""
    allowed: float
    crossings: float
    coverage: tuple[float, float, float, float]

    @property
    def known_ratio(self) -> Floats:
        return self.known / self.allowed

    @property
    def ratio(self) -> Floats:
        return self.hours / self.allowed


def load(case: Case) -> Load | None:
    """Hours a year beyond each threshold of the medium, over the hours that it may bear; the worst counts."""
    frame = frame_medium(case)
    thresholds = [(case.medium, item) for item in case.medium.corrosion]
    thresholds += [] if frame is None else [(frame, item) for item in frame.corrosion]
    if not thresholds:
        return None
    judged = [made for medium, item in thresholds if (made := _judge(case, medium, item)) is not None]
    deciding = case.medium.group == "metal" or NAME in case.medium.deciding
    if not judged:
        return _unlogged(case, thresholds[0][1], deciding)
    worst = max(judged, key=lambda made: median(made.ratio))
    missing = unseen(tuple(share >= SEEN_SHARE for share in worst.coverage), needed_seasons(case))
    hours = median(worst.hours)
    return Load(
        hazard=NAME,
        kind="graded",
        draws=np.maximum.reduce([made.ratio for made in judged]),
        seen=np.maximum.reduce([made.known_ratio for made in judged]) if missing else None,
        reason=_reason(worst, hours, missing),
        evidence=("missing" if deciding else "assumed") if missing else "measured",
        sources=(worst.threshold.source,),
        missing=unseen_seasons_questions(case, missing, "humidity"),
        deciding=deciding,
        exposure=Amount(hours, "h/a"),
        allowance=Amount(worst.allowed, "h/a"),
        notes=tuple(
            f"{made.threshold.name.capitalize()}: {median(made.hours):.0f} of {made.allowed:.0f} h a year."
            for made in judged
            if made is not worst
        ),
    )


def _reason(worst: _Judged, hours: float, missing: tuple[str, ...]) -> str:
    allowed = f"{worst.allowed:.0f} h a year are allowed ({worst.threshold.name})."
    whole = f"{hours:.0f}"
    beyond = f"The air is {_beyond(worst.threshold)} for {counted(hours, 'hour')} a year"
    if whole == "0":
        beyond = f"The air is never {_beyond(worst.threshold)}"
    if not missing:
        often = "" if whole == "0" else f", going there {times(worst.crossings)} a year"
        return f"{beyond}{often}; {allowed}"
    seen = min(median(worst.known), hours)
    guess = (
        ""
        if whole == "0"
        else (
            f" The log itself shows {seen:.0f} h of these; the rest is a guess for seasons that nobody "
            "logged."
        )
    )
    return f"{beyond}; {allowed}{guess}"


def _judge(case: Case, medium: Medium, threshold: Threshold) -> _Judged | None:
    t95_h = 0.0 if medium.moisture is None else medium.moisture.surface_t95.value
    hysteresis = case.library.figure("corrosion.hysteresis")
    hours: Floats = np.zeros(case.draws.count)
    known: Floats = np.zeros(case.draws.count)
    crossings, coverage = 0.0, None
    for level, above in ((threshold.above_pct, True), (threshold.below_pct, False)):
        if level is None:
            continue
        found = case.site.exposure(exceedance, level, above, t95_h, hysteresis)
        if found is None:
            return None
        whole, logged = _hours(case, found, 1.0 if above else -1.0)
        hours, known = hours + whole, known + logged
        crossings += _crossings(case, found)
        coverage = found.coverage
    assert coverage is not None
    allowed = threshold.hours_per_year or case.library.figure("corrosion.default_hours")
    factor = case.factor(NAME, "hours")
    return _Judged(threshold, hours * factor, known * factor, allowed, crossings, coverage)


def _hours(case: Case, found: Exceedance, sign: float) -> tuple[Floats, Floats]:
    """Hours a year beyond in draws, with a guess for seasons nobody logged; and without it."""
    error = sign * sensor_draws(case, case.site, "humidity")
    spread = case.library.figure("corrosion.unseen_season")
    logged = [shares for shares in found.share if shares]
    pooled = np.max(np.array(logged), axis=0)
    total, known, days = np.zeros(case.draws.count), np.zeros(case.draws.count), 0.0
    for index in needed_seasons(case):
        shares = found.share[index]
        if found.coverage[index] < SEEN_SHARE:
            draws = case.draws.normal(f"season:{case.site.place.id}:humidity:{index}")
            share = share_at(pooled, error + spread * sign * draws)
            if shares:
                known += SEASON_DAYS[index] * found.coverage[index] * share_at(shares, error)
                share = np.maximum(share, share_at(shares, error))
        else:
            share = share_at(shares, error)
            known += SEASON_DAYS[index] * share
        total += SEASON_DAYS[index] * share
        days += SEASON_DAYS[index]
    year = case.library.figure("corrosion.year") / days
    return total * year, known * year


def _crossings(case: Case, found: Exceedance) -> float:
    known = [found.crossings[index] for index in needed_seasons(case) if not np.isnan(found.crossings[index])]
    return 4.0 * float(np.mean(known)) if known else 0.0


def _beyond(threshold: Threshold) -> str:
    sides = []
    if threshold.below_pct is not None:
        sides.append(f"below {threshold.below_pct:.0f}")
    if threshold.above_pct is not None:
        sides.append(f"above {threshold.above_pct:.0f}")
    return " or ".join(sides) + " %RH"


def _unlogged(case: Case, threshold: Threshold, deciding: bool) -> Load:
    place = case.site.place.id
    low, mid, high = (case.library.figure(f"humidity.unlogged.{name}") for name in ("low", "mid", "high"))
    return Load(
        hazard=NAME,
        kind="graded",
        draws=None if deciding else case.draws.between(f"season:{place}:{NAME}", low, mid, high),
        reason=f"Humidity is not logged at {the_place(case)}, so the time {_beyond(threshold)} is not known.",
        evidence="missing" if deciding else "assumed",
        sources=(threshold.source,),
        missing=(unlogged_question(case, "humidity"),),
        deciding=deciding,
    )

"""Smoke and grease: open cooking, tobacco and candles in the same air."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.load import Evidence, Load, weakest
from stillwall.phrases import counted, show_distance
from stillwall.setting.naming import room_name, room_named
from stillwall.setting.traffic import occasions
from stillwall.survey.places import HoldingPlace

PARTS = {
    "glazing": "whether the work is glazed and backed",
    "candles": "evenings with candles, by a factor",
    "air": "kitchen air and smoke that reach the room, by a factor",
}
LIKELY_USES = frozenset({"dining", "bar", "kitchen", "ballroom", None})
SOLID = frozenset({"bust", "relief", "object"})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Soil:
    """One source of soiling."""

    draws: Floats
    sentence: str
    evidence: Evidence
    source: str
    barred: bool = False
    missing: tuple[str, ...] = ()


def load(case: Case) -> Load | None:
    """The worst source of soiling over what a work may take between cleanings."""
    room = case.site.room
    if room is None or isinstance(case.site.place, HoldingPlace):
        return None
    found = [*_air(case), *_candles(case)]
    if not found:
        return None
    worst = max(found, key=lambda soil: (soil.barred, median(soil.draws)))
    return Load(
        hazard="smoke",
        kind="graded",
        draws=np.max([soil.draws for soil in found], axis=0),
        barred=any(soil.barred for soil in found),
        reason=worst.sentence,
        evidence=weakest(*(soil.evidence for soil in found)),
        sources=(case.library.figures[worst.source].source,),
        missing=tuple(question for soil in found for question in soil.missing),
        notes=_notes(case),
    )


def _cover(case: Case) -> str:
    """How the work meets the air: glazed, unglazed, or solid."""
    if case.work.kind in SOLID:
        return "solid"
    glazed = case.work.glazing not in (None, "none") or case.setting("smoke", "glazing") is True
    return "glazed" if glazed else "unglazed"


def _air(case: Case) -> Iterator[_Soil]:
    room = case.site.room
    assert room is not None
    name, cover = room_name(case.survey, room.id), _cover(case)
    passes = case.factor("smoke", "air")
    if room.cooking == "open" or room.smoking:
        what = "Smoking" if room.smoking else "Open cooking"
        yield _Soil(
            draws=_draws(case, f"same_room.{cover}", f"room:{room.id}:smoke") * passes,
            sentence=f"{what} in {name} soils {WORDS[cover]}.",
            evidence="surveyed",
            source=f"smoke.same_room.{cover}",
            barred=cover == "unglazed" and bool(np.all(np.equal(passes, 1.0))),
        )
        return
    if room.cooking == "near":
        yield _Soil(
            draws=_draws(case, f"near.{cover}", f"room:{room.id}:smoke") * passes,
            sentence=f"A kitchen opens towards {name}; its grease and steam reach {WORDS[cover]}.",
            evidence="surveyed",
            source=f"smoke.near.{cover}",
        )
    asked, asked_of = [], room_named(case.survey, room.id)
    if room.cooking is None:
        asked.append(f"Is there cooking in {asked_of}, or in a kitchen that opens towards it?")
    if room.smoking is None:
        asked.append(f"Does anybody smoke in {asked_of}?")
    if asked:
        kind = "likely" if room.use in LIKELY_USES and cover == "unglazed" else "unlikely"
        yield _Soil(
            draws=_draws(case, f"unknown.{kind}", f"room:{room.id}:smoke") * passes,
            sentence=f"Whether there is cooking or smoking in {name} is not recorded.",
            evidence="assumed",
            source=f"smoke.unknown.{kind}",
            missing=tuple(asked),
        )


def _candles(case: Case) -> Iterator[_Soil]:
    room = case.site.room
    assert room is not None
    name = room_name(case.survey, room.id)
    at_events = sum(event.per_year for event in occasions(case) if event.candles)
    said = room.candles_evenings_per_year
    missing: tuple[str, ...] = ()
    if said is None and at_events == 0 and room.use not in ("dining", "ballroom", "chapel", "drawing"):
        return
    if said is None:
        evenings = _draws(case, "candles.unsaid", f"room:{room.id}:candles") + at_events
        missing = (f"On how many evenings a year are candles lit in {room_named(case.survey, room.id)}?",)
    else:
        evenings = np.full(case.draws.count, max(said, at_events))
    if float(np.max(evenings)) == 0:
        return
    draws = evenings * case.factor("smoke", "candles") / case.library.figure("smoke.candles.evenings")
    if _cover(case) != "unglazed":
        draws = draws * np.minimum(_draws(case, "candles.glazing_passes", "model:smoke:glazing"), 1.0)
    yield _Soil(
        draws=draws,
        sentence=(
            f"Candles are lit in {name} on about {counted(median(evenings), 'evening')} a year; "
            f"from {case.library.figure('smoke.candles.evenings'):.0f} on their soot is too much for a work "
            "that is not glazed."
        ),
        evidence="assumed" if missing else "surveyed",
        source="smoke.candles.evenings",
        missing=missing,
    )


WORDS = {
    "glazed": "a glazed work",
    "unglazed": "a work that is not glazed",
    "solid": "a bust or a relief, which is dusted and seldom cleaned",
}
SPLASHES_M = 1.5
"""How far wine and sauces splash where they are served; judgement. [m]"""


def _notes(case: Case) -> tuple[str, ...]:
    if any(event.drinks or event.food for event in occasions(case)) and _cover(case) == "unglazed":
        near = show_distance(SPLASHES_M, case.survey.head.units)
        return (
            f"Wine and sauces within {near}: put up a barrier, glaze it, or take it down for the occasion.",
        )
    return ()


def _draws(case: Case, name: str, stream: str) -> Floats:
    figure = case.library.figures[f"smoke.{name}"]
    assert figure.low is not None
    assert figure.high is not None
    return case.draws.between(stream, figure.low, figure.value, figure.high)

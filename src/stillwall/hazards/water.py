"""Water: pipes and tanks near the work, leaks, floods and splashes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.load import Evidence, Load, weakest
from stillwall.phrases import show_distance
from stillwall.setting.hanging import Hanging, hang
from stillwall.setting.naming import hangs, place_name, room_name, room_named, the_place
from stillwall.survey.places import Wall
from stillwall.units import Amount, show_length

PARTS = {
    "bottom": "lowest height of the bottom edge that is asked for, in m",
    "furniture": "height of a console or chest put below, in m",
    "pipes": "water that pipes overhead or in the wall may bring, by a factor",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wet:
    """One way in which water may come."""

    draws: Floats
    sentence: str
    evidence: Evidence
    source: str
    barred: bool = False
    missing: tuple[str, ...] = ()
    exposure: Amount | None = None
    allowance: Amount | None = None


def load(case: Case) -> Load | None:
    """The worst of pipes, leaks and floods over what a careful house accepts."""
    if case.site.room is None:
        return None
    hanging = hang(case)
    found = list(_ways(case, hanging))
    worst = max(found, key=lambda wet: (wet.barred, median(wet.draws)))
    return Load(
        hazard="water",
        kind="graded",
        draws=np.max([wet.draws for wet in found], axis=0),
        barred=any(wet.barred for wet in found),
        reason=worst.sentence,
        evidence=weakest(*(wet.evidence for wet in found)),
        sources=(case.library.figures[worst.source].source,),
        missing=tuple(question for wet in found for question in wet.missing),
        exposure=worst.exposure,
        allowance=worst.allowance,
        notes=tuple(_notes(case, hanging)),
    )


def _ways(case: Case, hanging: Hanging) -> Iterator[_Wet]:
    yield _pipes(case)
    room, show = case.site.room, case.survey.head.units
    assert room is not None
    if room.flood_level_m is not None:
        safe = room.flood_level_m + case.library.figure("water.flood.above")
        yield _Wet(
            draws=np.full(case.draws.count, safe / max(hanging.bottom_m, 0.01)),
            sentence=(
                f"Its bottom edge {hangs(case)}s at {show_length(hanging.bottom_m, show)}; with the flood "
                f"level that is known it should be at {show_length(safe, show)} or higher."
            ),
            evidence=weakest(hanging.evidence, "surveyed"),
            source="water.flood.above",
            exposure=Amount(safe, "m"),
            allowance=Amount(hanging.bottom_m, "m"),
        )


def _pipes(case: Case) -> _Wet:
    room, place = case.site.room, case.site.place
    assert room is not None
    near = case.library.figure("water.pipes.near")
    within = place.pipes_within_m if isinstance(place, Wall) else None
    close = room.pipes_overhead is True or (within is not None and within < near)
    name, here, show = place_name(case), the_place(case), case.survey.head.units
    asked, apart = room_name(case.survey, room.id), show_distance(near, show)
    known = room.pipes_overhead is not None or within is not None
    missing = []
    if not known:
        missing.append(f"Do water pipes, tanks, gutters or wet rooms lie over, or within {apart} of, {name}?")
    if room.leaks_known is None:
        missing.append(f"Has anything ever leaked in {room_named(case.survey, room.id)}, and was it renewed?")
    if room.leaks_known and close:
        kind, sentence = (
            "leaked",
            f"Pipes lie over or within {apart} of {here}, and something has leaked there.",
        )
    elif room.leaks_known:
        kind, sentence = "leaked", f"Something has leaked in {asked}."
    elif close:
        kind, sentence = "load", f"Pipes lie over or within {apart} of {here}; none is known to have leaked."
    elif missing:
        kind, sentence = "unknown", f"Whether pipes lie near {here}, or anything has leaked, is not recorded."
    else:
        kind, sentence = "none", f"No pipe lies near {here} and nothing is known to have leaked."
    draws = _draws(case, f"pipes.{kind}", f"room:{room.id}:pipes") * case.factor("water", "pipes")
    return _Wet(
        draws=draws,
        sentence=sentence,
        evidence="assumed" if missing else "surveyed",
        source=f"water.pipes.{kind}",
        barred=bool(room.leaks_known and close and np.all(np.equal(case.factor("water", "pipes"), 1.0))),
        missing=tuple(missing),
    )


def _notes(case: Case, hanging: Hanging) -> Iterator[str]:
    room, figure = case.site.room, case.library.figure
    assert room is not None
    if hanging.bottom_m < figure("water.splash.bottom"):
        yield "Its bottom edge is so low that mops and buckets reach it."
    if room.use in ("bar", "dining", "kitchen") or any(event.drinks for event in room.events):
        distance = show_distance(figure("water.splash.service"), case.survey.head.units)
        yield f"Keep the edge of a bar or a buffet {distance} away, or glaze it."
    if room.sprinklers:
        yield "A sprinkler head that is knocked lets its water go; a guard keeps knocks off."


def _draws(case: Case, name: str, stream: str) -> Floats:
    figure = case.library.figures[f"water.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream, figure.low, figure.value, figure.high)

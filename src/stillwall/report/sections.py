"""One place in the report: verdict, loads, the wall, its climate, its light, the health of its logs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stillwall.answers import Placed
from stillwall.charts.figures import hazard_words, severity
from stillwall.charts.loads import loads_drawing
from stillwall.charts.theme import Drawing
from stillwall.charts.wall import wall_drawing
from stillwall.judgement.ranking import Ranked
from stillwall.opened import OpenSurvey
from stillwall.report.climate_view import ClassRow, class_rows, climate_charts
from stillwall.report.light_view import light_charts
from stillwall.report.wall_view import wall_view
from stillwall.report.words import (
    SCREENED,
    choice_words,
    full_stop,
    place_name,
    said_once,
    sentence_case,
    source_words,
    verdict_sentence,
)

LOADS_CAPTION = (
    "Bar: 90 % interval. Tick: best estimate. Arrow: off the scale. The line at 1 is what the work may take."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A drawing with the question that it answers."""

    heading: str
    drawing: Drawing
    caption: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why a load is what it is."""

    hazard: str
    text: str
    notes: tuple[str, ...]
    evidence: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One place."""

    name: str
    anchor: str
    sentence: str
    facts: tuple[str, ...]
    measures_shared: str
    """What every set of measures asks for, empty where they share nothing; ``measures`` say the rest."""
    measures: tuple[str, ...]
    would_decide: tuple[str, ...]
    cautions: tuple[str, ...]
    charts: tuple[Chart, ...]
    classes: tuple[ClassRow, ...]
    reasons: tuple[Reason, ...]


def place_section(
    ranked: Ranked, placed: Placed, opened: OpenSurvey, *, anchor: str, drawn: dict[str, Drawing]
) -> Section:
    """The section of one place; ``drawn`` remembers drawings that show the same in all units."""
    judged = placed.judged
    shared, measures = choice_words(opened, judged.measures)
    return Section(
        name=place_name(opened.survey, placed.place),
        anchor=anchor,
        sentence=verdict_sentence(ranked, placed, opened),
        facts=(placed.problem,) if placed.problem else (),
        measures_shared=shared,
        measures=measures,
        would_decide=judged.would_decide,
        cautions=said_once(each for each in judged.cautions if SCREENED not in each.lower()),
        charts=tuple(_charts(placed, opened, anchor, drawn)),
        classes=class_rows(placed, opened.system),
        reasons=tuple(
            Reason(
                hazard=hazard_words(load.hazard),
                text=full_stop(load.reason),
                notes=tuple(full_stop(sentence_case(note)) for note in load.notes),
                evidence=load.evidence,
                source="; ".join(source_words(each, opened.library) for each in load.sources),
            )
            for load in sorted(judged.loads, key=lambda load: (-severity(load), load.hazard))
        ),
    )


def _charts(placed: Placed, opened: OpenSurvey, anchor: str, drawn: dict[str, Drawing]) -> Iterator[Chart]:
    system = opened.system
    yield Chart(
        heading="Loads, largest first",
        drawing=loads_drawing(placed.judged.loads, system=system, prefix=f"{anchor}-loads-{system}"),
        caption=LOADS_CAPTION,
    )
    view = wall_view(placed)
    if view is not None:
        yield Chart(
            heading="The wall, with the work in its place",
            drawing=wall_drawing(view, system=system, prefix=f"{anchor}-wall-{system}"),
            caption=" ".join(("To scale; the dotted line is eye height.", *view.assumed)),
        )
    for heading, drawing, caption in climate_charts(placed, system=system, prefix=anchor, drawn=drawn):
        yield Chart(heading=heading, drawing=drawing, caption=caption)
    for heading, drawing, caption in light_charts(placed, prefix=anchor, drawn=drawn):
        yield Chart(heading=heading, drawing=drawing, caption=caption)

"""Libraries in which figures have no span and measures do what a test says, so that loads are single numbers."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import replace

from stillwall.case import Case
from stillwall.reference.library import Library, load_library
from stillwall.reference.measures import Effect, Measure
from stillwall.reference.sources import Citation

CITATION = Citation(key="judgement", checked="judgement")


def certain(*hazards: str, spans: tuple[str, ...] = ()) -> Library:
    """The library with the figures of some hazards at their middles; those named in ``spans`` keep theirs."""
    library = load_library()
    figures = {
        name: replace(figure, low=None, high=None)
        if name.split(".")[0] in hazards and name not in spans
        else figure
        for name, figure in library.figures.items()
    }
    return replace(library, figures=figures)


def with_measure(library: Library, name: str, *effects: tuple[str, str, object]) -> Library:
    """The library with a measure more, whose effects are (hazard, part, fact or factor)."""
    made = []
    for hazard, part, value in effects:
        if isinstance(value, tuple):
            low, mid, high = value
            made.append(Effect(hazard=hazard, on=part, low=low, mid=mid, high=high, source=CITATION))
        else:
            made.append(Effect(hazard=hazard, on=part, value=value, source=CITATION))
    measure = Measure(id=name, title=name, cost=1, reversible=True, effects=tuple(made))
    return replace(library, measures={**library.measures, name: measure})


def told(case: Case, compute: Callable[..., object], answer: object, *parameters: Hashable) -> Case:
    """The case with the answer of an exposure laid down beforehand, as if its record said so."""
    case.site.memory[(compute.__module__, compute.__qualname__, parameters)] = answer
    return case

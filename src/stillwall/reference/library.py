"""All reference data, read once: bibliography, guidelines, media, measures, figures of the hazards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stillwall.reference.guidelines import Guideline
from stillwall.reference.measures import Measure
from stillwall.reference.media import Medium
from stillwall.reference.sources import Figure, Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """Everything under ``data/``, checked."""

    sources: Mapping[str, Source]
    guidelines: Mapping[str, Guideline]
    media: Mapping[str, Medium]
    measures: Mapping[str, Measure]
    figures: Mapping[str, Figure]
    """Figures of the hazards by ``file.name``, such as ``light_dose.limit_r2``."""

    def figure(self, name: str) -> float:
        """The value of a figure."""
        return self.figures[name].value

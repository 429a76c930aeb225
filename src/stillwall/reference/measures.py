"""Measures: what people can do to a wall, and what that changes, for better and for worse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from pydantic import ConfigDict

from stillwall.phrases import in_words, listed, lowered
from stillwall.reference.sources import Citation
from stillwall.units import System

STRICT = ConfigDict(extra="forbid")


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What a measure does to one part of one hazard's exposure.

    Either a factor with its 90 % span (``low``, ``mid``, ``high``), or a fact that is set (``value``).
    ``on`` names the part: each hazard's module lists those it knows.
    """

    __pydantic_config__ = STRICT

    hazard: str
    on: str
    low: float | None = None
    mid: float | None = None
    high: float | None = None
    value: float | str | bool | None = None
    source: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One measure."""

    __pydantic_config__ = STRICT

    id: str
    title: str
    cost: Literal[1, 2, 3, 4]
    """Tier: 1 nothing to speak of, 2 a tradesman's day, 3 a project, 4 a change to the building."""
    reversible: bool
    needs: tuple[str, ...] = ()
    """Facts that must hold for it to make sense: ``window``, ``lamp``, ``hearth``, ``door``, ``frame`` ..."""
    excludes: tuple[str, ...] = ()
    """Measures that it cannot be combined with."""
    effects: tuple[Effect, ...]
    caution: str = ""

    def words(self, system: System) -> str:
        """The measure inside a sentence, in the units of a system."""
        return lowered(in_words(self.title, system))


def said_together(measures: Sequence[Measure], system: System) -> str:
    """Measures that are to be done together, in words: ``A``, ``A and B``, ``A, B and C``."""
    return listed([measure.words(system) for measure in measures])

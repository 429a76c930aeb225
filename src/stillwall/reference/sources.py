"""The bibliography, and how far each figure has been checked against it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import ConfigDict

STRICT = ConfigDict(extra="forbid")

Checked = Literal["primary", "abstract", "secondary", "memory", "practice", "judgement", "derived"]

CHECKED_WORDS: dict[Checked, str] = {
    "primary": "read in the source",
    "abstract": "read in the source's abstract or opening",
    "secondary": "read in a page that quotes the source",
    "memory": "from memory, to be confirmed",
    "practice": "common practice, no source",
    "judgement": "judgement of this project",
    "derived": "follows from the formula",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """Where a figure stands: a key of ``sources.toml``, the place in the document, and how it was checked."""

    __pydantic_config__ = STRICT

    key: str
    locator: str = ""
    checked: Checked

    def __str__(self) -> str:
        place = f", {self.locator}" if self.locator else ""
        return f"{self.key}{place} ({CHECKED_WORDS[self.checked]})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One document of the bibliography."""

    __pydantic_config__ = STRICT

    key: str
    title: str
    year: int | None = None
    authors: str = ""
    published_in: str = ""
    doi: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One published figure with its unit, its believable span where there is one, and its source."""

    __pydantic_config__ = STRICT

    value: float
    unit: str
    low: float | None = None
    high: float | None = None
    source: Citation
    note: str = ""

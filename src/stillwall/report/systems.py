"""A page in both systems of units: its context is made in each, and what differs stands there twice.

No figure is computed on the page: what a reader switches to is what the command prints in those units.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from importlib.resources import files
from typing import Any, TypeVar

from markupsafe import Markup

from stillwall.assess import Assessment
from stillwall.charts.theme import Drawing
from stillwall.units import System

T = TypeVar("T")
OTHER: dict[System, System] = {"us": "si", "si": "us"}


class Twice(str):
    """A text in the reader's own units that also says itself in the others."""

    __slots__ = ("other",)

    other: str

    def __new__(cls, own: str, other: str) -> Twice:
        """Both texts."""
        made = super().__new__(cls, own)
        made.other = other
        return made

    def __html__(self) -> Markup:
        """Both texts as HTML: what they share once, what differs twice, one of them shown."""
        own, other = (text.split(" ") for text in (str(self), self.other))
        before = _alike(own, other)
        after = _alike(own[before:][::-1], other[before:][::-1])
        first, last = " ".join(own[:before]), " ".join(own[len(own) - after :])
        between = [" ".join(words[before : len(words) - after]) for words in (own, other)]
        switched = Markup('<span class="own">{}</span><span class="other">{}</span>').format(*between)
        return Markup(" ").join(part for part in (first, switched, last) if part)


def _alike(one: Sequence[str], two: Sequence[str]) -> int:
    """How many words two texts share from their beginning."""
    pairs = zip(one, two, strict=False)
    return next((n for n, (a, b) in enumerate(pairs) if a != b), min(len(one), len(two)))


def page_script() -> str:
    """The script of a page: it filters, sorts and switches units."""
    return (files("stillwall.report") / "page.js").read_text(encoding="utf-8")


def script_hash(script: str) -> str:
    """The hash by which a page's policy lets its own script run, and no other."""
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()


def shown_in(opened: Assessment, system: System) -> Assessment:
    """The same survey with its logs at hand, to be shown in a system of units."""
    head = replace(opened.survey.head, units=system)
    return replace(opened, survey=replace(opened.survey, head=head), system=system)


def paired(own: T, other: T) -> T:
    """A context with every text that differs in the other units carrying both.

    Both must have the same shape. Where a list is longer in one of them, since two of its texts are
    alike in one system only, it stays in the units of the first.
    """
    made: T = _paired(own, other)
    return made


def _paired(own: Any, other: Any) -> Any:
    if own == other:
        return own
    if isinstance(own, str):
        return Twice(own, other)
    if isinstance(own, Drawing):
        columns, rows = _paired(own.columns, other.columns), _paired(own.rows, other.rows)
        return replace(own, columns=columns, rows=rows, other=other)
    if isinstance(own, tuple):
        return tuple(map(_paired, own, other)) if len(own) == len(other) else own
    if is_dataclass(own) and not isinstance(own, type):
        names = [each.name for each in fields(own)]
        return replace(own, **{name: _paired(getattr(own, name), getattr(other, name)) for name in names})
    return own

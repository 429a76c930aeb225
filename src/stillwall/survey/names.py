"""The names nearest to one that is not known."""

from __future__ import annotations

import difflib
from collections.abc import Collection
from dataclasses import dataclass

_MOST_COMPARED = 200_000
"""Beyond this many comparisons in one survey no further names are offered, so that it stays quick."""


@dataclass
class Nearest:
    """Offers names, for as long as that is quick."""

    left: int = _MOST_COMPARED

    def affords(self, names: int) -> bool:
        """Whether a word may still be compared with so many names."""
        return names <= self.left

    def to(self, word: str, known: Collection[str]) -> list[str]:
        """Up to three known names that are like a word."""
        if not self.affords(len(known)) or len(word) > 100:
            return []
        self.left -= max(1, len(known))
        plain = {_plain(name): name for name in known}
        near = difflib.get_close_matches(_plain(word), plain, n=3, cutoff=0.55)
        holding = [name for name in plain if len(word) > 2 and _plain(word) in name and name not in near]
        return [plain[name] for name in (near + holding)[:3]]

    def advice(self, word: str, known: Collection[str], otherwise: str) -> str:
        """A remedy that offers the nearest names."""
        near = self.to(word, known)
        if not near:
            return otherwise
        return "write " + " or ".join(repr(name) for name in near) + " if that is meant"


def _plain(name: str) -> str:
    return name.casefold().replace("-", "_").replace(" ", "_")

"""What in a survey names something else in it, and what that has to be."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from stillwall.errors import Fault
from stillwall.survey.document import Key
from stillwall.survey.names import Nearest
from stillwall.survey.rows import Origin, plain

_REFERENCE_DATA = frozenset({"medium", "guideline", "measure"})
SIDES = frozenset({"north", "east", "south", "west"})

REFERENCES: Mapping[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "survey": (("guideline", ("guideline",)),),
    "building": (("events.*.room", ("room",)),),
    "room": (("building", ("building",)), ("events.*.room", ("room",))),
    "wall": (("room", ("room",)), ("measures_ruled_out.*", ("measure",))),
    "pedestal": (("room", ("room",)), ("work", ("work",)), ("measures_ruled_out.*", ("measure",))),
    "place": (("room", ("room",)), ("building", ("building",))),
    "opening": (
        ("room", ("room",)),
        ("wall", ("wall", "side")),
        ("leads_to", ("room", "building", "place", "outside")),
    ),
    "lamp": (("room", ("room",)), ("wall", ("place",))),
    "heat_source": (
        ("room", ("room",)),
        ("wall", ("wall", "side")),
        ("below_wall", ("wall",)),
        ("facing_wall", ("wall",)),
    ),
    "route": (
        ("from", ("room", "building", "place", "outside")),
        ("to", ("room", "building", "place", "outside")),
    ),
    "work": (
        ("medium", ("medium",)),
        ("guideline", ("guideline",)),
        ("now_at", ("place",)),
        ("history", ("place",)),
        ("pair_with", ("work",)),
    ),
    "note": (("room", ("room",)), ("wall", ("place",))),
    "acknowledged": (),
    "logger": (),
    "accepted": (("work", ("work",)), ("wall", ("place",))),
}
"""By table: a key, and the kinds of thing that it may name."""


def reference_faults(
    table: str,
    given: Mapping[str, Any],
    origin: Origin,
    known: Mapping[str, Collection[str]],
    nearest: Nearest,
) -> Iterator[Fault]:
    """A fault for every name that nothing bears.

    Where entries were lost in broken text, only names of reference data are judged.
    """
    for pattern, kinds in REFERENCES[table]:
        if origin.document.entries_lost and not _REFERENCE_DATA.intersection(kinds):
            continue
        for keys, word in _words(given, pattern.split(".")):
            if any(word in known[kind] for kind in kinds) or (pattern == "history" and names_log(word)):
                continue
            what = " or ".join(kind.replace("_", " ") for kind in kinds)
            listed = nearest.affords(sum(len(known[kind]) for kind in kinds))
            meant = dict.fromkeys(name for kind in kinds for name in known[kind]) if listed else {}
            yield Fault(
                origin.where(*keys),
                f"unknown {what} {plain(word)!r}",
                _expected(what, meant),
                nearest.advice(word, meant, f"add the {kinds[0]}, or correct the name"),
            )


def names_log(word: str) -> bool:
    """Whether a work's history names a log file and not a place."""
    return "/" in word or word.lower().endswith((".csv", ".txt"))


def _expected(what: str, meant: Collection[str]) -> str:
    listed = ", ".join(sorted(meant)) if len(meant) <= 8 else ""
    return f"one of {listed}" if listed else f"the id of a {what}"


def _words(value: Any, pattern: list[str], keys: Key = ()) -> Iterator[tuple[Key, str]]:
    if not pattern:
        if isinstance(value, str):
            yield keys, value
        return
    if pattern[0] == "*":
        if isinstance(value, str):
            yield keys, value
        for index, part in enumerate(value if isinstance(value, list) else ()):
            yield from _words(part, pattern[1:], (*keys, index))
    elif isinstance(value, dict) and pattern[0] in value:
        yield from _words(value[pattern[0]], pattern[1:], (*keys, pattern[0]))

"""Other names under which the survey's tables and keys are accepted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

SPELLINGS: Mapping[str, str] = {"window": "opening", "door": "opening", "holding_place": "place"}
"""Tables by another name: ``[[window]]`` is an ``[[opening]]`` of kind window, ``[[door]]`` one of a door."""

SYNONYMS: Mapping[str, Mapping[str, str]] = {
    "wall": {
        "scuffs_seen_per_year": "marks_last_year",
        "marks_seen_per_year": "marks_last_year",
        "fRsi": "f_rsi",
    },
    "pedestal": {"scuffs_seen_per_year": "marks_last_year"},
    "work": {"surface_fragility": "surface"},
    "opening": {"door_stop": "stop"},
    "acknowledged": {"which": "alert"},
}
"""By table: keys that say the same as the key they are read as."""
_INSIDE: Mapping[tuple[str, str], Mapping[str, str]] = {
    ("opening", "blind"): {"hours_drawn": "drawn"},
    ("work", "lender"): {"lux": "illuminance"},
}
_DOOR_KINDS = {
    "outside": "outside_door",
    "lobby": "lobby_door",
    "inside": "inside_door",
    "service": "service_door",
}
_YES = (True, "yes", "true")
_NO = (False, "no", "false")


def spell(
    table: str, written_as: str, given: Mapping[str, Any]
) -> tuple[dict[str, Any], dict[str, str], list[tuple[str, str]]]:
    """A table under the names of the model.

    Returns
    -------
    tuple
        The table; the keys of the model that the text calls otherwise; pairs of keys that clash because
        they say the same.
    """
    synonyms = SYNONYMS.get(table, {})
    spelled: dict[str, Any] = {}
    renamed: dict[str, str] = {}
    clashes: list[tuple[str, str]] = []
    for key, value in given.items():
        name = synonyms.get(key, key)
        if name in spelled:
            clashes.append((key, renamed.get(name, name)))
            continue
        if name != key:
            renamed[name] = key
        inside = _INSIDE.get((table, name))
        if inside and isinstance(value, dict):
            value = {
                part if inside.get(part) in value else inside.get(part, part): one
                for part, one in value.items()
            }
        spelled[name] = value
    if written_as == "window":
        spelled.setdefault("kind", "window")
    if written_as == "door":
        kind = spelled.get("kind", "outside" if spelled.get("leads_to") == "outside" else "inside")
        spelled["kind"] = _DOOR_KINDS.get(kind, kind) if isinstance(kind, str) else kind
    if table == "heat_source" and isinstance(spelled.get("below_wall"), bool | str):
        _name_wall_above(spelled)
    return spelled, renamed, clashes


def _name_wall_above(spelled: dict[str, Any]) -> None:
    above = spelled["below_wall"]
    word = above.strip().lower() if isinstance(above, str) else above
    if word in _NO:
        del spelled["below_wall"]
    elif word in _YES and isinstance(spelled.get("wall"), str):
        spelled["below_wall"] = spelled["wall"]

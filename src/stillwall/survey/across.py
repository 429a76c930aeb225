"""What two entries of a survey say against one another."""

from __future__ import annotations

from collections.abc import Iterator

from stillwall.errors import Fault
from stillwall.survey.entries import Entries, Entry


def across(entries: Entries) -> Iterator[Fault]:
    """A fault for every two entries that cannot both be true."""
    yield from _walls_of_other_rooms(entries)
    yield from _works_in_two_places(entries)


def _walls_of_other_rooms(entries: Entries) -> Iterator[Fault]:
    rooms = {entry.given["id"]: entry.given.get("room") for entry in _named(entries, "wall")}
    known = {entry.given["id"] for entry in _named(entries, "room")}
    for entry in entries.by_table["heat_source"]:
        for key in ("below_wall", "facing_wall"):
            named, own = entry.given.get(key), entry.given.get("room")
            there = rooms.get(named) if isinstance(named, str) else None
            if not isinstance(there, str) or not isinstance(own, str):
                continue
            if there != own and {there, own} <= known:
                yield Fault(
                    entry.origin.where(key),
                    f"wall {named!r} is in room {there!r}, the source in {own!r}",
                    "a wall of the same room",
                    "correct the wall or the room",
                )


def _works_in_two_places(entries: Entries) -> Iterator[Fault]:
    at = {
        entry.given["id"]: entry
        for entry in _named(entries, "work")
        if isinstance(entry.given.get("now_at"), str)
    }
    stands: dict[str, str] = {}
    for entry in entries.by_table["pedestal"]:
        work, pedestal = entry.given.get("work"), str(entry.given.get("id"))
        if not isinstance(work, str):
            continue
        now = at[work].given["now_at"] if work in at else stands.get(work, pedestal)
        if now != pedestal:
            yield Fault(
                entry.origin.where("work"),
                f"work {work!r} stands here and is at {now!r}",
                "one place for each work",
                "correct one of the two",
            )
        stands.setdefault(work, pedestal)


def _named(entries: Entries, table: str) -> Iterator[Entry]:
    return (entry for entry in entries.by_table[table] if isinstance(entry.given.get("id"), str))

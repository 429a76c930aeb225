"""Reading ``survey.toml``: a survey that holds together, or every fault in it at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import Any

from stillwall.errors import Fault, SurveyError
from stillwall.reference.library import Library, load_library
from stillwall.survey.across import across
from stillwall.survey.contradictions import contradictions
from stillwall.survey.document import Key, read_document
from stillwall.survey.entries import NAMELESS, Entries, Entry, read_entries
from stillwall.survey.paths import file_inside
from stillwall.survey.quantities import UnusableError
from stillwall.survey.references import SIDES, names_log, reference_faults
from stillwall.survey.rows import Origin, plain, unfit_text
from stillwall.survey.survey import Survey

SURVEY_FILE = "survey.toml"
MOST_FAULTS = 1000
_PLACES = ("wall", "pedestal", "place")
_OUTSIDE = "outside"
_RESERVED: Mapping[str, Collection[str]] = {
    "wall": SIDES | {_OUTSIDE},
    "pedestal": {_OUTSIDE},
    "place": {_OUTSIDE},
    "room": {_OUTSIDE},
    "building": {_OUTSIDE},
}
"""Words that mean something else where these may be named."""


def read_survey(folder: Path, *, library: Library | None = None) -> Survey:
    """Read the survey of a folder.

    Parameters
    ----------
    folder
        Holds ``survey.toml`` and, below it, everything that this names.
    library
        Whose media, guidelines and measures may be named; the one that comes with the program if None.

    Raises
    ------
    SurveyError
        With every fault that was found, in the order of the lines.
    """
    document = read_document(folder / SURVEY_FILE)
    if document.broken and not document.data:
        raise SurveyError(document.faults)
    entries = read_entries(document, folder)
    faults = [*entries.faults, *_identity_faults(entries)]
    known = _known(entries, load_library() if library is None else library)
    for entry in entries.all():
        faults += reference_faults(entry.table, entry.given, entry.origin, known, entries.nearest)
        faults += contradictions(entry.read, entry.given, entry.origin)
        faults += unfit_text(entry.given, entry.origin)
    faults += across(entries)
    faults += _file_faults(entries, folder)
    if faults:
        raise SurveyError(_in_order(faults))
    return _survey(entries, folder)


def _identity_faults(entries: Entries) -> Iterator[Fault]:
    tables = [[table] for table in entries.by_table if table not in (*_PLACES, *NAMELESS, "survey", "logger")]
    for group in (*tables, _PLACES):
        first: dict[str, Entry] = {}
        for entry in (entry for table in group for entry in entries.by_table[table]):
            named = entry.given.get("id")
            if not isinstance(named, str):
                continue
            if named in first:
                yield Fault(
                    entry.origin.where("id"),
                    f"{entry.table} id {plain(named)!r} a second time",
                    f"an id of its own; the first is at {first[named].origin.where('id').split(': ')[0]}",
                    "rename one of them, or delete one if both are the same",
                )
            elif named in _RESERVED.get(entry.table, ()):
                yield Fault(
                    entry.origin.where("id"),
                    f"id {named!r} has a meaning of its own",
                    "another word",
                    f"rename it, such as {entry.table + '-' + named!r}",
                )
            first.setdefault(named, entry)


def _known(entries: Entries, library: Library) -> dict[str, Collection[str]]:
    ids = {
        table: {str(entry.given["id"]): None for entry in listed if "id" in entry.given}
        for table, listed in entries.by_table.items()
    }
    return {
        "building": ids["building"],
        "room": ids["room"],
        "work": ids["work"],
        "wall": ids["wall"],
        "place": ids["wall"] | ids["pedestal"] | ids["place"],
        "side": SIDES,
        "outside": (_OUTSIDE,),
        "medium": library.media,
        "guideline": library.guidelines,
        "measure": library.measures,
    }


def _file_faults(entries: Entries, folder: Path) -> Iterator[Fault]:
    files: set[str] = set()
    for origin, keys, file in _log_files(entries):
        files.add(file)
        try:
            file_inside(folder, file)
        except UnusableError as error:
            yield Fault(origin.where(*keys), error.found, error.expected, error.fix)
    short = Counter(file.rsplit("/", 1)[-1] for file in files)
    for entry in entries.by_table.get("logger", ()):
        name = str(entry.origin.path[-1])
        if entry.origin.document.broken or name in files:
            continue
        if short[name] > 1:
            both = ", ".join(repr(plain(file)) for file in sorted(files) if file.rsplit("/", 1)[-1] == name)
            yield Fault(
                entry.origin.where(),
                f"{plain(name)!r} can be {both}",
                "one file",
                "write its path",
            )
        elif name not in short:
            yield Fault(
                entry.origin.where(),
                f"no logs list names {plain(name)!r}",
                "a file that a wall, a room, a building or the survey lists",
                entries.nearest.advice(name, short, "list it under logs, or delete this table"),
            )


def _log_files(entries: Entries) -> Iterator[tuple[Origin, Key, str]]:
    for entry in entries.all():
        for key in ("logs", "outdoor_logs"):
            for index, log in enumerate(getattr(entry.read, key, ())):
                yield entry.origin, (key, index), log.file
        history = getattr(entry.read, "history", None)
        if history is not None and names_log(history):
            yield entry.origin, ("history",), history


def _in_order(faults: list[Fault]) -> list[Fault]:
    found = sorted(set(faults), key=lambda fault: (*_file_and_line(fault.where), fault))
    if len(found) <= MOST_FAULTS:
        return found
    rest = len(found) - MOST_FAULTS
    return [*found[:MOST_FAULTS], Fault(SURVEY_FILE, f"{rest:,} more faults", "none", "mend these first")]


def _file_and_line(where: str) -> tuple[bool, str, int]:
    name, _, rest = where.partition(":")
    digits = rest.partition(":")[0]
    return name != SURVEY_FILE, name, int(digits) if digits.isdecimal() else 0


def _survey(entries: Entries, folder: Path) -> Survey:
    def named(table: str) -> Mapping[str, Any]:
        return {entry.read.id: entry.read for entry in entries.by_table[table]}

    def listed(table: str) -> tuple[Any, ...]:
        return tuple(entry.read for entry in entries.by_table[table])

    return Survey(
        folder=folder,
        head=entries.head,
        buildings=named("building"),
        rooms=named("room"),
        walls=named("wall"),
        pedestals=named("pedestal"),
        holding_places=named("place"),
        openings=named("opening"),
        lamps=named("lamp"),
        heat_sources=named("heat_source"),
        routes=named("route"),
        works=named("work"),
        loggers=entries.loggers,
        notes=listed("note"),
        acknowledged=listed("acknowledged"),
        accepted=listed("accepted"),
    )

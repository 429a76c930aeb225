"""The entries of a survey: each table as it is written, as it is read, and where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from stillwall.errors import Fault
from stillwall.survey.document import Document
from stillwall.survey.features import HeatSource, Lamp, Opening, Route
from stillwall.survey.inventory import inventory_rows
from stillwall.survey.loggers import LoggerSettings
from stillwall.survey.names import Nearest
from stillwall.survey.places import Building, HoldingPlace, Pedestal, Room, Wall
from stillwall.survey.rows import Origin, plain, read_row
from stillwall.survey.spelling import SPELLINGS, spell
from stillwall.survey.survey import Acceptance, Acknowledgement, Note, SurveyHead
from stillwall.survey.works import Work

MODELS: Mapping[str, type[Any]] = {
    "building": Building,
    "room": Room,
    "wall": Wall,
    "pedestal": Pedestal,
    "place": HoldingPlace,
    "opening": Opening,
    "lamp": Lamp,
    "heat_source": HeatSource,
    "route": Route,
    "work": Work,
    "note": Note,
    "acknowledged": Acknowledgement,
    "accepted": Acceptance,
}
"""The tables that are lists, ``[[building]]`` and so on, by name."""
NAMELESS = frozenset({"note", "acknowledged", "accepted"})
"""Tables whose entries have no id."""


@dataclass
class Entry:
    """One table of the survey. ``given`` is what the text says, under the model's own names."""

    table: str
    given: Mapping[str, Any]
    origin: Origin
    read: Any


@dataclass
class Entries:
    """Everything that a survey says, read as far as it can be, and every fault in reading it."""

    head: SurveyHead
    loggers: dict[str, LoggerSettings] = field(default_factory=dict)
    by_table: dict[str, list[Entry]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    nearest: Nearest = field(default_factory=Nearest)

    def all(self) -> Iterator[Entry]:
        """Every entry, the ``[survey]`` table and the loggers' among them."""
        for entries in self.by_table.values():
            yield from entries

    def add(self, table: str, model: type[Any], given: Any, origin: Origin) -> Any:
        """Read one table and keep it as an entry."""
        if not isinstance(given, dict):
            fix = "write its header in brackets"
            self.faults.append(Fault(origin.where(), "this is not a table", "a table", fix))
            return read_row(model, {}, origin, self.nearest)[0]
        read, faults = read_row(model, given, origin, self.nearest)
        if isinstance(read, Work) and read.depth_m is None and read.framed is not None:
            read = replace(read, depth_m=read.framed.depth_m)
        self.faults += faults
        self.by_table.setdefault(table, []).append(Entry(table, given, origin, read))
        return read


def read_entries(document: Document, folder: Path) -> Entries:
    """Read every table of a survey, and the works of its inventory."""
    entries = Entries(SurveyHead(), by_table={table: [] for table in MODELS}, faults=list(document.faults))
    data = document.data
    origin = Origin(document, ("survey",), "survey")
    head = entries.add("survey", SurveyHead, data.get("survey", {}), origin)
    entries.head = head if head.name else replace(head, name=folder.resolve().name)
    for name, tables in data.items():
        if name not in ("survey", "logger"):
            _read_list(entries, document, name, tables)
    loggers = data.get("logger", {})
    if not isinstance(loggers, dict):
        where = f"{document.where(('logger',))}: logger"
        found = "this is no table"
        wanted = '[logger."hall.csv"]'
        entries.faults.append(Fault(where, found, wanted, "name the file in its header"))
        loggers = {}
    for name, settings in loggers.items():
        origin = Origin(document, ("logger", name), f"logger {plain(name)!r}")
        entries.loggers[name] = entries.add("logger", LoggerSettings, settings, origin)
    if head.inventory is not None and not any(
        ": survey.inventory" in fault.where for fault in entries.faults
    ):
        works, faults = inventory_rows(folder, head.inventory, head, Origin(document, ("survey",), "survey"))
        entries.faults += faults
        for given, origin in works:
            entries.add("work", Work, given, origin)
    return entries


def _read_list(entries: Entries, document: Document, name: str, tables: Any) -> None:
    table = SPELLINGS.get(name, name)
    where = f"{document.where((name,))}: {plain(name)}"
    if table not in MODELS:
        accepted = ["survey", "logger", *MODELS, *SPELLINGS]
        advice = entries.nearest.advice(name, accepted, "correct the name, or delete it")
        entries.faults.append(
            Fault(where, f"unknown table {plain(name)!r}", f"one of {', '.join(accepted)}", advice)
        )
        return
    listed = isinstance(tables, list) and all(isinstance(one, dict) for one in tables)
    if not listed:
        entries.faults.append(
            Fault(where, "this is not a list of tables", f"[[{name}]]", f"write [[{name}]], in two brackets")
        )
        if not (isinstance(tables, dict) and "id" in tables):
            return
    for index, given in enumerate(tables if listed else [tables]):
        named = given.get("id")
        label = f"{name} {plain(named)!r}" if isinstance(named, str) else f"{name} {index + 1}"
        spelled, renamed, clashes = spell(table, name, given)
        origin = Origin(document, (name, index) if listed else (name,), label, renamed)
        for key, other in clashes:
            found = f"{key!r} and {other!r} say the same"
            entries.faults.append(Fault(origin.where(key), found, "one of the two", "delete one of them"))
        entries.add(table, MODELS[table], spelled, origin)

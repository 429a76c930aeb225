"""Reading ``survey.toml``: a survey that holds together, or every fault in it at once."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from stillwall.errors import Fault, SurveyError
from stillwall.reference.library import Library
from stillwall.survey.contradictions import contradictions
from stillwall.survey.document import Document, read_document
from stillwall.survey.features import HeatSource, Lamp, Opening, Route
from stillwall.survey.inventory import inventory_rows
from stillwall.survey.loggers import LoggerSettings
from stillwall.survey.names import Nearest
from stillwall.survey.paths import file_inside
from stillwall.survey.places import Building, HoldingPlace, Pedestal, Room, Wall
from stillwall.survey.quantities import UnusableError
from stillwall.survey.references import SIDES, reference_faults
from stillwall.survey.rows import Origin, read_row
from stillwall.survey.spelling import SPELLINGS, spell
from stillwall.survey.survey import Acceptance, Acknowledgement, Note, Survey, SurveyHead
from stillwall.survey.works import Work

SURVEY_FILE = "survey.toml"
MOST_FAULTS = 1000

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
_PLACES = ("wall", "pedestal", "place")


@dataclass
class Row:
    """One entry of the survey: as written, as read, and where it is written."""

    table: str
    given: dict[str, Any]
    origin: Origin
    read: Any = None


@dataclass
class _Reading:
    folder: Path
    document: Document
    faults: list[Fault]
    nearest: Nearest = field(default_factory=Nearest)
    rows: dict[str, list[Row]] = field(default_factory=lambda: {table: [] for table in MODELS})

    def fault(self, where: str, found: str, expected: str, fix: str) -> None:
        self.faults.append(Fault(where, found, expected, fix))


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
    if library is None:
        from stillwall.reference.library import load_library

        library = load_library()
    document = read_document(folder / SURVEY_FILE)
    if document.broken and not document.data:
        raise SurveyError(document.faults)
    reading = _Reading(folder, document, list(document.faults))
    head, head_row = _read_head(reading)
    _collect(reading)
    if head_row is not None and head.inventory is not None:
        given_rows, faults = inventory_rows(folder, head, head_row.origin)
        reading.faults += faults
        reading.rows["work"] += [Row("work", given, origin) for given, origin in given_rows]
    for table, rows in reading.rows.items():
        for row in rows:
            row.read, faults = read_row(MODELS[table], row.given, row.origin, reading.nearest)
            reading.faults += faults
    loggers = _read_loggers(reading)
    ids = {
        table: _ids(reading, (table,))
        for table in MODELS
        if table not in (*_PLACES, "note", "acknowledged", "accepted")
    }
    places = _ids(reading, _PLACES)
    known = _known(reading, ids, places, library)
    for row in ([head_row] if head_row else []) + [row for rows in reading.rows.values() for row in rows]:
        reading.faults += reference_faults(row.table, row.given, row.origin, known, reading.nearest)
        reading.faults += contradictions(row.read, row.origin)
    _check_files(reading, head, head_row, loggers)
    if reading.faults:
        raise SurveyError(_sorted(reading))
    return _survey(folder, head, reading, loggers)


def _read_head(reading: _Reading) -> tuple[SurveyHead, Row | None]:
    given = reading.document.data.get("survey")
    label = "survey"
    if not isinstance(given, dict):
        if not reading.document.broken:
            reading.fault(
                reading.document.where(("survey",)),
                "no [survey] table",
                "[survey] with a name",
                'add [survey] and name = "..."',
            )
        return SurveyHead(name=""), None
    origin = Origin(reading.document, ("survey",), label)
    head, faults = read_row(SurveyHead, given, origin, reading.nearest)
    reading.faults += faults
    return head, Row("survey", given, origin, head)


def _collect(reading: _Reading) -> None:
    accepted = [*MODELS, *SPELLINGS]
    for name, tables in reading.document.data.items():
        table = SPELLINGS.get(name, name)
        where = reading.document.where((name,))
        if name in ("survey", "logger"):
            continue
        if table not in MODELS:
            reading.fault(
                f"{where}: {name[:60]}",
                f"unknown table {name[:60]!r}",
                f"one of survey, logger, {', '.join(accepted)}",
                reading.nearest.advice(
                    name, [*accepted, "survey", "logger"], "correct the name, or delete it"
                ),
            )
            continue
        if not isinstance(tables, list) or not all(isinstance(one, dict) for one in tables):
            reading.fault(
                f"{where}: {name}",
                f"{name} is not a list of tables",
                f"[[{name}]]",
                f"write [[{name}]], in two brackets",
            )
            continue
        for index, given in enumerate(tables):
            named = given.get("id")
            label = (
                f"{name} {named!r}" if isinstance(named, str) and len(named) <= 80 else f"{name} {index + 1}"
            )
            spelled, renamed, clashes = spell(table, name, given)
            origin = Origin(reading.document, (name, index), label, renamed)
            for key, other in clashes:
                reading.fault(
                    origin.where(key),
                    f"{key!r} and {other!r} say the same",
                    "one of the two",
                    "delete one of them",
                )
            reading.rows[table].append(Row(table, spelled, origin))


def _read_loggers(reading: _Reading) -> dict[str, tuple[LoggerSettings, Origin]]:
    given = reading.document.data.get("logger", {})
    if not isinstance(given, dict):
        reading.fault(
            reading.document.where(("logger",)),
            "[[logger]] is a list",
            '[logger."hall.csv"]',
            "name the file in the header",
        )
        return {}
    loggers: dict[str, tuple[LoggerSettings, Origin]] = {}
    for name, settings in given.items():
        origin = Origin(reading.document, ("logger", name), f"logger {name[:80]!r}")
        loggers[name], faults = _logger(settings, origin, reading)
        reading.faults += faults
    return loggers


def _logger(
    settings: Any, origin: Origin, reading: _Reading
) -> tuple[tuple[LoggerSettings, Origin], list[Fault]]:
    if not isinstance(settings, dict):
        fault = Fault(
            origin.where(), "is not a table", '[logger."hall.csv"]', "put the file's name in quotes"
        )
        return (LoggerSettings(), origin), [fault]
    read, faults = read_row(LoggerSettings, settings, origin, reading.nearest)
    return (read, origin), faults


def _ids(reading: _Reading, tables: Collection[str]) -> dict[str, Row]:
    seen: dict[str, Row] = {}
    for table in tables:
        for row in reading.rows[table]:
            named = row.given.get("id")
            if not isinstance(named, str):
                continue
            first = seen.get(named)
            if first is not None:
                reading.fault(
                    row.origin.where("id"),
                    f"id {named!r} is used twice",
                    f"an id of its own; the first is at {first.origin.where('id').split(': ')[0]}",
                    f"rename one of them, or delete one {table} if both are the same",
                )
            seen.setdefault(named, row)
    return seen


def _known(
    reading: _Reading, ids: Mapping[str, Mapping[str, Row]], places: Mapping[str, Row], library: Library
) -> dict[str, Collection[str]]:
    return {
        "building": ids["building"],
        "room": ids["room"],
        "work": ids["work"],
        "place": places,
        "wall": {name: row for name, row in places.items() if row.table == "wall"},
        "side": SIDES,
        "outside": {"outside"},
        "medium": library.media,
        "guideline": library.guidelines,
        "measure": library.measures,
    }


def _check_files(
    reading: _Reading,
    head: SurveyHead,
    head_row: Row | None,
    loggers: Mapping[str, tuple[LoggerSettings, Origin]],
) -> None:
    named: set[str] = set()
    for origin, keys, file in _log_files(reading, head, head_row):
        named.add(file)
        try:
            file_inside(reading.folder, file)
        except UnusableError as error:
            reading.fault(origin.where(*keys), error.found, error.expected, error.fix)
    short = {file.rsplit("/", 1)[-1] for file in named}
    for name, (_, origin) in loggers.items():
        if name in named or name in short or reading.document.broken:
            continue
        reading.fault(
            origin.where(),
            f"no logs list names {name[:80]!r}",
            "a file that a wall, a room or the survey lists under logs",
            reading.nearest.advice(
                name, short, "add it to the logs of its wall or room, or delete this table"
            ),
        )


def _log_files(
    reading: _Reading, head: SurveyHead, head_row: Row | None
) -> Iterator[tuple[Origin, tuple[str | int, ...], str]]:
    rows = ([head_row] if head_row else []) + [row for rows in reading.rows.values() for row in rows]
    for row in rows:
        for key in ("logs", "outdoor_logs"):
            for index, log in enumerate(getattr(row.read, key, ())):
                yield row.origin, (key, index), log.file
        history = getattr(row.read, "history", None)
        if history is not None and ("/" in history or history.lower().endswith(".csv")):
            yield row.origin, ("history",), history


def _sorted(reading: _Reading) -> list[Fault]:
    found = sorted(set(reading.faults), key=lambda fault: (_line_of(fault.where), fault))
    if len(found) > MOST_FAULTS:
        rest = len(found) - MOST_FAULTS
        return [*found[:MOST_FAULTS], Fault(SURVEY_FILE, f"{rest} more faults", "none", "mend these first")]
    return found


def _line_of(where: str) -> tuple[str, int]:
    name, _, rest = where.partition(":")
    digits = rest.split(":", 1)[0].strip()
    return name, int(digits) if digits.isdigit() else 0


def _survey(
    folder: Path, head: SurveyHead, reading: _Reading, loggers: Mapping[str, tuple[LoggerSettings, Origin]]
) -> Survey:
    by_id = {
        table: {row.read.id: row.read for row in rows}
        for table, rows in reading.rows.items()
        if "id" in MODELS[table].__slots__
    }
    lists = {
        table: tuple(row.read for row in reading.rows[table])
        for table in ("note", "acknowledged", "accepted")
    }
    return Survey(
        folder=folder,
        head=head,
        buildings=by_id["building"],
        rooms=by_id["room"],
        walls=by_id["wall"],
        pedestals=by_id["pedestal"],
        holding_places=by_id["place"],
        openings=by_id["opening"],
        lamps=by_id["lamp"],
        heat_sources=by_id["heat_source"],
        routes=by_id["route"],
        works=by_id["work"],
        loggers={name: settings for name, (settings, _) in loggers.items()},
        notes=lists["note"],
        acknowledged=lists["acknowledged"],
        accepted=lists["accepted"],
    )

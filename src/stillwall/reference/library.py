"""All reference data, read once: bibliography, guidelines, media, measures, figures of the hazards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any, TypeVar

from pydantic import TypeAdapter

from stillwall.errors import Fault, ReferenceDataError
from stillwall.reference.coherence import incoherences
from stillwall.reference.entries import Table, read_list, read_model, read_table, toml_files
from stillwall.reference.figures import read_figures
from stillwall.reference.guidelines import Guideline
from stillwall.reference.measures import Measure
from stillwall.reference.media import Medium
from stillwall.reference.sources import Figure, Source

T = TypeVar("T")
SHARED = "shared.toml"
"""The file of ``media/`` whose entries the others take by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """Everything under ``data/``, checked."""

    sources: Mapping[str, Source]
    guidelines: Mapping[str, Guideline]
    media: Mapping[str, Medium]
    measures: Mapping[str, Measure]
    figures: Mapping[str, Figure]
    """Figures of the hazards by ``file.name``, such as ``light_dose.limit_r2``."""

    def figure(self, name: str) -> float:
        """The value of a figure."""
        return self.figures[name].value


@lru_cache(maxsize=4)
def load_library(root: Traversable | None = None) -> Library:
    """Read and check all reference data, once.

    Parameters
    ----------
    root
        Folder with ``sources``, ``guidelines``, ``media``, ``measures`` and ``hazards``; default is the
        package's own.

    Raises
    ------
    ReferenceDataError
        With every fault of every file.
    """
    root = files("stillwall") / "data" if root is None else root
    faults: list[Fault] = []
    library = Library(
        sources=_entries(root / "sources", "source", "key", TypeAdapter(Source), faults),
        guidelines=_guidelines(root / "guidelines", faults),
        media=_media(root / "media", faults),
        measures=_entries(root / "measures", "measure", "id", TypeAdapter(Measure), faults),
        figures=_figures(root / "hazards", faults),
    )
    faults.extend(_cross_faults(library))
    if faults:
        raise ReferenceDataError(faults)
    return library


def _tables(folder: Traversable, faults: list[Fault]) -> list[tuple[str, str, Table]]:
    found = []
    for file in toml_files(folder):
        where = f"{folder.name}/{file.name}"
        table = read_table(file, where, faults)
        if table is not None:
            found.append((where, file.name.removesuffix(".toml"), table))
    return found


def _entries(
    folder: Traversable, name: str, id_field: str, adapter: TypeAdapter[T], faults: list[Fault]
) -> Mapping[str, T]:
    entries: dict[str, T] = {}
    for where, _, table in _tables(folder, faults):
        for number, entry in enumerate(read_list(table, name, where, faults), start=1):
            _add(entries, entry, id_field, adapter, f"{where}: {name} {number}", faults)
    return MappingProxyType(entries)


def _add(
    entries: dict[str, T],
    entry: Table,
    id_field: str,
    adapter: TypeAdapter[T],
    where: str,
    faults: list[Fault],
) -> None:
    named = f"{where} ({entry[id_field]})" if id_field in entry else where
    model = read_model(adapter, entry, named, faults)
    if model is None:
        return
    key: str = getattr(model, id_field)
    if key in entries:
        faults.append(Fault(named, f"{key!r} a second time", f"each {id_field} once", "rename or remove one"))
    entries[key] = model


def _guidelines(folder: Traversable, faults: list[Fault]) -> Mapping[str, Guideline]:
    adapter = TypeAdapter(Guideline)
    guidelines: dict[str, Guideline] = {}
    for where, stem, table in _tables(folder, faults):
        _add(guidelines, table, "id", adapter, where, faults)
        if "id" in table and table["id"] != stem:
            faults.append(
                Fault(f"{where}: id", repr(table["id"]), f"{stem!r}, as the file", "rename one of them")
            )
    return MappingProxyType(guidelines)


def _media(folder: Traversable, faults: list[Fault]) -> Mapping[str, Medium]:
    adapter = TypeAdapter(Medium)
    media: dict[str, Medium] = {}
    tables = _tables(folder, faults)
    shared: Table = next((table for where, _, table in tables if where.endswith(SHARED)), {})
    for where, _, table in tables:
        if where.endswith(SHARED):
            continue
        for number, entry in enumerate(read_list(table, "medium", where, faults), start=1):
            place = f"{where}: medium {number}"
            _add(
                media,
                _expanded(entry, shared, f"{place} ({entry.get('id')})", faults),
                "id",
                adapter,
                place,
                faults,
            )
    return MappingProxyType(media)


def _expanded(entry: Table, shared: Table, where: str, faults: list[Fault]) -> Table:
    """``entry`` with each name of a shared part replaced by that part."""

    def part(field: str, name: Any) -> Any:
        if not isinstance(name, str):
            return name
        if name not in shared[field]:
            known = ", ".join(sorted(shared[field]))
            faults.append(
                Fault(f"{where}.{field}", repr(name), f"one of {known}", f"correct it, or add it to {SHARED}")
            )
            return None
        return shared[field][name]

    return {
        key: [part(key, item) for item in value] if isinstance(value, list) else part(key, value)
        for key, value in entry.items()
        if key in shared
    } | {key: value for key, value in entry.items() if key not in shared}


def _figures(folder: Traversable, faults: list[Fault]) -> Mapping[str, Figure]:
    figures: dict[str, Figure] = {}
    for where, stem, table in _tables(folder, faults):
        figures |= read_figures(table, stem, where, faults)
    return MappingProxyType(figures)


def _cross_faults(library: Library) -> list[Fault]:
    keys = frozenset(library.sources)
    faults: list[Fault] = []
    for folder, entries in (
        ("guidelines", library.guidelines),
        ("media", library.media),
        ("measures", library.measures),
        ("hazards", library.figures),
    ):
        for name, entry in entries.items():
            faults.extend(incoherences(entry, f"{folder}: {name}", keys))
    for measure in library.measures.values():
        for other in measure.excludes:
            if other not in library.measures:
                where = f"measures: {measure.id}.excludes"
                faults.append(Fault(where, repr(other), "the id of a measure", "correct it"))
    return faults

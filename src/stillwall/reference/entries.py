"""TOML files of reference data turned into models, with every fault of a file told at once."""

from __future__ import annotations

import json
import math
import tomllib
from collections.abc import Iterator, Mapping
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from stillwall.errors import Fault

T = TypeVar("T")
Table = dict[str, Any]


def toml_files(folder: Traversable) -> list[Traversable]:
    """The TOML files of one folder, by name; none where the folder is not there."""
    if not folder.is_dir():
        return []
    return sorted(
        (item for item in folder.iterdir() if item.name.endswith(".toml")), key=lambda item: item.name
    )


def read_table(file: Traversable, where: str, faults: list[Fault]) -> Table | None:
    """The content of one TOML file, or None with a fault added where it is not TOML or not text."""
    try:
        table = tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        faults.append(Fault(where, str(error), "a TOML file in UTF-8", "mend this line"))
        return None
    faults.extend(
        Fault(f"{where}: {path}", "a number that is not finite", "a finite number", "correct it")
        for path in _not_finite(table)
    )
    return table


def read_list(table: Table, name: str, where: str, faults: list[Fault]) -> list[Table]:
    """The ``[[name]]`` tables of a file that may hold nothing else."""
    faults.extend(
        Fault(f"{where}: {key}", "an unknown table", f"[[{name}]] tables only", "remove or rename it")
        for key in sorted(table.keys() - {name})
    )
    entries = table.get(name, [])
    if isinstance(entries, list) and all(isinstance(entry, dict) for entry in entries):
        return entries
    faults.append(Fault(f"{where}: {name}", "something else", f"[[{name}]] tables", "write it so"))
    return []


def read_model(
    adapter: TypeAdapter[T], table: Mapping[str, Any], where: str, faults: list[Fault]
) -> T | None:
    """One table as a model, or None with all its faults added. Nothing is coerced but int to float."""
    try:
        return adapter.validate_json(json.dumps(table, default=str), strict=True)
    except ValidationError as error:
        for fault in error.errors(include_url=False):
            path = ".".join(map(str, fault["loc"]))
            found = "nothing" if fault["type"] == "missing" else _shown(fault["input"])
            faults.append(
                Fault(f"{where}: {path}" if path else where, found, fault["msg"], "correct this entry")
            )
        return None


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _not_finite(item: object, path: str = "") -> Iterator[str]:
    if isinstance(item, dict):
        for key, value in item.items():
            yield from _not_finite(value, f"{path}.{key}" if path else key)
    elif isinstance(item, list):
        for index, value in enumerate(item):
            yield from _not_finite(value, f"{path}.{index}")
    elif isinstance(item, float) and not math.isfinite(item):
        yield path

"""Every datum is written twice: under ``src/stillwall/data`` and, by another hand, in this folder.

``differences`` compares the two, both ways: a datum without a row, a row without a datum and another
value are told. Rows lie in ``guidelines.toml`` (one table per guideline), ``media/<file>.toml`` (one per
medium), ``hazards/<file>.toml`` (one row per figure) and ``measures/<file>.toml`` (one table per measure).

A row says what its entry says, with a source as one string, ``"<key> <checked>"``. Prose (titles, notes,
locators) has no row. A figure's row is a number, ``[value, low, high]`` where it has a span, or a table; a
group hands ``unit`` and ``source`` down to what is inside it, as in the data. In a file of media ``every``
holds what each of its rows says unless it says otherwise (``"-"``: the entry has no such datum), and
``light`` is one string: class, span, source, how checked, and ``bar`` where originals are not shown. The
effects of a measure are named ``"<hazard> <part>"``: ``[low, mid, high, source]`` or ``[value, source]``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

PUBLISHED = Path(__file__).parent
DATA = PUBLISHED.parents[1] / "src" / "stillwall" / "data"
KINDS = ("guidelines", "media", "hazards", "measures")
PROSE = frozenset({"title", "note", "remark", "meant_for", "locator", "caution"})
HANDED_DOWN = ("unit", "source")

Table = dict[str, Any]
Leaves = dict[str, float | str | bool]


def data_files(data: Path = DATA) -> list[Path]:
    """All files that hold data with rows."""
    return [file for kind in KINDS for file in sorted((data / kind).glob("*.toml"))]


def differences(data: Path = DATA, published: Path = PUBLISHED) -> list[str]:
    """What differs between the data and their rows, in words; empty where every datum has its row."""
    found = [line for file in data_files(data) for line in file_differences(file, published)]
    stems = {kind: {file.stem for file in (data / kind).glob("*.toml")} for kind in KINDS}
    found += [
        f"tests/published/{kind}/{file.name}: no such file in data/{kind}"
        for kind in KINDS
        for file in sorted((published / kind).glob("*.toml"))
        if file.stem not in stems[kind]
    ]
    found += [
        f"tests/published/guidelines.toml: {name}: no such guideline in data/guidelines"
        for name in rows_of("guidelines", "", published)
        if name not in stems["guidelines"]
    ]
    return found


def file_differences(file: Path, published: Path = PUBLISHED) -> list[str]:
    """What differs between one file of data and its rows."""
    kind = file.parent.name
    table = tomllib.loads(file.read_text("utf-8"))
    rows = rows_of(kind, file.stem, published)
    where = f"data/{kind}/{file.name}"
    if kind == "hazards":
        return list(_compare(where, figure_leaves(table), figure_leaves(rows), f"hazards/{file.name}"))
    if kind == "guidelines":
        name = table.pop("id", file.stem)
        pairs = [(name, leaves(table), leaves(rows.get(name, {})))]
        rows_file = "guidelines.toml"
    else:
        entries = named_entries(table, file.stem)
        pairs = [
            (name, leaves(entries.get(name, {})), leaves(rows.get(name, {})))
            for name in [*entries, *(name for name in rows if name not in entries)]
        ]
        rows_file = f"{kind}/{file.name}"
    return [line for name, data, row in pairs for line in _compare(f"{where}: {name}", data, row, rows_file)]


def rows_of(kind: str, stem: str, published: Path = PUBLISHED) -> Table:
    """The rows of one file of data."""
    file = published / ("guidelines.toml" if kind == "guidelines" else f"{kind}/{stem}.toml")
    rows = tomllib.loads(file.read_text("utf-8")) if file.is_file() else {}
    if kind == "media" and stem != "shared":
        every = rows.pop("every", {})
        return {name: _spelt_out(every | row) for name, row in rows.items()}
    if kind == "measures":
        return {name: row | {"effects": _effects(row["effects"])} for name, row in rows.items()}
    return rows


def _effects(row: Table) -> Table:
    names = {4: ("low", "mid", "high", "source"), 2: ("value", "source")}
    return {part: dict(zip(names[len(effect)], effect, strict=True)) for part, effect in row.items()}


def _spelt_out(row: Table) -> Table:
    responsivity, span, *source = row["light"].split()
    bar = {"bar": True} if source[2:] == ["bar"] else {}
    light = {"responsivity": responsivity, "span": span.split("-"), "source": " ".join(source[:2])} | bar
    return {key: value for key, value in row.items() if value != "-"} | {"light": light}


def named_entries(table: Table, stem: str) -> Table:
    """Media or measures by id; the shared parts by their own names."""
    if stem == "shared":
        return table
    entries = [entry for group in table.values() for entry in group]
    for entry in entries:
        if "effects" in entry:
            entry["effects"] = {f"{part.pop('hazard')} {part.pop('on')}": part for part in entry["effects"]}
    return {entry.pop("id", f"entry {number}"): entry for number, entry in enumerate(entries, start=1)}


def leaves(item: Any, path: str = "") -> Leaves:
    """Every datum in a table by its path; a source as ``key checked``, a bar as true."""
    if isinstance(item, dict):
        if "checked" in item and "key" in item:
            return {path: f"{item['key']} {item['checked']}"}
        return {
            name: value
            for key, part in item.items()
            if not is_prose(key, part)
            for name, value in leaves(bool(part) if key == "bar" else part, _join(path, key)).items()
        }
    if isinstance(item, list):
        return {
            name: value for i, part in enumerate(item) for name, value in leaves(part, f"{path}.{i}").items()
        }
    return {path: item}


def figure_leaves(table: Table, path: str = "", handed_down: Table | None = None) -> Leaves:
    """Every datum of a file of figures by its path, each with the unit and source handed down to it."""
    own = dict(handed_down or {}) | {key: table[key] for key in HANDED_DOWN if key in table}
    if "value" in table:
        return leaves(own | table, path)
    found: Leaves = {}
    for key, item in table.items():
        if key in HANDED_DOWN or is_prose(key, item):
            continue
        if isinstance(item, list):
            item = dict(zip(("value", "low", "high"), item, strict=True))
        elif not isinstance(item, dict):
            item = {"value": item}
        found |= figure_leaves(item, _join(path, key), own)
    return found


def is_prose(key: str, item: Any) -> bool:
    """Whether an item is text for people; a group of figures may bear such a name too."""
    return key in PROSE and isinstance(item, str)


def _join(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _compare(where: str, data: Leaves, row: Leaves, rows_file: str) -> Iterator[str]:
    for path, value in data.items():
        if path not in row:
            yield f"{where}: {path} = {value!r}: no row in tests/published/{rows_file}; add it"
        elif row[path] != value:
            yield f"{where}: {path} = {value!r}, but tests/published/{rows_file} says {row[path]!r}"
    for path, value in row.items():
        if path not in data:
            yield f"tests/published/{rows_file}: {path} = {value!r}: no such datum in {where}"

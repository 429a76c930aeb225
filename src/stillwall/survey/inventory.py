"""Works from a CSV inventory, by a map of its columns.

A number such as ``"A 12/3"`` becomes the id ``A-12-3``.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stillwall.errors import Fault
from stillwall.survey.document import MAX_BYTES
from stillwall.survey.paths import file_inside
from stillwall.survey.quantities import UnusableError
from stillwall.survey.rows import Origin, plain, shape_of
from stillwall.survey.survey import SurveyHead
from stillwall.survey.works import Work

_LISTS = ("themes", "ratings")
_NUMBERS = ("points", "reflectance", "on_show_months", "rest_months", "handling", "lender.weeks")
_SIDES = ("image_height", "image_width", "image_depth", "framed_height", "framed_width", "framed_depth")
"""Columns that hold one side of a size, height and width apart."""


@dataclass(frozen=True)
class CellOrigin(Origin):
    """Where in an inventory a work stands."""

    file: str = ""
    line: int = 0
    columns: Mapping[str, str] | None = None

    def where(self, *keys: str | int) -> str:
        """File, line, work, key and the column that holds it."""
        name = ".".join(str(key) for key in keys if isinstance(key, str))
        columns = self.columns or {}
        column = columns.get(name, columns.get(f"{name}_height"))
        said = f" (column {column!r})" if column else ""
        return f"{self.file}:{self.line}: {self.label}{f'.{name}' if name else ''}{said}"


def inventory_rows(
    folder: Path, name: str, head: SurveyHead, origin: Origin
) -> tuple[list[tuple[dict[str, Any], Origin]], list[Fault]]:
    """The works of the inventory that ``[survey]`` names, as tables, and what is wrong with it."""
    try:
        text = _text(file_inside(folder, name))
    except UnusableError as error:
        return [], [Fault(origin.where("inventory"), error.found, error.expected, error.fix)]
    faults = list(_map_faults(head, origin))
    delimiter, header = _header(text, head)
    for key, column in head.inventory_columns.items():
        if header.count(column) != 1:
            found = (
                f"{name} has no column {column!r}" if column not in header else f"{name} has {column!r} twice"
            )
            listed = ", ".join(repr(one) for one in header if one) or "none"
            faults.append(
                Fault(
                    origin.where("inventory_columns", key),
                    found,
                    f"one of its columns: {listed[:400]}",
                    "correct the header",
                )
            )
    if faults:
        return [], faults
    places = {key: header.index(column) for key, column in head.inventory_columns.items()}
    rows: list[tuple[dict[str, Any], Origin]] = []
    try:
        for line, cells in _records(text, delimiter):
            given = _given(cells, places, head)
            label = f"work {plain(given['id'])!r}" if given.get("id") else "work"
            row = CellOrigin(origin.document, (), label, {}, name, line, head.inventory_columns)
            if len(cells) > len(header):
                faults.append(
                    Fault(
                        row.where(),
                        f"{len(cells)} cells under {len(header)} columns",
                        "as many cells as columns",
                        "put the cell that holds a comma in quotes",
                    )
                )
                continue
            rows.append((given, row))
    except csv.Error as error:
        faults.append(
            Fault(name, f"it is no CSV ({error})", "a table with one line a work", "save it as CSV again")
        )
    return rows, faults


def _text(path: Path) -> str:
    if path.stat().st_size > MAX_BYTES:
        raise UnusableError(
            f"{path.name} is over {MAX_BYTES:,} bytes", "a list of works", "leave out what is not needed"
        )
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UnusableError(f"{path.name} is not UTF-8 text", "UTF-8", "save it as 'CSV UTF-8'") from error


def _map_faults(head: SurveyHead, origin: Origin) -> Iterator[Fault]:
    known = set(_accepted())
    for name, mapping in (
        ("inventory_columns", head.inventory_columns),
        ("inventory_units", head.inventory_units),
        ("inventory_words", head.inventory_words),
        ("inventory_defaults", head.inventory_defaults),
    ):
        for key in mapping:
            if key not in known:
                yield Fault(
                    origin.where(name, key),
                    f"unknown key {plain(key)!r} of a work",
                    f"one of {', '.join(sorted(known))}",
                    "correct the key, or delete it",
                )
    if "id" not in head.inventory_columns:
        yield Fault(
            origin.where("inventory_columns"),
            "no column for id",
            'id = "..."',
            "name the column that holds the number",
        )


def _accepted() -> list[str]:
    lender = [f"lender.{key}" for key in ("illuminance", "dose", "weeks", "humidity_low", "humidity_high")]
    return [*shape_of(Work).keys, *_SIDES, *lender]


def _header(text: str, head: SurveyHead) -> tuple[str, list[str]]:
    """The delimiter under which most of the mapped columns are found, and the header it gives."""
    wanted = set(head.inventory_columns.values())
    best: tuple[int, str, list[str]] = (-1, ",", [])
    for delimiter in (",", ";", "\t", "|"):
        try:
            header = [
                cell.strip()
                for cell in next(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), [])
            ]
        except csv.Error:
            continue
        score = len(wanted.intersection(header)) * 1000 + min(len(header), 999)
        if score > best[0]:
            best = (score, delimiter, header)
    return best[1], best[2]


def _records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    next(reader)
    line = reader.line_num + 1
    for cells in reader:
        if any(cell.strip() for cell in cells):
            yield line, cells
        line = reader.line_num + 1


def _given(cells: list[str], places: Mapping[str, int], head: SurveyHead) -> dict[str, Any]:
    given: dict[str, Any] = dict(head.inventory_defaults)
    sides: dict[str, str] = {}
    for key, place in places.items():
        cell = cells[place].strip() if place < len(cells) else ""
        cell = head.inventory_words.get(key, {}).get(cell, cell)
        if not cell:
            continue
        if key in _SIDES:
            sides[key] = _with_unit(cell, head.inventory_units.get(key))
        else:
            _set(given, key, _value(key, cell, head.inventory_units.get(key)))
    if "id" in given:
        given["id"] = re.sub(r"[^A-Za-z0-9_.-]+", "-", given["id"]).strip("-")
    for size in ("image", "framed"):
        parts = [
            sides[f"{size}_{side}"] for side in ("height", "width", "depth") if f"{size}_{side}" in sides
        ]
        if f"{size}_height" in sides and f"{size}_width" in sides:
            given.setdefault(size, " x ".join(parts))
    return given


def _set(given: dict[str, Any], key: str, value: Any) -> None:
    outer, _, inner = key.partition(".")
    if inner:
        given.setdefault(outer, {})[inner] = value
    else:
        given[key] = value


def _value(key: str, cell: str, unit: str | None) -> Any:
    if key in _LISTS:
        return [_with_unit(part.strip(), unit) for part in re.split(r"[;|]", cell) if part.strip()]
    if key in _NUMBERS and re.fullmatch(r"\d+(\.\d+)?", cell):
        return float(cell)
    return _with_unit(cell, unit)


def _with_unit(cell: str, unit: str | None) -> str:
    return f"{cell} {unit}" if unit and re.search(r"[\d½¼¾⅛⅜⅝⅞⅓⅔]\s*$", cell) else cell

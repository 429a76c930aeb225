"""Figures of the hazards: files in which groups hand down their unit and their source."""

from __future__ import annotations

from pydantic import TypeAdapter

from stillwall.errors import Fault
from stillwall.reference.entries import Table, read_model
from stillwall.reference.sources import Figure

_FIGURE = TypeAdapter(Figure)
_INHERITED = ("unit", "source")


def read_figures(table: Table, name: str, where: str, faults: list[Fault]) -> dict[str, Figure]:
    """All figures of one file by dotted name, ``name`` first.

    A table that holds ``value`` is a figure. Any other table is a group: its ``unit`` and ``source``
    are inherited by what is inside it, its ``note`` is for readers of the file, and a bare number in it
    is a figure.
    """
    figures: dict[str, Figure] = {}
    _walk(table, name, {}, where, figures, faults)
    return figures


def _walk(
    table: Table, name: str, inherited: Table, where: str, figures: dict[str, Figure], faults: list[Fault]
) -> None:
    own = inherited | {key: table[key] for key in _INHERITED if key in table}
    if "value" in table:
        figure = read_model(_FIGURE, own | table, f"{where}: {name}", faults)
        if figure is not None:
            figures[name] = figure
        return
    for key, item in table.items():
        if key in _INHERITED or (key == "note" and isinstance(item, str)):
            continue
        if isinstance(item, dict):
            _walk(item, f"{name}.{key}", own, where, figures, faults)
        elif isinstance(item, int | float) and not isinstance(item, bool):
            _walk({"value": item}, f"{name}.{key}", own, where, figures, faults)
        else:
            faults.append(
                Fault(
                    f"{where}: {name}.{key}", repr(item), "a number or a table", "write a figure or a group"
                )
            )

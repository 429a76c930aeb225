"""All rows of the fault table, in their order."""

from __future__ import annotations

from tests.faults import disks, files, kept, killed, machine, shown
from tests.faults.rows import ROWS, Row

GROUPS: dict[str, dict[str, Row]] = {
    module.__name__.rpartition(".")[2]: {
        name: row for name, row in ROWS.items() if row.run.__module__ == module.__name__
    }
    for module in (killed, disks, machine, kept, files, shown)
}
"""Rows by name, by the module that they stand in."""

"""Make the fault table again: ``python -m tests.faults [NAME ...]``, in Markdown on standard output."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.faults.table import ROWS


def main(names: list[str]) -> int:
    """Print a line for each fault; 1 where anything was lost."""
    print("| fault | tries | losses |\n|---|---:|---:|")
    lost = 0
    for name in names or ROWS:
        row = ROWS[name]
        with tempfile.TemporaryDirectory() as folder:
            tried = row.run(Path(folder), row.tries)
        note = f" ({tried.note})" if tried.note else ""
        print(f"| {row.fault}{note} | {tried.tries:,} | {tried.losses} |", flush=True)
        lost += tried.losses
    return int(lost > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

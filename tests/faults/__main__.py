"""Make the fault table again: ``python -m tests.faults [--few] [GROUP or ROW ...]``, as Markdown on standard output.

``--few`` tries each fault a few times, to see that nothing is lost, not to show how seldom.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from tests.faults.table import GROUPS


def main(names: list[str], *, few: bool) -> int:
    """Print a line for each fault; 1 where anything was lost."""
    print("| fault | tries | losses |\n|---|---:|---:|")
    lost = 0
    for group, rows in GROUPS.items():
        for name, row in rows.items():
            if names and not {group, name} & set(names):
                continue
            began = time.perf_counter()
            with tempfile.TemporaryDirectory() as folder:
                tried = row.run(Path(folder), row.few if few else row.tries)
            note = f" ({tried.note})" if tried.note else ""
            print(f"| {row.fault}{note} | {tried.tries:,} | {tried.losses} |", flush=True)
            print(f"{name}: {time.perf_counter() - began:.1f} s", file=sys.stderr)
            lost += tried.losses
    return int(lost > 0)


if __name__ == "__main__":
    names = sys.argv[1:]
    code = main([name for name in names if name != "--few"], few="--few" in names)
    sys.exit(code)

"""Print the ratios of all benchmarks, or of those named: ``python tests/bench/run.py [--small] [NAME ...]``.

``--small`` only shows that they run; its figures mean nothing.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent.parent))

from tests.bench.registry import BENCHES, Row  # noqa: E402


def collect() -> None:
    """Import every module of this folder, so that each adds its rows."""
    for module in pkgutil.iter_modules([str(HERE)]):
        if module.name not in ("run", "registry") and not module.name.startswith("test_"):
            importlib.import_module(f"tests.bench.{module.name}")


def show(name: str, rows: list[Row]) -> None:
    """Print the rows of one benchmark."""
    print(name)
    for row in rows:
        budget = "" if row.limit is None else f"  (at most {row.limit:g}{'' if row.kept else '; NOT KEPT'})"
        note = f"  {row.note}" if row.note else ""
        print(f"  {row.what:<52} {row.value:8.2f} {row.unit}{budget}{note}")


def main(arguments: list[str]) -> int:
    """Run and print; 1 where a budget is broken in a full run."""
    collect()
    small = "--small" in arguments
    wanted = [name for name in arguments if not name.startswith("--")] or sorted(BENCHES)
    broken = False
    for name in wanted:
        rows = BENCHES[name](small)
        show(name, rows)
        broken |= any(not row.kept for row in rows)
    return int(broken and not small)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""Size and import time of each dependency: ``python -m tests.dependencies``, as Markdown on standard output.

Installed size of a library's own files; processor time of importing it in a fresh process, less that of an
empty one, the least of five.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tomllib
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
REPEATS = 5
MODULES = {"import-linter": "importlinter", "pytest-cov": "pytest_cov", "pytest-xdist": "xdist"}
"""What to import, where it is not called as its library is."""
NOT_IMPORTED = ("pandas-stubs", "ruff", "mypy")


def installed_mb(name: str) -> float:
    """Size of the files that a library has installed. [MB]"""
    found = distribution(name)
    sizes = [Path(str(file.locate())).stat().st_size for file in found.files or () if file.locate().is_file()]
    return sum(sizes) / 1e6


def import_ms(module: str) -> float:
    """Processor time that importing a module takes. [ms]"""
    return 1000 * (_least(f"import {module}") - _least("pass"))


def _least(program: str) -> float:
    taken = []
    for _ in range(REPEATS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-c", program], check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(taken)


def row(line: str) -> str:
    """A row of the table for one requirement."""
    name = Requirement(line).name
    module = MODULES.get(name, name.replace("-", "_"))
    try:
        size = f"{installed_mb(name):.1f} MB"
    except PackageNotFoundError:
        return f"| {line} | not installed | |"
    taken = "" if name in NOT_IMPORTED else f"{import_ms(module):.0f} ms"
    return f"| {line} | {size} | {taken} |"


def main() -> None:
    """Print a row for each direct dependency."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    print("| needs | installed | import |\n|---|---:|---:|")
    for group in (project["dependencies"], *project["optional-dependencies"].values()):
        for line in group:
            if not line.startswith("stillwall["):
                print(row(line), flush=True)


if __name__ == "__main__":
    main()

"""The report of the demonstration, cold, and every chart in it."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
from functools import wraps
from pathlib import Path

from tests.bench.registry import Row, bench

DEMO = Path(__file__).parents[2] / "sample_logs"
REPORT_S, CHART_MS = 8.0, 150.0


def charts(folder: Path) -> dict[str, float]:
    """The longest that a chart of each kind takes while the report is made, after a first report. [ms]"""
    import importlib
    import pkgutil

    import stillwall.report
    from stillwall.assess import open_survey
    from stillwall.report.make import make_report

    longest: dict[str, float] = {}

    def timed(name: str, draw: object) -> object:
        @wraps(draw)  # type: ignore[arg-type]
        def made(*arguments: object, **options: object) -> object:
            began = time.perf_counter()
            drawn = draw(*arguments, **options)  # type: ignore[operator]
            longest[name] = max(longest.get(name, 0.0), 1e3 * (time.perf_counter() - began))
            return drawn

        return made

    modules = [
        importlib.import_module(f"stillwall.report.{module.name}")
        for module in pkgutil.iter_modules(stillwall.report.__path__)
    ]
    opened = open_survey(folder)
    make_report(opened, out=folder / "first.html")
    kept = []
    for module in modules:
        for name in [name for name in vars(module) if name.endswith("_drawing")]:
            kept.append((module, name, getattr(module, name)))
            setattr(module, name, timed(name.removesuffix("_drawing"), getattr(module, name)))
    try:
        make_report(opened, out=folder / "second.html")
    finally:
        for module, name, draw in kept:
            setattr(module, name, draw)
    return longest


@bench("report")
def report(small: bool) -> list[Row]:
    """Seconds of the command, nothing kept from before; milliseconds of each chart."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "larkmoor"
        shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns(".stillwall", "reports"))
        began = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "stillwall", "report", str(folder), "--out", str(folder / "report.html")],
            check=True,
            capture_output=True,
        )
        cold = time.perf_counter() - began
        found = [Row("report of the demonstration, cold", cold, "s", REPORT_S)]
        if not small:
            found += [
                Row(f"chart: {name}, the slowest", took, "ms", CHART_MS)
                for name, took in sorted(charts(folder).items())
            ]
    return found

"""Reading a log against bare parsers of the same file, in the same run."""

from __future__ import annotations

import gc
import os
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from tests.bench.registry import Row, bench
from tests.logs.exports import Readings, Style, example, write

COMMON = {
    "ISO stamps, commas": Style(),
    "title, month first, AM/PM, °F": Style(
        preamble=1, stamp="%m/%d/%y %I:%M:%S %p", temperature_unit="degF", units="comma", counter=True, quoted="header",
        encoding="utf-8-sig", end="\r\n",
    ),
    "day first, semicolons, decimal commas": Style(
        language="de", delimiter=";", decimal=",", stamp="%d.%m.%Y %H:%M", units="paren", encoding="cp1252", end="\r\n"
    ),
    "tabs, split date and time": Style(delimiter="\t", stamp="%Y-%m-%d %H:%M:%S", split=True),
    "day first with slashes, commas": Style(language="fr", stamp="%d/%m/%Y %H:%M", end="\r\n"),
}  # fmt: skip
"""The commonest five styles."""
ODD = {
    "UTF-16, tabs": Style(encoding="utf-16", delimiter="\t"),
    "footers and repeated headers": Style(footer=True, repeat_header=True, events="rows"),
    "ragged rows": Style(ragged=True, events="column", trailing=True),
    "every cell quoted, decimal commas": Style(quoted="all", decimal=",", stamp="%d.%m.%Y %H:%M"),
    "aligned by blanks": Style(delimiter="aligned", missing="---"),
    "month names": Style(stamp="%d-%b-%Y %H:%M:%S"),
    "unpadded US stamps": Style(stamp="%-m/%-d/%Y %-H:%M"),
    "epoch seconds": Style(stamp="epoch_s"),
    "spreadsheet days": Style(stamp="serial"),
    "thousands": Style(thousands=True, delimiter=";", decimal=","),
    "newest first, marks for no reading": Style(reverse=True, missing="-999"),
}
COMMON_LIMIT, ODD_LIMIT = 2.0, 8.0
YEAR, SMALL = 105_120, 2_000


def best(run: Callable[[], object], times: int) -> float:
    """Shortest of several runs. [s]"""
    made: list[float] = []
    for _ in range(times):
        gc.collect()
        start = time.perf_counter()
        run()
        made.append(time.perf_counter() - start)
    return min(made)


def best_of(runs: Sequence[Callable[[], object]], times: int) -> list[float]:
    """Shortest time of each, taken in turns so that whatever else the machine does meets all alike. [s]"""
    made = [[best(run, 1) for run in runs] for _ in range(times)]
    return [min(column) for column in zip(*made, strict=True)]


def on_free_cores(run: Callable[[], object]) -> float:
    """Time that a run would take if nothing else used the machine: that of its own thread, and that of its pool
    shared by the cores. Taken from processor time, so that other work does not count. [s]"""
    gc.collect()
    whole, own = time.process_time(), time.thread_time()
    run()
    own = time.thread_time() - own
    pool = time.process_time() - whole - own
    return own + pool / (os.cpu_count() or 1)


def _bare(path: Path, style: Style, *, small: bool) -> Callable[[], object]:
    """``pyarrow.csv.read_csv`` of the file, told its delimiter and decimal mark; stamps other than ISO stay text."""
    import pyarrow.csv as csv

    delimiter, skip = style.delimiter, style.preamble + 1
    if style.encoding.startswith("utf-16") or style.footer or style.ragged or style.delimiter == "aligned":
        # what the parser itself cannot take: the same readings in a file that it can
        path = path.with_name("plain.csv")
        style = Style()
        path.write_bytes(write(_readings(SMALL if small else YEAR), style))
        delimiter, skip = style.delimiter, 1

    def run() -> object:
        return csv.read_csv(
            path, read_options=csv.ReadOptions(autogenerate_column_names=True, skip_rows=skip),
            parse_options=csv.ParseOptions(delimiter=delimiter),
            convert_options=csv.ConvertOptions(decimal_point=style.decimal if not style.thousands else "."),
        )  # fmt: skip

    return run


def _on_free_cores(runs: Sequence[Callable[[], object]], times: int) -> float:
    """Ratio of the second to the first of some runs."""
    made = [[on_free_cores(run) for run in runs[:2]] for _ in range(times)]
    bare, ours = (min(column) for column in zip(*made, strict=True))
    return ours / bare


def _pandas(path: Path, style: Style) -> Callable[[], object]:
    import pandas as pd

    def run() -> object:
        frame = pd.read_csv(
            path, sep=style.delimiter, decimal=style.decimal, skiprows=style.preamble, encoding=style.encoding
        )
        stamp = frame.iloc[:, 1 if style.counter else 0]
        if style.split:
            stamp = stamp + " " + frame.iloc[:, 1]
        return pd.to_datetime(stamp, format=style.stamp)

    return run


_kept: dict[int, Readings] = {}


def _readings(count: int) -> Readings:
    if count not in _kept:
        _kept[count] = example(count=count, step_min=5, start="2025-01-01T00:00")
    return _kept[count]


@bench("parse")
def parse(small: bool) -> list[Row]:
    """One year at 5 min, three channels, in each style: from the path to typed times and values.

    The parse of a log opens the file, sniffs it and gives seconds and floats, whatever the stamps; making
    channels of them, finding faults and hashing are in a row of their own.
    """
    from stillwall.logs.read import parse_file, read_log
    from stillwall.survey.loggers import LoggerSettings

    rows: list[Row] = []
    readings = _readings(SMALL if small else YEAR)
    with tempfile.TemporaryDirectory() as folder:
        for styles, limit in ((COMMON, COMMON_LIMIT), (ODD, ODD_LIMIT)):
            for name, style in styles.items():
                path = Path(folder) / "log.csv"
                path.write_bytes(write(readings, style))
                times = 1 if small else 15
                runs = (
                    _bare(path, style, small=small),
                    lambda: parse_file(path, "log.csv", LoggerSettings()),  # noqa: B023 - run at once
                    lambda: read_log(path, name="log.csv"),  # noqa: B023
                )
                bare, ours, whole = best_of(runs, times)
                note = f"{1e3 * ours:.1f} ms against {1e3 * bare:.1f}; {_on_free_cores(runs, times):.2f} x on free cores"
                if styles is COMMON:
                    other = best(_pandas(path, style), 1 if small else 2)
                    note += f"; pandas with to_datetime {other / ours:.1f} x ours"
                rows.append(Row(f"{name}: parse / pyarrow", ours / bare, "x", limit, note))
                rows.append(Row("  with channels, faults and hash", whole / bare, "x"))
    return rows


@bench("parse-memory")
def memory(small: bool) -> list[Row]:
    """Peak memory of a process that reads one long file."""
    import resource
    import subprocess
    import sys

    count = 20_000 if small else 2_000_000
    rows: list[Row] = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        seconds = np.arange(count) * 30
        stamps = np.datetime_as_string(
            np.datetime64("2024-01-01T00:00:00") + seconds.astype("timedelta64[s]")
        )
        for name, head, make in (
            ("typed", "Time,Temp (°C),RH (%),Light (lx)\n", ","),
            ("text", "Time;Temp (°C);RH (%);Light (lx)\n", ";"),
        ):
            with path.open("w", encoding="utf-8") as out:
                out.write(head)
                for row in range(0, count, 50_000):
                    out.writelines(
                        make.join(
                            (stamp, f"{19 + at % 70 / 10:.2f}", f"{45 + at % 90 / 10:.1f}", str(at % 400))
                        )
                        + "\n"
                        for at, stamp in enumerate(stamps[row : row + 50_000].tolist(), row)
                    )
                if name == "text":
                    out.write("Maximum;25;60;400\n")
            code = (
                "import resource,sys; from pathlib import Path; from stillwall.logs.read import read_log; "
                f"log = read_log(Path({str(path)!r}), name='log.csv'); assert len(log.channels[0].values) == {count}; "
                "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
            )
            peak = int(
                subprocess.run(
                    [sys.executable, "-c", code], capture_output=True, text=True, check=True
                ).stdout
            )
            rows.append(Row(f"{count:,} rows, {name} path: peak memory", peak / 1024, "MB", 600.0))
    del resource
    return rows

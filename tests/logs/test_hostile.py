"""What is no log is refused at once, in words."""

from __future__ import annotations

import os
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import numpy as np
import pytest

from stillwall.errors import LogError
from stillwall.logs.read import read_log

AT_ONCE_S = 2.0
LARGEST_A_ROW = 220
"""Bytes a row of three channels, so that two million rows stay within 600 MB with all that is loaded."""


def _refusal(path: Path) -> tuple[str, float]:
    """The message, and the processor time that it took, which other work on the machine does not change. [s]"""
    start = time.process_time()
    with pytest.raises(LogError) as refused:
        read_log(path, name="hall.csv")
    return str(refused.value), time.process_time() - start


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"\x89PNG\r\n\x1a\n" + bytes(200), "picture"),
        (b"\xff\xd8\xff\xe0" + bytes(200), "picture"),
        (b"%PDF-1.7\n...", "PDF"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "old spreadsheet"),
        (b"\x1f\x8b\x08" + bytes(50), "gzip"),
        (b"Time,Temp (\xc2\xb0C)\n2026-01-01 00:00,2\x00.5\n", "zero bytes"),
        (b"nothing to see here\n" * 50, "no rows of readings"),
        (b"Time,Temp (C),RH (%)\n", "no rows of readings"),
        (b"\n\n\n", "no rows of readings"),
        (b'"', "no rows of readings"),
    ],
)
def test_what_is_no_log_is_refused(content: bytes, said: str, tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    path.write_bytes(content)
    message, seconds = _refusal(path)
    assert said in message
    assert message.startswith("hall.csv")
    assert seconds < AT_ONCE_S


def test_a_spreadsheet_called_csv(tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    with zipfile.ZipFile(path, "w") as book:
        book.writestr("xl/workbook.xml", "<workbook/>")
    assert "spreadsheet" in _refusal(path)[0]


def test_a_folder_a_pipe_and_nothing(tmp_path: Path) -> None:
    assert "a folder" in _refusal(tmp_path)[0]
    assert "no such file" in _refusal(tmp_path / "missing.csv")[0]
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.csv")
        message, seconds = _refusal(tmp_path / "pipe.csv")
        assert "pipe" in message
        assert seconds < AT_ONCE_S


@pytest.mark.parametrize(
    "line", [b"lorem ipsum, dolor; sit amet 12.5 \n", b"x" * 1000, b"1,2,3,4,5\n", b"\xfe\x01"]
)
def test_much_garbage_is_refused_at_once(line: bytes, tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    size = 200_000_000
    with path.open("wb") as out:
        block = line * (4_000_000 // len(line))
        for _ in range(size // len(block)):
            out.write(block)
    _, seconds = _refusal(path)
    assert seconds < AT_ONCE_S


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (b"lorem ipsum, dolor; sit amet 12.5\n", "are no readings"),
        (b"a,b,c,d,e,f,g,h\n1\n", "are no readings"),
        (b"2026-02-01 00:00,1x5,2\n", "'1x5' in column 'Temp (C)' (and more than 1,000 like it)"),
        (b'\xb7\x01\x00"\x1f\r\n', "are no readings"),
    ],
)
def test_a_log_that_goes_on_as_garbage_is_refused_at_once(line: bytes, said: str, tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    with path.open("wb") as out:
        out.write(b"Time,Temp (C),RH (%)\n")
        out.writelines(b"2026-01-%02d %02d:00,18.5,50\n" % (1 + row // 24, row % 24) for row in range(500))
        for _ in range(50):
            out.write(line * (2_000_000 // len(line)))
    message, seconds = _refusal(path)
    assert said in message
    assert seconds < AT_ONCE_S


MEMORY = """
import resource
from pathlib import Path
from stillwall.logs.read import read_log
log = read_log(Path({path!r}), name="log.csv")
print(len(log.channels[0].values), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


@pytest.mark.parametrize("last", ["", "Maximum,25,60,400\n"], ids=["typed", "with a footer"])
def test_memory_grows_by_few_bytes_a_row(last: str, tmp_path: Path) -> None:
    pytest.importorskip("resource")
    peaks: list[int] = []
    for count in (20_000, 320_000):
        path = tmp_path / "log.csv"
        stamps = np.datetime64("2024-01-01T00:00") + np.arange(count) * np.timedelta64(1, "m")
        with path.open("w", encoding="utf-8") as out:
            out.write("Time,Temp (°C),RH (%),Light (lx)\n")
            out.writelines(
                f"{stamp},{19 + at % 70 / 10:.2f},{45 + at % 90 / 10:.1f},{at % 400}\n"
                for at, stamp in enumerate(stamps.tolist())
            )
            out.write(last)
        said = subprocess.run(
            [sys.executable, "-c", MEMORY.format(path=str(path))], capture_output=True, text=True, check=True
        )
        rows, peak = map(int, said.stdout.split())
        assert rows == count
        peaks.append(1024 * peak)
    assert (peaks[1] - peaks[0]) / 300_000 < LARGEST_A_ROW


def test_a_link_is_followed_to_its_file(tmp_path: Path) -> None:
    (tmp_path / "real.csv").write_text(
        "Time,Temp (C)\n2026-01-13 10:00,18.5\n2026-01-13 10:30,18.6\n", encoding="utf-8"
    )
    (tmp_path / "hall.csv").symlink_to(tmp_path / "real.csv")
    assert len(read_log(tmp_path / "hall.csv", name="hall.csv").channels[0].values) == 2


def test_the_bad_cell_is_named_by_its_line(tmp_path: Path) -> None:
    rows = [f"2026-01-13 {hour:02d}:00,18.5,{50 + hour}" for hour in range(24)]
    rows[3] = "2026-01-13 03:00,18.5,5x2"
    rows[9] = "2026-01-13 09:00,18.5,5x2"
    path = tmp_path / "hall.csv"
    path.write_text("Hall\nTime,Temp (C),RH (%)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    with pytest.raises(LogError) as refused:
        read_log(path, name="hall.csv")
    fault = refused.value.faults[0]
    assert fault.where == "hall.csv:6"
    assert "'5x2' in column 'RH (%)' (and 1 more like it)" in fault.found


def test_a_decimal_comma_among_points_is_named(tmp_path: Path) -> None:
    rows = [f'2026-01-13 {hour:02d}:00,"18.{hour:02d}"' for hour in range(24)]
    rows[20] = '2026-01-13 20:00,"18,5"'
    path = tmp_path / "hall.csv"
    path.write_text("Time,Temp (C)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    with pytest.raises(LogError) as refused:
        read_log(path, name="hall.csv")
    assert refused.value.faults[0].where == "hall.csv:22"
    assert "decimal point" in refused.value.faults[0].expected


def test_hours_of_a_half_day_without_am_and_pm_are_refused(tmp_path: Path) -> None:
    stamps = [f"2026-01-{13 + row // 24} {(row % 12) or 12:02d}:00" for row in range(72)]
    path = tmp_path / "hall.csv"
    path.write_text("Time,Temp (C)\n" + "".join(f"{stamp},18.5\n" for stamp in stamps), encoding="utf-8")
    assert "AM or PM" in _refusal(path)[0]

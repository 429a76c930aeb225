"""A short run of the fuzz, and files that it once found to be read wrongly."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest

from stillwall.errors import LogError
from stillwall.logs.read import read_log
from tests.logs.exports import Style, example, write
from tests.logs.fuzz import KINDS, assert_sound, attempt, files

FILES = 60


def test_broken_files_are_read_or_refused(tmp_path: Path) -> None:
    path = tmp_path / "export.csv"
    read: dict[str, list[bool]] = {kind: [] for kind in KINDS}
    for kind, data in itertools.islice(files(seed=7), FILES):
        path.write_bytes(data)
        read[kind].append(attempt(path))
    assert all(len(tried) == FILES // len(KINDS) for tried in read.values())
    assert any(read["sound exports"])
    assert not any(read["any bytes"])


def test_rows_out_of_order_and_twice_are_flagged_where_they_are(tmp_path: Path) -> None:
    path = tmp_path / "export.csv"
    lines = write(example(count=100), Style(reverse=True)).decode("utf-8").splitlines()
    lines[40], lines[43] = lines[43], lines[40]
    lines[60:60] = [lines[1], lines[70]]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    log = read_log(path, name="export.csv")
    assert_sound(log)
    (flag,) = (flag for flag in log.channels[0].flags if flag.name == "out_of_order")
    assert flag.count >= len(flag.where) > 0
    assert (np.diff(flag.where) > 0).all()


def test_a_line_with_a_quote_amid_a_cell_is_refused_by_the_name_of_its_file(tmp_path: Path) -> None:
    path = tmp_path / "export.csv"
    lines = (
        write(example(count=120), Style(quoted="all", stamp="%d-%m-%Y, %H:%M")).decode("utf-8").splitlines()
    )
    lines[70] = "45000.5" + lines[70]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(LogError) as refused:
        read_log(path, name="export.csv")
    assert refused.value.faults[0].where.startswith("export.csv:")

"""Stamps read by runs are those read row by row; lines set aside leave the others as they were."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.logs.arrow import pa
from stillwall.logs.dates import Stamps
from stillwall.logs.families import read_by_row
from stillwall.logs.read import parse_file, read_log
from stillwall.logs.steady import read_stamps
from stillwall.survey.loggers import LoggerSettings
from tests.logs.exports import STAMPS, Style, example, write

FORMS = (
    *(stamp for stamp in STAMPS if "%" in stamp), "%H:%M", "%H:%M:%S", "%-H:%M", "%d.%m.%Y", "%Y-%m-%d", "%H.%M",
    "%d/%m/%y %I.%M %p", "%a %d %b %Y %H:%M", "%Y-%m-%d %H h %M min %S s", "%d.%m.%Y %H:%M  ", "%Y-%m-%d %H:%M:%S,000",
)  # fmt: skip
START = dt.datetime(2026, 2, 26, 20, 30)  # noqa: DTZ001


def _column(form: str, step_s: int, count: int = 400) -> list[str]:
    return [(START + dt.timedelta(seconds=step_s * row)).strftime(form) for row in range(count)]


def _same(found: Stamps, wanted: Stamps) -> None:
    assert (found.read == wanted.read).all()
    good = wanted.read
    for name in ("parts", "open_order", "day_of_year", "offset_min"):
        assert (found.by_row(getattr(found, name))[good] == getattr(wanted, name)[good]).all(), name
    assert (found.second[good] == wanted.second[good]).all()
    for name in ("has_date", "has_time", "half_day", "top_hour"):
        assert getattr(found, name) == getattr(wanted, name), name


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("step_s", [60, 617, 3600])
def test_runs_and_rows_agree(form: str, step_s: int) -> None:
    column = pa.array(_column(form, step_s))
    _same(read_stamps(column), read_by_row(column))
    parts = pa.chunked_array([column[:0], column[:7], column[7:150], column[150:]])
    _same(read_stamps(parts), read_by_row(column))


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    st.sampled_from(FORMS),
    st.sampled_from((60, 600, 3600)),
    st.lists(st.tuples(st.integers(0, 399), st.integers(0, 30), st.sampled_from("0123456789:/-. APMamT\x00é")), max_size=3),
)  # fmt: skip
def test_a_changed_character_is_read_alike(
    form: str, step_s: int, changes: list[tuple[int, int, str]]
) -> None:
    stamps = _column(form, step_s)
    for row, place, char in changes:
        place %= len(stamps[row])
        stamps[row] = stamps[row][:place] + char + stamps[row][place + 1 :]
    column = pa.array(stamps)
    _same(read_stamps(column), read_by_row(column))


def test_hours_that_are_none_are_not_read_by_runs() -> None:
    for form, bad in (
        ("%H:%M:%S", "25:00:00"),
        ("%H:%M:%S", "10:60:00"),
        ("%I:%M %p", "00:10 AM"),
        ("%I:%M %p", "13:10 PM"),
    ):
        stamps = _column(form, 60)
        stamps[200] = bad
        found = read_stamps(pa.array(stamps))
        assert np.flatnonzero(~found.read).tolist() == [200], bad
    stamps = _column("%d.%m.%Y %H:%M", 60)
    stamps[200] = "27.02.2026 24:00"
    found = read_stamps(pa.array(stamps))
    assert found.read.all()
    assert found.second[200] == 86_400


def test_dates_that_stand_for_runs_can_be_taken_by_row() -> None:
    column = pa.array(_column("%d.%m.%Y %H:%M", 600))
    rows = np.array([399, 3, 3, 200])
    found = read_stamps(column)
    assert found.lengths is not None
    taken = replace(found.take(rows), top_hour=21)
    _same(taken, read_by_row(column.take(pa.array(rows))))


PLAIN = Style(stamp="%d.%m.%Y %H:%M")
DISTURBED = {
    "headers again and a footer": replace(PLAIN, repeat_header=True, footer=True, blank_lines=True),
    "aligned": replace(PLAIN, delimiter="aligned", missing="---"),
    "ragged": replace(PLAIN, ragged=True, trailing=True, events="column"),
    "quoted, a footer": replace(PLAIN, quoted="all", footer=True, repeat_header=True),
    "Windows-1252, CRLF": replace(PLAIN, encoding="cp1252", end="\r\n", repeat_header=True, language="fr"),
    "split, headers again": replace(PLAIN, stamp="%Y-%m-%d %H:%M", split=True, repeat_header=True),
    "several sensors in rows": replace(PLAIN, layout="interleaved", sensors=2, repeat_header=True),
}


@pytest.mark.parametrize("style", DISTURBED.values(), ids=DISTURBED)
def test_disturbed_files_give_the_readings_of_plain_ones(style: Style, tmp_path: Path) -> None:
    readings = example(count=500, sensors=style.sensors)
    undisturbed = Style(stamp=style.stamp, sensors=style.sensors, layout=style.layout, split=style.split)
    paths = tmp_path / "plain.csv", tmp_path / "disturbed.csv"
    for path, one in zip(paths, (undisturbed, style), strict=True):
        path.write_bytes(write(readings, one))
    plain, disturbed = (read_log(path, name="log.csv") for path in paths)
    assert len(plain.channels) == len(disturbed.channels)
    for one, other in zip(plain.channels, disturbed.channels, strict=True):
        assert (one.times == other.times).all()
        assert np.abs(one.values - other.values).max() < 1e-9


def test_lines_are_numbered_as_in_the_file_where_some_are_set_aside(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(write(example(count=300), DISTURBED["headers again and a footer"]))
    _, _, (parsed,) = parse_file(path, "log.csv", LoggerSettings())
    lines = path.read_text(encoding="utf-8").splitlines()
    assert parsed.rows.lines is not None
    first, last = (lines[int(line) - 1] for line in parsed.rows.lines[[0, -1]])
    assert first.startswith("08.01.2026 00:00")
    assert last.startswith("14.01.2026 05:30")
    assert parsed.rows.dropped["header"] == 1


def test_lines_with_an_open_quote_are_counted(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    lines = write(example(count=300), Style()).decode("utf-8").split("\n")
    lines[120] += ',"door'
    lines[121] = 'opened"'
    path.write_text("\n".join(lines), encoding="utf-8")
    log = read_log(path, name="log.csv")
    assert len(log.channels[0].values) == 298
    assert "2 lines with an open quote left out" in log.notes

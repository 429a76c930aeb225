"""Files built from random choices of style give back the readings that went in, exactly."""

# ruff: noqa: PT017
from __future__ import annotations

import tempfile
from dataclasses import fields
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from stillwall.errors import LogError
from stillwall.logs.quantities import convert
from stillwall.logs.read import read_log
from stillwall.record import Role
from tests.logs.exports import (
    DELIMITERS,
    ENCODINGS,
    ENDS,
    LANGUAGES,
    MISSING,
    STAMPS,
    Readings,
    Style,
    example,
    in_file,
    roles_of,
    units_of,
    write,
)

SOMETIMES = st.sampled_from((False, False, False, True))
CHOICES = {
    "language": st.sampled_from(sorted(LANGUAGES)),
    "wording": st.integers(0, 3),
    "delimiter": st.sampled_from(DELIMITERS),
    "decimal": st.sampled_from((".", ",")),
    "thousands": SOMETIMES,
    "quoted": st.sampled_from(("none", "none", "header", "text", "all")),
    "encoding": st.sampled_from(ENCODINGS),
    "end": st.sampled_from(ENDS),
    "last_end": st.sampled_from((True, True, False)),
    "stamp": st.sampled_from(STAMPS),
    "split": SOMETIMES,
    "preamble": st.sampled_from((0, 0, 1, 3, 8, 40)),
    "units": st.sampled_from(("bracket", "paren", "comma", "row", "none", "column")),
    "temperature_unit": st.sampled_from(("degC", "degC", "degF", "K")),
    "fraction": SOMETIMES,
    "light_unit": st.sampled_from(("lx", "lx", "klx", "fc")),
    "light": st.booleans(),
    "counter": SOMETIMES,
    "battery": SOMETIMES,
    "statistics": SOMETIMES,
    "events": st.sampled_from(("none", "none", "rows", "column")),
    "repeat_header": SOMETIMES,
    "footer": SOMETIMES,
    "missing": st.sampled_from(MISSING),
    "reverse": SOMETIMES,
    "ragged": SOMETIMES,
    "sensors": st.sampled_from((1, 1, 1, 2, 3)),
    "layout": st.sampled_from(("wide", "wide", "wide", "interleaved", "long")),
    "zone_in_header": SOMETIMES,
    "padded": SOMETIMES,
    "blank_lines": SOMETIMES,
    "trailing": SOMETIMES,
}


def possible(choice: dict[str, object]) -> Style:
    """A style whose choices go together: what no file can say is left unsaid."""
    made = dict(choice)
    if made["delimiter"] == "aligned":
        made |= {"quoted": "none", "events": "none", "missing": made["missing"] or "---", "counter": False}
        made |= dict.fromkeys(("ragged", "trailing", "footer", "padded"), False)
        if made["units"] in ("row", "column"):
            made["units"] = "bracket"
    if made["layout"] != "wide":
        made |= {"statistics": False, "battery": False}
        made["events"] = "none" if made["events"] == "rows" else made["events"]
        made["units"] = "none" if made["layout"] == "long" else made["units"]
        made["units"] = "paren" if made["units"] in ("row", "column") else made["units"]
    if made["units"] == "none" and made["layout"] != "long":
        made |= {"temperature_unit": "degC", "light_unit": "lx"}
    if made["encoding"] == "cp1252" and made["language"] == "cs":
        made["encoding"] = "utf-8"
    if made["units"] in ("row", "none") or made["sensors"] != 1:
        made["statistics"] = False
    return Style(**made)  # type: ignore[arg-type]


def zoned(style: Style) -> bool:
    """Whether the file says that its clock is an hour ahead of UTC."""
    if style.stamp.endswith("+01:00"):
        return True
    return style.zone_in_header and style.stamp.startswith("%") and not style.stamp.endswith("Z")


def expected(readings: Readings, style: Style) -> dict[tuple[Role, int], tuple[np.ndarray, np.ndarray]]:
    """Times and values that must come back, by role and sensor."""
    made: dict[tuple[Role, int], tuple[np.ndarray, np.ndarray]] = {}
    for sensor in range(style.sensors):
        for role in roles_of(style):
            unit = units_of(style)[role]
            rows = [
                row for row in range(len(readings.times)) if role != "humidity" or row not in readings.gaps
            ]
            written = np.array([in_file(float(getattr(readings, role)[row, sensor]), unit) for row in rows])
            times = np.array([np.datetime64(readings.times[row], "s") for row in rows])
            made[role, sensor] = (  # type: ignore[index]
                times - np.timedelta64(3600 if zoned(style) else 0, "s"), convert(written, role, unit),  # type: ignore[arg-type]
            )  # fmt: skip
    return made


def test_there_are_twenty_dimensions_and_more() -> None:
    assert set(CHOICES) == {field.name for field in fields(Style)}
    assert len(CHOICES) >= 20


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(st.fixed_dictionaries(CHOICES), st.integers(0, 2**16))
def test_readings_come_back_exactly(choice: dict[str, object], seed: int) -> None:
    style = possible(choice)
    readings = example(sensors=style.sensors, seed=seed)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "export.csv"
        path.write_bytes(write(readings, style))
        log = read_log(path, name="export.csv")
    wanted = expected(readings, style)
    assert len(log.channels) == len(wanted)
    for (role, sensor), (times, values) in wanted.items():
        found = [
            channel
            for channel in log.channels
            if channel.role == role
            and (style.sensors == 1 or (channel.sensor or "").endswith(f"Z{sensor + 1}"))
        ]
        assert len(found) == 1
        assert (found[0].times == times).all()
        assert np.abs(found[0].values - values).max() < 1e-6


def _kept(path: Path) -> dict[str, set[tuple[object, float]]]:
    made: dict[str, set[tuple[object, float]]] = {}
    for channel in read_log(path, name="export.csv").channels:
        times, values = channel.kept
        made.setdefault(channel.role, set()).update(
            zip(times.tolist(), values.round(9).tolist(), strict=True)
        )
    return made


CUT = (
    Style(),
    Style(language="de", delimiter=";", decimal=",", stamp="%d.%m.%Y %H:%M", preamble=3, counter=True),
    Style(stamp="%m/%d/%y %I:%M:%S %p", temperature_unit="degF", quoted="all", end="\r\n", last_end=False),
    Style(language="it", delimiter="\t", encoding="utf-16", units="row", battery=True, padded=True),
    Style(language="cs", delimiter="|", layout="interleaved", stamp="%-d.%-m.%Y %-H:%M:%S", decimal=","),
)  # fmt: skip


def test_a_file_cut_at_any_byte_is_refused_or_is_the_shorter_record(tmp_path: Path) -> None:
    path = tmp_path / "export.csv"
    for style in CUT:
        data = write(example(count=6, sensors=style.sensors, start="2026-01-13T22:30"), style)
        path.write_bytes(data)
        whole = _kept(path)
        for size in range(1, len(data)):
            path.write_bytes(data[:size])
            try:
                part = _kept(path)
            except LogError:
                continue
            for role, readings in part.items():
                assert readings <= whole[role], (style, size)


@settings(max_examples=150, deadline=2_000, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(st.binary(min_size=1, max_size=400))
def test_raw_bytes_are_read_or_refused(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "export.csv"
        path.write_bytes(data)
        try:
            log = read_log(path, name="export.csv", zone="Europe/Dublin")
        except LogError as error:
            assert error.faults[0].where.startswith("export.csv")
        else:
            assert all(np.isfinite(channel.values).all() for channel in log.channels)


@settings(max_examples=200, deadline=4_000, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(
    st.fixed_dictionaries(CHOICES),
    st.lists(
        st.tuples(st.integers(0, 10**6), st.binary(max_size=6), st.integers(0, 30)), min_size=1, max_size=8
    ),
)
def test_damaged_files_are_read_or_refused(
    choice: dict[str, object], damage: list[tuple[int, bytes, int]]
) -> None:
    style = possible(choice)
    data = bytearray(write(example(count=30, sensors=style.sensors), style))
    assume(len(data) > 0)
    for at, put, cut in damage:
        place = at % len(data)
        data[place : place + cut] = put
        assume(len(data) > 0)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "export.csv"
        path.write_bytes(bytes(data))
        try:
            log = read_log(path, name="export.csv", zone="Australia/Sydney")
        except LogError as error:
            assert error.faults
        else:
            for channel in log.channels:
                assert (np.diff(channel.times.astype(np.int64)) > 0).all()
                assert np.isfinite(channel.values).all()

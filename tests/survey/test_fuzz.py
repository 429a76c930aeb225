"""Whatever a survey holds, reading it ends in a survey or in faults that a person can read, and soon."""

from __future__ import annotations

import json
import tempfile
import time
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.errors import Fault, SurveyError
from stillwall.survey.entries import MODELS
from stillwall.survey.read import read_survey
from stillwall.survey.rows import shape_of
from stillwall.survey.survey import Survey, SurveyHead
from tests.survey.folders import LIBRARY, SMALL
from tests.survey.test_start import taken_up

WHOLE = taken_up(resources.files("stillwall.survey").joinpath("start.toml").read_text("utf-8"))
LINES = WHOLE.splitlines(keepends=True)
KEYS = sorted({key for model in (SurveyHead, *MODELS.values()) for key in shape_of(model).keys})


def read(content: bytes) -> Survey | None:
    """The survey, or None after faults that are fit to be shown."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "survey.toml").write_bytes(content)
        began = time.process_time()
        found: Survey | None = None
        faults: tuple[Fault, ...] = ()
        try:
            found = read_survey(folder, library=LIBRARY)
        except SurveyError as error:
            faults = error.faults
        assert time.process_time() - began < 20
        assert (found is None) == bool(faults)
        for fault in faults:
            assert all((fault.where, fault.found, fault.expected, fault.fix))
            assert str(fault).isprintable()
        return found


@given(st.binary(max_size=400))
def test_any_bytes(content: bytes) -> None:
    read(content)


@given(st.text(alphabet="[]{}=\"'\\#.,\n \t0123456789abwl-_:TZ+\u00e9\u202e", max_size=200))
def test_any_text_that_is_like_toml(text: str) -> None:
    read((SMALL + text).encode())


@settings(max_examples=60)
@given(st.data())
def test_a_whole_survey_with_lines_lost_moved_or_spoiled(data: st.DataObject) -> None:
    lines = list(LINES)
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(lines) - 1))
        what = data.draw(st.sampled_from(["lose", "twice", "cut", "spoil", "move"]))
        if what == "lose":
            del lines[place]
        elif what == "twice":
            lines.insert(place, lines[place])
        elif what == "cut":
            lines[place] = lines[place][: data.draw(st.integers(0, max(0, len(lines[place]) - 1)))] + "\n"
        elif what == "spoil":
            spot = data.draw(st.integers(0, max(0, len(lines[place]) - 1)))
            letter = data.draw(st.sampled_from(list("[]{}=\"'\\#.,-9 x\u0000\u00bd")))
            lines[place] = lines[place][:spot] + letter + lines[place][spot + 1 :]
        else:
            lines.insert(data.draw(st.integers(0, len(lines) - 1)), lines.pop(place))
    read("".join(lines).encode())


SCALARS = (
    st.booleans()
    | st.integers(-(2**70), 2**70)
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(
        [
            "6 ft",
            "6 ft x 8 ft",
            "hall",
            "hall-north",
            "lime-avenue",
            "2026-02-30",
            "yes",
            "../x",
            "north",
            "led",
            "1 K",
        ]
    )
    | st.dates()
    | st.datetimes()
)
NAMES = st.sampled_from(KEYS) | st.text(max_size=6)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=6), inner, max_size=3)
    ),
    max_leaves=8,
)
ENTRIES = st.dictionaries(NAMES, VALUES, max_size=8)
TABLES = st.dictionaries(
    st.sampled_from([*MODELS, "survey", "logger", "window", "door", "wal"]),
    ENTRIES | st.lists(ENTRIES, max_size=3),
    max_size=5,
)


def toml(value: Any) -> str:
    """A value as TOML."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(max(-(2**63), min(2**63 - 1, value)))
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, str):
        return json.dumps(value).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{toml(key)} = {toml(one)}" for key, one in value.items()) + "}"
    return str(value.isoformat())


@settings(max_examples=200)
@given(TABLES)
def test_any_tables(tables: dict[str, Any]) -> None:
    text = "".join(f"{toml(name)} = {toml(value)}\n" for name, value in tables.items())
    read(text.encode("utf-8", "replace"))


@settings(max_examples=150)
@given(st.sampled_from(sorted(MODELS)), st.data())
def test_any_value_under_any_key(table: str, data: st.DataObject) -> None:
    keys = st.sampled_from(sorted(shape_of(MODELS[table]).keys))
    entry = data.draw(st.dictionaries(keys, VALUES, max_size=6))
    text = f"[[{table}]]\n" + "".join(f"{toml(key)} = {toml(value)}\n" for key, value in entry.items())
    read((SMALL + text).encode("utf-8", "replace"))


@pytest.mark.parametrize(
    "content",
    [
        b"a = " + b"[" * 100_000,
        b"a = " + b"{a=" * 100_000,
        b"[" + b"a." * 100_000 + b"a]",
        b"a." * 500_000 + b"a = 1",
        b'"a" . ' * 200_000 + b"a = 1",
        b"a = 0x" + b"f" * 100_000,
        b"[survey]\nseed = 0x" + b"f" * 9_000,
        b"[[room]]\nid = 'a'\nfloor = 0x" + b"f" * 9_000,
        b"[[wall]]\nid = 'a'\nroom = 'a'\npeople_per_day = 0x" + b"f" * 9_000,
        b"[[wall]]\n" * 100_000,
        b"[[wall]]\nthemes = [" + b"1," * 300_000 + b"]",
        b"[[wall]]\nthemes = [" + b"'x'," * 300_000 + b"]",
        b"[[wall]]\nid = '" + b"x" * 1_000_000 + b"'",
        b"[[wall]]\nheight = '" + b"1 1/2 " * 200_000 + b"'",
        b"[[work]]\nframed = '" + b"1 x " * 200_000 + b"'",
        b"x" * 1_000_000,
        b"\n" * 1_000_000,
        b"# " + b"x." * 500_000,
        b"[survey]\nname = '''" + b"\n" * 300_000,
        b"[survey]\n" + b"x = y\n" * 50_000,
        b"[survey]\n" + b"x = 2026-02-30\n" * 20_000,
        b"[survey]\n" + b'"' * 300_001,
        b"\x00" * 1000,
        "[survey]\nname = '\u202e\u2066'\n".encode(),
        b"\xff\xfe[\x00",
    ],
)
def test_hostile_texts_end_in_faults_soon(content: bytes) -> None:
    began = time.process_time()
    assert read(content) is None or content.strip(b"\n") == b"" or content.startswith(b"# ")
    assert time.process_time() - began < 20

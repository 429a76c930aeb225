"""Results as bytes and back: the same to the last bit, or told as damaged; nothing else ever comes of it."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import math
import sys

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

import stillwall
from stillwall.codec import DamagedError, NotStorableError, decode, encode
from stillwall.units import Amount
from tests.faults.house import build

PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**200), 2**200)
    | st.floats(allow_nan=False)
    | st.text(st.characters(exclude_categories=()))
    | st.dates()
    | st.datetimes(),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.lists(inner, max_size=4).map(tuple)
        | st.dictionaries(st.text(max_size=5) | st.integers(), inner, max_size=4)
    ),
    max_leaves=12,
)


def same(one: object, other: object) -> bool:
    """Whether two results are equal to the last bit, types and layouts of arrays among them."""
    if type(one) is not type(other):
        return False
    if isinstance(one, np.ndarray):
        return (
            one.dtype == other.dtype
            and one.shape == other.shape
            and (one.flags.f_contiguous, one.flags.c_contiguous)
            == (other.flags.f_contiguous, other.flags.c_contiguous)
            and one.tobytes() == other.tobytes()
        )
    if dataclasses.is_dataclass(one):
        return all(same(getattr(one, f.name), getattr(other, f.name)) for f in dataclasses.fields(one))
    if isinstance(one, dict):
        return same(list(one), list(other)) and all(same(one[key], other[key]) for key in one)
    if isinstance(one, tuple | list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float | np.floating):
        return np.float64(one).tobytes() == np.float64(other).tobytes()
    return bool(one == other)


@pytest.fixture(scope="module")
def results(tmp_path_factory):
    """Everything that loads of two works at two walls have computed from readings."""
    house = build(tmp_path_factory.mktemp("codec") / "house")
    opened = stillwall.open_survey(house, jobs=1, remember=False)
    for work in opened.survey.works:
        opened.rank(work=work)
    found = {}
    for place in opened.survey.places:
        found |= opened.site(place).memory
    return found


def test_every_result_of_an_exposure_comes_back_to_the_last_bit(results):
    assert len({key[:2] for key in results}) >= 8
    assert any(dataclasses.is_dataclass(value) for value in results.values())
    for key, value in results.items():
        back_key, back = decode(encode((key, value)))
        assert back_key == key
        assert hash(back_key) == hash(key)
        assert same(back, value), key


@given(PLAIN)
def test_plain_values_come_back(value):
    assert same(decode(encode(value)), value)


@pytest.mark.parametrize(
    "array",
    [
        np.zeros(0),
        np.zeros((0, 3)),
        np.array(2.5),
        np.arange(6.0).reshape(2, 3),
        np.asfortranarray(np.arange(6.0).reshape(2, 3)),
        np.arange(12.0)[::2],
        np.array(["2026-03-01"], "datetime64[s]"),
        np.array([True, False]),
        np.array([np.nan, -0.0, np.inf]),
    ],
)
def test_arrays_come_back_in_their_layout(array):
    back = decode(encode(array))
    assert back.tobytes() == array.tobytes()
    assert (back.dtype, back.shape) == (array.dtype, array.shape)
    assert back.flags.c_contiguous or array.flags.f_contiguous


def test_scalars_and_floats_that_are_no_numbers():
    assert decode(encode(np.float32(1.5))) == np.float32(1.5)
    assert decode(encode(np.datetime64("2026-03-01", "s"))) == np.datetime64("2026-03-01", "s")
    assert math.isnan(decode(encode(math.nan)))
    assert decode(encode(frozenset({"a", "b"}))) == frozenset({"a", "b"})


@pytest.mark.parametrize("value", [object(), {1, 2}, b"bytes", sys, len, np.array([object()]), 1j])
def test_kinds_that_are_not_kept_are_refused(value):
    with pytest.raises(NotStorableError):
        encode(value)


def test_a_byte_that_changed_or_is_gone_is_told(results):
    whole = encode(list(results.values())[:6])
    draw = np.random.default_rng(1)
    for at in draw.integers(0, len(whole), 300):
        flipped = bytearray(whole)
        flipped[at] ^= 1 << int(draw.integers(8))
        with pytest.raises(DamagedError):
            decode(bytes(flipped))
        with pytest.raises(DamagedError):
            decode(whole[:at])
    with pytest.raises(DamagedError):
        decode(whole + b"\0")


@given(st.binary(max_size=300))
def test_any_bytes_are_told_even_with_a_digest_that_fits(content):
    for made in (content, content + hashlib.sha256(content).digest()):
        with pytest.raises(DamagedError):
            decode(made)


def forged(tree: str, dtypes: tuple[str, ...] = (), shape: str = '{"of": [1], "order": "C"}') -> bytes:
    """A stream with a digest that fits, made by somebody else."""
    table = pa.table(
        {
            "dtype": pa.array(dtypes, pa.string()),
            "shape": pa.array([shape] * len(dtypes), pa.string()),
            "data": pa.array([b"\0" * 8] * len(dtypes), pa.large_binary()),
        }
    ).replace_schema_metadata({"tree": tree})
    sink = pa.BufferOutputStream()
    with pa.ipc.new_stream(sink, table.schema) as writer:
        writer.write_table(table)
    content = sink.getvalue().to_pybytes()
    return content + hashlib.sha256(content).digest()


@pytest.mark.parametrize(
    "name",
    [
        "os:system",
        "subprocess:Popen",
        "stillwall.__main__:main",
        "stillwall.cli.start:Path",
        "stillwall.codec:importlib",
        "stillwall.codec:decode",
        "stillwall.nowhere:Thing",
        "stillwall.store:partial",
        "stillwall.load:Draws",
        "stillwall:open_survey",
        "",
    ],
)
def test_what_is_no_dataclass_of_the_package_is_never_made(name):
    with pytest.raises(DamagedError):
        decode(forged(f'{{"@": "data", "c": "{name}", "v": {{}}}}'))


def test_a_forged_stream_that_is_sound_is_read_so_that_the_refusals_mean_something():
    tree = '{"@": "data", "c": "stillwall.units:Amount", "v": {"value": 1.0, "unit": "K"}}'
    assert decode(forged(tree)) == Amount(1.0, "K")
    assert decode(forged('{"@": "array", "n": 0}', ("<f8",))).tolist() == [0.0]


@pytest.mark.parametrize(
    "made",
    [
        forged("[" * 100_000),
        forged('{"@": "tuple", "v": ' * 3000 + "1" + "}" * 3000),
        forged('{"@": "spell"}'),
        forged('{"v": 1}'),
        forged('{"@": "array", "n": 7}'),
        forged('{"@": "date", "v": "2026-99-01"}'),
        forged('{"@": "dict", "v": [[{"@": "list", "v": []}, 1]]}'),
        forged('{"@": "data", "c": "stillwall.units:Amount", "v": {"colour": 1}}'),
        forged('{"@": "array", "n": 0}', ("O",)),
        forged('{"@": "array", "n": 0}', ("(",)),
        forged('{"@": "array", "n": 0}', ("<f8",), "[1]"),
        forged('{"@": "array", "n": 0}', ("<f8",), '{"of": [99999999999], "order": "C"}'),
    ],
)
def test_forged_streams_end_in_one_error(made):
    with pytest.raises(DamagedError):
        decode(made)


def test_moments_keep_their_offset():
    at = dt.datetime(2026, 3, 1, 12, 0, tzinfo=dt.timezone(dt.timedelta(hours=2)))
    assert decode(encode(at)) == at
    assert decode(encode(at)).utcoffset() == dt.timedelta(hours=2)

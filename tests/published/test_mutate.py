"""That the double entry would notice: a sample of what ``mutate.py`` does in full."""

import random
import shutil
import tomllib

import pytest

from tests.published.double_entry import DATA, data_files, file_differences
from tests.published.mutate import Datum, changed, data, other_words, refused, unnoticed

SAMPLE = 200


def count_in(item, key=""):
    """Data in a parsed table that are not prose: a second way of counting them."""
    prose = {"title", "note", "remark", "meant_for", "locator", "caution", "bar"}
    if isinstance(item, dict):
        return sum(count_in(value, name) for name, value in item.items())
    if isinstance(item, list):
        return sum(count_in(value, key) for value in item)
    return 0 if key in prose and isinstance(item, str) else 1


@pytest.mark.parametrize("file", data_files(), ids=lambda file: f"{file.parent.name}/{file.stem}")
def test_every_datum_of_a_file_is_changed(file):
    assert len(list(data([file]))) == count_in(tomllib.loads(file.read_text("utf-8")))


def test_a_sample_of_changes_is_noticed(tmp_path):
    every = list(data([file for file in data_files() if not file_differences(file)]))
    sample = random.Random(20260301).sample(every, SAMPLE)
    copy = shutil.copytree(DATA, tmp_path / "data")
    assert unnoticed(sample, other_words(every), copy) == []


def test_the_reader_refuses_a_source_that_does_not_exist(tmp_path):
    every = list(data([DATA / "guidelines" / "bizot-2014.toml"]))
    source = next(datum for datum in every if datum.key == "key")
    copy = shutil.copytree(DATA, tmp_path / "data")
    assert refused([source], {"key": [source.text]}, copy) == 1


@pytest.mark.parametrize(
    ("kind", "text", "expected"),
    [("number", "40", "40.4"), ("number", "0", "1.0"), ("truth", "true", "false"), ("word", '"b"', '"a"')],
)
def test_what_a_datum_is_changed_to(kind, text, expected):
    datum = Datum(DATA, 0, 0, 0, "key", kind, text)
    assert changed(datum, {"key": ['"a"', '"b"']}) == expected

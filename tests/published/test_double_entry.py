"""Every datum under ``data/`` against its second entry in this folder."""

import pytest

from tests.published.double_entry import DATA, KINDS, data_files, differences, file_differences


@pytest.mark.parametrize("file", data_files(), ids=lambda file: f"{file.parent.name}/{file.stem}")
def test_every_datum_has_its_row_and_agrees(file):
    assert file_differences(file) == []


def test_no_row_is_left_without_a_datum():
    assert [line for line in differences() if "no such" in line] == []


def test_guidelines_media_and_hazards_are_all_looked_at():
    assert {file.parent.name for file in data_files()} >= set(KINDS) - {"measures"}
    assert len(list((DATA / "guidelines").glob("*.toml"))) >= 20

"""Every datum under ``data/`` against its second entry in this folder."""

import tomllib

import pytest

from tests.published.double_entry import DATA, HANDED_DOWN, KINDS, data_files, differences, file_differences


@pytest.mark.parametrize("file", data_files(), ids=lambda file: f"{file.parent.name}/{file.stem}")
def test_every_datum_has_its_row_and_agrees(file):
    assert file_differences(file) == []


def test_no_row_is_left_without_a_datum():
    assert [line for line in differences() if "no such" in line] == []


def idle(table):
    """Units and sources, by group, that no figure inside the group takes."""
    handed, taken = set(), set()

    def walk(part, path, givers):
        givers = givers | {key: path for key in HANDED_DOWN if key in part}
        if "value" in part:
            taken.update((giver, key) for key, giver in givers.items())
            return
        handed.update((path, key) for key in HANDED_DOWN if key in part)
        for key, item in part.items():
            if key not in HANDED_DOWN and key != "note":
                walk(item if isinstance(item, dict) else {"value": item}, f"{path}.{key}", givers)

    walk(table, "", {})
    return sorted(handed - taken)


@pytest.mark.parametrize("file", sorted((DATA / "hazards").glob("*.toml")), ids=lambda file: file.stem)
def test_no_group_hands_down_what_nothing_takes(file):
    """Such a unit or source could be changed and nothing would notice."""
    assert idle(tomllib.loads(file.read_text("utf-8"))) == []


def test_guidelines_media_and_hazards_are_all_looked_at():
    assert {file.parent.name for file in data_files()} >= set(KINDS) - {"measures"}
    assert len(list((DATA / "guidelines").glob("*.toml"))) >= 20

"""Text that is not TOML, or too much of it, or not the tables that are meant."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from stillwall.errors import SurveyError
from stillwall.survey.read import MOST_FAULTS, read_survey
from tests.survey.folders import LIBRARY, SMALL, faults, only, survey, written


@pytest.mark.parametrize(
    ("text", "line", "says", "advice"),
    [
        ('[survey]\nname = "x"\nunits = us\n', 3, "without quotes", 'units = "us"'),
        ("[survey]\nageing_limit = 1,5\n", 2, "without quotes", "ageing_limit = 1.5"),
        ('[survey]\nname = "x\n', 2, "not TOML", "quotes"),
        ('[survey]\nname "x"\n', 2, "not TOML", "key = value"),
        ("[survey\nseed = 3\n", 1, "not TOML", "brackets"),
        ('[survey]\nname = "x"\nname = "y"\n', 3, "a second time", "delete one"),
        ("[survey]\nseed = 1\n[survey]\nseed = 1\n", 3, "a second time", "[[survey]]"),
        ('[survey]\nname = "C:\\logs"\n', 2, "not TOML", ""),
        (SMALL + "height = 11 ft\n", 19, "without quotes", 'height = "11 ft"'),
        ("a = " + "[" * 5000, 1, "nested too deeply", ""),
        ("a = " + "9" * 5000, 1, "thousands of digits", ""),
        (".".join("abcdefgh" * 10) + " = 1", 1, "over 40 parts", ""),
        ("[survey]\nx = '''" + "y" * 10, 2, "not TOML", ""),
    ],
)
def test_text_that_is_not_toml(tmp_path: Path, text: str, line: int, says: str, advice: str) -> None:
    fault = faults(tmp_path, text)[0]
    assert fault.where in (f"survey.toml:{line}", "survey.toml")
    assert says in fault.found
    assert advice in fault.fix


def test_faults_after_broken_text_are_found_too(tmp_path: Path) -> None:
    text = SMALL.replace('id = "orangery"\n', 'id = "orangery"\nuse = club\n')
    text += (
        "mass = 18 kg\n"
        + '[[wall]]\nid = "hall-east"\nroom = "hall"\nhieght = "9 ft"\nfree_from = 2026-02-30\n'
    )
    found = [fault.where for fault in faults(tmp_path, text)]
    assert found == [
        "survey.toml:6",
        "survey.toml:20",
        "survey.toml:24: wall 'hall-east'.hieght",
        "survey.toml:25: wall 'hall-east'.free_from",
    ]


def test_names_are_judged_beside_broken_facts_but_not_beside_lost_entries(tmp_path: Path) -> None:
    text = SMALL + 'now_at = "hall-nroth"\n'
    broken_fact = text.replace('room = "hall"\n', 'room = "hall"\nheight = 11 ft\n')
    assert [
        "without quotes" if "without" in fault.found else fault.found[:13]
        for fault in faults(tmp_path, broken_fact)
    ] == ["without quotes", "unknown place"]
    assert len(faults(tmp_path, text.replace('id = "hall-north"', "id = hall-north"))) == 1


def test_a_broken_header_costs_its_own_table_and_no_other(tmp_path: Path) -> None:
    text = SMALL.replace("[[room]]", "[[room]")
    fault = only(tmp_path, text)
    assert fault.where == "survey.toml:7"


@pytest.mark.parametrize(
    ("table", "says", "advice"),
    [
        ("[[rooms]]\nid = 'x'\n", "unknown table 'rooms'", "'room'"),
        ("[wall]\nid = 'x'\nroom = 'hall'\n", "not a list of tables", "[[wall]]"),
        ("wall = 3\n", "not a list of tables", "[[wall]]"),
        ("logger = 3\n", "no table", "header"),
        ("survey = 3\n", "not a table", "brackets"),
        ("[logger]\nhall = 3\n", "not a table", "brackets"),
        ("[logger.'hall.csv']\nheight = '5 ft'\n", "no logs list names 'hall.csv'", "list it under logs"),
    ],
)
def test_a_table_that_is_not_one(tmp_path: Path, table: str, says: str, advice: str) -> None:
    fault = only(tmp_path, table) if "room = 'hall'" not in table else faults(tmp_path, table)[0]
    assert says in fault.found
    assert advice in fault.fix


def test_no_survey_in_the_folder(tmp_path: Path) -> None:
    with pytest.raises(SurveyError) as caught:
        read_survey(tmp_path / "gone", library=LIBRARY)
    assert "no such file" in caught.value.faults[0].found
    assert "stillwall start" in caught.value.faults[0].fix


def test_the_file_in_place_of_its_folder(tmp_path: Path) -> None:
    written(tmp_path, SMALL)
    with pytest.raises(SurveyError) as caught:
        read_survey(tmp_path / "survey.toml", library=LIBRARY)
    assert "name its folder" in caught.value.faults[0].fix


def test_endless_text_is_refused(tmp_path: Path) -> None:
    assert "characters" in only(tmp_path, SMALL + f'title = "{"x" * 20_000}"\n').found


def test_a_survey_that_is_not_utf8_says_on_which_line(tmp_path: Path) -> None:
    (tmp_path / "survey.toml").write_bytes(b'[survey]\nname = "Caf\xe9"\n')
    with pytest.raises(SurveyError) as caught:
        read_survey(tmp_path, library=LIBRARY)
    assert caught.value.faults[0].where == "survey.toml:2"


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path) -> None:
    read = survey(tmp_path, "\ufeff" + SMALL.replace("\n", "\r\n"))
    assert list(read.walls) == ["hall-north"]


def test_a_huge_survey_is_refused_at_once(tmp_path: Path) -> None:
    with (tmp_path / "survey.toml").open("wb") as file:
        file.truncate(2**31)
    with pytest.raises(SurveyError) as caught:
        read_survey(tmp_path, library=LIBRARY)
    assert "bytes" in caught.value.faults[0].found


def test_thousands_of_faults_are_counted_and_quick(tmp_path: Path) -> None:
    text = SMALL + "".join(
        f'[[work]]\nid = "w{n}"\nkind = "bust"\nmedium = "marbel{n}"\n'
        f'now_at = "plaec{n}"\npair_with = "v{n}"\n'
        for n in range(3000)
    )
    began = time.process_time()
    found = faults(tmp_path, text)
    assert time.process_time() - began < 10
    assert len(found) == MOST_FAULTS + 1
    assert found[-1].found == f"{9000 - MOST_FAULTS:,} more faults"


def test_lines_are_found_through_long_strings_inline_tables_and_dotted_keys(tmp_path: Path) -> None:
    text = (
        SMALL
        + '''
note = """
[[wall]]
height = "not a key"
"""
[[wall]]
id = "hall-east"
room = "hall"
stair.riser = "7 in"
stair.tread = "-1 in"
keep_clear = [
    # a comment with "quotes" and ]
    { what = "switch", at = "1 ft", size = "5 in x 5 in" },
    { what = "grille ] }", at = "1 ft",
      size = "5 in" },
]
[wall.tables]
"edge_to_wall" = "3"
seatings_per_year = 2
'''
    ).replace("'switch',\n", "")
    text = text.replace('at = "1 ft",\n      size', 'at = "1 ft", size')
    lines = text.splitlines()
    where = {
        fault.where.split("'hall-east'")[1]: int(fault.where.split(":")[1])
        for fault in faults(tmp_path, text)
    }
    assert lines[where[".stair.tread"] - 1] == 'stair.tread = "-1 in"'
    assert "grille" in lines[where[".keep_clear[2].size"] - 1]
    assert lines[where[".tables.edge_to_wall"] - 1] == '"edge_to_wall" = "3"'
    assert len(where) == 3

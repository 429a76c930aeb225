"""Each way in which an entry can be wrong: said with its line and its key, and how to mend it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.survey.folders import SMALL, only, survey


def end(table: str, *lines: str) -> str:
    """The small survey with a further entry."""
    return f"{SMALL}\n[[{table}]]\n" + "\n".join(lines) + "\n"


WALL = ('id = "hall-east"', 'room = "hall"')
WORK = ('id = "bust"', 'kind = "bust"', 'medium = "marble"')

# Entry, the key at fault, what must be said of it, and what must be advised.
WRONG = [
    ("wall", (*WALL, "height = 11"), "height", "no unit", "quotes"),
    ("wall", (*WALL, 'height = "11"'), "height", "no unit", "add its unit"),
    ("wall", (*WALL, 'height = "0 ft"'), "height", "not above zero", "leave it out"),
    ("wall", (*WALL, 'height = "nan m"'), "height", "not a number", ""),
    ("wall", (*WALL, 'height = "11 kg"'), "height", "is a mass", "unit"),
    ("wall", (*WALL, 'height = "3,4 m"'), "height", "comma", "3.4"),
    ("wall", (*WALL, 'height = "9000 m"'), "height", "too much", "unit"),
    ("wall", (*WALL, "height = true"), "height", "no unit", ""),
    ("wall", (*WALL, 'height = ["3 m"]'), "height", "no unit", ""),
    ("wall", (*WALL, 'outside = "maybe"'), "outside", "neither yes nor no", "true or false"),
    ("wall", (*WALL, "outside = 1"), "outside", "neither yes nor no", ""),
    ("wall", (*WALL, 'build = "brik"'), "build", "'brik'", "'brick'"),
    ("wall", (*WALL, 'faces = "up"'), "faces", "'up'", ""),
    ("wall", (*WALL, "faces = 400"), "faces", "too much", ""),
    ("wall", (*WALL, "people_per_day = -1"), "people_per_day", "-1", ""),
    ("wall", (*WALL, "people_per_day = nan"), "people_per_day", "finite", "leave out"),
    ("wall", (*WALL, 'people_per_day = "many"'), "people_per_day", "not a number", ""),
    ("wall", (*WALL, "people_per_day = true"), "people_per_day", "not a number", ""),
    ("wall", (*WALL, "f_rsi = 1.2"), "f_rsi", "1.2", ""),
    ("wall", (*WALL, "free_from = 2026"), "free_from", "not a date", "2026-03-31"),
    ("wall", (*WALL, 'free_from = "31/03/2026"'), "free_from", "not a date", "2026-03-31"),
    ("wall", (*WALL, 'free_from = "2026-13-01"'), "free_from", "does not exist", ""),
    ("wall", (*WALL, "free_from = 2026-06-01", "free_until = 2026-05-01"), "free_until", "before", "dates"),
    ("wall", (*WALL, 'measures_ruled_out = ["magic"]'), "measures_ruled_out[1]", "unknown measure", ""),
    ("wall", (*WALL, "marks_years = 0"), "marks_years", "0 years", ""),
    ("wall", (*WALL, "logs = [3]"), "logs[1]", "3", "braces"),
    ("wall", (*WALL, 'logs = [{ file = "logs/a.csv", offset = "2 ft" }]'), "logs[1].offset", "no offset", ""),
    (
        "wall",
        (*WALL, 'tables = { edge_to_wal = "3 ft", seatings_per_year = 9 }'),
        "tables.edge_to_wal",
        "unknown key",
        "'edge_to_wall'",
    ),
    ("wall", (*WALL, 'tables = "near"'), "tables", "'near'", "braces"),
    (
        "wall",
        (*WALL, 'light_readings = [{ at = "2026-03-04", lux = 4 }]'),
        "light_readings[1].at",
        "no time of day",
        "add the time",
    ),
    (
        "wall",
        (*WALL, 'light_readings = [{ at = "2026-03-04 25:10", lux = 4 }]'),
        "light_readings[1].at",
        "does not exist",
        "",
    ),
    (
        "wall",
        (*WALL, 'light_readings = [{ at = "2026-03-04 14:10", lux = -4 }]'),
        "light_readings[1].lux",
        "-4",
        "",
    ),
    ("wall", ('id = "a b"', 'room = "hall"'), "id", "no id", "short word"),
    ("wall", ("id = 7", 'room = "hall"'), "id", "7", "quotes"),
    ("wall", ('id = "north"', 'room = "hall"'), "id", "meaning of its own", "rename"),
    ("wall", ('id = "hall-north"', 'room = "hall"'), "id", "a second time", "rename"),
    ("pedestal", ('id = "hall-north"', 'room = "hall"'), "id", "a second time", "rename"),
    ("place", ('id = "hall-north"',), "id", "a second time", "rename"),
    ("wall", ('id = "hall-east"',), "room", "no room", "add room"),
    ("wall", ('id = "hall-east"', 'room = "hal"'), "room", "unknown room 'hal'", "'hall'"),
    ("room", ('id = "attic"', 'building = "orangerie"'), "building", "unknown building", "'orangery'"),
    ("room", ('id = "attic"',), "building", "no building", "add building"),
    ("room", ('id = "attic"', 'building = "orangery"', 'size = "12 ft"'), "size", "not height x width", ""),
    (
        "room",
        ('id = "attic"', 'building = "orangery"', 'plan = [["0 m", "0 m"], ["1 m", "1 m"]]'),
        "plan",
        "without area",
        "corners",
    ),
    ("room", ('id = "attic"', 'building = "orangery"', "floor = 1.5"), "floor", "whole number", ""),
    ("building", ('id = "seed-hall"', "latitude = 53.1"), "latitude", "without longitude", "longitude"),
    ("building", ('id = "seed-hall"', "latitude = 91", "longitude = 0"), "latitude", "91", ""),
    (
        "building",
        ('id = "seed-hall"', 'timezone = "Europe/Dubln"'),
        "timezone",
        "unknown time zone",
        "Europe/Dublin",
    ),
    (
        "building",
        ('id = "seed-hall"', 'timezone = "Dublin"'),
        "timezone",
        "unknown time zone",
        "Europe/Dublin",
    ),
    ("building", ('id = "seed-hall"', 'timezone = "../../etc/passwd"'), "timezone", "unknown time zone", ""),
    ("building", ('id = "seed-hall"', 'use = "castle"'), "use", "'castle'", ""),
    (
        "building",
        ('id = "seed-hall"', 'open_hours = "9 to 5"'),
        "open_hours",
        "time of day",
        "09:00 to 18:00",
    ),
    (
        "building",
        ('id = "seed-hall"', 'heating_season = "31 Sep to 30 Apr"'),
        "heating_season",
        "does not exist",
        "",
    ),
    (
        "building",
        ('id = "seed-hall"', 'events = [{ name = "ball", per_year = 2, months = [13] }]'),
        "events[1].months[1]",
        "no month",
        "",
    ),
    ("opening", ('id = "o"', 'kind = "arch"'), "", "neither room nor wall", "add room"),
    ("opening", ('id = "o"', 'kind = "arch"', 'wall = "north"'), "wall", "side 'north' of no room", ""),
    (
        "opening",
        ('id = "o"', 'kind = "arch"', 'room = "hall"', 'wall = "nroth"'),
        "wall",
        "unknown wall or side",
        "'north'",
    ),
    (
        "window",
        ('id = "o"', 'room = "hall"', 'blind = { kind = "roller", drawn = "often" }'),
        "blind.drawn",
        "'often'",
        "closed hours",
    ),
    ("heat_source", ('id = "h"', 'room = "hall"', 'kind = "fire"'), "kind", "'fire'", "'gas_fire'"),
    (
        "lamp",
        ('id = "l"', 'kind = "led"', 'room = "hall"', "hours_per_day = 25"),
        "hours_per_day",
        "25 hours a day",
        "",
    ),
    ("route", ('id = "r"', 'from = "outside"', 'to = "hal"'), "to", "unknown room", "'hall'"),
    ("work", (*WORK, 'now_at = "hall-nroth"'), "now_at", "unknown place", "'hall-north'"),
    ("work", (*WORK, 'history = "hall-nroth"'), "history", "unknown place", "'hall-north'"),
    ("work", (*WORK, 'history = "logs/old.csv"'), "history", "no file", "put the file there"),
    ("work", (*WORK, 'guideline = "bizot"'), "guideline", "unknown guideline", "bizot-"),
    ("work", (*WORK, 'pair_with = "lime"'), "pair_with", "unknown work", ""),
    ("work", (*WORK, 'image = "6 ft x 8 ft"', 'framed = "5 ft x 9 ft"'), "framed", "height below", "measure"),
    (
        "work",
        (*WORK, 'image = "6 ft x 8 ft"', 'orientation = "upright"'),
        "image",
        "wider than high",
        "exchange",
    ),
    (
        "work",
        (*WORK, 'framed = "8 ft x 6 ft"', 'orientation = "landscape"'),
        "framed",
        "higher than wide",
        "exchange",
    ),
    (
        "work",
        (*WORK, 'framed = "8 ft x 6 ft"', 'orientation = "square"'),
        "framed",
        "higher than wide",
        "exchange",
    ),
    ("work", (*WORK, 'framed = "8 x 6"'), "framed", "no unit", "add the unit"),
    ("work", (*WORK, "framed = 8"), "framed", "not text", "'6 ft x 8 ft'"),
    ("work", (*WORK, 'mass = "-4 kg"'), "mass", "not above zero", ""),
    ("work", (*WORK, "arrives = 2026-06-01", "leaves = 2026-05-01"), "leaves", "before", ""),
    (
        "work",
        (*WORK, 'dose_spent = { dose = "9 klx h", since = 2026-01-01, to = 2025-01-01 }'),
        "dose_spent.to",
        "before",
        "",
    ),
    (
        "work",
        (*WORK, 'lender = { humidity_low = "60 %", humidity_high = "50 %" }'),
        "lender.humidity_high",
        "not above",
        "",
    ),
    ("work", (*WORK, 'title = "a\\u001b[2J"'), "title", "control character", "again"),
    ("note", ('text = "x"', "date = 2026-05-01", "to = 2026-04-01"), "to", "before", ""),
    (
        "accepted",
        ('work = "lime"', 'wall = "hall-north"', 'hazard = "bump"', 'by = "J"', "on = 2026-01-01"),
        "work",
        "unknown work",
        "'lime-avenue'",
    ),
    ("lamp", ('id = "l"', 'kind = "led"'), "", "neither room nor wall", "add room"),
    ("room", ('id = "x"', 'building = "orangery"', "bags_share = 5"), "bags_share", "part of a whole", "5 %"),
    ("room", ('id = "x"', 'building = "orangery"', 'bags_share = "a few"'), "bags_share", "not a number", ""),
    ("wall", (*WALL, "free_from = 0026-01-01"), "free_from", "far from our time", "year"),
    ("wall", (*WALL, "people_per_day = 1e300"), "people_per_day", "1e+300", ""),
    ("wall", (*WALL, 'height = "2 in 6 ft"'), "height", "out of order", "one quantity"),
    ("work", (*WORK, 'framed = "5 x 4 ft 6 in"'), "framed", "no unit", "add the unit"),
    (
        "work",
        (*WORK, 'framed = "5 x 4 x 1 ft"', 'depth = "4 in"'),
        "depth",
        "not that of framed",
        "delete one",
    ),
    (
        "heat_source",
        ('id = "h"', 'room = "annexe"', 'kind = "hearth"', 'below_wall = "hall-north"'),
        "room",
        "unknown room",
        "",
    ),
    (
        "building",
        ('id = "b"', 'latitude = "53 N"', "longitude = 0"),
        "latitude",
        "not a number",
        "without quotes",
    ),
    (
        "wall",
        (*WALL, 'light_readings = [{ at = "noon", lux = 4 }]'),
        "light_readings[1].at",
        "not a date",
        "",
    ),
    ("room", ('id = "x"', 'building = "orangery"', 'size = "3 x 9000 x 4 m"'), "size", "too much", "unit"),
    ("pedestal", ('id = "x"', 'room = "hall"', "base = 3"), "base", "not text", "14 in x 12 in"),
    ("pedestal", ('id = "x"', 'room = "hall"', 'base = "3 m"'), "base", "not width x depth", "14 in x 12 in"),
    ("building", ('id = "b"', "timezone = 3"), "timezone", "3", "quotes"),
]


@pytest.mark.parametrize(("table", "lines", "key", "says", "advice"), WRONG)
def test_a_slip_is_one_fault_with_line_key_and_remedy(
    tmp_path: Path, table: str, lines: tuple[str, ...], key: str, says: str, advice: str
) -> None:
    text = end(table, *lines)
    fault = only(tmp_path, text, "logs/a.csv")
    name, line, thing = fault.where.split(":", 2)
    first_word = key.split(".")[0].split("[")[0]
    shown = text.splitlines()[int(line) - 1]
    assert name == "survey.toml"
    assert thing.endswith(f".{key}") or not key
    assert shown.startswith(first_word) or (says.startswith("no ") and shown == f"[[{table}]]")
    assert says in fault.found
    assert advice in fault.fix


def test_a_wall_above_a_source_of_another_room(tmp_path: Path) -> None:
    rooms = '[[room]]\nid = "annexe"\nbuilding = "orangery"\n'
    source = '[[heat_source]]\nid = "h"\nroom = "{}"\nkind = "hearth"\nbelow_wall = "hall-north"\n'
    fault = only(tmp_path, SMALL + rooms + source.format("annexe"))
    assert fault.where.endswith("heat_source 'h'.below_wall")
    assert "in room 'hall'" in fault.found
    assert survey(tmp_path, SMALL + rooms + source.format("hall")).heat_sources


def test_a_work_in_two_places(tmp_path: Path) -> None:
    pedestal = '[[pedestal]]\nid = "p{}"\nroom = "hall"\nwork = "lime-avenue"\n'
    hangs = SMALL + 'now_at = "hall-north"\n'
    assert "is at 'hall-north'" in only(tmp_path, hangs + pedestal.format(1)).found
    assert "is at 'p1'" in only(tmp_path, SMALL + pedestal.format(1) + pedestal.format(2)).found
    assert survey(tmp_path, SMALL + 'now_at = "p1"\n' + pedestal.format(1)).pedestals


def test_a_share_may_be_a_percentage_and_a_depth_the_third_number(tmp_path: Path) -> None:
    text = SMALL.replace('building = "orangery"\n', 'building = "orangery"\nchildren_share = "5 %"\n')
    read = survey(tmp_path, text + 'framed = "5 ft x 4 ft x 6 in"\n')
    assert read.rooms["hall"].children_share == pytest.approx(0.05)
    assert read.works["lime-avenue"].depth_m == pytest.approx(0.1524)

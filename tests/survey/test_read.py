"""What a survey may say, in how many ways, and what is made of it."""

from __future__ import annotations

import dataclasses
import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from stillwall.survey.entries import MODELS
from stillwall.survey.places import HoldingPlace
from stillwall.survey.rows import shape_of
from stillwall.survey.spelling import SPELLINGS, SYNONYMS
from stillwall.survey.survey import SurveyHead
from tests.survey.folders import SMALL, faults, only, survey

# The least to record about a place, by table, as a surveyor's sheet names it.
LEAST = {
    "building": "id name latitude longitude timezone use open_days events heating_season",
    "room": "id building floor use size people_per_day people_peak_hour children_share bags_share "
    "wheelchair_share trolley_trips_per_day supervised_share cooking smoking candles_evenings_per_year "
    "pipes_overhead leaks_known sprinklers pests_seen plan logs light_readings",
    "wall": "id room faces outside insulated build fixings_allowed height span dado_top picture_rail "
    "cornice_bottom keep_clear clear_width circulation stair barrier furniture_below tables "
    "scuffs_seen_per_year free_from free_until pinned_by side at u_value f_rsi fRsi measures_ruled_out "
    "marks_last_year preference logs light_readings",
    "opening": "id room wall kind leaf_width clear hinge_to_corner opens_to stop opens_per_day wall_depth at "
    "sill size reveal bearing obstruction glass film blind",
    "heat_source": "id room kind used fires_per_year power below_wall offset rise facing_distance "
    "shelf_depth flue at",
    "lamp": "id room wall kind lux_at_wall aim hours_per_day days_per_year uv",
    "route": "id from to steps",
    "work": "id title kind medium lined_with image framed depth mass mass_known orientation frame "
    "ornament_loose glazing backing hanging wire_sag points ratings rating_kind condition now_at arrives "
    "leaves themes pinned guideline species cut thickness reflectance varnish surface history dose_spent "
    "lender pair_with group",
    "pedestal": "id room at work mass height base fixed bust_base logs",
    "place": "id room at span height climate_ok security until logs",
    "note": "date room wall text",
    "acknowledged": "alert by until",
}


@pytest.mark.parametrize("table", LEAST)
def test_every_field_of_the_least_to_record_is_accepted_under_its_name(table: str) -> None:
    accepted = {*shape_of(MODELS[table]).keys, *SYNONYMS.get(table, {})}
    assert set(LEAST[table].split()) <= accepted


def test_survey_table_accepts_what_it_should() -> None:
    wanted = "name units guideline seed surveyed_on surveyed_by heating_season outdoor_logs"
    assert set(wanted.split()) <= set(shape_of(SurveyHead).keys)


FULL = """\
[survey]
name = "Larkmoor Botanical Society"
units = "us"
surveyed_on = "2026-03-01"

[[building]]
id = "reading-house"
latitude = 53.1
longitude = -6.1
timezone = "Europe/Dublin"
events = [{ name = "dinner", per_year = 12, guests = 60, months = ["Oct", 11, "Dec"], candles = "yes" }]

[[room]]
id = "dining"
building = "reading-house"
smoking = "no"
plan = [["0 ft", "0 ft"], ["0 ft", "30 ft"], ["20 ft", "30 ft"], ["20 ft", "-1 ft"]]
logs = "logs/dining.csv"

[[wall]]
id = "dining-north"
room = "dining"
build = "lath_plaster"
outside = false
faces = "south"
height = "11 ft"
span = "8 ft"
dado_top = "34 in"
clear_width = "6 ft"
tables = { edge_to_wall = "3 ft", seatings_per_year = 1500, chair_back = "38 in" }
scuffs_seen_per_year = 3
u_value = "1.5 W/m2K"
light_readings = [
    { at = "2026-03-04 14:10", lux = 85, sky = "overcast" },
    { at = 2026-03-05T10:00:00, lux = "10 fc", uv = 40 },
]
[wall.stair]
riser = "7 in"
tread = "11 in"

[[window]]
id = "dining-east"
wall = "dining-north"
bearing = 90
obstruction = "20 deg"
blind = { kind = "roller", hours_drawn = "closed hours" }

[[door]]
id = "dining-door"
room = "dining"
kind = "service"
opens_to = 110
stop = "yes"

[[heat_source]]
id = "hearth"
room = "dining"
kind = "hearth"
wall = "dining-north"
below_wall = "yes"

[[lamp]]
id = "spots"
kind = "led"
wall = "dining-north"
lux_at_wall = 60
hours_per_day = 9

[[pedestal]]
id = "dining-pedestal"
room = "dining"
base = "14 in x 12 in"

[[place]]
id = "van"

[[work]]
id = "ferns"
kind = "painting_canvas"
medium = "oil-on-canvas"
image = "4 ft 6 in x 6 ft"
framed = "5 ft x 6'6\\""
mass = "84 lb"
ratings = "40 kg"
themes = ["trees", "founders"]
backing = true
now_at = "van"
arrives = 2026-04-01
lender = { lux = "50 lx", dose = "50 klx h", humidity_low = "45 %", humidity_high = "55 %" }

[logger."dining.csv"]
height = "5 ft"
beside = "a radiator"
offset = "-0.4 K"
zone = "+01:00"
"""


def test_a_full_survey(tmp_path: Path) -> None:
    read = survey(tmp_path, FULL, "logs/dining.csv")
    wall, work, room = read.walls["dining-north"], read.works["ferns"], read.rooms["dining"]
    assert read.head.surveyed_on == dt.date(2026, 3, 1)
    assert read.buildings["reading-house"].events[0].months == (10, 11, 12)
    assert read.buildings["reading-house"].events[0].candles is True
    assert room.smoking is False
    assert room.plan[3] == pytest.approx((6.096, -0.3048))
    assert [log.file for log in room.logs] == ["logs/dining.csv"]
    assert (wall.height_m, wall.span_m) == pytest.approx((3.3528, 2.4384))
    assert (wall.faces_deg, wall.marks_last_year, wall.u_value_w_m2k) == (180, 3, 1.5)
    assert wall.tables is not None
    assert wall.tables.chair_back_m == pytest.approx(0.9652)
    assert wall.stair is not None
    assert wall.stair.riser_m == pytest.approx(0.1778)
    # 1 fc = 1 lm/ft2 = 1/0.3048^2 lx, by definition of the foot.
    assert [reading.lux for reading in wall.light_readings] == pytest.approx([85, 10 / 0.3048**2])
    assert wall.light_readings[1].at == dt.datetime(2026, 3, 5, 10)  # noqa: DTZ001
    assert read.openings["dining-east"].kind == "window"
    assert (read.openings["dining-east"].bearing_deg, read.openings["dining-east"].obstruction_deg) == (
        90,
        20,
    )
    blind = read.openings["dining-east"].blind
    assert blind is not None
    assert blind.drawn == "closed hours"
    assert read.openings["dining-door"].kind == "service_door"
    assert read.openings["dining-door"].stop is True
    assert read.heat_sources["hearth"].below_wall == "dining-north"
    assert (read.lamps["spots"].lux_at_wall, read.lamps["spots"].hours_per_day_h) == (60, 9)
    base = read.pedestals["dining-pedestal"].base
    assert base is not None
    assert (base.height_m, base.width_m) == pytest.approx((0.3556, 0.3048))  # width, then depth
    assert isinstance(read.places["van"], HoldingPlace)
    assert work.framed is not None
    assert (work.framed.height_m, work.framed.width_m) == pytest.approx((1.524, 1.9812))
    # 1 lb = 0.45359237 kg, by definition.
    assert work.mass_kg == pytest.approx(84 * 0.45359237)
    assert work.ratings_kg == (40,)
    assert work.backing == "board"
    assert work.lender is not None
    assert (work.lender.illuminance_lux, work.lender.dose_lux_h) == (50, 50_000)
    assert read.loggers["dining.csv"].offset == {"temperature": "-0.4 K"}
    assert read.building_of(wall) is read.buildings["reading-house"]


def test_days_of_the_week_in_short_or_in_full(tmp_path: Path) -> None:
    text = SMALL.replace('id = "orangery"\n', 'id = "orangery"\nclosed_on = ["Mon", "Tuesday", "sun."]\n')
    assert survey(tmp_path, text).buildings["orangery"].closed_on == ("mon", "tue", "sun")
    assert "no day of the week" in only(tmp_path, text.replace("Tuesday", "Toosday")).found


def test_nothing_but_ids_is_needed(tmp_path: Path) -> None:
    read = survey(tmp_path, SMALL)
    assert read.walls["hall-north"].height_m is None
    assert read.works["lime-avenue"].framed is None


def test_a_survey_without_a_name_bears_its_folders(tmp_path: Path) -> None:
    folder = tmp_path / "larkmoor"
    folder.mkdir()
    assert survey(folder, SMALL.replace("[survey]\nname", "#")).head.name == "larkmoor"


# What makes an entry the thing it is: without these there is nothing to speak of.
IDENTITY = {
    "building": {"id"},
    "room": {"id", "building"},
    "wall": {"id", "room"},
    "pedestal": {"id", "room"},
    "place": {"id"},
    "opening": {"id", "kind"},
    "lamp": {"id", "kind"},
    "heat_source": {"id", "room", "kind"},
    "route": {"id", "from", "to"},
    "work": {"id", "kind", "medium"},
    "note": {"date", "text"},
    "acknowledged": {"alert", "by"},
    "accepted": {"work", "wall", "hazard", "by", "on"},
}


@pytest.mark.parametrize("table", MODELS)
def test_an_entry_needs_no_more_than_its_identity(table: str) -> None:
    assert set(shape_of(MODELS[table]).needed) == IDENTITY[table]


def _facts() -> list[int]:
    """Lines of the full survey that say one fact that is no identity."""
    found, table = [], "survey"
    for index, line in enumerate(FULL.splitlines()):
        key = line.split(" = ")[0]
        if line.startswith("["):
            table = SPELLINGS.get(line.strip("[]"), line.strip("[]"))
        elif (
            key.isidentifier()
            and key not in IDENTITY.get(table, set())
            and not line.endswith("[")
            and (table, key)
            not in {("opening", "room"), ("opening", "wall"), ("lamp", "wall"), ("wall.stair", key)}
        ):
            found.append(index)
    return found


# Facts that hang on another: half a position is a slip, and so is a setting for a file nobody lists.
TOGETHER = {
    "latitude": "longitude = -6.1\n",
    "longitude": "latitude = 53.1\n",
    "logs": FULL[FULL.index('[logger."dining.csv"]') :],
    "wall": 'below_wall = "yes"\n',
}


@pytest.mark.parametrize("index", _facts())
def test_a_fact_left_out_never_stops_the_program(tmp_path: Path, index: int) -> None:
    lines = FULL.splitlines(keepends=True)
    line = lines.pop(index)
    text = "".join(lines).replace(TOGETHER.get(line.split(" = ")[0], "no such line"), "")
    assert set(survey(tmp_path, text, "logs/dining.csv").walls) == {"dining-north"}


@pytest.mark.parametrize(
    ("synonym", "table"), [(key, table) for table in SYNONYMS for key in SYNONYMS[table]]
)
def test_a_fact_said_under_both_its_names_is_a_fault(tmp_path: Path, synonym: str, table: str) -> None:
    values: dict[str, Any] = {
        "marks_last_year": 1,
        "f_rsi": 0.7,
        "surface": '"sound"',
        "stop": "true",
        "alert": '"a"',
    }
    name = SYNONYMS[table][synonym]
    needed = {
        "wall": 'id = "x"\nroom = "hall"',
        "pedestal": 'id = "x"\nroom = "hall"',
        "work": 'id = "x"\nkind = "bust"\nmedium = "marble"',
        "opening": 'id = "x"\nkind = "arch"\nroom = "hall"',
        "acknowledged": 'by = "x"',
    }[table]
    entry = f"\n[[{table}]]\n{needed}\n"
    alone = survey(tmp_path, f"{SMALL}{entry}{synonym} = {values[name]}\n")
    assert alone.walls
    fault = only(tmp_path, f"{SMALL}{entry}{name} = {values[name]}\n{synonym} = {values[name]}\n")
    assert fault.where.endswith(synonym)
    assert "say the same" in fault.found


def test_other_names_of_tables(tmp_path: Path) -> None:
    assert set(SPELLINGS) == {"window", "door", "holding_place"}
    read = survey(
        tmp_path,
        SMALL + '[[door]]\nid = "d"\nroom = "hall"\nleads_to = "outside"\n[[holding_place]]\nid = "store"\n',
    )
    assert read.openings["d"].kind == "outside_door"
    assert list(read.holding_places) == ["store"]


def test_order_of_tables_does_not_matter(tmp_path: Path) -> None:
    blocks = SMALL.split("\n\n")
    assert survey(tmp_path, "\n\n".join(reversed(blocks))) == survey(tmp_path, SMALL)


def test_units_do_not_matter(tmp_path: Path) -> None:
    us = SMALL + 'image = "6 ft x 8 ft"\nmass = "10 lb"\n'
    si = SMALL + 'image = "182.88 x 243.84 cm"\nmass = "4535.9237 g"\n'
    one, other = survey(tmp_path, us).works["lime-avenue"], survey(tmp_path, si).works["lime-avenue"]
    for name in ("height_m", "width_m"):
        assert getattr(one.image, name) == pytest.approx(getattr(other.image, name))
    assert one.mass_kg == pytest.approx(other.mass_kg)
    assert dataclasses.replace(one, image=None, mass_kg=None) == dataclasses.replace(
        other, image=None, mass_kg=None
    )


def test_a_heat_source_below_a_wall_that_is_not_named(tmp_path: Path) -> None:
    text = SMALL + '[[heat_source]]\nid = "h"\nroom = "hall"\nkind = "hearth"\nbelow_wall = {}\n'
    assert "which wall" in only(tmp_path, text.format("true")).found
    assert survey(tmp_path, text.format("false")).heat_sources["h"].below_wall is None
    assert survey(tmp_path, text.format('"hall-north"')).heat_sources["h"].below_wall == "hall-north"
    assert "unknown wall" in only(tmp_path, text.format('"hall-nroth"')).found


def test_faults_stand_in_the_order_of_their_lines(tmp_path: Path) -> None:
    text = SMALL + "".join(f'[[note]]\ndate = 2026-01-01\ntext = "x"\nroom = "r{n}"\n' for n in range(12))
    lines = [int(fault.where.split(":")[1]) for fault in faults(tmp_path, text)]
    assert lines == sorted(lines)
    assert len(lines) == 12

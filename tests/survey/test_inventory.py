"""Works from the CSV of an inventory."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from stillwall.errors import Fault, SurveyError
from stillwall.survey.read import read_survey
from stillwall.survey.survey import Survey
from tests.survey.folders import LIBRARY, SMALL, written

HEAD = """\
[survey]
name = "Larkmoor Botanical Society"
inventory = "inventory.csv"
inventory_columns.id = "Inv. no."
inventory_columns.title = "Title"
inventory_columns.medium = "Technique"
inventory_columns.image_height = "H"
inventory_columns.image_width = "W"
inventory_columns.framed = "Frame"
inventory_columns.mass = "Weight"
inventory_columns.themes = "Keywords"
inventory_columns.now_at = "Hangs"
inventory_columns.points = "Hooks"
inventory_columns."lender.dose" = "Dose"
inventory_units = { image_height = "in", image_width = "in", mass = "lb" }
inventory_words.medium = { "Oil/canvas" = "oil-on-canvas", "Wc." = "watercolour" }
inventory_words.now_at = { "N wall" = "hall-north" }
inventory_defaults = { kind = "painting_canvas", condition = "sound" }
"""
TEXT = HEAD + SMALL.split("\n", 2)[2].split("[[work]]")[0]
COLUMNS = "Inv. no.,Title,Technique,H,W,Frame,Weight,Keywords,Hangs,Hooks,Dose,Remarks\n"
ROWS = """\
A 12/3,"Ferns, at Dusk",Oil/canvas,30,40 1/2,3 ft x 4 ft,60,trees; ponds,N wall,2,120 klx h,none
1887.4,Orchid House,Wc.,12½,10,,,,,,,
"""


def read(
    folder: Path, rows: str, text: str = TEXT, columns: str = COLUMNS, encoding: str = "utf-8"
) -> Survey:
    written(folder, text)
    (folder / "inventory.csv").write_bytes((columns + rows).encode(encoding))
    return read_survey(folder, library=LIBRARY)


def wrong(
    folder: Path, rows: str, text: str = TEXT, columns: str = COLUMNS, encoding: str = "utf-8"
) -> list[Fault]:
    with pytest.raises(SurveyError) as caught:
        read(folder, rows, text, columns, encoding)
    return list(caught.value.faults)


def test_works_of_an_inventory(tmp_path: Path) -> None:
    works = read(tmp_path, ROWS).works
    ferns, orchids = works["A-12-3"], works["1887.4"]
    assert ferns.title == "Ferns, at Dusk"
    assert (ferns.medium, orchids.medium) == ("oil-on-canvas", "watercolour")
    assert ferns.image is not None
    assert (ferns.image.height_m, ferns.image.width_m) == pytest.approx((30 * 0.0254, 40.5 * 0.0254))
    assert ferns.framed is not None
    assert ferns.framed.width_m == pytest.approx(4 * 0.3048)
    assert ferns.mass_kg == pytest.approx(60 * 0.45359237)
    assert ferns.themes == ("trees", "ponds")
    assert (ferns.now_at, ferns.points, ferns.condition) == ("hall-north", 2, "sound")
    assert ferns.lender is not None
    assert ferns.lender.dose_lux_h == 120_000
    assert orchids.image is not None
    assert orchids.image.height_m == pytest.approx(12.5 * 0.0254)
    assert orchids.mass_kg is None


@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
def test_any_delimiter(tmp_path: Path, delimiter: str) -> None:
    rows = ROWS.replace("Ferns, at", "Ferns at").replace("; ", " | " if delimiter == ";" else "; ")
    works = read(tmp_path, rows.replace(",", delimiter), columns=COLUMNS.replace(",", delimiter)).works
    assert works["A-12-3"].themes == ("trees", "ponds")
    assert works["1887.4"].image == read(tmp_path, ROWS).works["1887.4"].image


def test_a_byte_order_mark_and_blank_lines(tmp_path: Path) -> None:
    assert len(read(tmp_path, ROWS.replace("\n", "\r\n\r\n"), columns="\ufeff" + COLUMNS).works) == 2


def test_faults_bear_file_line_key_and_column(tmp_path: Path) -> None:
    rows = (
        'A1,"two\nlines",Oil/canvas,30,40,,heavy,,,,,\n'
        "A2,x,Oill,30,40,2 ft x 3 ft,,,N wal,,,\n"
        "A2,x,Oil/canvas,-30,40,,,,,,,\n"
        "A3,Ferns, at Dusk,Oil/canvas,30,40,,,,,,,\n"
        ",no number,Oil/canvas,30,40,,,,,,,\n"
    )
    found = {fault.where: fault.found for fault in wrong(tmp_path, rows)}
    assert "not a number with a unit" in found["inventory.csv:2: work 'A1'.mass (column 'Weight')"]
    assert "unknown medium 'Oill'" in found["inventory.csv:4: work 'A2'.medium (column 'Technique')"]
    assert "below that of the image" in found["inventory.csv:4: work 'A2'.framed (column 'Frame')"]
    assert "unknown place 'N wal'" in found["inventory.csv:4: work 'A2'.now_at (column 'Hangs')"]
    assert "a second time" in found["inventory.csv:5: work 'A2'.id (column 'Inv. no.')"]
    assert "not above zero" in found["inventory.csv:5: work 'A2'.image (column 'H')"]
    assert "13 cells under 12 columns" in found["inventory.csv:6: work 'A3'"]
    assert "no id" in found["inventory.csv:7: work.id (column 'Inv. no.')"]
    assert len(found) == 8


def test_a_work_both_in_the_survey_and_in_the_inventory(tmp_path: Path) -> None:
    text = TEXT + '[[work]]\nid = "1887.4"\nkind = "bust"\nmedium = "marble"\n'
    (fault,) = wrong(tmp_path, ROWS, text)
    assert fault.where.startswith("inventory.csv:3: work '1887.4'.id")
    assert "survey.toml:" in fault.expected


@pytest.mark.parametrize(
    ("change", "where", "says"),
    [
        (('framed = "Frame"', 'framed = "Frme"'), "survey.inventory_columns.framed", "no column 'Frme'"),
        (('framed = "Frame"', 'farmed = "Frame"'), "survey.inventory_columns.farmed", "unknown key 'farmed'"),
        (('inventory_columns.id = "Inv. no."\n', ""), "survey.inventory_columns", "no column for id"),
        (('inventory = "inventory.csv"', 'inventory = "../inventory.csv"'), "survey.inventory", "leaves"),
        (('inventory = "inventory.csv"', 'inventory = "works.csv"'), "survey.inventory", "no file"),
        (('units = { image_height = "in"', "units = { image_height = 2"), "survey.inventory_units", "2"),
    ],
)
def test_a_column_map_that_does_not_fit(
    tmp_path: Path, change: tuple[str, str], where: str, says: str
) -> None:
    fault = wrong(tmp_path, ROWS, TEXT.replace(*change))[0]
    assert where in fault.where
    assert says in fault.found


def test_an_inventory_that_is_not_utf8_is_refused(tmp_path: Path) -> None:
    (fault,) = wrong(tmp_path, ROWS, encoding="cp1252")
    assert "UTF-8" in fault.fix


def test_an_inventory_that_is_no_csv(tmp_path: Path) -> None:
    found = wrong(tmp_path, 'A1,"never closed,Oil/canvas\n')
    assert any("no CSV" in fault.found for fault in found)
    found = wrong(tmp_path, "x" * 200_000)
    assert any("no CSV" in fault.found for fault in found)
    assert wrong(tmp_path, "", columns="")


def test_ten_thousand_works_take_seconds(tmp_path: Path) -> None:
    rows = "".join(
        f"W{n},Work {n},Oil/canvas,{20 + n % 97 / 4},{30 + n % 89 / 4},"
        f"{50 + n % 53 / 8} x {60 + n % 59 / 8} in,{20 + n % 83 / 10:g},,N wall,,,\n"
        for n in range(10_000)
    )
    began = time.process_time()
    survey = read(tmp_path, rows)
    assert len(survey.works) == 10_000
    # A few seconds is what a person waits for; about 1.5 s on one core of a small machine.
    assert time.process_time() - began < 10

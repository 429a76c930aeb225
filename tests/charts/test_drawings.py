"""Charts: the same bytes twice, text as text, no peak lost, each with its words and numbers."""

from __future__ import annotations

import itertools
import re
import subprocess
import sys
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from stillwall.charts.carpet import CarpetView, carpet_drawing
from stillwall.charts.dose import DoseView, dose_drawing
from stillwall.charts.figures import severity
from stillwall.charts.loads import loads_drawing
from stillwall.charts.moves import MoveView, moves_drawing
from stillwall.charts.series import BandLine, SeriesView, day_ranges, series_drawing
from stillwall.charts.sun import SunView, sun_drawing
from stillwall.charts.theme import LIMIT, PAPER, SMALL_PT, SOFT, WASH, Drawing, wash
from stillwall.charts.wall import Box, Feature, WallView, Zone, wall_drawing
from stillwall.draws import Draws
from stillwall.load import Load
from stillwall.record import Channel
from stillwall.units import Amount

HOSTILE = '<script>alert(1)</script> & "quotes" ‮ right to left 🖼'


def load(hazard: str, median: float, **fields: object) -> Load:
    draws = Draws().between(hazard, median / 1.5, median, median * 1.5)
    given = {"kind": "graded", "reason": "r", "evidence": "measured", "sources": (), **fields}
    return Load(
        hazard=hazard,
        draws=draws,
        exposure=Amount(median, "K"),
        allowance=Amount(1.0, "K"),
        **given,  # type: ignore[arg-type]
    )


def channel(days: int = 40) -> Channel:
    times = np.arange(
        np.datetime64("2026-01-01T00", "s"), np.datetime64("2026-01-01T00", "s") + days * 86_400, 3600
    )
    values = 50 + 5 * np.sin(np.arange(len(times)) / 24 * 2 * np.pi)
    if len(values) > 500:
        values[500] = 88.0
    return Channel(
        role="humidity",
        sensor=None,
        unit="%",
        unit_in_file="%",
        times=times,
        values=values,
        excluded=np.zeros(len(times), bool),
        flags=(),
        utc=True,
        logger="hall.csv",
        accuracy=3.0,
    )


def drawings() -> dict[str, Drawing]:
    loads = [load("bump", 3.0), load("humidity", 0.4), load("mould", 0.02)]
    loads += [
        Load(
            hazard="doorway",
            kind="graded",
            draws=None,
            barred=True,
            reason="r",
            evidence="surveyed",
            sources=(),
        ),
        Load(hazard="light_dose", kind="graded", draws=None, reason="r", evidence="missing", sources=()),
    ]
    days = day_ranges(channel())
    ends = days.days[[0, -1]]
    lux = np.full((40, 96), np.nan)
    lux[:30] = 50.0
    lux[3, 40] = 4000.0
    weeks = np.datetime64("2026-01-01") + np.arange(0, 364, 7)
    rising = np.linspace(0, 150_000, len(weeks))
    wall = WallView(
        name=HOSTILE,
        length_m=5.0,
        height_m=3.0,
        work=Box(1.5, 1.2, 1.5, 1.2),
        image=Box(1.8, 1.5, 0.9, 0.6),
        work_name=HOSTILE,
        dado_top_m=0.9,
        zones=(Zone("knocks", Box(0, 0.7, 5, 0.8), HOSTILE),),
        features=(Feature("door", Box(4, 0, 0.8, 2.0), "door", "left"),),
        sun=(((1.6, 1.4), (2.2, 2.2), (1.6, 2.2)),),
        sun_label="sun 15:40, 3 Feb",
    )
    return {
        "loads": loads_drawing(loads, system="us", prefix="a"),
        "wall": wall_drawing(wall, system="us", prefix="b"),
        "series": series_drawing(
            SeriesView(
                "Humidity", "%RH", days, (BandLine(ends, np.full(2, 40.0), np.full(2, 60.0), "band"),)
            ),
            prefix="c",
        ),
        "carpet": carpet_drawing(CarpetView(np.datetime64("2026-01-01"), lux, lux > 100), prefix="d"),
        "dose": dose_drawing(
            DoseView(weeks, rising * 0.8, rising, rising * 1.3, 150_000, "150 klx h a year"), prefix="e"
        ),
        "sun": sun_drawing(SunView(np.datetime64("2026-01-01"), (lux > 100).astype(float)), prefix="g"),
        "moves": moves_drawing([MoveView(1, HOSTILE, "hall", HOSTILE, "12 January")], prefix="f"),
    }


@pytest.mark.parametrize("name", ["loads", "wall", "series", "carpet", "dose", "sun", "moves"])
def test_each_drawing_is_whole(name: str) -> None:
    made = drawings()[name]
    assert made.alternative.endswith(".")
    assert made.columns
    assert all(len(row) == len(made.columns) for row in made.rows)
    for drawn in (made.wide, made.narrow):
        root = ET.fromstring(drawn)
        texts = [element for element in root.iter() if element.tag.endswith("text")]
        assert texts, "text stays text"
        sizes = [float(found) for found in re.findall(r"font-size: ([\d.]+)px", drawn)]
        assert min(sizes) >= SMALL_PT, "nothing under 12 px on the page"
        assert "script" not in {element.tag.rsplit("}", 1)[-1] for element in root.iter()}
        assert "http" not in drawn.replace("http://www.w3.org/", "")
        assert "DejaVu" not in drawn, "the text takes the page's family"


def test_same_bytes_in_two_processes_with_other_seeds_and_zones() -> None:
    script = (
        "from tests.charts.test_drawings import drawings; import hashlib; "
        "print(hashlib.sha256(repr(drawings()).encode()).hexdigest())"
    )
    told = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={"PYTHONHASHSEED": seed, "TZ": zone, "PATH": "", "LC_ALL": "C", "HOME": "/tmp"},
            capture_output=True, text=True, check=True,
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Pacific/Auckland"))
    }  # fmt: skip
    assert len(told) == 1


def test_figures_in_a_drawing_keep_their_digits() -> None:
    small = Load(
        hazard="bump",
        kind="graded",
        draws=Draws().between("x", 0.01, 0.078, 0.2),
        reason="r",
        evidence="surveyed",
        sources=(),
        exposure=Amount(0.0039, "1/a"),
        allowance=Amount(0.05, "1/a"),
    )
    made = loads_drawing([small], system="si", prefix="digits")
    for drawn in (made.wide, made.narrow):
        texts = [element.text for element in ET.fromstring(drawn).iter() if element.tag.endswith("text")]
        assert "0.0039 against 0.05 a year" in texts


def test_no_peak_is_lost_in_a_long_series() -> None:
    days = day_ranges(channel())
    assert days.greatest.max() == 88.0
    assert "88" in drawings()["series"].alternative


def test_a_day_without_readings_stays_empty() -> None:
    whole = channel(4)
    keep = (whole.times < np.datetime64("2026-01-02")) | (whole.times >= np.datetime64("2026-01-03"))
    gap = Channel(
        role="humidity",
        sensor=None,
        unit="%",
        unit_in_file="%",
        times=whole.times[keep],
        values=whole.values[keep],
        excluded=np.zeros(int(keep.sum()), bool),
        flags=(),
        utc=True,
        logger="hall.csv",
        accuracy=3.0,
    )
    days = day_ranges(gap)
    assert np.isnan(days.least).tolist() == [False, True, False, False]


def test_bars_come_first_and_unknown_before_numbers() -> None:
    ordered = sorted(
        [
            load("a", 5.0),
            Load(hazard="b", kind="graded", draws=None, reason="", evidence="missing", sources=()),
            Load(
                hazard="c", kind="graded", draws=None, barred=True, reason="", evidence="surveyed", sources=()
            ),
        ],
        key=lambda each: -severity(each),
    )
    assert [each.hazard for each in ordered] == ["c", "b", "a"]


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 definition."""
    channels = [int(colour[index : index + 2], 16) / 255 for index in (1, 3, 5)]
    linear = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_the_wash_deepens_with_the_load_in_greyscale_too() -> None:
    levels = [luminance(wash(ratio)) for ratio in np.geomspace(0.1, 10, 25)]
    assert all(later < earlier for earlier, later in itertools.pairwise(levels))
    assert [luminance(colour) for colour in WASH] == sorted(map(luminance, WASH), reverse=True)


@pytest.mark.parametrize("colour", [SOFT, LIMIT])
def test_small_text_has_contrast(colour: str) -> None:
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for small text.
    assert (luminance(PAPER) + 0.05) / (luminance(colour) + 0.05) >= 4.5


def test_every_place_of_a_move_is_written_whole() -> None:
    views = [
        MoveView(1, "Ferns", "Reading House, Drawing Room, over the mantel", "Orangery, Gallery, north wall")
    ]
    made = moves_drawing(views, prefix="chain")
    for drawn in (made.wide, made.narrow):
        texts = [
            element.text or "" for element in ET.fromstring(drawn).iter() if element.tag.endswith("text")
        ]
        words = " ".join(texts)
        assert "over the mantel" in words
        assert "north wall" in words
        assert "…" not in words


def test_a_figure_below_all_digits_keeps_its_sign() -> None:
    tiny = load("mould", 0.02)
    made = loads_drawing(
        [replace(tiny, exposure=Amount(2e-6, "1"), allowance=Amount(1.0, "1"))], system="si", prefix="tiny"
    )
    assert made.rows[0][4] == "< 0.0001 against 1"


def test_a_band_is_named_once_and_clear_of_readings() -> None:
    days = day_ranges(channel())
    ends = days.days[[0, -1]]
    for high, crowded in ((70.0, False), (54.0, True)):
        view = SeriesView(
            "Humidity", "%RH", days, (BandLine(ends, np.full(2, 40.0), np.full(2, high), "the band"),)
        )
        root = ET.fromstring(series_drawing(view, prefix="s").wide)
        named = [element for element in root.iter() if element.text == "the band"]
        assert len(named) == 1
        assert (float(named[0].attrib["y"]) < 25.0) == crowded, (
            "above everything where every day passes the edge"
        )

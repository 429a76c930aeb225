"""Both systems of units on one page: what a reader switches to is what the command prints in those units."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import pytest

from stillwall.assess import open_survey
from stillwall.charts.theme import Drawing
from stillwall.report.context import TripStep
from stillwall.report.make import make_report
from stillwall.report.systems import Twice, paired

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_logs"
WORK = "portrait-of-the-seedsman"
VOID = {"meta", "br", "link", "img", "use", "path", "rect", "image"}
US_ONLY = re.compile(r"\d (?:ft|lb)\b|°F")


class Shown(HTMLParser):
    """The text of a page, and what its drawings are called, without what stands in the units put away."""

    def __init__(self, hidden: str) -> None:
        super().__init__()
        self.hidden, self.parts = hidden, [""]
        self.open: list[bool] = []
        self.skipped = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in VOID:
            return
        given = dict(attrs)
        away = given.get("class") == self.hidden or tag in ("style", "script", "svg", "button")
        self.open.append(away)
        self.skipped += away
        if not self.skipped and given.get("role") == "img":
            self.parts.append(f" {given['aria-label']} ")

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID and self.open:
            self.skipped -= self.open.pop()

    def handle_data(self, data: str) -> None:
        if not self.skipped:
            self.parts.append(data)


def shown(html: str, hidden: str) -> str:
    reader = Shown(hidden)
    reader.feed(html)
    text = " ".join("".join(reader.parts).split())
    return text.replace("--units us", "--units").replace("--units si", "--units")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The demo's report, asked for in each system of units."""
    folder = tmp_path_factory.mktemp("both")
    made = {}
    for system in ("us", "si"):
        opened = open_survey(SAMPLE, remember=False, units=system)
        report = make_report(opened, work=WORK, out=folder / f"{system}.html", moves=True)
        made[system] = report.html.read_text(encoding="utf-8")
    return made


def test_what_is_switched_to_is_what_is_printed_in_those_units(pages: dict[str, str]) -> None:
    assert shown(pages["us"], hidden="own") == shown(pages["si"], hidden="other")
    assert shown(pages["si"], hidden="own") == shown(pages["us"], hidden="other")


def test_no_quantity_is_left_in_the_units_put_away(pages: dict[str, str]) -> None:
    assert len(US_ONLY.findall(shown(pages["us"], hidden="other"))) > 100
    assert US_ONLY.findall(shown(pages["us"], hidden="own")) == []


def test_the_same_drawing_is_not_carried_twice(pages: dict[str, str]) -> None:
    html = pages["us"]
    light = re.findall(r'aria-label="Illuminance by hour[^"]*"', html)
    assert len(light) == len(set(light)) >= 1
    names = re.findall(r' id="([^"]+)"', html)
    assert len(names) == len(set(names))


def test_the_script_is_small_and_computes_no_figure() -> None:
    script = (files("stillwall.report") / "page.js").read_text(encoding="utf-8")
    assert len(script) < 3000
    assert re.findall(r"\d", script) == []


def test_texts_differ_only_where_they_differ() -> None:
    said = Twice("The <air> goes to 71 °F & back", "The <air> goes to 22 °C & back")
    assert said.__html__() == (
        'The &lt;air&gt; goes to <span class="own">71 °F</span><span class="other">22 °C</span> &amp; back'
    )
    assert said == "The <air> goes to 71 °F & back"
    whole = Twice("2 ft", "0.61 m").__html__()
    assert whole == '<span class="own">2 ft</span><span class="other">0.61 m</span>'


def test_lists_of_other_lengths_stay_as_they_are() -> None:
    own = TripStep(title="1. Ferns", lines=("6 ft 2 in", "79 lb"))
    switched = paired(own, TripStep(title="1. Ferns", lines=("1.88 m", "36 kg")))
    assert [line.other for line in switched.lines if isinstance(line, Twice)] == ["1.88 m", "36 kg"]
    kept = paired(own, TripStep(title="1. Ferns", lines=("1.88 m",)))
    assert kept.lines == own.lines
    assert not any(isinstance(line, Twice) for line in kept.lines)


def test_a_drawing_keeps_the_other_beside_it() -> None:
    own = Drawing(wide="<svg/>", narrow="", alternative="2 ft", rows=(("sill", "2 ft"),))
    other = Drawing(wide="<svg />", narrow="", alternative="0.61 m", rows=(("sill", "0.61 m"),))
    made = paired(own, other)
    assert made.other == other
    assert made.wide == own.wide
    assert isinstance(made.rows[0][1], Twice)
    assert paired(own, own) is own

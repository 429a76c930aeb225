"""The report: same inputs, same bytes; text from files stays text; the committed one is current."""

from __future__ import annotations

import base64
import datetime as dt
import hashlib
import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

from stillwall.assess import open_survey
from stillwall.reference.library import load_library
from stillwall.reference.sources import Citation
from stillwall.report.climate_view import climate_charts
from stillwall.report.context import make_page
from stillwall.report.make import make_report, render
from stillwall.report.moves_screen import moves_screen, moves_sheet
from stillwall.report.moves_view import moves_section
from stillwall.report.paper import BOX, BREAK, _with_boxes, _with_breaks
from stillwall.report.screens import rank_screen, vet_screen
from stillwall.report.season_page import season_page
from stillwall.report.season_screen import season_screen
from stillwall.report.words import source_words
from tests.report.hostile import NAMES, TURNED, house
from tests.report.remake import remake

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_logs"
WORK = "portrait-of-the-seedsman"


class Tags(HTMLParser):
    """Collects tags and what they point at."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.targets: list[str] = []
        self.handlers: list[str] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.targets += [
            value or "" for name, value in attrs if name in ("href", "src", "xlink:href", "action")
        ]
        self.handlers += [name for name, _ in attrs if name.startswith("on")]

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def parsed(html: str) -> Tags:
    found = Tags()
    found.feed(html)
    return found


@pytest.fixture(scope="module")
def html() -> str:
    opened = open_survey(SAMPLE, remember=False)
    return render(make_page(opened.rank(work=WORK), command="stillwall report"))


def test_nothing_points_outside_and_only_the_own_script_may_run(html: str) -> None:
    found = parsed(html)
    assert found.tags.count("script") == 1
    assert found.handlers == []
    assert all(target.startswith(("#", "data:image/png;base64,")) for target in found.targets)
    script = re.search(r"<script>(.*?)</script>", html, flags=re.S)
    policy = re.search(r"script-src 'sha256-([^']+)'", html)
    assert script is not None
    assert policy is not None
    assert base64.b64encode(hashlib.sha256(script.group(1).encode()).digest()).decode() == policy.group(1)


def test_each_drawing_has_its_words_and_its_numbers(html: str) -> None:
    figures = re.findall(r"<figure>.*?</figure>", html, flags=re.S)
    assert len(figures) >= 15
    for figure in figures:
        assert re.search(r'role="img" aria-label="[^"]{20,}"', figure)
        assert "<details>" in figure


@pytest.mark.parametrize("kind", NAMES)
def test_names_are_shown_as_text_on_page_paper_and_screen(kind: str, tmp_path: Path) -> None:
    name = NAMES[kind]
    folder = house(tmp_path / "house", name)
    opened = open_survey(folder, remember=False)
    made = make_report(opened, work="lime-avenue", out=tmp_path / "report.html", pdf=True)
    ranking, spots = opened.rank(work="lime-avenue"), opened.season()
    html, season = made.html.read_text(encoding="utf-8"), season_page(spots, opened)
    for page in (html, season):
        found = parsed(page)
        assert found.tags.count("script") == 1
        assert found.handlers == []
        assert "img" not in found.tags
        assert name in " ".join("".join(found.texts).split())
        assert TURNED not in page
    assert f"logs/{name}.csv" in "".join(parsed(html).texts), "the file whose titles and headers are hostile"
    assert made.pdf is not None
    assert made.pdf.read_bytes().startswith(b"%PDF-1.7")
    for told in (rank_screen(ranking), season_screen(spots, opened)):
        assert max(map(len, told.splitlines())) <= 80
        assert all(letter.isprintable() or letter == "\n" for letter in told)


def test_a_very_long_word_may_break_on_paper() -> None:
    data = _with_breaks({"name": NAMES["long"], "wide": NAMES["long"], "lines": ["short", "0" * 64]})
    assert data["wide"] == NAMES["long"], "a drawing stays as it is"
    for text, whole in ((data["name"], NAMES["long"]), (data["lines"][1], "0" * 64)):
        assert max(map(len, text.split(BREAK))) <= 26
        assert text.replace(BREAK, "") == whole
    assert data["lines"][0] == "short"


def test_letters_that_the_paper_lacks_are_boxes_and_others_stay() -> None:
    assert _with_boxes("a 🖼️🌿 b 👩\u200d🎨, שרכים e\u0301 漢") == f"a {BOX} b {BOX}, שרכים e\u0301 {BOX}"


def test_same_inputs_same_bytes_whatever_the_hash_seed_the_zone_and_the_locale(tmp_path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from stillwall.assess import open_survey; "
        "from stillwall.report.make import make_report; "
        f"opened = open_survey({str(SAMPLE)!r}, remember=False); "
        f"make_report(opened, work={WORK!r}, out=Path(sys.argv[1]), pdf=True)"
    )
    made = []
    for seed, zone, locale in (("1", "UTC", "C"), ("77", "Pacific/Auckland", "C.UTF-8")):
        out = tmp_path / seed / "report.html"
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": locale, "PYTHONUTF8": "0"}
        subprocess.run([sys.executable, "-c", script, str(out)], check=True, env=environment, timeout=240)
        made.append((out.read_bytes(), out.with_suffix(".pdf").read_bytes()))
    assert made[0][0] == made[1][0]
    assert made[0][1] == made[1][1]


def test_the_paper_is_tagged_archival_and_has_its_fonts(tmp_path: Path) -> None:
    made = make_report(
        open_survey(SAMPLE, remember=False), work=WORK, out=tmp_path / "r.html", pdf=True, paper="letter"
    )
    assert made.pdf is not None
    content = made.pdf.read_bytes()
    assert b"<pdfaid:part>2</pdfaid:part>" in content
    assert b"pdfuaid:part" in content
    assert b"/MarkInfo" in content
    assert b"612 792" in content, "US Letter in points"


def scrubbed(html: str) -> str:
    """The page without its drawings, its version and its style."""
    text = re.sub(r"<svg.*?</svg>", "", html, flags=re.S)
    text = re.sub(r"<style>.*?</style>", "", text, flags=re.S)
    return re.sub(r"stillwall \d+\.\d+\.\d+\S*", "stillwall", text)


def test_the_committed_report_is_current(tmp_path: Path) -> None:
    committed = ROOT / "reports" / f"sample_logs-{WORK}.html"
    made = remake(tmp_path)
    assert scrubbed(committed.read_text(encoding="utf-8")) == scrubbed(made.read_text(encoding="utf-8"))
    assert (ROOT / "reports" / "report.png").read_bytes().startswith(b"\x89PNG")
    assert committed.with_suffix(".pdf").stat().st_size > 50_000


def test_the_sheet_and_the_chain_name_every_step() -> None:
    answer = open_survey(SAMPLE, remember=False).moves()
    sheet, screen = moves_sheet(answer), moves_screen(answer)
    assert sheet.count('class="page"') == len(answer.plan.trips)
    assert sheet.count('class="step"') == len(answer.plan.steps)
    for step in answer.plan.steps:
        title = answer.opened.survey.works[step.work].name
        assert title.replace("'", "&#39;") in sheet
        assert title in " ".join(screen.split())
    assert max(map(len, screen.splitlines())) <= 80


def test_the_report_draws_the_chain_of_moves() -> None:
    opened = open_survey(SAMPLE, remember=False)
    chain = opened.moves()
    page = make_page(opened.rank(work=WORK), moves=moves_section(chain), command="stillwall report --moves")
    assert page.moves is not None
    assert page.moves.drawing is not None
    assert len(page.moves.drawing.rows) == len(chain.plan.steps)
    assert [trip.title for trip in page.moves.trips] == re.findall(r"Trip \d+ of \d+[^<]*", render(page))
    titles = [step.title for trip in page.moves.trips for step in trip.steps]
    assert [title.split(". ")[0] for title in titles] == [str(step.n) for step in chain.plan.steps]
    told = " ".join(line for trip in page.moves.trips for step in trip.steps for line in step.lines)
    assert not any(work in told for work in opened.survey.works if "-" in work), "works go by their names"


def test_temperatures_are_drawn_in_the_units_that_are_asked_for() -> None:
    for system, unit, other in (("us", "°F", "°C"), ("si", "°C", "°F")):
        opened = open_survey(SAMPLE, remember=False, units=system)
        vetted = opened.vet(work=WORK, wall="orangery-north")
        charts = list(climate_charts(vetted.placed, system=opened.system, prefix="t", drawn={}))
        drawn = next(made for heading, made, _ in charts if heading.startswith("Temperature"))
        assert unit in drawn.wide
        assert other not in drawn.wide


def test_a_vetting_says_its_stay_and_its_reasons_largest_first() -> None:
    opened = open_survey(SAMPLE, remember=False)
    told = vet_screen(
        opened.vet(work=WORK, wall="lobby-south", start=dt.date(2026, 11, 1), end=dt.date(2026, 12, 15))
    )
    assert "to 15 December 2026" in " ".join(told.split("Unsuitable", maxsplit=1)[0].split())
    listed = re.findall(r"^([a-z ]+?)  +[<\d]", told.split("---\n")[-1].split("\n\n")[0], flags=re.M)
    reasons = re.findall(r"^- ([a-z ]+):", told.split("Reasons")[1].split("Cautions")[0], flags=re.M)
    assert reasons[: len(listed)] == listed
    assert told.count("a competent person decides on site") == 1


def test_sources_are_named_as_a_reader_looks_for_them() -> None:
    library = load_library()
    judged = Citation(key="judgement", locator="hanging", checked="judgement")
    assert source_words(judged, library) == "judgement of this project: hanging"
    paper = Citation(key="camuffo-2022", locator="table 2", checked="memory")
    assert source_words(paper, library) == "Camuffo and others 2022, table 2 (from memory, to be confirmed)"

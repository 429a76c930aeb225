"""A headless Chromium, the accessibility checker, and the demo's report to look at."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.report.hostile import NAMES, house

SAMPLE = Path(__file__).parents[2] / "sample_logs"
WORK = "portrait-of-the-seedsman"
AXE = "axe-core@4.10.3"


@pytest.fixture(scope="session")
def chromium() -> str:
    found = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    assert found, "these tests need Chromium: apt-get install chromium, or set CHROMIUM to its path"
    return found


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The accessibility checker's script, from the npm registry."""
    folder = tmp_path_factory.mktemp("axe")
    npm = shutil.which("npm")
    assert npm, "these tests need npm, for the accessibility checker"
    subprocess.run(
        [npm, "install", "--silent", "--no-save", "--prefix", str(folder), AXE], check=True, timeout=300
    )
    return (folder / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[object]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=chromium,
            args=[
                "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                "--disable-background-networking", "--disable-component-update", "--disable-sync",
            ],
        )  # fmt: skip
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def report_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from stillwall.assess import open_survey
    from stillwall.report.make import make_report

    out = tmp_path_factory.mktemp("report") / "report.html"
    make_report(open_survey(SAMPLE, remember=False), work=WORK, out=out)
    return out


@pytest.fixture(scope="session")
def season_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from stillwall.assess import open_survey
    from stillwall.report.season_page import season_page

    opened = open_survey(SAMPLE, remember=False)
    out = tmp_path_factory.mktemp("season") / "season.html"
    out.write_text(season_page(opened.season(), opened), encoding="utf-8")
    return out


@pytest.fixture(scope="session", params=NAMES)
def hostile_files(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Path]:
    """Report and season of a small house in which every name is hostile."""
    from stillwall.assess import open_survey
    from stillwall.report.make import make_report
    from stillwall.report.season_page import season_page

    folder = tmp_path_factory.mktemp("hostile")
    opened = open_survey(house(folder / "house", NAMES[request.param]), remember=False)
    report = make_report(opened, work="lime-avenue", out=folder / "report.html").html
    season = folder / "season.html"
    season.write_text(season_page(opened.season(), opened), encoding="utf-8")
    return report, season


@pytest.fixture(scope="session")
def sheet_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from stillwall.assess import open_survey
    from stillwall.report.moves_screen import moves_sheet

    out = tmp_path_factory.mktemp("sheet") / "sheet.html"
    out.write_text(moves_sheet(open_survey(SAMPLE, remember=False).moves()), encoding="utf-8")
    return out

"""Make the committed report of the demo again: the page, the PDF, and a picture of the first screen.

Run as ``python -m tests.report.remake`` from the top of the repository; Chromium is used for the picture alone.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from stillwall.assess import open_survey
from stillwall.report.make import make_report
from stillwall.store import write_whole

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_logs"
REPORTS = ROOT / "reports"
WORK = "portrait-of-the-seedsman"
WIDTH_PX, HEIGHT_PX = 900, 1150


def remake(folder: Path = REPORTS) -> Path:
    """Write the demo's report as HTML and PDF into a folder; the HTML file."""
    out = folder / f"sample_logs-{WORK}.html"
    return make_report(open_survey(SAMPLE, remember=False), work=WORK, out=out, pdf=True, moves=True).html


def first_screen(page_file: Path, picture: Path) -> None:
    """Write a picture of what a reader sees first."""
    from playwright.sync_api import sync_playwright

    chromium = os.environ.get("CHROMIUM") or shutil.which("chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        page = browser.new_page(viewport={"width": WIDTH_PX, "height": HEIGHT_PX})
        page.goto(page_file.resolve().as_uri())
        write_whole(picture, page.screenshot())
        browser.close()


if __name__ == "__main__":
    first_screen(remake(), REPORTS / "report.png")

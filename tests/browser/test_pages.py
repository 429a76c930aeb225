"""No overflow, no outside request, no console error, no accessibility violation; print and keyboard."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser
WIDTHS = (400, 900, 1400)
MOST_BYTES = 3_000_000


@pytest.fixture(params=["report", "sheet", "season"])
def page_file(request: pytest.FixtureRequest) -> Path:
    found: Path = request.getfixturevalue(f"{request.param}_file")
    return found


def opened(browser: Any, file: Path, width: int, *, scripts: bool = True) -> tuple[Any, list[str], list[str]]:
    """A page at one width, with its console's complaints and its requests."""
    context = browser.new_context(viewport={"width": width, "height": 900}, java_script_enabled=scripts)
    page = context.new_page()
    complaints: list[str] = []
    requests: list[str] = []
    page.on("console", lambda message: complaints.append(message.text) if message.type != "log" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("request", lambda request: requests.append(request.url))
    page.goto(file.as_uri())
    return page, complaints, requests


def overflowing(page: Any) -> list[str]:
    """What reaches past the right edge of the window."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll("body *")]
        .filter(e => !e.closest("svg, .scroll, .skip, thead"))
        .filter(e => e.getBoundingClientRect().width > 0 && e.getBoundingClientRect().right > innerWidth + 1)
        .map(e => e.tagName + "." + e.className)"""
    )
    return found


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_overflows_and_nothing_is_fetched(browser: Any, page_file: Path, width: int) -> None:
    page, complaints, requests = opened(browser, page_file, width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert overflowing(page) == []
    assert complaints == []
    assert requests == [page_file.as_uri()]
    page.context.close()


@pytest.mark.parametrize("width", [400, 1400])
def test_hostile_names_stay_text_and_in_the_page(
    browser: Any, hostile_files: tuple[Path, Path], width: int
) -> None:
    for file in hostile_files:
        page, complaints, requests = opened(browser, file, width)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert overflowing(page) == []
        assert complaints == []
        assert requests == [file.as_uri()]
        page.context.close()


@pytest.mark.parametrize("width", [400, 1400])
def test_text_in_drawings_stays_in_its_drawing_and_is_no_smaller_than_12_px(
    browser: Any, report_file: Path, width: int
) -> None:
    page, _, _ = opened(browser, report_file, width)
    found = page.evaluate(
        """() => [...document.querySelectorAll("figure svg text")]
        .filter(t => t.getBoundingClientRect().width > 0)
        .map(t => { const box = t.getBoundingClientRect(), frame = t.ownerSVGElement.getBoundingClientRect();
          const scale = frame.width / t.ownerSVGElement.viewBox.baseVal.width;
          return [t.textContent, parseFloat(getComputedStyle(t).fontSize) * scale, frame.left - box.left,
                  box.right - frame.right, frame.top - box.top, box.bottom - frame.bottom]; })"""
    )
    assert len(found) > 50
    small = [text for text, size, *_ in found if size < 11.9]
    outside = [text for text, _, *over in found if max(over) > 3]
    assert small == []
    assert outside == []
    page.context.close()


@pytest.mark.parametrize("switched", [False, True])
@pytest.mark.parametrize("width", [400, 1400])
def test_no_accessibility_violation(
    browser: Any, axe: str, page_file: Path, width: int, switched: bool
) -> None:
    # axe-core, rules of WCAG 2.2 A and AA and best practice.
    context = browser.new_context(viewport={"width": width, "height": 900}, bypass_csp=True)
    page = context.new_page()
    page.goto(page_file.as_uri())
    if switched:
        page.evaluate("document.querySelector('[data-units=other]')?.click()")
    page.evaluate(axe)
    violations = page.evaluate("axe.run(document).then(found => found.violations)")
    told = [(each["id"], [node["target"] for node in each["nodes"][:3]]) for each in violations]
    assert told == []
    context.close()


def test_the_report_reads_without_scripts(browser: Any, report_file: Path) -> None:
    page, complaints, _ = opened(browser, report_file, 900, scripts=False)
    assert page.locator(".tools:visible").count() == 0
    assert page.locator(".other:visible").count() == 0
    assert page.locator(".ranking tbody tr").count() >= 14
    assert page.locator("figure").count() >= 10
    assert complaints == []
    page.context.close()


def test_the_keyboard_reaches_everything(browser: Any, report_file: Path) -> None:
    page, _, _ = opened(browser, report_file, 900)
    reachable = page.evaluate(
        """() => [...document.querySelectorAll("a[href], button, summary, [tabindex='0']")].length"""
    )
    seen = set()
    for _ in range(reachable + 5):
        page.keyboard.press("Tab")
        seen.add(
            page.evaluate(
                """() => [...document.querySelectorAll("a[href], button, summary, [tabindex='0']")]
                .indexOf(document.activeElement)"""
            )
        )
    hidden = page.evaluate(
        """() => [...document.querySelectorAll("a[href], button, summary, [tabindex='0']")]
        .filter(e => !e.checkVisibility()).length"""
    )
    assert len(seen - {-1}) == reachable - hidden
    page.context.close()


def test_filtering_the_ranking_and_nothing_shifts(browser: Any, report_file: Path) -> None:
    context = browser.new_context(viewport={"width": 900, "height": 900})
    page = context.new_page()
    page.add_init_script(
        "window.shift = 0; new PerformanceObserver(list => { for (const e of list.getEntries()) "
        "if (!e.hadRecentInput) window.shift += e.value; }).observe({type: 'layout-shift', buffered: true});"
    )
    page.goto(report_file.as_uri())
    page.wait_for_timeout(300)
    assert page.evaluate("window.shift") < 0.01
    all_rows = page.locator(".ranking tbody tr:visible").count()
    button = page.locator("[data-show]").nth(1)
    button.click()
    assert 0 < page.locator(".ranking tbody tr:visible").count() < all_rows
    assert button.get_attribute("aria-pressed") == "true"
    page.locator("[data-show='all']").click()
    assert page.locator(".ranking tbody tr:visible").count() == all_rows
    context.close()


def test_units_are_switched_by_mouse_or_keyboard_and_said(browser: Any, report_file: Path) -> None:
    page, complaints, _ = opened(browser, report_file, 900)
    us, si = (page.locator("button[data-units]").nth(index) for index in (0, 1))
    assert (us.text_content(), si.text_content()) == ("US", "SI")
    assert (us.get_attribute("aria-pressed"), si.get_attribute("aria-pressed")) == ("true", "false")
    assert "°F" in page.inner_text("main")
    assert "°C" not in page.inner_text("#place-1 > p")
    drawings = page.locator("figure [role=img]:visible").count()
    si.focus()
    page.keyboard.press("Enter")
    assert (us.get_attribute("aria-pressed"), si.get_attribute("aria-pressed")) == ("false", "true")
    assert "°F" not in page.inner_text("main")
    assert "°C" in page.inner_text("#place-1 > p")
    assert page.locator("figure [role=img]:visible").count() == drawings
    us.click()
    assert "°F" in page.inner_text("main")
    assert complaints == []
    page.context.close()


def test_the_ranking_is_sorted(browser: Any, report_file: Path) -> None:
    page, _, _ = opened(browser, report_file, 900)
    names = page.locator(".ranking tbody th")
    ranked = names.all_text_contents()
    page.locator("[data-sort='name']").click()
    assert names.all_text_contents() == sorted(ranked, key=lambda name: name.replace(",", "").casefold())
    page.locator("[data-sort='load']").click()
    loads = [
        float(row)
        for row in page.locator(".ranking tbody tr").evaluate_all("all => all.map(e => e.dataset.load)")
    ]
    assert loads == sorted(loads, reverse=True)
    page.locator("[data-sort='rank']").click()
    assert names.all_text_contents() == ranked
    page.context.close()


def test_it_is_small_and_prints(browser: Any, report_file: Path) -> None:
    assert report_file.stat().st_size < MOST_BYTES
    page, _, _ = opened(browser, report_file, 900)
    for paper in ("A4", "Letter"):
        printed = page.pdf(format=paper, print_background=True)
        assert printed.startswith(b"%PDF")
        assert len(printed) > 20_000
    page.context.close()

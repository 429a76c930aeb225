"""Set the report: context to one HTML file, written whole or not at all."""

from __future__ import annotations

import datetime as dt
import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, StrictUndefined, Template

from stillwall.assess import Assessment
from stillwall.charts.theme import Drawing
from stillwall.errors import Fault, InputError
from stillwall.opened import OpenSurvey
from stillwall.report.context import Page, make_page
from stillwall.report.moves_view import moves_section
from stillwall.report.paper import render_pdf
from stillwall.report.screens import wrap
from stillwall.report.systems import OTHER, page_script, paired, script_hash, shown_in
from stillwall.report.words import answer
from stillwall.store import write_whole

REPORTS = Path("reports")


@dataclass(frozen=True, slots=True)
class Made:
    """A report that has been written."""

    html: Path
    pdf: Path | None
    sentence: str

    @property
    def document(self) -> dict[str, Any]:
        """The JSON document of the command."""
        return {"stillwall": 1, "html": str(self.html), "pdf": None if self.pdf is None else str(self.pdf)}


def make_report(
    opened: Assessment,
    *,
    work: str | None = None,
    walls: tuple[str, ...] = (),
    start: dt.date | None = None,
    end: dt.date | None = None,
    out: Path | None = None,
    pdf: bool = False,
    paper: str = "a4",
    moves: bool = False,
) -> Made:
    """Write the report for one work; by default the first that has no place yet.

    Parameters
    ----------
    moves
        Draw the chain of moves too: the plan for all works of the survey, not for this one alone.

    Raises
    ------
    InputError
        If there is no work, or the file cannot be written.
    """
    subject = work or _incoming(opened)
    for name in walls:
        opened.place(name)
    planned = opened.moves(start=start) if moves else None
    command = _command(opened, subject, walls, start, end, moves=moves)
    drawn: dict[str, Drawing] = {}

    def page_in(shown: Assessment) -> tuple[Page, str]:
        ranking = shown.rank(work=subject, start=start, end=end)
        chain = None if planned is None else moves_section(planned, shown)
        return make_page(ranking, extra=walls, moves=chain, command=command, drawn=drawn), answer(ranking)

    with _collecting_once():
        page, said = page_in(opened)
        switched = both(page, page_in(shown_in(opened, OTHER[opened.system]))[0])
    html = out or REPORTS / f"{opened.survey.folder.resolve().name}-{subject}.html"
    paper_file = html.with_suffix(".pdf") if pdf else None
    printed = render_pdf(page, paper=paper, day=opened.as_of) if pdf else b""
    write_whole(html, render(switched).encode())
    if paper_file is not None:
        write_whole(paper_file, printed)
    written = " and ".join(str(file) for file in (html, paper_file) if file is not None)
    return Made(html, paper_file, "\n".join([*wrap(said), "", f"Report: {written}"]))


@contextmanager
def _collecting_once() -> Iterator[None]:
    """Leave figures, which hold each other, to one collection at the end and not to many amid the charts."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def both(own: Page, other: Page) -> Page:
    """A page that carries both systems of units, read in its own until a reader switches."""
    other = replace(other, system=own.system)
    return replace(paired(own, other), switched=own != other)


def render(page: Page) -> str:
    """The page as HTML. The same context gives the same text."""
    script = page_script()
    return _template().render(
        page=page, css=_text("page.css"), script=script, script_hash=script_hash(script)
    )


@lru_cache(maxsize=1)
def _template() -> Template:
    environment = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=False,
        lstrip_blocks=False,
        keep_trailing_newline=True,
    )
    return environment.from_string(_text("page.html.j2"))


def _text(name: str) -> str:
    return (files("stillwall.report") / name).read_text(encoding="utf-8")


def _incoming(opened: OpenSurvey) -> str:
    works = opened.survey.works
    if not works:
        raise InputError(
            Fault(
                where=str(opened.survey.folder / "survey.toml"),
                found="no works",
                expected="at least one work to find a place for",
                fix="add a [[work]] table",
            )
        )
    unplaced = [
        name for name, work in works.items() if work.now_at not in opened.survey.places or work.arrives
    ]
    return (unplaced or list(works))[0]


def _command(
    opened: OpenSurvey,
    work: str,
    walls: tuple[str, ...],
    start: dt.date | None,
    end: dt.date | None,
    *,
    moves: bool,
) -> str:
    parts = ["stillwall", "report", opened.survey.folder.name, "--work", work]
    for name in walls:
        parts += ["--wall", name]
    if start is not None:
        parts += ["--from", start.isoformat()]
    if end is not None:
        parts += ["--to", end.isoformat()]
    if moves:
        parts.append("--moves")
    parts += ["--as-of", opened.as_of.isoformat(), "--seed", str(opened.draws.seed), "--units", opened.system]
    return " ".join(parts)

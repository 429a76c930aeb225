"""The same context on paper: a tagged, archival PDF (ISO 19005-2 A, ISO 14289-1) with its own fonts."""

from __future__ import annotations

import datetime as dt
import json
import re
from dataclasses import asdict
from importlib.resources import files
from typing import Any

from stillwall.errors import Fault, InputError
from stillwall.report.context import Page

PAPERS = {"a4": "a4", "letter": "us-letter"}
FAMILY = "Libertinus Serif"
BOX = "□"
MOST_UNSEEN = 60
_UNSEEN = re.compile(r'the text `?"(.*?)"`? could not be displayed', re.S)
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")


def render_pdf(page: Page, *, paper: str, day: dt.date) -> bytes:
    """The page as a PDF. The same context gives the same bytes.

    Parameters
    ----------
    paper
        ``"a4"`` or ``"letter"``.
    day
        The day that the document bears: the day from which was judged.

    Raises
    ------
    InputError
        If the paper is unknown, or the extra ``pdf`` is not installed.
    """
    if paper.lower() not in PAPERS:
        raise InputError(
            Fault(where="--paper", found=repr(paper), expected="a4 or letter", fix="write one of these")
        )
    try:
        import typst
    except ImportError as error:
        raise InputError(
            Fault(
                where="--pdf",
                found="the extra that makes PDF files is not installed",
                expected="stillwall[pdf]",
                fix="pip install 'stillwall[pdf]', or print the HTML file",
            )
        ) from error
    data = asdict(page)
    data["date"] = [day.year, day.month, day.day]
    for drawing in _drawings(data):
        drawing["svg"] = drawing.pop("wide").replace("<svg ", f'<svg font-family="{FAMILY}" ', 1)
        del drawing["narrow"]
    moment = int(dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC).timestamp())
    text = json.dumps(data, ensure_ascii=False)
    template = (files("stillwall.report") / "paper.typ").read_bytes()
    for _ in range(MOST_UNSEEN):
        try:
            made: bytes = typst.compile(
                template,
                format="pdf",
                ignore_system_fonts=True,
                pdf_standards=["a-2a", "ua-1"],
                timestamp=moment,
                sys_inputs={"page": text, "paper": PAPERS[paper.lower()]},
            )
        except typst.TypstError as error:
            unseen = _UNSEEN.search(str(error))
            if unseen is None:
                raise
            text = _without(text, unseen.group(1))
        else:
            return made
    raise InputError(
        Fault(
            where="--pdf",
            found=f"more than {MOST_UNSEEN} kinds of characters that the paper's font lacks",
            expected="names in an alphabet that it has",
            fix="print the HTML file instead",
        )
    )


def _without(text: str, unseen: str) -> str:
    """The text with an empty box for what an archival PDF may not hold: letters that its font lacks."""
    plain = _ESCAPED.sub(lambda found: chr(int(found.group(1), 16)), unseen)
    for letter in set(plain):
        if not letter.isascii():
            text = text.replace(letter, BOX)
    return text


def _drawings(data: Any) -> list[dict[str, Any]]:
    if isinstance(data, dict):
        found = [data] if "wide" in data and "narrow" in data else []
        return found + [drawing for value in data.values() for drawing in _drawings(value)]
    if isinstance(data, list | tuple):
        return [drawing for value in data for drawing in _drawings(value)]
    return []

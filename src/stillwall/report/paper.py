"""The same context on paper: a tagged, archival PDF (ISO 19005-2 A, ISO 14289-1) with its own fonts."""

from __future__ import annotations

import datetime as dt
import json
import re
from dataclasses import asdict
from importlib.resources import files
from textwrap import shorten
from typing import Any
from unicodedata import category

from stillwall.errors import Fault, InputError
from stillwall.report.context import Page

PAPERS = {"a4": "a4", "letter": "us-letter"}
FAMILY = "Libertinus Serif"
BOX = "□"
LETTERS = (
    b'#set document(title: "letters")\n#set text(font: "Libertinus Serif", lang: "en")\n#sys.inputs.letters'
)
BREAK = "\u200b"
SIZES = ("wide", "narrow")
MOST_UNSEEN = 60
MOST_RUNNING = 90
"""Letters of the title at the foot of a page."""
_LONG_WORD = re.compile(r"\S{26,}")
_PIECE = re.compile(r".{1,13}", re.S)
_UNSEEN = re.compile(r'the text `?"(.*?)"`? could not be displayed', re.S)
_JOINED = re.compile(f"[\u200c\u200d\ufe00-\ufe0f\u20e3]*{BOX}[\u200c\u200d\ufe00-\ufe0f\u20e3{BOX}]*")
"""Boxes and what would join or vary them."""
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
        import typst  # noqa: F401
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
    data = _with_breaks(data)
    data["title"], data["running"] = page.title, shorten(page.title, MOST_RUNNING, placeholder="…")
    for drawing in _drawings(data):
        drawing["narrow"] = drawing["narrow"].replace("<svg ", f'<svg font-family="{FAMILY}" ', 1)
        del drawing["wide"]
    moment = int(dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC).timestamp())
    template = (files("stillwall.report") / "paper.typ").read_bytes()
    inputs = {"page": "", "paper": PAPERS[paper.lower()]}
    text = _with_boxes(json.dumps(data, ensure_ascii=False))
    for _ in range(MOST_UNSEEN):
        made = _compiled(template, {**inputs, "page": text}, moment)
        if isinstance(made, bytes):
            return made
        text = _without(text, made)
    raise InputError(
        Fault(
            where="--pdf",
            found=f"more than {MOST_UNSEEN} kinds of characters that the paper's font lacks",
            expected="names in an alphabet that it has",
            fix="print the HTML file instead",
        )
    )


def _compiled(template: bytes, inputs: dict[str, str], moment: int) -> bytes | str:
    """The document, or the text that its font cannot show."""
    import typst

    try:
        made: bytes = typst.compile(
            template,
            format="pdf",
            ignore_system_fonts=True,
            pdf_standards=["a-2a", "ua-1"],
            timestamp=moment,
            sys_inputs=inputs,
        )
    except typst.TypstError as error:
        unseen = _UNSEEN.search(str(error))
        if unseen is None:
            raise
        return unseen.group(1)
    return made


def _with_boxes(text: str) -> str:
    """The text without letters that the font lacks, each tried on a small page of its own."""
    letters = {letter for letter in text if not letter.isascii() and category(letter)[0] not in "MC"}
    while letters:
        unseen = _compiled(LETTERS, {"letters": " ".join(sorted(letters))}, 0)
        if isinstance(unseen, bytes):
            break
        lacking = letters & set(_plain(unseen))
        if not lacking:
            break
        letters -= lacking
        for letter in lacking:
            text = text.replace(letter, BOX)
    return _JOINED.sub(BOX, text)


def _without(text: str, unseen: str) -> str:
    """The text with an empty box for what an archival PDF may not hold: letters that its font lacks."""
    for letter in sorted(set(_plain(unseen)) - {BOX}):
        if not letter.isascii():
            text = text.replace(letter, BOX)
    return _JOINED.sub(BOX, text)


def _plain(unseen: str) -> str:
    return _ESCAPED.sub(lambda found: chr(int(found.group(1), 16)), unseen)


def _with_breaks(data: Any) -> Any:
    """The context with places at which a very long word may break; drawings as they are."""
    if isinstance(data, str):
        return _LONG_WORD.sub(lambda found: BREAK.join(_PIECE.findall(found[0])), data)
    if isinstance(data, dict):
        return {key: text if key in SIZES else _with_breaks(text) for key, text in data.items()}
    if isinstance(data, list | tuple):
        return [_with_breaks(each) for each in data]
    return data


def _drawings(data: Any) -> list[dict[str, Any]]:
    if isinstance(data, dict):
        found = [data] if "wide" in data and "narrow" in data else []
        return found + [drawing for value in data.values() for drawing in _drawings(value)]
    if isinstance(data, list | tuple):
        return [drawing for value in data for drawing in _drawings(value)]
    return []

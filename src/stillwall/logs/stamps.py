"""Dates and times as loggers write them: what a written form means, by its layout alone.

A layout is a stamp with each digit replaced by ``0``; a column holds few of them, so each is understood
once and then read for all its rows at the same places.
"""

# ruff: noqa: E501, PERF401
from __future__ import annotations

import contextlib
import re
from dataclasses import dataclass
from functools import lru_cache

from stillwall.logs.vocabulary import AFTERNOON, MONTHS, MORNING, WEEKDAYS
from stillwall.logs.words import plain

Span = tuple[int, int]

LETTER = "[A-Za-z\x80-\xff]"
_DATES = (
    r"(?P<Y>\d{4})(?P<s>[-/._ ]|\. |年)(?P<M>\d{1,2})(?P=s)(?P<D>\d{1,2})\.?",
    r"(?P<a>\d{1,2})(?P<s>\. ?|[-/_ ]|, )(?P<b>\d{1,2})(?P=s)(?P<c>\d{4}|\d{2})\.?",
    rf"(?P<D>\d{{1,2}})(?:st|nd|rd|th|er|\.|º)?[-./ _,]*(?:de )?(?P<mon>{LETTER}{{3,14}})\.?[-./ _,]*(?:de |del )?(?P<Y>\d{{4}}|\d{{2}})",
    rf"(?P<mon>{LETTER}{{3,14}})\.?[-./ _]*(?P<D>\d{{1,2}})(?:st|nd|rd|th)?(?:, ?| |-|/)(?P<Y>\d{{4}})",
    rf"(?P<Y>\d{{4}})[-./ ]?(?P<mon>{LETTER}{{3,14}})\.?[-./ ]?(?P<D>\d{{1,2}})",
    r"(?P<Y>\d{4})(?P<M>\d{2})(?P<D>\d{2})",
    r"(?P<Y>\d{4})[-/. ]?(?P<doy>\d{3})",
)
_TIMES = (
    r"(?P<h>\d{1,2})(?P<t>:| ?h ?|\.)(?P<mi>\d{2})(?:(?::|\.| ?m(?:in)? ?)(?P<se>\d{2}) ?s?(?:[.,:](?P<f>\d{1,9}))?)?",
    r"(?P<h>\d{2})(?:(?P<mi>\d{2})(?P<se>\d{2})?(?:\.(?P<f>\d{1,9}))?)?",
    r"(?P<h>\d{1,2})(?P<t> ?h| (?=[AaPp]\.?[Mm]))",
)
_HALF = r"(?: ?(?P<half>[AaPp]\.? ?[Mm]\.?|[Vv]orm\.?|[Nn]achm\.?|[VvNn]\.m\.?|[Dd]op\.?|[Oo]dp\.?|[Mm]atin|[Ss]oir))?"
_OFFSET = r"(?: ?(?P<off>Z|(?:UTC|GMT)? ?[+-]\d{1,2}(?::?\d{2})?|UTC|GMT|[A-Z]{3,5}))?"
_WEEKDAY = rf"(?:(?P<wd>{LETTER}{{2,10}})\.?,? )?"
_BETWEEN = r"(?:, ?| um | at | - | à | alle | om |[ T_:;|-]| {2,3}|/)"

ABBREVIATIONS = {
    "Z": 0,
    "UTC": 0,
    "GMT": 0,
    "WET": 0,
    "WEST": 60,
    "WEZ": 0,
    "WESZ": 60,
    "CET": 60,
    "CEST": 120,
    "MEZ": 60,
    "MESZ": 120,
    "SELC": 60,
    "SELČ": 120,
    "EET": 120,
    "EEST": 180,
    "OEZ": 120,
    "OESZ": 180,
    "MSK": 180,
    "EST": -300,
    "EDT": -240,
    "CDT": -300,
    "MST": -420,
    "MDT": -360,
    "PST": -480,
    "PDT": -420,
    "AKST": -540,
    "AKDT": -480,
    "HST": -600,
    "NZST": 720,
    "NZDT": 780,
    "AEST": 600,
    "AEDT": 660,
    "ACST": 570,
    "ACDT": 630,
    "AWST": 480,
    "JST": 540,
}
"""Zone abbreviations that name one offset. Those that name several (IST, BST, CST) are left out."""


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the parts of a stamp stand, as spans of characters.

    ``order`` is ``known`` where year, month and day are told by the layout, ``open`` where ``parts`` hold
    three numbers in an order that the column must tell, ``doy`` where the day is of the year, and
    ``none`` where there is no date.
    """

    order: str
    year: Span | None = None
    month: Span | None = None
    month_number: int | None = None
    day: Span | None = None
    parts: tuple[Span, Span, Span] | None = None
    hour: Span | None = None
    minute: Span | None = None
    second: Span | None = None
    half: int | None = None
    """0 before noon, 1 after noon, None on a clock of 24 hours."""
    offset_min: int | None = None
    offset: Span | None = None
    """Where the digits of an offset such as ``+01:00`` stand."""

    @property
    def has_date(self) -> bool:
        """Whether it holds a date."""
        return self.order != "none"

    @property
    def has_time(self) -> bool:
        """Whether it holds a time of day."""
        return self.hour is not None


@lru_cache(maxsize=1)
def _patterns() -> tuple[tuple[re.Pattern[str], bool, bool], ...]:
    made: list[tuple[re.Pattern[str], bool, bool]] = []
    for number, date in enumerate(_DATES):
        compact = number >= 5
        for kind, time in enumerate(_TIMES):
            if kind == 1 and not compact:
                continue
            tail = f"{time}{_HALF}{_OFFSET}"
            between = f"(?:{_BETWEEN})?" if compact and kind == 1 and number == 5 else _BETWEEN
            made.append((re.compile(f"^ *{_WEEKDAY}{date}{between}{tail} *$"), True, True))
            if number < 5 and kind == 0:
                made.append((re.compile(f"^ *{_WEEKDAY}{tail},? {date} *$"), True, True))
        made.append((re.compile(rf"^ *{_WEEKDAY}{date} *$"), True, False))
    for time in (_TIMES[0], _TIMES[2]):
        made.append((re.compile(f"^ *{time}{_HALF}{_OFFSET} *$"), False, True))
    return tuple(made)


@lru_cache(maxsize=4096)
def layout_of(template: str) -> Layout | None:
    """Understand a stamp (its digits may be replaced by ``0``), or None if it is no date and no time.

    The text is as bytes decoded by Latin-1, so that spans count bytes.
    """
    if not 3 <= len(template) <= 64 or template.count("0") + sum(map(str.isdigit, template)) < 2:
        return None
    for pattern, _, _ in _patterns():
        found = pattern.match(template)
        if found is not None:
            layout = _layout(found)
            if layout is not None:
                return layout
    return None


def _layout(found: re.Match[str]) -> Layout | None:
    groups = found.groupdict()

    def span(name: str) -> Span | None:
        return found.span(name) if groups.get(name) is not None else None

    weekday = groups.get("wd")
    if weekday is not None and _word(weekday) not in WEEKDAYS:
        return None
    month_number = None
    if groups.get("mon") is not None:
        month_number = MONTHS.get(_word(groups["mon"]))
        if month_number is None:
            return None
    half = None
    if groups.get("half") is not None:
        word = groups["half"].replace(" ", "").lower()
        if word in MORNING:
            half = 0
        elif word in AFTERNOON:
            half = 1
        else:
            return None
    offset = None
    if groups.get("off") is not None:
        offset = offset_minutes(groups["off"])
        if offset is None:
            return None
    signed = offset is not None and any(char.isdigit() for char in groups["off"])
    parts = None
    if groups.get("a") is not None:
        order = "open"
        parts = (found.span("a"), found.span("b"), found.span("c"))
    elif groups.get("doy") is not None:
        order = "doy"
    else:
        order = "known" if groups.get("Y") is not None else "none"
    day = span("doy") if order == "doy" else span("D")
    return Layout(
        order,
        span("Y"),
        span("M"),
        month_number,
        day,
        parts,
        span("h"),
        span("mi"),
        span("se"),
        half,
        None if signed else offset,
        span("off") if signed else None,
    )


def _word(latin: str) -> str:
    with contextlib.suppress(UnicodeDecodeError, UnicodeEncodeError):
        latin = latin.encode("latin-1").decode("utf-8")
    return plain(latin).rstrip(".")


def offset_minutes(text: str) -> int | None:
    """Minutes east of UTC of ``Z``, ``+01:00``, ``GMT-5``, ``UTC+0530`` or an abbreviation; None if unknown."""
    bare = text.strip()
    if bare.upper() in ABBREVIATIONS:
        return ABBREVIATIONS[bare.upper()]
    found = re.fullmatch(r"(?:UTC|GMT)?\s*([+\-−–])\s*(\d{1,2})(?::?(\d{2}))?", bare, re.I)
    if found is None:
        return None
    hours, minutes = int(found[2]), int(found[3] or 0)
    if hours > 14 or minutes > 59:
        return None
    return (hours * 60 + minutes) * (1 if found[1] == "+" else -1)


def offset_in(text: str, *, whole: bool = False) -> tuple[int, str] | None:
    """An offset named in a header or a preamble: minutes east of UTC, and the words that name it.

    ``whole``: also take an abbreviation that is the whole text (a column called ``MST``).
    """
    found = re.search(
        r"(?<![A-Za-z])(?:UTC|GMT)\s*(?:[+\-−–]\s*\d{1,2}(?::?\d{2})?)?(?![\dA-Za-z])", text, re.I
    )
    if found is not None:
        minutes = offset_minutes(found[0])
        return None if minutes is None else (minutes, found[0].strip())
    found = re.search(r"(?<![\d:])[+\-−]\d{2}:\d{2}(?!\d)", text)
    if found is not None:
        minutes = offset_minutes(found[0])
        return None if minutes is None else (minutes, found[0])
    for word in re.findall(r"[(\[]\s*([A-Z]{3,4})\s*[)\]]", text) + ([text.strip()] if whole else []):
        if word in ABBREVIATIONS:
            return ABBREVIATIONS[word], word
    return None


_PLACES = (
    (re.compile(r"\b(?:dd?|tt?|jj|gg?)[-./ ]+mm?[-./ ]+(?:yy|jj|aa|rr|uu|éé)", re.I), "day-first"),
    (re.compile(r"\bmm?[-./ ]+(?:dd?|tt?|jj?|gg?)[-./ ]+(?:yy|jj|aa|rr)", re.I), "month-first"),
    (
        re.compile(r"\b(?:yy|jj|aa|rr)(?:yy|jj|aa|rr)?[-./ ]+mm?[-./ ]+(?:dd?|tt?|jj?|gg?)\b", re.I),
        "year-first",
    ),
)


def order_in(text: str) -> str | None:
    """Date order that a header spells out, such as ``MM/DD/YYYY`` or ``TT.MM.JJJJ``."""
    for pattern, order in _PLACES:
        if pattern.search(text):
            return order
    return None


@lru_cache(maxsize=8192)
def kind_of_cell(cell: str) -> str | None:
    """``stamp``, ``date``, ``time``, ``epoch`` or ``serial`` for a cell that may be one, else None."""
    bare = cell.strip().replace("\u202f", " ").replace("\xa0", " ")
    if not bare or not any(char.isdigit() for char in bare):
        return None
    if re.fullmatch(r"(?:19|20)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?:[01]\d|2[0-4])", bare):
        return "stamp"
    if re.fullmatch(r"\d{9,10}(?:[.,]\d+)?|\d{12,13}", bare):
        number = float(bare.replace(",", "."))
        calendar = layout_of(bare)
        if calendar is not None and bare[:2] in ("19", "20") and len(bare) >= 10:
            return "stamp"
        if 2.5e8 < number < 4.2e9 or 2.5e11 < number < 4.2e12:
            return "epoch"
    if re.fullmatch(r"[2-6]\d{4}[.,]\d{3,}", bare) and 29_000 < float(bare.replace(",", ".")) < 65_000:
        return "serial"
    if re.fullmatch(r"[+-]?\d+[.,]\d+|[+-]?\d{1,7}", bare):
        return None
    if re.fullmatch(r"\d{8}", bare):
        return (
            "date"
            if bare[:2] in ("19", "20") and 1 <= int(bare[4:6]) <= 12 and 1 <= int(bare[6:]) <= 31
            else None
        )
    if re.fullmatch(r"\d{9,11}|\d{13}|\d{15,}", bare):
        return None
    layout = layout_of(bare.encode("utf-8").decode("latin-1"))
    if layout is None:
        return None
    if layout.has_date and layout.has_time:
        return "stamp"
    return "date" if layout.has_date else "time"

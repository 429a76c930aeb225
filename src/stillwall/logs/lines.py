"""Logical lines of a part of a file."""

from __future__ import annotations

import re
from typing import NamedTuple

from stillwall.logs.encoding import decode

_LINE = re.compile(rb"[^\r\n]*(?:\r\n|\n|\r|$)")
_END = re.compile(rb"(\r\n|\n|\r)")


class Line(NamedTuple):
    """One logical line: its text, its number in the file, and the byte at which it starts."""

    text: str
    number: int
    start: int


def lines_of(part: bytes, first_number: int, first_start: int, *, whole: bool) -> list[Line]:
    """Logical lines of a part of a file: a quoted cell may run over a line end."""
    if b'"' not in part:
        return _plain_lines(part, first_number, first_start, whole=whole)
    made: list[Line] = []
    number, start, held, held_at = first_number, first_start, "", (0, 0)
    joined = 0
    for found in _LINE.finditer(part):
        raw = found[0]
        if not raw and found.end() == len(part):
            break
        ended = raw.endswith((b"\n", b"\r"))
        if not ended and not whole:
            break
        text = decode(raw.rstrip(b"\r\n"), whole=True)
        if held:
            text = f"{held}\n{text}"
            at = held_at
        else:
            at = (number, start)
        opened = text.count('"') % 2 == 1 and re.search(r'(?:^|[,;\t|])[ ]*"', text) is not None
        if opened and joined < 4:
            held, held_at, joined = text, at, joined + 1
        else:
            made.append(Line(text, *at))
            held, joined = "", 0
        number += 1
        start += len(raw)
    if held:
        made.append(Line(held, *held_at))
    return made


def _plain_lines(part: bytes, first_number: int, first_start: int, *, whole: bool) -> list[Line]:
    """Lines of a part without quotes."""
    pieces = _END.split(part)
    made: list[Line] = []
    start = first_start
    for number, (text, end) in enumerate(zip(pieces[::2], [*pieces[1::2], b""], strict=True), first_number):
        if not end and not (whole and text):
            break
        made.append(Line(decode(text, whole=True), number, start))
        start += len(text) + len(end)
    return made

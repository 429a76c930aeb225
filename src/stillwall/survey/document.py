"""The text of a survey: TOML that knows on which line each key stands, and what is wrong with it."""

from __future__ import annotations

import bisect
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from stillwall.errors import Fault

Key = tuple[str | int, ...]
MAX_BYTES = 16_000_000
_MAX_REPAIRS = 25
_MAX_REPARSED = 20_000_000
"""Characters that may be parsed again to find further errors after the first."""

_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_STATEMENT = re.compile(
    r"""\s*(?:\[|(?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*\s*=)"""
)
_ONE_FACT = re.compile(r"\s*(?!id\b)[\w-]+\s*=")
"""A statement without which an entry is still an entry, and still has its name."""
_UNQUOTED = re.compile(r"""\s*(?P<key>[\w.-]+)\s*=\s*+(?P<value>[^"'\[{#][^#]*)""")
_NO_SUCH_DATE = re.compile(
    r"(?<![\d\"'-])\d{4}-\d\d-\d\d(?:[T ]\d\d:\d\d(?::\d\d(?:\.\d+)?)?(?:Z|[+-]\d\d:\d\d)?)?"
)
_LONG_KEY = re.compile(r"""(?<![\w."'-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){40}""")


@dataclass(frozen=True)
class Document:
    """What a TOML file says.

    ``broken`` where parts of it could not be read and are left out of ``data``; ``entries_lost`` where
    these may have been whole entries or their ids, and not only some facts.
    """

    name: str
    text: str
    data: dict[str, Any]
    faults: tuple[Fault, ...] = ()
    entries_lost: bool = False

    @property
    def broken(self) -> bool:
        """Whether some of the text is missing from ``data``."""
        return bool(self.faults)

    @cached_property
    def _lines(self) -> dict[Key, int]:
        return _key_lines(self.text)

    def line(self, key: Key) -> int:
        """Line of a key such as ``("wall", 2, "height")``, else of the nearest thing around it."""
        for length in range(len(key), 0, -1):
            found = self._lines.get(key[:length])
            if found is not None:
                return found
        return 1

    def where(self, key: Key) -> str:
        """File and line of a key."""
        return f"{self.name}:{self.line(key)}"


def read_document(path: Path) -> Document:
    """Read a TOML file; what is wrong with its text is in ``faults``, never raised."""
    name = path.name
    if path.parent.is_file():
        return _unreadable(str(path.parent), "this is a file", "the folder of a survey", "name its folder")
    if not path.is_file():
        return _unreadable(
            str(path),
            "there is no such file",
            "a survey",
            f"run 'stillwall start {path.parent}', or name another folder",
        )
    try:
        size = path.stat().st_size
        raw = path.read_bytes() if size <= MAX_BYTES else b""
    except OSError as error:
        return _unreadable(
            name, f"cannot be opened ({error.strerror})", "a readable file", "check its permissions"
        )
    if size > MAX_BYTES:
        return _unreadable(name, f"{size:,} bytes", f"at most {MAX_BYTES:,}", "keep works in a CSV inventory")
    try:
        text = raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        return _unreadable(
            f"{name}:{line}", "a character that is not UTF-8", "UTF-8 text", "save the file as UTF-8"
        )
    return parse_document(text, name)


def _unreadable(where: str, found: str, expected: str, fix: str) -> Document:
    return Document(where, "", {}, (Fault(where, found, expected, fix),))


def parse_document(text: str, name: str) -> Document:
    """Parse TOML. After an error its statement is left out and the rest is read on, as far as that goes."""
    long = _LONG_KEY.search(text)
    if long is not None:
        line = text.count("\n", 0, long.start()) + 1
        return _unreadable(
            f"{name}:{line}", "a key of over 40 parts", "a key such as wall.stair", "shorten the key"
        )
    faults: list[Fault] = []
    lost = False
    lines = text.split("\n")
    repairs = min(_MAX_REPAIRS, _MAX_REPARSED // max(1, len(text)))
    for _ in range(repairs + 1):
        try:
            data = tomllib.loads("\n".join(lines))
        except tomllib.TOMLDecodeError as error:
            at = _LINE.search(str(error))
            number = int(at[1]) - 1 if at else len(lines) - 1
            if "date" in str(error) and _quote_dates(lines, number):
                continue
            faults.append(_syntax_fault(str(error), lines, number, name))
            left_out = None if at is None else _leave_out(lines, number)
            if left_out is None:
                break
            lost = lost or not _ONE_FACT.match(left_out)
        except RecursionError:
            faults.append(
                Fault(name, "brackets nested too deeply", "tables one inside another", "flatten it")
            )
            break
        except ValueError:
            faults.append(Fault(name, "a number of thousands of digits", "a number", "shorten the number"))
            break
        else:
            return Document(name, "\n".join(lines), data, tuple(faults), lost)
    return Document(name, "", {}, tuple(faults))


def _quote_dates(lines: list[str], number: int) -> bool:
    """Turn the dates of a line into text, so that the one that does not exist is reported with its key."""
    quoted = _NO_SUCH_DATE.sub(lambda date: f'"{date[0]}"', lines[number])
    changed = quoted != lines[number]
    lines[number] = quoted
    return changed


def _leave_out(lines: list[str], number: int) -> str | None:
    """Blank the statement that holds a line, and return its first line; None if there is nothing to blank.

    A broken header takes its whole table with it.
    """
    first = min(number, len(lines) - 1)
    while first > 0 and not _STATEMENT.match(lines[first]):
        first -= 1
    header = lines[first].lstrip().startswith("[") and "=" not in lines[first]
    last = first + 1
    while last < len(lines) and not (
        lines[last].lstrip().startswith("[") if header else _STATEMENT.match(lines[last]) and last > number
    ):
        last += 1
    if not any(lines[first:last]):
        return None
    began = lines[first]
    lines[first:last] = [""] * (last - first)
    return began


def _syntax_fault(message: str, lines: Sequence[str], number: int, name: str) -> Fault:
    line = lines[number] if number < len(lines) else ""
    where = f"{name}:{number + 1}"
    shown = line.strip() if len(line.strip()) <= 60 else line.strip()[:57] + "..."
    said = _LINE.sub("", message).strip().rstrip(".").replace(" (at end of document)", "")
    if line.lstrip().startswith("[") and ("twice" in message or "overwrite" in message):
        table = line.strip().strip("[]")
        return Fault(
            where,
            f"{shown!r} comes a second time",
            "each table once",
            f"write [[{table}]] in both places",
        )
    if "overwrite" in message or "twice" in message or "Duplicate" in message:
        return Fault(
            where, f"{shown!r} says a key a second time", "each key once in a table", "delete one of the two"
        )
    bare = _UNQUOTED.match(line)
    if bare is not None:
        return Fault(
            where,
            f"{shown!r} has a value without quotes",
            "text in quotes, or a plain number",
            _quoted(bare["key"], bare["value"].strip()),
        )
    advice = "write key = value" if "'=' after a key" in said else "check quotes and brackets"
    return Fault(where, f"{shown!r} is not TOML ({said})", "a key, an equals sign and a value", advice)


def _quoted(key: str, value: str) -> str:
    if re.fullmatch(r"[+-]?\d+,\d+", value):
        return f"write {key} = {value.replace(',', '.')}"
    if '"' in value or not value.isprintable() or len(value) > 60:
        return "put the whole value in quotes"
    return f'write {key} = "{value}"'


_SPACE = re.compile(r"(?:[ \t\n]+|#[^\n]*)*")
_NAME = re.compile(r"""[ \t]*(?:"((?:[^"\\\n]|\\.)*)"|'([^'\n]*)'|([\w-]+))[ \t]*""")
_TEXT = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*"{3,5}' r"|'''(?:[^']|'(?!''))*'{3,5}" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE = re.compile(r"[^,\]}\n#]+")


@dataclass
class _Scan:
    """Walks over text that is known to be TOML and notes where keys stand."""

    text: str
    at: int = 0
    found: dict[Key, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._ends = [match.start() for match in re.finditer("\n", self.text)]

    def note(self, key: Key) -> None:
        line = bisect.bisect_left(self._ends, self.at) + 1
        for length in range(1, len(key) + 1):
            self.found.setdefault(key[:length], line)

    def space(self) -> None:
        match = _SPACE.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def take(self, mark: str) -> bool:
        if self.text.startswith(mark, self.at):
            self.at += len(mark)
            return True
        return False

    def key(self) -> Key:
        parts: list[str] = []
        while match := _NAME.match(self.text, self.at):
            parts.append(next(group for group in match.groups() if group is not None))
            self.at = match.end()
            if not self.take("."):
                break
        return tuple(parts)

    def value(self, path: Key) -> None:
        if self.take("["):
            self.array(path)
        elif self.take("{"):
            self.table(path)
        else:
            match = _TEXT.match(self.text, self.at) or _BARE.match(self.text, self.at)
            self.at = match.end() if match else self.at + 1

    def array(self, path: Key) -> None:
        index = 0
        self.space()
        while self.at < len(self.text) and not self.take("]"):
            self.note((*path, index))
            self.value((*path, index))
            self.space()
            index += self.take(",")
            self.space()

    def table(self, path: Key) -> None:
        self.space()
        while self.at < len(self.text) and not self.take("}"):
            before = self.at
            inner = (*path, *self.key())
            self.note(inner)
            if self.take("="):
                self.space()
                self.value(inner)
            self.space()
            self.take(",")
            self.space()
            self.at += self.at == before


def _key_lines(text: str) -> dict[Key, int]:
    scan = _Scan(text)
    counts: dict[Key, int] = {}
    table: Key = ()
    try:
        scan.space()
        while scan.at < len(text):
            before = scan.at
            if scan.take("[["):
                path = _counted(scan.key(), counts)
                counts[path] = counts.get(path, -1) + 1
                table = (*path, counts[path])
                scan.note(table)
                scan.take("]]")
            elif scan.take("["):
                table = _counted(scan.key(), counts, whole=True)
                scan.note(table)
                scan.take("]")
            else:
                key = (*table, *scan.key())
                scan.note(key)
                if scan.take("="):
                    scan.at += len(text[scan.at : scan.at + 200]) - len(
                        text[scan.at : scan.at + 200].lstrip(" \t")
                    )
                    scan.value(key)
            scan.space()
            scan.at += scan.at == before
    except RecursionError:
        return scan.found
    return scan.found


def _counted(key: Key, counts: dict[Key, int], *, whole: bool = False) -> Key:
    """A header's key with the number of the table meant, wherever it runs through a list of tables."""
    path: Key = ()
    for place, part in enumerate(key):
        path = (*path, part)
        if path in counts and (whole or place < len(key) - 1):
            path = (*path, counts[path])
    return path

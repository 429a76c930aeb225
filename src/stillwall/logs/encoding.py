"""A logger's file as bytes: opened safely, told apart from other kinds of file, put into UTF-8."""

from __future__ import annotations

import codecs
import hashlib
import os
import stat
import struct
from dataclasses import dataclass
from pathlib import Path

from stillwall.errors import Fault, LogError
from stillwall.logs.arrow import pa

HEAD_BYTES = 1 << 13
LARGEST_BYTES = 1 << 30
CHUNK_BYTES = 1 << 22

_KINDS: tuple[tuple[bytes, str], ...] = (
    (b"PK\x03\x04", "a spreadsheet or another zip archive"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an old spreadsheet or office document"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"II*\x00", "a picture (TIFF)"),
    (b"MM\x00*", "a picture (TIFF)"),
    (b"RIFF", "a sound or picture file"),
    (b"%PDF", "a PDF document"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ", "an xz archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"SQLite format 3\x00", "a database"),
    (b"{\\rtf", "a word-processor document"),
    (b"<?xml", "an XML document"),
    (b"<!DOCTYPE", "a web page"),
    (b"<html", "a web page"),
)
_EXPORT = "export the readings from the logger's program, or from the spreadsheet, as CSV text"


@dataclass(frozen=True, slots=True)
class Source:
    """A file's bytes in UTF-8 without a byte order mark.

    ``text_encoding`` is what the file was written in, ``raw`` its bytes as they were. The file is read once
    and whole, so that one that is written to or cut meanwhile does no harm.
    """

    name: str
    data: memoryview
    text_encoding: str
    raw: memoryview

    @property
    def sha256(self) -> str:
        """SHA-256 of the file as it lies on the disk."""
        return hashlib.sha256(self.raw).hexdigest()

    def head(self, size: int) -> str:
        """The first ``size`` bytes as text, cut at a whole character."""
        return decode(bytes(self.data[:size]), whole=size >= len(self.data))


def refuse(name: str, found: str, expected: str, fix: str, line: int | None = None) -> LogError:
    """A LogError with one fault."""
    where = name if line is None else f"{name}:{line}"
    return LogError(Fault(where, found, expected, fix))


def open_source(path: Path, name: str) -> Source:
    """Open a log file.

    Raises
    ------
    LogError
        If there is no such file, if it is no ordinary file, is empty, or is not text.
    """
    data = _whole(path, name)
    head = bytes(data[:HEAD_BYTES])
    for magic, kind in _KINDS:
        if head.startswith(magic):
            raise refuse(name, f"this is {kind}", "a text file of readings", _EXPORT)
    encoding = _encoding_of(head)
    if encoding is None:
        raise refuse(name, "this is not text (it holds zero bytes)", "a text file of readings", _EXPORT)
    if encoding.startswith("utf-16"):
        text = _transcoded(data, encoding, name)
        return Source(name, memoryview(text), encoding, data)
    if head.startswith(codecs.BOM_UTF8):
        return Source(name, data[len(codecs.BOM_UTF8) :], "utf-8-sig", data)
    return Source(name, data, encoding, data)


def decode(part: bytes, *, whole: bool = False) -> str:
    """Text of a part of a file: UTF-8 where it is valid, else Windows-1252."""
    try:
        if whole:
            return part.decode("utf-8")
        return codecs.getincrementaldecoder("utf-8")().decode(part)
    except UnicodeDecodeError:
        return part.decode("cp1252", errors="replace")


def as_utf8(raw: bytes) -> bytes:
    """The same bytes where they are valid UTF-8, else read as Windows-1252 and written again."""
    if raw.isascii():
        return raw
    ends = pa.py_buffer(struct.pack("=qq", 0, len(raw)))
    text = pa.Array.from_buffers(pa.large_string(), 1, [None, ends, pa.py_buffer(raw)])
    try:
        text.validate(full=True)
    except pa.ArrowInvalid:
        return raw.decode("cp1252", errors="replace").encode("utf-8")
    return raw


def _whole(path: Path, name: str) -> memoryview:
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except FileNotFoundError as error:
        raise refuse(name, "there is no such file", "a log file", "check the name and the folder") from error
    except OSError as error:
        raise refuse(
            name, f"it cannot be opened ({error.strerror})", "a readable file", "check its permissions"
        ) from error
    try:
        about = os.fstat(handle)
        if not stat.S_ISREG(about.st_mode):
            kind = "a folder" if stat.S_ISDIR(about.st_mode) else "a pipe or a device"
            raise refuse(name, f"this is {kind}", "an ordinary file", "name a CSV file")
        if about.st_size == 0:
            raise refuse(name, "the file is empty", "readings", "export it again from the logger")
        if about.st_size > LARGEST_BYTES:
            raise refuse(name, "the file is over 1 GB", "a smaller file", "split it by year")
        with os.fdopen(os.dup(handle), "rb", buffering=0) as file:
            parts = [file.read(about.st_size)]
            while (more := file.read(CHUNK_BYTES)) and sum(map(len, parts)) < LARGEST_BYTES:
                parts.append(more)  # written to meanwhile
            return memoryview(parts[0] if len(parts) == 1 else b"".join(parts))
    finally:
        os.close(handle)


def _encoding_of(head: bytes) -> str | None:
    if head.startswith(codecs.BOM_UTF16_LE):
        return "utf-16-le"
    if head.startswith(codecs.BOM_UTF16_BE):
        return "utf-16-be"
    even, odd = head[0::2].count(0), head[1::2].count(0)
    half = max(1, len(head) // 2)
    if odd > 0.4 * half and even < 0.05 * half:
        return "utf-16-le"
    if even > 0.4 * half and odd < 0.05 * half:
        return "utf-16-be"
    if even + odd:
        return None
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def _transcoded(data: memoryview, encoding: str, name: str) -> bytes:
    decoder = codecs.getincrementaldecoder(encoding)()
    parts: list[bytes] = []
    try:
        for start in range(0, len(data), CHUNK_BYTES):
            part = bytes(data[start : start + CHUNK_BYTES])
            parts.append(decoder.decode(part, final=False).encode("utf-8"))
    except UnicodeError as error:
        raise refuse(name, "broken UTF-16 text", "text", "export it again") from error
    text = b"".join(parts)
    return text.removeprefix(codecs.BOM_UTF8)

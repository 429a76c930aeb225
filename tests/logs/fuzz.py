"""Broken files by the thousand: each is read rightly or refused in words, and neither takes long.

``python -m tests.logs.fuzz [--minutes N] [--seed S]`` prints how many files of each kind were tried, how many
were read and refused, and the slowest. Whatever fails is written to the folder named at the end; made small,
it becomes a case among the tests.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

from stillwall.errors import LogError
from stillwall.logs.read import LogFile, read_log
from tests.logs.exports import DELIMITERS, ENCODINGS, ENDS, LANGUAGES, MISSING, STAMPS, Style, example, write

SLOW_S = 2.0
_BITS = (
    "24:00", "12:60", "31.02.2026", "AM", "PM", "+01:00", "Z", "NaN", "inf", "-inf", "1e999", "1e-400", "0x1F", "1_000",
    "-0", "--", "-999", "9999", "OL", "door opened", '"', '""', "'", ",", ";", "\t", "|", " ", "  ", "\n", "\r", "\r\n",
    "\0", "\x1b[31m", "\u202e", "\ufeff", "\u00a0", "é", "🗝", "<script>", "Date", "Time", "Temp (°C)", "RH %", "#", "//",
    "1,234.5", "1.234,5", "12,5", "12.5", "5x2", "45000.5", "1767225600", "20260101", "2026-001", "=1+1", "9" * 40,
)  # fmt: skip
"""Pieces of text that mean something to some reader of tables."""


def a_style(chance: random.Random) -> Style:
    """Any style that can be written."""
    style = Style(
        language=chance.choice(sorted(LANGUAGES)), wording=chance.randrange(4), delimiter=chance.choice(DELIMITERS),
        decimal=chance.choice(".,"), thousands=chance.random() < 0.2,
        quoted=chance.choice(("none", "none", "header", "text", "all")),
        encoding=chance.choice((*ENCODINGS, "utf-8", "utf-8")), end=chance.choice(ENDS),
        last_end=chance.random() < 0.7, stamp=chance.choice(STAMPS), split=chance.random() < 0.2,
        preamble=chance.choice((0, 0, 1, 3, 8)), units=chance.choice(("bracket", "paren", "comma", "row", "none")),
        temperature_unit=chance.choice(("degC", "degC", "degF", "K")), fraction=chance.random() < 0.2,
        light=chance.random() < 0.5, counter=chance.random() < 0.2, battery=chance.random() < 0.2,
        events=chance.choice(("none", "none", "rows", "column")), repeat_header=chance.random() < 0.3,
        footer=chance.random() < 0.3, missing=chance.choice(MISSING), reverse=chance.random() < 0.2,
        ragged=chance.random() < 0.2, sensors=chance.choice((1, 1, 1, 2)),
        layout=chance.choice(("wide", "wide", "wide", "interleaved", "long")), padded=chance.random() < 0.2,
        blank_lines=chance.random() < 0.2, trailing=chance.random() < 0.2,
    )  # fmt: skip
    if style.delimiter == "aligned":
        style = Style(
            language=style.language, delimiter="aligned", stamp=style.stamp, missing=style.missing or "---",
            end=style.end, reverse=style.reverse,
        )  # fmt: skip
    return style


def an_export(chance: random.Random) -> bytes:
    """A sound file of any style."""
    while True:
        style = a_style(chance)
        count = chance.choice((5, 30, 100, 300))
        readings = example(
            count=count, step_min=chance.choice((10, 30, 60)), sensors=style.sensors, seed=chance.randrange(9)
        )
        try:
            return write(readings, style)
        except (UnicodeEncodeError, IndexError):
            continue  # what Windows-1252 cannot write, or a style that needs more rows


def changed_lines(chance: random.Random) -> bytes:
    """A file in which a few lines or cells were changed as a person or a program may change them."""
    data = an_export(chance)
    for encoding in ("utf-8", "utf-16", "cp1252"):
        try:
            text = data.decode(encoding)
            break
        except UnicodeDecodeError:
            continue
    lines = text.splitlines(keepends=True)
    for _ in range(chance.randint(1, 4)):
        if not lines:
            break
        at = chance.randrange(len(lines))
        kind = chance.randrange(9)
        if kind == 0:
            lines.insert(at, lines[chance.randrange(len(lines))])
        elif kind == 1:
            del lines[at : at + chance.randint(1, 3)]
        elif kind == 2:
            lines[at : at + 1] = [chance.choice(_BITS) + chance.choice(ENDS)]
        elif kind == 3:
            other = chance.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        elif kind == 4:
            mark = chance.choice(",;\t|")
            cells = lines[at].split(mark)
            place = chance.randrange(len(cells))
            cells[place : place + chance.randint(0, 1)] = [chance.choice(_BITS)]
            lines[at] = mark.join(cells)
        elif kind == 5:
            place = chance.randrange(len(lines[at]) + 1)
            lines[at] = lines[at][:place] + chance.choice(_BITS) + lines[at][place + chance.randint(0, 3) :]
        elif kind == 6:
            digit = [place for place, char in enumerate(lines[at]) if char.isdigit()]
            if digit:
                place = chance.choice(digit)
                lines[at] = lines[at][:place] + str(chance.randrange(10)) + lines[at][place + 1 :]
        elif kind == 7:
            lines[at] = " " * chance.randint(1, 3) + lines[at]
        else:
            old, new = chance.choice(_BITS), chance.choice(_BITS)
            lines[at:] = [line.replace(old, new) for line in lines[at:]]
    return "".join(lines).encode(encoding, errors="replace")


def changed_bytes(chance: random.Random) -> bytes:
    """A file in which a few bytes were changed, lost or put in."""
    data = bytearray(an_export(chance))
    for _ in range(chance.randint(1, 8)):
        at = chance.randrange(len(data) + 1)
        data[at : at + chance.randint(0, 20)] = chance.randbytes(chance.randint(0, 6))
    return bytes(data)


def cut_short(chance: random.Random) -> bytes:
    """A file that ends anywhere."""
    data = an_export(chance)
    return data[: chance.randrange(1, len(data) + 1)]


def any_bytes(chance: random.Random) -> bytes:
    """Bytes, of all kinds or of those that tables are made of."""
    size = chance.choice((1, 7, 50, 400, 3000))
    if chance.random() < 0.4:
        return chance.randbytes(size)
    if chance.random() < 0.5:
        return bytes(chance.choices(b'0123456789-:/., ;\t\n\r"|TZAPMxe+\xb0', k=size))
    return "".join(chance.choices(_BITS, k=size // 4 + 1)).encode("utf-8")


KINDS: dict[str, Callable[[random.Random], bytes]] = {
    "sound exports": an_export, "lines and cells changed": changed_lines, "bytes changed": changed_bytes,
    "cut short": cut_short, "any bytes": any_bytes,
}  # fmt: skip


def attempt(path: Path) -> bool:
    """Read a file; whether it was read rather than refused.

    Raises
    ------
    AssertionError
        If what was read cannot be a record, or the refusal does not name the file.
    """
    try:
        log = read_log(path, name="export.csv", zone="Europe/Dublin")
    except LogError as error:
        faults = error.faults
    else:
        assert_sound(log)
        return True
    assert faults, "a refusal without a fault"
    assert all(fault.where.startswith("export.csv") for fault in faults), faults
    return False


def assert_sound(log: LogFile) -> None:
    """Every channel has finite values at times that only rise, and flags at places that exist."""
    assert log.channels
    for channel in log.channels:
        assert len(channel.times) == len(channel.values) == len(channel.excluded) > 0
        assert (np.diff(channel.times.astype(np.int64)) > 0).all()
        assert np.isfinite(channel.values).all()
        for flag in channel.flags:
            assert not len(flag.where) or 0 <= flag.where.min() <= flag.where.max() < len(channel.values)


def files(seed: int) -> Iterator[tuple[str, bytes]]:
    """Files without end, kind by kind."""
    chance = random.Random(seed)
    while True:
        for kind, make in KINDS.items():
            yield kind, make(chance)


def main() -> None:
    """Try files for some minutes."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--minutes", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    kept = Path(tempfile.mkdtemp(prefix="fuzz-"))
    path = kept / "export.csv"
    tried, read = Counter[str](), Counter[str]()
    failed = 0
    slowest = 0.0
    until = time.monotonic() + 60 * options.minutes
    for kind, data in files(options.seed):
        if time.monotonic() > until:
            break
        path.write_bytes(data)
        start = time.process_time()
        try:
            read[kind] += attempt(path)
            took = time.process_time() - start
            assert took < SLOW_S, f"{took:.1f} s"
        except Exception as error:  # whatever else comes out is what is looked for
            failed += 1
            (kept / f"failed-{failed}.csv").write_bytes(data)
            print(f"failed-{failed}.csv ({kind}): {type(error).__name__}: {error}", flush=True)
            took = time.process_time() - start
        tried[kind] += 1
        slowest = max(slowest, took)
    for kind, count in tried.items():
        print(f"{kind:25s} {count:8,} files, {read[kind]:8,} read, {count - read[kind]:8,} refused")
    print(f"{sum(tried.values()):,} files, slowest {slowest:.2f} s, failed {failed} (kept in {kept})")


if __name__ == "__main__":
    main()

"""Change every datum under ``data/``, one at a time, and show that the double entry notices.

Numbers are moved by one part in a hundred (zero becomes one), words are replaced by another word that
stands under the same key somewhere, yes and no change places. Prose is left alone. Each change is made in a
copy of the data folder.

    python -m tests.published.mutate [--load] [kind ...]

prints, per file, how many data were changed and how many of the changes were noticed; ``--load`` also
counts how many the reader of the library itself refuses. Exits with 1 where one went unnoticed.
"""

from __future__ import annotations

import re
import shutil
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from stillwall.errors import ReferenceDataError
from stillwall.reference.library import load_library
from tests.published.double_entry import DATA, KINDS, PROSE, data_files, file_differences

TOKEN = re.compile(
    r"""(?P<comment>\#.*)
      | (?P<header>^\s*\[\[?[^\]=]+\]\]?\s*$)
      | (?P<key>[A-Za-z0-9_-]+)\s*=(?!=)
      | (?P<word>"(?:[^"\\]|\\.)*")
      | (?P<number>[+-]?\d[\d_]*(?:\.\d+)?(?:[eE][+-]?\d+)?)
      | (?P<truth>\btrue\b|\bfalse\b)""",
    re.VERBOSE,
)
SILENT = PROSE | {"bar"}


@dataclass(frozen=True, slots=True)
class Datum:
    """One token of a file: where it stands, and under which key."""

    file: Path
    line: int
    start: int
    end: int
    key: str
    kind: str
    text: str


def data(files: list[Path]) -> Iterator[Datum]:
    """Every number, word and truth value of the files that is not prose."""
    for file in files:
        for number, line in enumerate(file.read_text("utf-8").splitlines()):
            key = ""
            for token in TOKEN.finditer(line):
                kind = str(token.lastgroup)
                if kind == "key":
                    key = token["key"]
                elif kind in ("word", "number", "truth") and key not in SILENT:
                    yield Datum(file, number, *token.span(kind), key, kind, token[kind])


def other_words(every: list[Datum]) -> dict[str, list[str]]:
    """The words that stand under each key."""
    words: dict[str, set[str]] = defaultdict(set)
    for datum in every:
        if datum.kind == "word":
            words[datum.key].add(datum.text)
    return {key: sorted(found) for key, found in words.items()}


def changed(datum: Datum, words: dict[str, list[str]]) -> str:
    """Another value for a datum."""
    if datum.kind == "truth":
        return "false" if datum.text == "true" else "true"
    if datum.kind == "word":
        choice = words[datum.key]
        following = choice[(choice.index(datum.text) + 1) % len(choice)]
        return following if following != datum.text else f'{datum.text[:-1]}x"'
    value = float(datum.text.replace("_", ""))
    return repr(value * 1.01 if value else 1.0)


@contextmanager
def changed_twin(datum: Datum, words: dict[str, list[str]], copy: Path) -> Iterator[Path]:
    """The file of a datum in ``copy``, with that datum changed while the context lasts."""
    original = datum.file.read_text("utf-8")
    lines = original.splitlines()
    line = lines[datum.line]
    lines[datum.line] = line[: datum.start] + changed(datum, words) + line[datum.end :]
    twin = copy / datum.file.parent.name / datum.file.name
    twin.write_text("\n".join(lines) + "\n", "utf-8")
    yield twin
    twin.write_text(original, "utf-8")


def unnoticed(every: list[Datum], words: dict[str, list[str]], copy: Path) -> list[Datum]:
    """Those data whose change leaves the double entry content."""
    missed = []
    for datum in every:
        with changed_twin(datum, words, copy) as twin:
            if not file_differences(twin):
                missed.append(datum)
    return missed


def refused(every: list[Datum], words: dict[str, list[str]], copy: Path) -> int:
    """How many of the changes the library's reader refuses."""
    count = 0
    for datum in every:
        with changed_twin(datum, words, copy):
            load_library.cache_clear()
            try:
                load_library(copy)
            except ReferenceDataError:
                count += 1
    return count


def main(arguments: list[str]) -> int:
    """Change everything in the kinds named, or in all."""
    kinds = [argument for argument in arguments if argument in KINDS] or list(KINDS)
    every = list(data([file for file in data_files() if file.parent.name in kinds]))
    words = other_words(every)
    missed_all: list[Datum] = []
    differing: list[str] = []
    shown = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copytree(DATA, Path(folder) / "data"))
        for file in sorted({datum.file for datum in every}):
            own = [datum for datum in every if datum.file == file]
            name = f"{file.parent.name}/{file.name}"
            if file_differences(file):
                differing.append(name)
                continue
            missed = unnoticed(own, words, copy)
            shown += len(own)
            missed_all += missed
            by_reader = (
                f", {refused(own, words, copy)} refused by the reader" if "--load" in arguments else ""
            )
            print(f"{name:<40} {len(own):>5} changed, {len(own) - len(missed):>5} noticed{by_reader}")
    print(f"{'together':<40} {shown:>5} changed, {shown - len(missed_all):>5} noticed")
    for datum in missed_all:
        place = f"{datum.file.parent.name}/{datum.file.name}:{datum.line + 1}"
        print(f"unnoticed: {place}: {datum.key} = {datum.text}")
    for name in differing:
        print(f"not shown: {name} differs from its rows as it stands")
    return 1 if missed_all or differing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

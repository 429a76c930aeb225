"""A row of the fault table: a fault that is put in, how often, and how often something was lost by it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

SEED = 11
Trying = Callable[[Path, int], "Tried"]
"""Puts a fault in: a folder to do it in, and a number of tries."""


@dataclass(frozen=True)
class Tried:
    """How many tries there were, and how many lost something; ``note`` says more."""

    tries: int
    losses: int
    note: str = ""


@dataclass(frozen=True)
class Row:
    """A fault, with the number of tries in full and in passing."""

    fault: str
    run: Trying
    tries: int
    few: int


ROWS: dict[str, Row] = {}


def row(fault: str, tries: int, few: int) -> Callable[[Trying], Trying]:
    """Add a row under its function's name."""

    def add(run: Trying) -> Trying:
        ROWS[run.__name__] = Row(fault, run, tries, few)
        return run

    return add

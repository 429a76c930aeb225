"""What goes wrong, in words that say how to put it right."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong with an input: where it stands, what was found, what was expected, how to fix it."""

    where: str
    found: str
    expected: str
    fix: str

    def __str__(self) -> str:
        return f"{self.where}: {self.found}; expected {self.expected}; to fix: {self.fix}"


class StillwallError(Exception):
    """Base of every error that a person is meant to read. ``exit_code`` is the command line's answer."""

    exit_code = 1


class InputError(StillwallError):
    """Something that a person supplied cannot be used. Carries every fault found, not only the first."""

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))

    def __reduce__(self) -> tuple[type[InputError], tuple[tuple[Fault, ...]]]:
        return (type(self), (self.faults,))


class SurveyError(InputError):
    """The survey file cannot be used."""


class LogError(InputError):
    """A logger's file cannot be used; what does not rest on it still can."""


class ReferenceDataError(InputError):
    """A file under ``data/`` breaks its model."""

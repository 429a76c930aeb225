"""Figures of ``data/hazards/logging.toml``: accuracies, and when a reading is a fault."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files

from stillwall.errors import Fault, ReferenceDataError
from stillwall.reference.figures import read_figures


@lru_cache(maxsize=1)
def _figures() -> dict[str, float]:
    text = (files("stillwall") / "data" / "hazards" / "logging.toml").read_text(encoding="utf-8")
    faults: list[Fault] = []
    figures = read_figures(tomllib.loads(text), "logging", "hazards/logging.toml", faults)
    if faults:
        raise ReferenceDataError(faults)
    return {name.removeprefix("logging."): figure.value for name, figure in figures.items()}


def limit(name: str) -> float:
    """The value of a figure, such as ``stuck.hours``."""
    return _figures()[name]

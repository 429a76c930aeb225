"""Figures of ``data/hazards``: accuracies, when a reading is a fault, when a logger is silent."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files

from stillwall.errors import Fault, ReferenceDataError
from stillwall.reference.figures import read_figures


@lru_cache(maxsize=4)
def _figures(group: str) -> dict[str, float]:
    text = (files("stillwall") / "data" / "hazards" / f"{group}.toml").read_text(encoding="utf-8")
    faults: list[Fault] = []
    figures = read_figures(tomllib.loads(text), group, f"hazards/{group}.toml", faults)
    if faults:
        raise ReferenceDataError(faults)
    return {name.removeprefix(f"{group}."): figure.value for name, figure in figures.items()}


def limit(name: str, group: str = "logging") -> float:
    """The value of a figure of ``data/hazards/<group>.toml``, such as ``stuck.hours``."""
    return _figures(group)[name]

"""Every hazard, found by its module: exposure over allowance, as a load.

A hazard is one module of this package that defines ``load(case: Case) -> Load | None``; None means that
it cannot touch the work. It may define ``PARTS``, the parts of its exposure that measures can change,
with a sentence each; ``FOLLOWS``, other hazards whose parts move its exposure as well: where ``fit`` hangs
a work decides what the sun reaches; and ``RELIEVED_BY``, those of its parts of which more makes the load
smaller: light, for seeing. Hazards never import each other.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Mapping
from functools import lru_cache

from stillwall.case import Case
from stillwall.load import Load

Hazard = Callable[[Case], Load | None]


@lru_cache(maxsize=1)
def hazards() -> Mapping[str, Hazard]:
    """Every hazard by name, in alphabetical order."""
    found: dict[str, Hazard] = {}
    for module in sorted(pkgutil.iter_modules(__path__), key=lambda entry: entry.name):
        found[module.name] = importlib.import_module(f"{__name__}.{module.name}").load
    return found


@lru_cache(maxsize=1)
def follows() -> Mapping[str, frozenset[str]]:
    """For every hazard the hazards whose parts it answers to, itself among them."""
    return {
        name: frozenset({name, *getattr(importlib.import_module(f"{__name__}.{name}"), "FOLLOWS", ())})
        for name in hazards()
    }


@lru_cache(maxsize=1)
def relieved_by() -> Mapping[str, frozenset[str]]:
    """For every hazard those of its parts of which more makes its load smaller."""
    return {
        name: frozenset(getattr(importlib.import_module(f"{__name__}.{name}"), "RELIEVED_BY", ()))
        for name in hazards()
    }


def loads(case: Case) -> tuple[Load, ...]:
    """Every load that can touch the work of a case."""
    return tuple(made for hazard in hazards().values() if (made := hazard(case)) is not None)

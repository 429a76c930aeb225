"""Heat that a source brings to a work, and what all rules about sources share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats
from stillwall.load import Evidence
from stillwall.setting.naming import names_of
from stillwall.survey.features import HeatKind, HeatSource

FIRES: frozenset[HeatKind] = frozenset({"hearth", "stove", "gas_fire", "electric_fire"})
RADIATORS: frozenset[HeatKind] = frozenset({"radiator", "pipe"})
AIR: frozenset[HeatKind] = frozenset({"register", "diffuser", "fan_coil"})
FLAMES: frozenset[HeatKind] = frozenset({"candle", "sconce"})
LOGGED: frozenset[str] = FIRES | RADIATORS | AIR | {"flue"}
"""Sources whose heat a logger at the wall would see."""
KITCHEN: frozenset[HeatKind] = frozenset({"range", "warmer"})
MARGIN = 0.05
"""Load of a source that is out of use for good."""
TENDER_KINDS = frozenset({"panel", "paper", "pastel"})
TENDER_FRAMES = frozenset({"composition", "gilded_gesso"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """What one source does to the work."""

    draws: Floats
    sentence: str
    evidence: Evidence
    source: str
    kind: str = ""
    over_fire: bool = False
    barred: bool = False
    missing: tuple[str, ...] = ()


def source_here(case: Case, source: HeatSource) -> str:
    """A source, for one who stands in its room: ``the hearth in the north wall``."""
    return names_of(case.survey).fittings[source.id]


def source_named(case: Case, source: HeatSource) -> str:
    """A source with its room, for a question."""
    return names_of(case.survey).fittings_of[source.id]


def use_of(case: Case, source: HeatSource) -> tuple[Floats, tuple[str, ...]]:
    """Share in which use counts, and what to ask about it."""
    enough = case.library.figure("hearth.use.fires_that_count")
    if source.fires_per_year is not None and source.kind in FIRES | FLAMES:
        return np.full(case.draws.count, min(1.0, source.fires_per_year / enough)), ()
    if source.used == "never":
        return np.zeros(case.draws.count), ()
    if source.used is None:
        share = np.minimum(heat_draws(case, "use.unknown_use", f"heat:{source.id}:use"), 1.0)
        return share, (
            f"Is {source_named(case, source)} used: never, in the heating season, daily, or for occasions?",
        )
    return np.ones(case.draws.count), ()


def tender(case: Case) -> bool:
    """Works that may never hang over a working fire."""
    work = case.work
    return (
        case.medium.hearth_bar
        or work.lined_with == "wax"
        or work.kind in TENDER_KINDS
        or (case.setting("hearth", "frame") or work.frame) in TENDER_FRAMES
    )


def heat_draws(case: Case, name: str, stream: str | None = None) -> Floats:
    """Draws of a figure within its span; by one stream for all walls unless another is named."""
    figure = case.library.figures[f"hearth.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream or f"model:hearth:{name}", figure.low, figure.value, figure.high)

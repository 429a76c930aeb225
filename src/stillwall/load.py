"""Load over allowance: the one number in which every hazard answers."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from stillwall.draws import Floats, interval
from stillwall.reference.sources import Citation
from stillwall.units import Amount

Kind = Literal["graded", "constraint", "safety"]
Evidence = Literal["measured", "surveyed", "assumed", "missing"]
EVIDENCE_ORDER: tuple[Evidence, ...] = ("measured", "surveyed", "assumed", "missing")


def weakest(*evidence: Evidence) -> Evidence:
    """The weakest of several kinds of evidence; a load is no better known than its worst-known part."""
    return max(evidence, key=EVIDENCE_ORDER.index)


@dataclass(frozen=True, eq=False, kw_only=True)
class Load:
    """What one hazard would do to one work at one place over one stay, over what the work may take.

    Attributes
    ----------
    hazard
        Name of the hazard: the name of its module.
    kind
        ``graded`` loads rank; ``constraint`` and ``safety`` loads pass or fail.
    draws
        Joint draws of the ratio, shape (count,), or None where nothing can be said. [1]
    barred
        A fact that forbids the place whatever the ratio; ``reason`` names it.
    missing
        What is not known, each as a question for a person; empty when all is known.
    deciding
        Whether the evidence of this load must be there before a place may be called suitable.
    exposure, allowance
        The two halves of the ratio, at the median.
    seen
        Draws of the ratio from what was seen alone, where ``draws`` also holds guesses about seasons that
        nobody logged; None where it holds none. A place is condemned by what was seen.
    safety
        Whether a graded load passes only if the upper end of its interval is at most 1, as a safety load.
    span
        The ratio judged at the two ends of the class's believable span; a sensitivity, not a chance.
    reason
        One sentence with its numbers.
    sources
        Where the allowance comes from.
    """

    hazard: str
    kind: Kind
    draws: Floats | None
    reason: str
    evidence: Evidence
    sources: tuple[Citation, ...]
    barred: bool = False
    missing: tuple[str, ...] = ()
    deciding: bool = False
    seen: Floats | None = None
    safety: bool = False
    exposure: Amount | None = None
    allowance: Amount | None = None
    span: tuple[float, float] | None = None
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    accrues: bool = False
    """Whether the exposure adds up over the stay, so that an until-when can be given."""
    _quantiles: dict[str, tuple[float, float, float]] = field(default_factory=dict, repr=False)

    @property
    def ratio(self) -> float | None:
        """Median of the ratio."""
        return None if self.draws is None else self._interval()[0]

    @property
    def low(self) -> float | None:
        """5th percentile of the ratio."""
        return None if self.draws is None else self._interval()[1]

    @property
    def high(self) -> float | None:
        """95th percentile of the ratio."""
        return None if self.draws is None else self._interval()[2]

    @property
    def chance_over(self) -> float | None:
        """Share of draws in which the ratio passes 1."""
        return None if self.draws is None else float(np.mean(self.draws > 1.0))

    @property
    def blocks(self) -> bool:
        """Whether deciding evidence is missing, so that nothing can be called suitable."""
        return self.deciding and self.evidence == "missing"

    def _interval(self) -> tuple[float, float, float]:
        if "90" not in self._quantiles:
            assert self.draws is not None
            self._quantiles["90"] = interval(self.draws)
        return self._quantiles["90"]

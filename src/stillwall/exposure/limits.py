"""The band that a work is judged by: a guideline's, a lender's, the medium's own, about a centre.

A band that follows history takes its centre from where the work has been living, never from the place
that is being judged.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from stillwall.exposure.seasons import Seasonal
from stillwall.reference.guidelines import Band
from stillwall.reference.sources import Citation

Basis = Literal["lender", "guideline", "medium"]


@dataclass(frozen=True, slots=True)
class Source:
    """Whose band it is, and its name."""

    basis: Basis
    name: str


@dataclass(frozen=True, slots=True)
class Limits:
    """A band about a centre; one side may be open.

    Attributes
    ----------
    low, high
        Limits of the felt level, or None where that side is open.
    centre
        What departures are measured from.
    short_term
        Departure allowed from the mean of ``short_term_h`` hours, or None.
    basis
        Whose band it is.
    centred_on
        Words for what the centre is.
    assumed
        Whether the centre stands for a history that nobody has logged.
    proofed
        How far the band is widened to what the work has lived with, at its low and its high side.
    """

    low: float | None
    high: float | None
    centre: float
    short_term: float | None
    short_term_h: float
    basis: Basis
    name: str
    centred_on: str
    assumed: bool
    source: Citation
    short_term_source: Citation
    proofed: tuple[float, float] = (0.0, 0.0)

    @property
    def half_width(self) -> float:
        """The narrower distance from the centre to a limit."""
        sides = [] if self.low is None else [self.centre - self.low]
        sides += [] if self.high is None else [self.high - self.centre]
        return min(sides)


def tighter(general: Band | None, own: Band | None) -> Literal["general", "own", "neither"]:
    """Which of two bands of level leaves less room; the more particular one where they are as wide."""
    if own is None or (own.low is None and own.high is None):
        return "neither" if general is None else "general"
    if general is None:
        return "own"
    return "own" if _width(own) <= _width(general) else "general"


def _width(band: Band) -> float:
    if band.low is None or band.high is None:
        return float("inf")
    if not band.follows_history:
        return band.high - band.low
    short = band.short_term or 0.0
    return min(band.high - band.low, (band.seasonal_high or 0.0) - (band.seasonal_low or 0.0) + 2 * short)


def limits(
    band: Band,
    of: Source,
    *,
    history: Seasonal | None = None,
    recentre: bool = False,
    open_side_centre: float,
) -> Limits:
    """
    A band as limits about a centre.

    Parameters
    ----------
    band
        With at least one limit of level, or following history.
    history
        What the work has been living with for a whole year, where that is logged.
    recentre
        Whether a band of fixed level keeps its width but takes its centre from ``history`` too.
    open_side_centre
        Centre for a band that is open at one side and names none.
    """
    short, basis = band.short_term, of.basis
    centre, low, high = _centre(band, open_side_centre), band.low, band.high
    centred_on, assumed = f"the centre of {of.name}", False
    use_history = history is not None and basis != "lender" and (band.follows_history or recentre)
    if use_history:
        assert history is not None
        move = history.mean - centre
        centre, centred_on = history.mean, "the yearly mean where the work has been living"
        if not band.follows_history:
            low = None if low is None else low + move
            high = None if high is None else high + move
    elif basis != "lender" and (band.follows_history or recentre):
        assumed = True
    if band.follows_history:
        margin = short or 0.0
        low = centre + (band.seasonal_low or 0.0) - margin
        high = centre + (band.seasonal_high or 0.0) + margin
        if band.low is not None:
            low = min(max(low, band.low), centre - margin)
        if band.high is not None:
            high = max(min(high, band.high), centre + margin)
    return Limits(
        low,
        high,
        centre,
        short,
        band.short_term_h,
        basis,
        of.name,
        centred_on,
        assumed,
        band.source,
        band.short_term_source or band.source,
    )


def widened(band: Limits, history: Seasonal, floor: float, ceiling: float) -> Limits:
    """The band widened to what the work has lived with through a year, but not past ``floor`` or ``ceiling``.

    The proofed fluctuation of S. Michalski, ICOM-CC Washington 1993: cracks that a past swing opened take
    up the same swing again. It fails after a repair that fills them.
    """
    lived_low, lived_high = min(history.low), max(history.high)
    low, high = band.low, band.high
    if low is not None:
        low = min(low, max(lived_low, floor))
    if high is not None:
        high = max(high, min(lived_high, ceiling))
    proofed = (
        0.0 if band.low is None or low is None else band.low - low,
        0.0 if band.high is None or high is None else high - band.high,
    )
    return replace(band, low=low, high=high, proofed=proofed)


def _centre(band: Band, open_side_centre: float) -> float:
    if band.centre is not None:
        return band.centre
    if band.low is None or band.high is None:
        return open_side_centre
    return (band.low + band.high) / 2

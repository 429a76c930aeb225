"""Guideline bands for temperature and relative humidity."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import ConfigDict

from stillwall.reference.sources import Citation, Figure

STRICT = ConfigDict(extra="forbid")


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """What one text allows of one quantity.

    ``low`` and ``high`` are the levels that readings may not leave. Where ``follows_history``, the
    centre is the yearly mean that the collection is used to, from which the season may depart by
    ``seasonal_low`` (negative) and ``seasonal_high``; ``low`` and ``high`` are then the outer limits.
    ``short_term`` is the departure, either way, allowed on top of the season: from the mean of
    ``short_term_h`` hours. Humidity in %RH points, temperature in degC and K.
    """

    __pydantic_config__ = STRICT

    low: float | None = None
    high: float | None = None
    follows_history: bool = False
    centre: float | None = None
    """Centre to assume where the history is not known."""
    mean_low: float | None = None
    mean_high: float | None = None
    """Levels between which the yearly mean has to lie, where a text says so."""
    seasonal_low: float | None = None
    seasonal_high: float | None = None
    short_term: float | None = None
    short_term_h: float = 24.0
    source: Citation
    short_term_source: Citation | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnHistory:
    """A band that is computed from a record of the place where the collection lives.

    About the centred moving mean of ``window`` days, between two percentiles of the departures from
    it, each side no narrower than ``floor``.
    """

    __pydantic_config__ = STRICT

    lower_percentile: Figure
    upper_percentile: Figure
    floor: Figure
    """Least departure allowed on each side. [%]"""
    window: Figure
    """Length of the moving mean. [d]"""
    record_length: Figure
    """Shortest record from which the band may be computed. [month]"""
    interval: Figure
    """Longest time between readings. [h]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Guideline:
    """One text, or one type of a text that offers several."""

    __pydantic_config__ = STRICT

    id: str
    title: str
    year: int | None = None
    status: Literal["in-force", "superseded", "withdrawn", "proposal", "lender"]
    source: Citation
    temperature: Band | None = None
    humidity: Band | None = None
    own_history: OwnHistory | None = None
    meant_for: str = ""
    note: str = ""

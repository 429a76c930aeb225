"""A record classed against every guideline at once: which it meets, which clause fails, when, by how much.

Limits are closed: 60.0 lies inside 40 to 60. Readings and departures are compared after rounding to 0.1, the
resolution asked of museum sensors by EN 15758 and EN 16242.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.felt_climate import centred_mean
from stillwall.exposure.own_history import own_history
from stillwall.exposure.readings import Readings, readings
from stillwall.exposure.seasons import Seasonal, seasonal
from stillwall.record import Record
from stillwall.reference.guidelines import Band, Guideline

Floats = NDArray[np.float64]
Status = Literal["met", "failed", "within error", "not enough record"]
Quantity = Literal["temperature", "humidity"]

_DECIMALS: Final = 1


@dataclass(frozen=True, slots=True)
class Clause:
    """One clause of a guideline against a record.

    Attributes
    ----------
    name
        ``level``, ``yearly mean``, ``range about the yearly mean``, ``short term`` or ``record``.
    status
        ``within error`` where the record passes the limit by no more than its logger's accuracy.
    first : int or None
        Second since 1970 of the first reading outside.
    worst : float
        How far the worst reading is outside, at least 0. [%RH] or [K]
    share : float
        Share of the time outside. [1]
    low, high : float or None
        Limits that were applied.
    """

    quantity: Quantity
    name: str
    status: Status
    first: int | None
    worst: float
    share: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Classed:
    """One guideline against a record; ``status`` is that of its worst clause."""

    guideline: str
    title: str
    status: Status
    clauses: tuple[Clause, ...]


def class_record(record: Record, guidelines: tuple[Guideline, ...]) -> tuple[Classed, ...]:
    """
    Class a record against guidelines, in their order.

    A band that follows history is taken about the record's own yearly mean: this classes a climate, it does
    not judge a work. A record that has not seen all four seasons can fail a clause and cannot meet one.
    """
    taken: dict[Quantity, Readings | None] = {
        "temperature": readings(record, "temperature"),
        "humidity": readings(record, "humidity"),
    }
    yearly = {name: None if found is None else seasonal(found) for name, found in taken.items()}
    departures: dict[tuple[Quantity, float], tuple[Floats, NDArray[np.bool_]]] = {}
    made = []
    for guideline in guidelines:
        clauses: list[Clause] = []
        for name, band in (("temperature", guideline.temperature), ("humidity", guideline.humidity)):
            quantity: Quantity = "temperature" if name == "temperature" else "humidity"
            found, seen = taken[quantity], yearly[quantity]
            if band is None:
                continue
            if found is None or seen is None:
                clauses.append(Clause(quantity, "record", "not enough record", None, 0.0, 0.0, None, None))
                continue
            own = quantity == "humidity" and guideline.own_history is not None
            clauses += (
                _own_clauses(record, guideline) if own else _clauses(quantity, band, found, seen, departures)
            )
        made.append(Classed(guideline.id, guideline.title, _worst(clauses), tuple(clauses)))
    return tuple(made)


def _clauses(
    quantity: Quantity,
    band: Band,
    found: Readings,
    seen: Seasonal,
    departures: dict[tuple[Quantity, float], tuple[Floats, NDArray[np.bool_]]],
) -> list[Clause]:
    clauses = []
    everything = np.ones(len(found.values), np.bool_)
    if band.low is not None or band.high is not None:
        clauses.append(_clause(quantity, "level", found, found.values, everything, band.low, band.high, seen))
    if band.mean_low is not None or band.mean_high is not None:
        clauses.append(_mean_clause(quantity, found, seen, band))
    if band.follows_history:
        margin = band.short_term or 0.0
        low = seen.mean + (band.seasonal_low or 0.0) - margin
        high = seen.mean + (band.seasonal_high or 0.0) + margin
        name = "range about the yearly mean"
        clauses.append(_clause(quantity, name, found, found.values, everything, low, high, seen))
    if band.short_term is not None:
        key = (quantity, band.short_term_h)
        if key not in departures:
            mean, whole = centred_mean(found, found.values, band.short_term_h)
            departures[key] = (found.values - mean, whole)
        departure, whole = departures[key]
        clauses.append(
            _clause(quantity, "short term", found, departure, whole, -band.short_term, band.short_term, seen)
        )
    return clauses


def _clause(
    quantity: Quantity,
    name: str,
    found: Readings,
    values: Floats,
    usable: NDArray[np.bool_],
    low: float | None,
    high: float | None,
    seen: Seasonal,
) -> Clause:
    rounded = np.round(values, _DECIMALS)
    over = np.zeros(len(values))
    if low is not None:
        over = np.maximum(over, np.round(low, _DECIMALS) - rounded)
    if high is not None:
        over = np.maximum(over, rounded - np.round(high, _DECIMALS))
    over[~usable] = 0.0
    outside = over > 10.0**-_DECIMALS / 2
    total = float(found.hours[usable].sum())
    if not outside.any():
        enough = seen.full_year and total > 0
        return Clause(quantity, name, "met" if enough else "not enough record", None, 0.0, 0.0, low, high)
    worst = float(np.round(over.max(), _DECIMALS))
    return Clause(
        quantity=quantity,
        name=name,
        status="within error" if worst <= found.accuracy else "failed",
        first=int(found.seconds[int(np.argmax(outside))]),
        worst=worst,
        share=float(found.hours[outside].sum()) / total,
        low=low,
        high=high,
    )


def _mean_clause(quantity: Quantity, found: Readings, seen: Seasonal, band: Band) -> Clause:
    mean = round(seen.mean, _DECIMALS)
    below = 0.0 if band.mean_low is None else band.mean_low - mean
    above = 0.0 if band.mean_high is None else mean - band.mean_high
    worst = max(below, above, 0.0)
    status: Status = "met"
    if not seen.full_year:
        status = "not enough record"
    elif worst > 0:
        status = "within error" if worst <= found.accuracy else "failed"
    return Clause(
        quantity, "yearly mean", status, None, worst, float(worst > 0), band.mean_low, band.mean_high
    )


def _own_clauses(record: Record, guideline: Guideline) -> list[Clause]:
    rule = guideline.own_history
    assert rule is not None
    found = own_history(
        record,
        rule.window.value,
        rule.lower_percentile.value,
        rule.upper_percentile.value,
        rule.floor.value,
        rule.record_length.value,
        rule.interval.value,
    )
    if found is None:
        return [Clause("humidity", "record", "not enough record", None, 0.0, 0.0, None, None)]
    status: Status = "met" if found.long_enough else "not enough record"
    return [
        Clause("humidity", "own history", status, None, 0.0, found.share_outside, found.lower, found.upper)
    ]


def _worst(clauses: list[Clause]) -> Status:
    order: tuple[Status, ...] = ("met", "within error", "not enough record", "failed")
    return max((clause.status for clause in clauses), key=order.index, default="not enough record")

"""Time beyond a humidity, and crossings of it, by season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillwall.exposure.felt import felt
from stillwall.exposure.moist_air import ZERO_CELSIUS_K
from stillwall.exposure.readings import Readings, air, readings
from stillwall.exposure.seasons import days_of
from stillwall.record import Record

Floats = NDArray[np.float64]

OFFSETS_PCT: Final = tuple(float(step) for step in np.arange(-40.0, 40.1, 1.0))
"""Offsets of the humidity at which the time beyond a threshold is known. [%RH]"""
_YEAR_QUARTER_DAYS: Final = 91.3125


@dataclass(frozen=True, slots=True)
class Exceedance:
    """Time beyond a threshold.

    Attributes
    ----------
    share : tuple of 4 tuples of float
        By season, the share of its time beyond the threshold if the humidity were moved by each of
        :data:`OFFSETS_PCT`; empty where a season has no reading. [1]
    crossings : tuple of 4 floats
        By season, crossings into the region beyond, in a whole season at the record's rate; NaN where
        a season has no reading.
    coverage : tuple of 4 floats
        Share of each season's days. [1]
    """

    share: tuple[tuple[float, ...], ...]
    crossings: tuple[float, float, float, float]
    coverage: tuple[float, float, float, float]


def exceedance(
    record: Record, threshold_pct: float, above: bool, t95_h: float, hysteresis_pct: float
) -> Exceedance | None:
    """Time beyond a fixed threshold of felt humidity; None where none is counted."""
    taken = readings(record, "humidity")
    if taken is None:
        return None
    followed = felt(taken, t95_h).readings
    if not len(followed.values):
        return None
    distance = followed.values - threshold_pct
    return _exceedance(followed, distance if above else -distance, hysteresis_pct)


def deliquescence(record: Record, a_pct: float, b_k: float, hysteresis_pct: float) -> Exceedance | None:
    """Time above the humidity at which a salt dissolves, and crossings into solution, in the air as it is.

    With temperature from the same place where it is logged, else at 20 degC.
    """
    both = air(record)
    taken = both.humidity if both is not None else readings(record, "humidity")
    if taken is None:
        return None
    temperature = both.temperature.values if both is not None else np.full(len(taken.values), 20.0)
    distance = taken.values - deliquescence_humidity(temperature, a_pct, b_k)
    return _exceedance(taken, distance, hysteresis_pct)


def deliquescence_humidity(temperature_c: ArrayLike, a_pct: float, b_k: float) -> Floats:
    """Humidity over a saturated solution of a salt, ``A exp(B / T)``. [%]

    CRC Handbook of Chemistry and Physics 15-33, after A. Wexler; within 2 %. Mixtures of salts dissolve
    over a range, and lower than each salt by itself.
    """
    kelvin = np.asarray(temperature_c, np.float64) + ZERO_CELSIUS_K
    made: Floats = a_pct * np.exp(b_k / kelvin)
    return made


def upward_crossings(distance: Floats, hysteresis: float) -> NDArray[np.int64]:
    """Indices at which ``distance`` passes ``hysteresis`` after having been under ``-hysteresis``."""
    state = np.where(distance > hysteresis, 1, np.where(distance < -hysteresis, -1, 0))
    clear = np.flatnonzero(state)
    if not len(clear):
        return np.empty(0, np.int64)
    known = state[clear]
    found: NDArray[np.int64] = clear[1:][(known[1:] == 1) & (known[:-1] == -1)]
    return found


def _exceedance(taken: Readings, distance: Floats, hysteresis_pct: float) -> Exceedance:
    days = days_of(taken)
    season = np.repeat(days.season, np.diff(days.starts, append=len(distance)))
    crossed = np.bincount(season[upward_crossings(distance, hysteresis_pct)], minlength=4)
    seasons_logged = np.bincount(days.season, days.hours, 4) / (24.0 * _YEAR_QUARTER_DAYS)
    crossings = np.divide(crossed, seasons_logged, out=np.full(4, np.nan), where=seasons_logged > 0)
    return Exceedance(
        _shares(distance, season, taken.hours),
        tuple(map(float, crossings)),  # type: ignore[arg-type]
        days.coverage,
    )


def _shares(distance: Floats, season: NDArray[np.int64], hours: Floats) -> tuple[tuple[float, ...], ...]:
    """By season, the share of its time with ``distance + offset > 0`` for every offset."""
    count = len(OFFSETS_PCT)
    place = np.clip(np.ceil(distance - OFFSETS_PCT[0]), 0, count).astype(np.int64)
    table = np.bincount(season * (count + 1) + place, hours, 4 * (count + 1)).reshape(4, count + 1)
    beyond = np.cumsum(table[:, ::-1], axis=1)
    return tuple(tuple((row[:count] / row[-1]).tolist()) if row[-1] > 0 else () for row in beyond)


def share_at(shares: Sequence[float], offset_pct: ArrayLike) -> Floats:
    """Share of the time beyond the threshold if the humidity were moved by ``offset_pct``. [1]"""
    made: Floats = np.interp(np.asarray(offset_pct, np.float64), OFFSETS_PCT, shares)
    return made


def hours_above(taken: Readings, threshold_pct: float) -> float:
    """Hours at humidities above a threshold. [h]"""
    return float(taken.hours[taken.values > threshold_pct].sum())

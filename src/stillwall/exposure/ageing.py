"""Chemical ageing as a rate relative to 20 degC and 50 %RH, averaged as damage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillwall.exposure.felt import felt
from stillwall.exposure.moist_air import ZERO_CELSIUS_K
from stillwall.exposure.readings import air, chosen, take
from stillwall.exposure.seasons import days_of
from stillwall.record import Record

Floats = NDArray[np.float64]

GAS_CONSTANT: Final = 8.314
"""[J/(mol K)]"""
GAS_CONSTANT_KCAL: Final = 1.987204e-3
"""[kcal/(mol K)]"""
REFERENCE_C: Final = 20.0
REFERENCE_PCT: Final = 50.0
HUMIDITY_EXPONENT: Final = 1.3
LEAST_HUMIDITY_PCT: Final = 10.0
"""Humidity below this is taken as this: the formula has no meaning there and grows without end."""


def relative_life(
    temperature_c: ArrayLike,
    humidity_pct: ArrayLike,
    activation_energy_kj: float,
    exponent: float = HUMIDITY_EXPONENT,
) -> Floats:
    """
    Life relative to that at 20 degC and 50 %RH; larger is better. [1]

    ``(50 / RH)^1.3 exp(Ea / R (1 / T - 1 / 293.15))``: S. Michalski, ICOM-CC Rio de Janeiro 2002, 66-72
    (exponent from memory). Some texts write 293 K, which scales it by about 1.02. Meant for 20 to 70 %RH
    and 0 to 30 degC; humidity below 10 % is taken as 10 %.
    """
    return 1.0 / relative_rate(temperature_c, humidity_pct, activation_energy_kj, exponent)


def relative_rate(
    temperature_c: ArrayLike,
    humidity_pct: ArrayLike,
    activation_energy_kj: float,
    exponent: float = HUMIDITY_EXPONENT,
) -> Floats:
    """Rate of ageing relative to 20 degC and 50 %RH, the inverse of :func:`relative_life`. [1]"""
    kelvin = np.asarray(temperature_c, np.float64) + ZERO_CELSIUS_K
    humidity = np.maximum(np.asarray(humidity_pct, np.float64), LEAST_HUMIDITY_PCT)
    warmth = (
        activation_energy_kj * 1000.0 / GAS_CONSTANT * (1.0 / (REFERENCE_C + ZERO_CELSIUS_K) - 1.0 / kelvin)
    )
    made: Floats = np.exp(warmth + exponent * np.log(humidity / REFERENCE_PCT))
    return made


def equivalent_life(life: ArrayLike, hours: ArrayLike | None = None) -> float:
    """Life of a changing climate: the harmonic mean over time, since damage adds up as ``1 / life``. [1]"""
    rate = 1.0 / np.asarray(life, np.float64)
    return float(1.0 / np.average(rate, weights=None if hours is None else np.asarray(hours)))


def isoperm_permanence(
    from_c: float, from_pct: float, to_c: float, to_pct: float, enthalpy_kcal: float
) -> float:
    """Permanence of paper at a second climate over that at a first. [1]

    D. K. Sebera, Isoperms, Commission on Preservation and Access 1994: in proportion to humidity, which he
    claims for 30 to 65 %RH (Michalski's exponent is 1.3), and Eyring in temperature (from memory).
    """
    first, second = from_c + ZERO_CELSIUS_K, to_c + ZERO_CELSIUS_K
    rate = to_pct / from_pct * (second / first)
    rate *= np.exp(enthalpy_kcal / GAS_CONSTANT_KCAL * (1.0 / first - 1.0 / second))
    return float(1.0 / rate)


@dataclass(frozen=True, slots=True)
class Ageing:
    """Rate of ageing by season, NaN where a season has no counted reading.

    Attributes
    ----------
    rate : tuple of 4 floats
        Mean relative rate, the damage average. [1]
    temperature_c, humidity_pct : float
        Means weighted by damage, at which errors of the sensors act.
    coverage : tuple of 4 floats
        Share of each season's days. [1]
    dry_share : float
        Share of the time below 10 %RH, where 10 % was used. [1]
    """

    rate: tuple[float, float, float, float]
    temperature_c: float
    humidity_pct: float
    coverage: tuple[float, float, float, float]
    dry_share: float


def ageing(record: Record, activation_energy_kj: float, bulk_t95_h: float) -> Ageing | None:
    """Ageing in the air's temperature and the felt humidity; None where they are not logged together."""
    both = air(record)
    if both is None:
        return None
    followed = felt(both.humidity, bulk_t95_h)
    taken = followed.readings
    if not len(taken.values):
        return None
    temperature = take(both.temperature.values, chosen(followed.counted))
    rate = relative_rate(temperature, taken.values, activation_energy_kj)
    damage = rate * taken.hours
    days = days_of(taken)
    sums = np.bincount(days.season, np.add.reduceat(damage, days.starts), 4)
    hours = np.bincount(days.season, days.hours, 4)
    by_season = np.divide(sums, hours, out=np.full(4, np.nan), where=hours > 0)
    total = float(damage.sum())
    return Ageing(
        rate=tuple(map(float, by_season)),  # type: ignore[arg-type]
        temperature_c=float((damage * temperature).sum() / total),
        humidity_pct=float((damage * taken.values).sum() / total),
        coverage=days.coverage,
        dry_share=float(taken.hours[taken.values < LEAST_HUMIDITY_PCT].sum() / taken.hours.sum()),
    )

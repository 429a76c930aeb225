"""Light dose from readings: integrated over what was measured, over nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.readings import usual_step_s

Floats = NDArray[np.float64]
Method = Literal["trapezoid", "step", "mean_before"]

SHORTEST_MAX_GAP_S = 1800.0
SLOTS = 48
"""Half-hours of a day."""
SLOT_S = 1800


@dataclass(frozen=True, slots=True)
class Dose:
    """Dose over the time covered. [lx h], [h]"""

    dose_lux_h: float
    covered_h: float


def longest_bridged_gap_s(times_s: Floats) -> float:
    """Longest interval that is integrated across: two ordinary steps, at least half an hour. [s]"""
    if len(times_s) < 2:
        return SHORTEST_MAX_GAP_S
    return max(2.0 * usual_step_s(times_s), SHORTEST_MAX_GAP_S)


def running_dose(
    times_s: Floats, illuminance_lux: Floats, *, method: Method = "trapezoid", max_gap_s: float | None = None
) -> tuple[Floats, Floats]:
    """Dose [lx h] and covered time [h] since the first reading, each of shape (n,), from zero, never falling.

    Illuminances add over time without regard to intensity (reciprocity: Saunders and Kirby 1996).
    Intervals longer than ``max_gap_s`` add to neither: an unmeasured night is neither dark nor lit.

    Parameters
    ----------
    times_s
        Seconds on any clock, strictly increasing, shape (n,).
    illuminance_lux
        Not below zero, shape (n,).
    method
        ``trapezoid`` for spot readings, ``step`` where a value holds until the next, ``mean_before``
        where it is the mean since the last.
    """
    if len(times_s) != len(illuminance_lux):
        raise ValueError(f"{len(times_s)} times for {len(illuminance_lux)} readings")
    if len(times_s) == 0:
        return np.zeros(0), np.zeros(0)
    hours = np.diff(times_s) / 3600.0
    limit_h = (longest_bridged_gap_s(times_s) if max_gap_s is None else max_gap_s) / 3600.0
    bridged = np.where(hours <= limit_h + 1e-9, hours, 0.0)
    if method == "trapezoid":
        level = 0.5 * (illuminance_lux[1:] + illuminance_lux[:-1])
    elif method == "step":
        level = illuminance_lux[:-1]
    else:
        level = illuminance_lux[1:]
    dose = np.zeros(len(times_s))
    covered = np.zeros(len(times_s))
    np.cumsum(bridged * level, out=dose[1:])
    np.cumsum(bridged, out=covered[1:])
    return dose, covered


def integrate(
    times_s: Floats, illuminance_lux: Floats, *, method: Method = "trapezoid", max_gap_s: float | None = None
) -> Dose:
    """Whole dose of a run of readings; see :func:`running_dose`."""
    dose, covered = running_dose(times_s, illuminance_lux, method=method, max_gap_s=max_gap_s)
    return Dose(float(dose[-1]), float(covered[-1])) if len(dose) else Dose(0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class HalfHours:
    """Dose and covered time in half-hours of whole days, each of shape (days, 48).

    ``first_day`` counts days since 1970-01-01 on the clock of the readings. [lx h], [h]
    """

    first_day: int
    dose_lux_h: Floats
    covered_h: Floats

    @property
    def days(self) -> int:
        """Number of days."""
        return len(self.dose_lux_h)

    @property
    def mean_lux(self) -> Floats:
        """Mean illuminance of each half-hour that is at least half covered, else NaN, shape (days, 48)."""
        return _mean_lux(self)


@lru_cache(maxsize=2)
def _mean_lux(cells: HalfHours) -> Floats:
    known = cells.covered_h >= 0.25
    return np.where(known, cells.dose_lux_h / np.where(known, cells.covered_h, 1.0), np.nan)


def half_hours(
    times_s: Floats, illuminance_lux: Floats, *, method: Method = "trapezoid", max_gap_s: float | None = None
) -> HalfHours:
    """Share a run of readings out over half-hours; the whole dose is kept exactly."""
    dose, covered = running_dose(times_s, illuminance_lux, method=method, max_gap_s=max_gap_s)
    first_day = int(times_s[0] // 86_400)
    days = int(times_s[-1] // 86_400) - first_day + 1
    edges = first_day * 86_400.0 + SLOT_S * np.arange(days * SLOTS + 1)
    shape = (days, SLOTS)
    return HalfHours(
        first_day,
        np.diff(np.interp(edges, times_s, dose)).reshape(shape),
        np.diff(np.interp(edges, times_s, covered)).reshape(shape),
    )


LARGEST_OFFSET_LUX = 5.0
"""A reading in the dark above this is a lamp that is never put out, not an error of the sensor."""


def night_offset_lux(dark_lux: Floats) -> float:
    """What a sensor reads in the dark: the lowest tenth of its readings with the sun far down. [lx]

    ``dark_lux``: readings with the sun lower than 12 degrees under the horizon, lamps included. Zero
    where there are fewer than ten, and where even the lowest exceed :data:`LARGEST_OFFSET_LUX`.
    """
    known = dark_lux[np.isfinite(dark_lux)]
    if len(known) < 10:
        return 0.0
    lowest = float(np.quantile(known, 0.1))
    return lowest if lowest <= LARGEST_OFFSET_LUX else 0.0


def sensor_step_lux(illuminance_lux: Floats) -> float:
    """Smallest common difference between values: the step of the sensor's converter. [lx]

    Judged on some 4,000 readings spread over the run, in the lower half of their values, where
    a converter that grows coarser with level is finest. Zero where fewer than four values occur: a lamp
    that is on or off shows its own level, not the converter's step.
    """
    every = max(1, len(illuminance_lux) // 4000)
    values = np.unique(illuminance_lux[::every])
    if len(values) < 4:
        return 0.0
    low = values[: max(2, len(values) // 2)]
    steps = np.diff(low)
    steps = steps[steps > 1e-6]
    return float(np.quantile(steps, 0.1)) if len(steps) else 0.0


def saturated_share(illuminance_lux: Floats, full_scale_lux: float | None = None) -> float:
    """Share of readings at the top of the scale, which understate what fell. [1]

    Without a known full scale, the highest value counts as one only where at least 5 readings
    share it exactly and it lies above 500 lx.
    """
    if len(illuminance_lux) == 0:
        return 0.0
    top = float(np.max(illuminance_lux)) if full_scale_lux is None else full_scale_lux
    at_top = int(np.count_nonzero(illuminance_lux >= top))
    if full_scale_lux is None and (at_top < 5 or top < 500.0):
        return 0.0
    return at_top / len(illuminance_lux)

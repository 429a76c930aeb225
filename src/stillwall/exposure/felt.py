"""Humidity that an object feels: the air's, followed at first order in elapsed time."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.readings import HOUR_S, Readings

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

UNSEEN_SHARE: Final = 0.05
"""A felt value counts once at most this share of it rests on air that nobody measured."""
T95_OVER_TAU: Final = log(20.0)
"""Time to 95 % of a step over the time constant."""
_LONGEST_STEP: Final = 50.0
_BLOCK: Final = 300.0
_FEW_RUNS: Final = 200
_EVEN_BLOCK: Final = 32
_BLOCKS_AT_ONCE: Final = 256
"""Larger products of matrices are shared out over threads, which wait for one another."""


@dataclass(frozen=True, slots=True, eq=False)
class Felt:
    """What an object feels, at the times of the readings.

    Attributes
    ----------
    readings : Readings
        The felt values that count, with their times.
    values : float64, shape (n,)
        All felt values, those of the warm-up too.
    counted : bool, shape (n,)
        Whether at most 5 % of a value rests on unmeasured air.
    warm_up_hours : float
        Hours of readings that do not count: at the start, and after gaps.
    """

    readings: Readings
    values: Floats
    counted: Mask
    warm_up_hours: float


def time_constant(t95_h: float) -> float:
    """Time constant of a response that completes 95 % of a step in ``t95_h``. [h]"""
    return t95_h / T95_OVER_TAU


@lru_cache(maxsize=6)
def felt(air: Readings, t95_h: float) -> Felt:
    """
    What an object with a 95 % response time of ``t95_h`` hours feels.

    ``dH/dt = (RH - H) / tau`` stepped exactly over the time that really passed, each reading holding for
    the step that ends at it: ``H_i = H_(i-1) + (1 - exp(-dt / tau)) (RH_i - H_(i-1))``. The recursion
    starts at the first reading; the share of each value that rests on that guess, or on the inside of a
    gap, is followed by the same recursion, and a value counts once that share is at most 5 %. For a record
    without gaps this leaves out exactly the first ``t95_h`` hours. The last few results are remembered.
    M. Martens, Climate risk assessment in museums, 2012, for the response as time to 95 %.
    """
    if t95_h <= 0.0:
        everything = np.ones(len(air.values), np.bool_)
        return Felt(air, air.values, everything, 0.0)
    tau_s = HOUR_S * time_constant(t95_h)
    steps = np.diff(air.seconds)
    usual = int(steps[0])
    odd = np.flatnonzero(steps != usual)
    if len(odd) <= _FEW_RUNS:
        values, counted = _by_runs(air, odd, usual, tau_s)
    else:
        values, counted = _by_blocks(air, steps, tau_s)
    return Felt(air.of(values, counted), values, counted, air.total_hours - float(air.hours[counted].sum()))


def _by_runs(air: Readings, odd: NDArray[np.int64], usual_s: int, tau_s: float) -> tuple[Floats, Mask]:
    """The recursion over runs of even steps, joined by the few odd ones."""
    values, counted = np.empty(len(air.values)), np.zeros(len(air.values), np.bool_)
    keep = float(np.exp(-usual_s / tau_s))
    values[0] = air.values[0]
    unseen = 1.0
    first = 0
    for last in (*odd.tolist(), len(values) - 1):
        run = slice(first + 1, last + 1)
        if last > first:
            values[run] = _even_steps(air.values[run], keep, float(values[first]))
        wait_s = tau_s * np.log(unseen / UNSEEN_SHARE) * (1 - 1e-9) if unseen > 0 else 0.0
        settled = first + max(0, int(np.ceil(wait_s / usual_s)))
        counted[min(settled, last + 1) : last + 1] = True
        if last + 1 < len(values):
            step_s = int(air.seconds[last + 1] - air.seconds[last])
            passed = float(np.exp(-step_s / tau_s))
            values[last + 1] = air.values[last + 1] + passed * (values[last] - air.values[last + 1])
            unseen *= keep ** (last - first) * passed
            unseen += 1.0 - passed if step_s > air.gap_s else 0.0
            first = last + 1
    return values, counted


def _even_steps(driving: Floats, keep: float, start: float) -> Floats:
    """First-order response at even steps, of which each keeps the share ``keep`` of what was, to ``driving``.

    Each block of steps is a weighted sum of what drives it and of the end of the block before; the ends
    follow the same recursion, in longer steps.
    """
    if len(driving) <= _EVEN_BLOCK:
        made, felt_now = [], start
        for value in driving.tolist():
            felt_now = value + keep * (felt_now - value)
            made.append(felt_now)
        return np.array(made)
    blocks = -(-len(driving) // _EVEN_BLOCK)
    lacking = np.zeros(blocks * _EVEN_BLOCK - len(driving))
    weights, left = _block_weights(keep)
    parts = np.concatenate((driving, lacking)).reshape(blocks, _EVEN_BLOCK)
    felt_in = np.empty(parts.shape)
    for first in range(0, blocks, _BLOCKS_AT_ONCE):
        some = slice(first, first + _BLOCKS_AT_ONCE)
        np.matmul(parts[some], weights, out=felt_in[some])
    ends = _even_steps(felt_in[:, -1] / (1.0 - left[-1]), float(left[-1]), start)
    felt_in += np.concatenate(([start], ends[:-1]))[:, None] * left
    whole: Floats = felt_in.reshape(-1)[: len(driving)]
    return whole


@lru_cache(maxsize=32)
def _block_weights(keep: float) -> tuple[Floats, Floats]:
    """What each step of a block adds to each, shape (steps, steps), and what is left of the start by then."""
    steps = np.arange(_EVEN_BLOCK)
    since = steps - steps[:, None]
    weights = np.where(since >= 0, (1.0 - keep) * keep ** np.maximum(since, 0), 0.0)
    return np.asarray(weights, np.float64), np.asarray(keep ** (steps + 1.0), np.float64)


def _by_blocks(air: Readings, steps: NDArray[np.int64], tau_s: float) -> tuple[Floats, Mask]:
    """The recursion over any steps, summed up in blocks."""
    through = np.concatenate(([0.0], np.cumsum(np.minimum(steps / tau_s, _LONGEST_STEP))))
    values = _followed(through, air.values, float(air.values[0]))
    gaps = steps > air.gap_s
    unseen = _followed(through, np.concatenate(([1.0], gaps.astype(np.float64))), 1.0)
    return values, unseen <= UNSEEN_SHARE * (1 + 1e-9)


def _followed(through: Floats, driving: Floats, start: float) -> Floats:
    """First-order response at elapsed times ``through``, in time constants, to ``driving``.

    With ``E = exp(through)`` the recursion sums up to ``(H_0 + sum (E_j - E_(j-1)) RH_j) / E_i``, taken in
    blocks short enough for the exponential.
    """
    made = np.empty(len(driving))
    made[0] = start
    first = 0
    while first < len(driving) - 1:
        last = int(np.searchsorted(through, through[first] + _BLOCK, "right"))
        last = min(max(last, first + 2), len(driving))
        growth = np.exp(through[first:last] - through[first])
        summed = np.cumsum(np.diff(growth) * driving[first + 1 : last])
        made[first + 1 : last] = (summed + made[first]) / growth[1:]
        first = last - 1
    return made


def step_fraction(t95_h: float, elapsed_h: float) -> float:
    """Share of a step that is felt after ``elapsed_h``. [1]"""
    return float(1.0 - np.exp(-elapsed_h / time_constant(t95_h)))


def sine_response(t95_h: float, period_h: float) -> tuple[float, float]:
    """Share of a sine's amplitude that is felt, and the lag. [1], [h]"""
    turn = 2 * np.pi * time_constant(t95_h) / period_h
    return float(1 / np.sqrt(1 + turn**2)), float(period_h / (2 * np.pi) * np.arctan(turn))


def enclosure_time_constant(
    dry_mass_kg: float,
    sorption_slope: float,
    air_changes_per_h: float,
    volume_m3: float,
    saturation_density_kg_m3: float,
) -> float:
    """Time constant of a case or a glazed frame buffered by what is in it. [h]

    ``m s / (n V c_sat)``: a mass balance that holds at one temperature only. ``sorption_slope`` is the
    moisture content gained per unit of relative humidity. [kg/kg]
    """
    return dry_mass_kg * sorption_slope / (air_changes_per_h * volume_m3 * saturation_density_kg_m3)

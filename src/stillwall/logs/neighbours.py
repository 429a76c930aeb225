"""Loggers of one room held against each other: a sensor that shifted, told from air that changed.

Air of one room is warm here and cool there, but holds one vapour pressure: where temperature and humidity
of two loggers differ and their vapour pressures agree, the air differs; where the ratio of the pressures
jumps and stays, a sensor has shifted. Two loggers do not tell which of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.moist_air import vapour_pressure
from stillwall.logs.thresholds import limit
from stillwall.record import Channel, Floats, Role

Days = NDArray[np.datetime64]


@dataclass(frozen=True, slots=True)
class Shift:
    """A step of one logger's vapour pressure against another's: the first day, and by how much. [1]"""

    day: np.datetime64
    ratio: float


def shift_between(own: Mapping[Role, Channel], near: Mapping[Role, Channel]) -> Shift | None:
    """The step that parts the ratio of two loggers' vapour pressures best; None where there is none.

    The day is where the means before and after differ most for their number of days. A step is larger than
    two good sensors differ, stands out of the days' own scatter, and comes within some days and stays:
    what drifts apart over a season is none.
    """
    days, ratio = _daily_ratio(own, near)
    width, count = round(limit("neighbour.days")), len(ratio)
    if count < 2 * width:
        return None
    cuts = np.arange(width, count - width + 1)
    sums = np.cumsum(ratio)
    before, after = sums[cuts - 1] / cuts, (sums[-1] - sums[cuts - 1]) / (count - cuts)
    at = int(cuts[np.argmax(np.abs(after - before) * np.sqrt(cuts * (count - cuts)))])
    levels = np.where(np.arange(count) < at, np.median(ratio[:at]), np.median(ratio[at:]))
    step = float(levels[-1] - levels[0])
    at_once = float(np.median(ratio[at : at + width]) - np.median(ratio[at - width : at]))
    scatter = 1.4826 * float(np.median(np.abs(ratio - levels)))
    least = max(np.log1p(limit("neighbour.vapour")), limit("neighbour.times_scatter") * scatter)
    if abs(step) < least or at_once * np.sign(step) < limit("neighbour.at_once") * abs(step):
        return None
    return Shift(days[at], float(np.exp(step) - 1.0))


def _daily_ratio(own: Mapping[Role, Channel], near: Mapping[Role, Channel]) -> tuple[Days, Floats]:
    """Days on which both logged, and the median logarithm of the ratio of their hours."""
    own_hours, own_pa = _hourly(own)
    near_hours, near_pa = _hourly(near)
    hours, left, right = np.intersect1d(own_hours, near_hours, assume_unique=True, return_indices=True)
    if len(hours) == 0:
        return np.zeros(0, "datetime64[D]"), np.zeros(0)
    ratio = np.log(own_pa[left] / near_pa[right])
    days, starts, counts = np.unique(hours.astype("datetime64[D]"), return_index=True, return_counts=True)
    full = counts >= limit("neighbour.hours_a_day")
    medians = [
        np.median(ratio[start : start + count])
        for start, count in zip(starts[full], counts[full], strict=True)
    ]
    return days[full], np.asarray(medians, np.float64)


def _hourly(channels: Mapping[Role, Channel]) -> tuple[NDArray[np.datetime64], Floats]:
    """Hours in which a logger read both quantities, and the mean vapour pressure of each. [Pa]"""
    if "temperature" not in channels or "humidity" not in channels:
        return np.zeros(0, "datetime64[h]"), np.zeros(0)
    air_times, air_c = channels["temperature"].kept
    times, humidity = channels["humidity"].kept
    common, at_air, at = np.intersect1d(air_times, times, assume_unique=True, return_indices=True)
    if len(common) == 0:
        return np.zeros(0, "datetime64[h]"), np.zeros(0)
    pressure = vapour_pressure(air_c[at_air], humidity[at])
    good = pressure > 0
    hours, which = np.unique(common[good].astype("datetime64[h]"), return_inverse=True)
    means = np.bincount(which, pressure[good]) / np.bincount(which)
    return hours, means


def shifts_in_rooms(
    loggers: Sequence[tuple[str, str, Mapping[Role, Channel]]],
) -> list[tuple[str, str, str, Shift]]:
    """Steps between loggers of one room; ``loggers`` are room, name and channels.

    Gives room, the two names, and the step of the first against the second. Each logger is held against
    the first of its room.
    """
    made: list[tuple[str, str, str, Shift]] = []
    first: dict[str, tuple[str, Mapping[Role, Channel]]] = {}
    for room, name, channels in loggers:
        if room not in first:
            first[room] = (name, channels)
            continue
        found = shift_between(channels, first[room][1])
        if found is not None:
            made.append((room, name, first[room][0], found))
    return made

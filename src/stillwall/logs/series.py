"""Readings of one column put in order of time: turned, sorted, repeats taken out; each counted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.record import Flag, Floats, Mask, Times

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Clocked:
    """Rows of one sensor by time: seconds, the order that sorts the rows, and what was odd."""

    seconds: Ints
    order: Ints | None
    strictly: bool
    newest_first: bool
    turned_back: Ints
    """Seconds of rows that came after a later one in the file."""


def clocked(seconds: Ints) -> Clocked:
    """Find the order of time. A file written newest first is simply turned round."""
    nothing = np.zeros(0, np.int64)
    steps = np.diff(seconds)
    if len(steps) == 0 or bool((steps > 0).all()):
        return Clocked(seconds, None, True, False, nothing)
    rising = int((steps > 0).sum())
    falling = int((steps < 0).sum())
    if falling > rising and rising <= 0.02 * falling:
        order = np.arange(len(seconds) - 1, -1, -1, dtype=np.int64)
        turned = seconds[order]
        if bool((np.diff(turned) >= 0).all()):
            return Clocked(turned, order, bool((np.diff(turned) > 0).all()), True, nothing)
        again = np.argsort(turned, kind="stable")
        back = turned[np.flatnonzero(np.diff(turned) < 0) + 1]
        ordered = turned[again]
        return Clocked(ordered, order[again], bool((np.diff(ordered) > 0).all()), True, back)
    back = seconds[np.flatnonzero(steps < 0) + 1]
    if len(back) == 0:
        return Clocked(seconds, None, False, False, nothing)
    order = np.argsort(seconds, kind="stable")
    ordered = seconds[order]
    return Clocked(ordered, order, bool((np.diff(ordered) > 0).all()), False, back)


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """Strictly increasing times with their values; which are excluded; flags."""

    times: Times
    values: Floats
    excluded: Mask
    flags: tuple[Flag, ...]


def moments_of(seconds: Ints) -> Times:
    """Seconds since 1970 as datetime64[s]."""
    made: Times = seconds.astype("datetime64[s]")
    return made


def series(clock: Clocked, values: Floats, times: Times) -> Series:
    """Readings of one column in order of time; ``times`` are shared where nothing is missing."""
    if clock.order is not None:
        values = values[clock.order]
    good = np.isfinite(values)
    if not good.all():
        values = values[good]
        times = times[good]
    flags: list[Flag] = []
    excluded = np.zeros(len(values), bool)
    if not clock.strictly and len(values) > 1:
        same = times[1:] == times[:-1]
        if same.any():
            times, values, excluded, flags = _once(times, values, same)
    if len(clock.turned_back):
        back = moments_of(clock.turned_back)
        where = np.unique(np.minimum(np.searchsorted(times, back), len(times) - 1))
        flags.insert(0, Flag("out_of_order", False, where, back[0], "rows put in order of time", len(back)))
    return Series(times, np.ascontiguousarray(values), excluded, tuple(flags))


def _once(times: Times, values: Floats, same: Mask) -> tuple[Times, Floats, Mask, list[Flag]]:
    keep = np.concatenate(([True], ~same))
    starts = np.flatnonzero(keep)
    group = np.cumsum(keep) - 1
    firsts = values[starts][group]
    differs = np.zeros(len(starts), bool)
    np.logical_or.at(differs, group[values != firsts], True)
    flags: list[Flag] = []
    equal = np.flatnonzero(np.bincount(group) > 1)
    calm = equal[~differs[equal]]
    kept_times = times[starts]
    if len(calm):
        extra = int((np.bincount(group)[calm] - 1).sum())
        flags.append(
            Flag("repeated", False, calm, kept_times[calm[0]], "the same reading again, kept once", extra)
        )
    if differs.any():
        where = np.flatnonzero(differs)
        flags.append(Flag("conflicting", True, where, kept_times[where[0]],
                          "one stamp with different values; the first is kept, and excluded"))  # fmt: skip
    return kept_times, values[starts], differs, flags

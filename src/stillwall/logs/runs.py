"""Runs of equal or marked readings."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillwall.record import Floats, Mask, Times

Ints = NDArray[np.int64]


def equal_runs(values: Floats) -> tuple[Ints, Ints]:
    """First and last index of each run of equal values."""
    if len(values) == 0:
        empty = np.zeros(0, np.int64)
        return empty, empty
    cuts = np.flatnonzero(values[1:] != values[:-1])
    starts = np.concatenate(([0], cuts + 1))
    ends = np.concatenate((cuts, [len(values) - 1]))
    return starts, ends


def marked_runs(mask: Mask) -> tuple[Ints, Ints]:
    """First and last index of each run of marked readings."""
    edges = np.diff(np.concatenate(([0], mask.astype(np.int8), [0])))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1


def hours_between(times: Times, starts: Ints, ends: Ints) -> Floats:
    """Time from the first to the last reading of each run. [h]"""
    made: Floats = (times[ends] - times[starts]).astype(np.int64) / 3600.0
    return made


def spread(starts: Ints, ends: Ints) -> Ints:
    """Indices of all readings of some runs."""
    if len(starts) == 0:
        return np.zeros(0, np.int64)
    return np.concatenate([np.arange(start, end + 1) for start, end in zip(starts, ends, strict=True)])

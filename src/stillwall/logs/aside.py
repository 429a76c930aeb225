"""Few lines among readings that are none (headers again, footers, messages), set aside by how they begin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.logs.cells import Even, Text

MOST = 0.02
"""Largest share of lines that are set aside."""


@dataclass(frozen=True, slots=True, eq=False)
class Apart:
    """Lines that begin as most do, and the others, each with their numbers in the file."""

    text: Text
    numbers: NDArray[np.int64]
    other: bytes
    other_numbers: NDArray[np.int64]


def set_aside(even: Even) -> Apart | None:
    """Part lines by how they begin, with a digit or as most do; None where too many begin otherwise."""
    text, ends, numbers = even.text, even.ends, even.numbers
    if not len(ends):
        return None
    starts = np.concatenate((np.zeros(1, np.int64), ends[:-1] + 1))
    first = np.frombuffer(text, np.uint8)[starts]
    first[(first >= 48) & (first <= 57)] = 48
    others = np.flatnonzero(first != np.bincount(first).argmax())
    if len(others) > MOST * len(first):
        return None
    if not len(others):
        return Apart(text, numbers, b"", numbers[:0])
    view = memoryview(text)
    kept: list[memoryview] = []
    odd: list[memoryview] = []
    at = 0
    for start, end in zip(starts[others].tolist(), (ends[others] + 1).tolist(), strict=True):
        kept.append(view[at:start])
        odd.append(view[start:end])
        at = end
    kept.append(view[at:])
    return Apart(b"".join(kept), np.delete(numbers, others), b"".join(odd), numbers[others])

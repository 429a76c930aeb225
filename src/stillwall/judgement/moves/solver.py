"""Mixed-integer programmes, solved by HiGHS through :func:`scipy.optimize.milp`."""

from __future__ import annotations

import ctypes
import os
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy
from numpy.typing import NDArray

Floats = NDArray[np.float64]
TIME_OUT = 1
INFEASIBLE = 2
STDOUT, STDERR = 1, 2
_one_at_a_time = threading.Lock()


@dataclass(frozen=True, slots=True)
class Row:
    """One linear condition on columns: ``low <= sum <= high``."""

    terms: tuple[tuple[int, float], ...]
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Solved:
    """Values of the columns, or None; the gap to the best [1]; whether that there is none is proven."""

    values: Floats | None
    gap: float
    infeasible: bool


def solve(costs: Floats, *, whole: Floats, upper: Floats, rows: Sequence[Row], time_limit_s: float) -> Solved:
    """The cheapest values between 0 and ``upper`` under the rows, whole numbers where ``whole`` is 1."""
    width = len(costs)
    if width == 0:
        possible = all(row.low <= 0 <= row.high for row in rows)
        return Solved(np.zeros(0) if possible else None, 0.0, infeasible=not possible)
    conditions = [
        scipy.optimize.LinearConstraint(
            _matrix(rows, width), [row.low for row in rows], [row.high for row in rows]
        )
    ]
    with _solver_speaks_on_stderr():
        result = scipy.optimize.milp(
            costs,
            integrality=whole,
            bounds=scipy.optimize.Bounds(np.zeros(width), upper),
            constraints=conditions if rows else (),
            options={"time_limit": max(time_limit_s, 0.01), "mip_rel_gap": 0.0},
        )
    if result.x is None:
        return Solved(None, np.inf, infeasible=result.status == INFEASIBLE)
    gap = float(result.mip_gap or 0.0) if result.status == TIME_OUT else 0.0
    return Solved(np.asarray(result.x, dtype=np.float64), gap, infeasible=False)


def _matrix(rows: Sequence[Row], width: int) -> Any:
    terms = [(number, column, weight) for number, row in enumerate(rows) for column, weight in row.terms]
    at = np.array([term[:2] for term in terms], dtype=np.int64).reshape(-1, 2).T
    weights = np.array([term[2] for term in terms], dtype=np.float64)
    return scipy.sparse.csr_array((weights, (at[0], at[1])), shape=(len(rows), width))


@contextmanager
def _solver_speaks_on_stderr() -> Iterator[None]:
    """What HiGHS prints by itself goes to standard error: standard output is for the answer alone.

    HiGHS writes some lines from C whatever its options say, past ``sys.stdout``; so the descriptor itself is
    turned aside, and the buffers of C are emptied before it is turned back.
    """
    with _one_at_a_time:
        with suppress(OSError, ValueError, AttributeError):
            sys.stdout.flush()
        try:
            kept = os.dup(STDOUT)
        except OSError:
            yield
            return
        try:
            _flush_c()
            with suppress(OSError):
                os.dup2(STDERR, STDOUT)
            yield
        finally:
            _flush_c()
            os.dup2(kept, STDOUT)
            os.close(kept)


def _flush_c() -> None:
    """Empty the buffers of the C library, where it can be reached."""
    with suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).fflush(None)

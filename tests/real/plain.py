"""Figures of real logs with nothing but the csv's own numbers and numpy."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd

SEASONS = {(12, 1, 2): 0, (3, 4, 5): 1, (6, 7, 8): 2, (9, 10, 11): 3}
SEASON_OF = {month: index for months, index in SEASONS.items() for month in months}


def columns(path: Path, clock: str, *names: str) -> tuple[np.ndarray, ...]:
    """Times as written, and columns by name."""
    table = pd.read_csv(path)
    times = pd.to_datetime(table[clock]).to_numpy().astype("datetime64[s]")
    return times, *(table[name].to_numpy(float) for name in names)


def season(times: np.ndarray) -> np.ndarray:
    """Index of the season of each time: 0 from December on."""
    months = times.astype("datetime64[M]").astype(int) % 12 + 1
    return np.array([SEASON_OF[month] for month in range(1, 13)])[months - 1]


def percentiles_by_season(times: np.ndarray, values: np.ndarray) -> np.ndarray:
    """2nd and 98th percentile of each season, shape (4, 2)."""
    index = season(times)
    return np.array([np.percentile(values[index == each], [2, 98]) for each in range(4)])


def followed(values: np.ndarray, t95_h: float, step_h: float = 1.0) -> np.ndarray:
    """First-order response, stepped one reading after another."""
    share = 1.0 - 20.0 ** (-step_h / t95_h)
    felt = [float(values[0])]
    for value in values[1:]:
        felt.append(felt[-1] + share * (float(value) - felt[-1]))
    return np.array(felt)


def largest_by_day(times: np.ndarray, values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Days that have 24 readings, and the largest value of each."""
    days = times.astype("datetime64[D]")
    found, counts = np.unique(days, return_counts=True)
    whole = found[counts == 24]
    return whole, np.array([values[days == day].max() for day in whole])


def p95_by_season(days: np.ndarray, values: np.ndarray) -> list[float]:
    """95th percentile of each season's days."""
    index = season(days)
    return [float(np.percentile(values[index == each], 95)) for each in range(4)]


def moving_mean(values: np.ndarray, half: int) -> np.ndarray:
    """Mean from ``half`` readings before to ``half`` after, NaN at the ends."""
    sums = np.concatenate(([0.0], np.cumsum(values)))
    made = np.full(len(values), np.nan)
    width = 2 * half + 1
    made[half : len(values) - half] = (sums[width:] - sums[:-width]) / width
    return made


def trapezoid(times: np.ndarray, values: np.ndarray, longest_gap_s: float) -> float:
    """Integral in value hours, over steps no longer than a gap."""
    steps = np.diff(times).astype("timedelta64[s]").astype(float)
    parts = (values[1:] + values[:-1]) / 2 * steps / 3600.0
    return float(parts[steps <= longest_gap_s].sum())

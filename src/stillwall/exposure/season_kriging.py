"""A room's daylight over the year from the weeks that were seen: kriging on the sun's season."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DAYS = 365.0
WEEKS = 52
CLOSED_LEVEL_DEGREES = 5.0
"""Degrees of freedom of the t-scale: the spread of a room is itself known from few rooms."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How the log ratio of indoor to outdoor light varies within a year.

    ``declination_sd`` with ``declination_length`` (in units of the greatest declination): geometry and
    horizon; ``season_sd`` with ``season_length``: leaves and habits; ``week_sd``: weather, week by week.
    """

    declination_sd: float
    declination_length: float
    season_sd: float
    season_length: float
    week_sd: float


@dataclass(frozen=True, slots=True, eq=False)
class SeasonPosterior:
    """Log ratio in every week of a year: mean, shape (n,), and covariance, shape (n, n)."""

    mean: Floats
    covariance: Floats

    @property
    def sd(self) -> Floats:
        """Standard deviation by week, before the t-scale."""
        made: Floats = np.sqrt(np.diag(self.covariance))
        return made


def _covariance(first_day: Floats, second_day: Floats, spread: Spread) -> Floats:
    sine_first = np.sin(2 * np.pi * (284.0 + first_day) / DAYS)
    sine_second = np.sin(2 * np.pi * (284.0 + second_day) / DAYS)
    half_turn = np.sin(np.pi * (first_day[:, None] - second_day[None, :]) / DAYS)
    by_declination = spread.declination_sd**2 * np.exp(
        -((sine_first[:, None] - sine_second[None, :]) ** 2) / (2 * spread.declination_length**2)
    )
    by_season = spread.season_sd**2 * np.exp(-2 * half_turn**2 / spread.season_length**2)
    made: Floats = by_declination + by_season
    return made


def season_posterior(
    seen_day: Floats, log_ratio: Floats, spread: Spread, day: Floats, noise_sd: Floats | None = None
) -> SeasonPosterior:
    """Log ratio on other days of the year, given some; the level itself is not known beforehand.

    Ordinary kriging (Matheron 1963, Economic Geology 58, 1246) on two coordinates: the declination of
    the sun and the day of the year.

    Parameters
    ----------
    seen_day, log_ratio
        Days of the year and natural logarithm of indoor over outdoor light there, shape (m,), m >= 1.
    day
        Days asked for, shape (n,).
    noise_sd
        Scatter of each observation, shape (m,); the week's own where it is left out.
    """
    scatter = np.full(len(seen_day), spread.week_sd) if noise_sd is None else noise_sd
    known = _covariance(seen_day, seen_day, spread) + np.diag(scatter**2)
    across = _covariance(day, seen_day, spread)
    there = _covariance(day, day, spread) + spread.week_sd**2 * np.eye(len(day))
    ones = np.ones(len(seen_day))
    weights = np.linalg.solve(known, np.column_stack([ones, log_ratio, across.T]))
    level_variance = 1.0 / float(ones @ weights[:, 0])
    level = level_variance * float(ones @ weights[:, 1])
    mean = level + across @ (weights[:, 1] - level * weights[:, 0])
    lever = 1.0 - across @ weights[:, 0]
    covariance = there - across @ weights[:, 2:] + level_variance * np.outer(lever, lever)
    return SeasonPosterior(mean, covariance)


def posterior_draws(posterior: SeasonPosterior, count: int, generator: np.random.Generator) -> Floats:
    """Draws of the log ratio, shape (count, n): one t-scale a draw, held under the mean + 4 sd + 1."""
    n = len(posterior.mean)
    root = np.linalg.cholesky(posterior.covariance + 1e-9 * np.eye(n))
    half = count // 2
    normal = generator.standard_normal((half, n))
    scale = np.sqrt(CLOSED_LEVEL_DEGREES / generator.chisquare(CLOSED_LEVEL_DEGREES, half))
    step = (normal @ root.T) * scale[:, None]
    drawn = posterior.mean + np.concatenate([step, -step])
    made: Floats = np.minimum(drawn, posterior.mean + 4.0 * posterior.sd + 1.0)
    return made

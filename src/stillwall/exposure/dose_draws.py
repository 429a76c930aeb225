"""The spread of a year's or a stay's light, drawn from what is known of its parts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import scipy
from numpy.typing import NDArray

from stillwall.exposure.annual_dose import FILL_SD, annual_dose
from stillwall.exposure.light_year import SUN_WEEK_SD, AnnualDose, LightSite, YearParts
from stillwall.exposure.season_kriging import WEEKS, posterior_draws
from stillwall.record import Record

Floats = NDArray[np.float64]

DAYS = 365.0
YEAR_TO_YEAR_SD = 0.08
"""Spread of one year's daylight about another's, as a logarithm."""
LAMP_SD, LAMP_WEEK_SD = 0.10, 0.20
"""Relative spread of a year's lamp hours about the schedule; of one week's."""
HIDDEN_LAMP_CHANCE, HIDDEN_LAMP_LUX, HIDDEN_LAMP_SD = 0.5, 45.0, 0.9
"""Lamps in hours that no reading saw dark: chance, median level and its spread as a logarithm."""
DRAWS = 1000
Z_GRID = np.linspace(-3.3, 3.3, 67)
"""Standard normal points at which the distribution of each part is kept."""
MARKS = np.array([0, 1, 2, 3, 4, 6, 8, 10, 13, 16, 20, 24, 28, 32, 36, 40, 44, 48, 52])
"""Weeks from the first day of a stay at which the dose so far is kept."""
MOST_STAYS = 512
"""Stays of which the dose is remembered, 30 kB each."""


@dataclass(frozen=True, slots=True, eq=False)
class StayDose:
    """Dose since the first day of a stay, as quantiles at :data:`Z_GRID` by :data:`MARKS`. [lx h]

    Each of the three parts has shape (marks, 67). ``fan`` holds the 5th, 50th and 95th percentiles of
    the whole after each of 0 to 52 weeks, shape (53, 3).
    """

    daylight: Floats
    electric: Floats
    sun: Floats
    fan: Floats

    def after(self, days: float) -> tuple[Floats, Floats, Floats]:
        """Quantiles of daylight, electric and direct-sun dose after some days; past a year, year on year."""
        if days >= DAYS:
            scale = days / (7.0 * WEEKS)
            return self.daylight[-1] * scale, self.electric[-1] * scale, self.sun[-1] * scale
        weeks = min(days * WEEKS / DAYS, float(WEEKS))
        upper = int(np.clip(np.searchsorted(MARKS, weeks), 1, len(MARKS) - 1))
        share = (weeks - MARKS[upper - 1]) / (MARKS[upper] - MARKS[upper - 1])
        scale = DAYS / (7.0 * WEEKS)
        daylight, electric, sun = (
            ((1.0 - share) * part[upper - 1] + share * part[upper]) * scale
            for part in (self.daylight, self.electric, self.sun)
        )
        return daylight, electric, sun


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """A place's year of light as its record tells it.

    ``logger`` names the sensor's source of error, ``accuracy`` is the half width of its 90 % interval as a
    share of the reading; ``from_room`` where the sensor is the room's, not the place's own.
    """

    annual: AnnualDose
    logger: str = ""
    accuracy: float = 0.0
    from_room: bool = False

    def seen_share(self, first_day: int, days: float) -> float:
        """Share of a stay's expected daylight that falls in weeks of the year that were logged."""
        parts = self.annual.parts
        if parts is None:
            return 0.0
        order = weeks_from(parts, first_day)[: int(np.clip(round(days / 7.0), 1, WEEKS))]
        expected = parts.expected_lux_h[order]
        return float(expected[parts.seen[order]].sum() / expected.sum())


def light(record: Record, site: LightSite) -> Light:
    """Light at a place over a year, whatever stay is asked about."""
    annual = annual_dose(record, site)
    channel = record.get("light")
    if annual.parts is None or channel is None:
        return Light(annual)
    return Light(annual, channel.logger, channel.accuracy, "light" in record.from_room)


def weeks_from(parts: YearParts, first_day: int) -> NDArray[np.int64]:
    """The 52 weeks of a year in the order in which a stay meets them."""
    first = ((first_day - parts.first_day) % 365) // 7
    made: NDArray[np.int64] = (min(first, WEEKS - 1) + np.arange(WEEKS)) % WEEKS
    return made


@lru_cache(maxsize=MOST_STAYS)
def stay_dose(parts: YearParts, first_day: int) -> StayDose:
    """Dose of a coming stay, week by week from its first day (days since 1970-01-01) on. Remembered."""
    order = weeks_from(parts, first_day)
    chances = scipy.special.ndtr(Z_GRID)
    total = np.zeros((WEEKS + 1, DRAWS))
    tables = []
    for part in dose_draws(parts, coming=True):
        if not part.any():
            tables.append(np.zeros((len(MARKS), len(Z_GRID))))
            continue
        running = np.zeros((WEEKS + 1, DRAWS))
        np.cumsum(part.T[order], axis=0, out=running[1:])
        total += running
        tables.append(_quantiles(running[MARKS], chances))
    return StayDose(tables[0], tables[1], tables[2], _quantiles(total, np.array([0.05, 0.5, 0.95])))


def _quantiles(drawn: Floats, chances: Floats) -> Floats:
    """Quantiles of each row, shape (rows, chances), by straight lines between sorted draws."""
    ordered = np.sort(drawn, axis=1)
    at = chances * (ordered.shape[1] - 1)
    below = np.minimum(at.astype(np.int64), ordered.shape[1] - 2)
    share = at - below
    made: Floats = (1.0 - share) * ordered[:, below] + share * ordered[:, below + 1]
    return made


def year_dose(annual: AnnualDose, *, coming: bool = False, count: int = DRAWS) -> tuple[float, float, float]:
    """Median and 90 % interval of a year's dose: (median, low, high); ``coming`` for a later year. [lx h]

    NaN where there are no readings.
    """
    if annual.parts is None:
        return (float("nan"),) * 3
    whole = sum(part.sum(axis=1) for part in dose_draws(annual.parts, coming=coming, count=count))
    low, median, high = np.quantile(np.asarray(whole) * DAYS / (7.0 * WEEKS), [0.05, 0.5, 0.95])
    return float(median), float(low), float(high)


def dose_draws(parts: YearParts, *, coming: bool, count: int = DRAWS) -> tuple[Floats, Floats, Floats]:
    """Draws of daylight, electric and direct-sun dose by week, each of shape (count, 52). [lx h]

    ``coming``: for a year that is not the record's own, so that the weather of seen weeks changes too.
    The stream is fixed: the spread of a place does not hang on who asks.
    """
    generator = _stream(20)
    unseen = ~parts.seen
    daylight = np.broadcast_to(parts.daylight_lux_h, (count, WEEKS)).copy("F")
    year = np.exp(YEAR_TO_YEAR_SD * generator.standard_normal(count))
    if unseen.any():
        log_ratio = posterior_draws(parts.posterior, count, generator)
        daylight[:, unseen] = np.exp(log_ratio) * parts.expected_lux_h[unseen]
    part_filled = np.divide(
        parts.filled_lux_h, parts.daylight_lux_h, out=np.zeros(WEEKS), where=parts.daylight_lux_h > 0
    )
    if part_filled.max() > 0.01:
        part_filled[unseen] = 0.0
        daylight *= 1.0 + part_filled * (_scatter(21, FILL_SD, count) - 1.0)
    if coming:
        daylight[:, parts.seen] *= _scatter(22, parts.week_sd, count)[:, parts.seen]
        daylight *= year[:, None]
    else:
        daylight[:, unseen] *= year[:, None]
    if parts.coarse_lux_h > 0:
        daylight += (_stream(23).random(count) * parts.coarse_lux_h)[:, None]
    electric = _electric_draws(parts, _stream(24), count, coming=coming)
    return daylight, electric, _sun_draws(parts, count, coming=coming)


@lru_cache(maxsize=8)
def _scatter(key: int, sd: float, count: int, passed: int = 0) -> Floats:
    """Factors of mean 1 by draw and week, the same at every place: of a stream, some numbers passed over."""
    generator = _stream(key)
    generator.standard_normal(passed)
    made: Floats = np.exp(sd * np.asfortranarray(generator.standard_normal((count, WEEKS))) - 0.5 * sd**2)
    made.flags.writeable = False
    return made


def _stream(key: int) -> np.random.Generator:
    """A fixed stream for each part, so that no part's draws hang on what another part needs."""
    return np.random.Generator(np.random.Philox(key=key))


def _electric_draws(parts: YearParts, generator: np.random.Generator, count: int, *, coming: bool) -> Floats:
    weeks = max(int(parts.seen.sum()), 1)
    sd = np.hypot(LAMP_SD, LAMP_WEEK_SD / np.sqrt(weeks))
    usual = np.exp(sd * generator.standard_normal(count) - 0.5 * sd**2)
    burns_by_day = np.ones(count) if parts.lamps_from_survey else np.sqrt(generator.random(count))
    carried = generator.random(count)
    again = np.exp(LAMP_SD * generator.standard_normal(count)) if coming else np.ones(count)
    electric = np.outer(np.where(parts.seen, parts.electric_lux_h, 0.0), again).T
    unseen = ~parts.seen
    if unseen.any():
        electric[:, unseen] = usual[:, None] * (
            parts.lamp_dark_lux_h[unseen]
            + burns_by_day[:, None] * parts.lamp_day_lux_h[unseen]
            + carried[:, None] * parts.lamp_dusk_lux_h[unseen]
        )
    if parts.hidden_h.max() > 0:
        lit = generator.random(count) < HIDDEN_LAMP_CHANCE
        level = HIDDEN_LAMP_LUX * np.exp(HIDDEN_LAMP_SD * generator.standard_normal(count))
        hours = generator.random(count)
        electric[:, unseen] += (lit * level * hours)[:, None] * parts.hidden_h[unseen]
    return electric


def _sun_draws(parts: YearParts, count: int, *, coming: bool) -> Floats:
    if parts.sun_log_share is None:
        return np.zeros((count, WEEKS))
    share = np.exp(parts.sun_log_share + parts.sun_log_sd * _stream(25).standard_normal(count))
    scatter = _scatter(25, SUN_WEEK_SD, count, passed=count)
    carried = share[:, None] * scatter * parts.sun_expected_lux_h
    kept = parts.sun_lux_h * (scatter if coming else 1.0)
    made: Floats = np.where(parts.seen, kept, carried)
    return made

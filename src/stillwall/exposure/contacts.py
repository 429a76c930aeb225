"""How often a work on a wall is touched by those who pass, sit or wait, and what a touch does.

The model is a judgement with every parameter in the open; no published rate of accidental damage per
visitor or pass is known.
"""

from __future__ import annotations

import math
from typing import Final, TypeVar

import numpy as np
import scipy
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Value = TypeVar("Value", float, NDArray[np.float64])

BODY_M: Final = 0.60
"""Width of a body ellipse, FHWA-RD-98-107 (1998) section 2. [m]"""
KEPT_M: Final = 0.25
"""Distance kept from obstacles, measured between 0.14 and 0.46. [m]"""
SCATTER_M: Final = 0.10
"""Scatter of a path across its line. [m]"""
ZONE_M: Final = 2.0
"""Length of passage in which two people who meet give way. [m]"""
SPEED_M_S: Final = 1.2
"""Walking speed, FHWA-RD-98-107 (1998) section 2. [m/s]"""
LANE_MOST: Final = 0.5
"""Largest share of those passing who walk on the work's side."""
DAYS_PER_YEAR: Final = 365.25


def meeting_probability(per_hour: Value, zone_m: float = ZONE_M, speed_m_s: float = SPEED_M_S) -> Value:
    """Chance that someone passing meets another in the zone; half of the flow comes the other way."""
    expected = per_hour / 2 / 3600 * 2 * zone_m / speed_m_s
    made: Value = -np.expm1(-expected)
    return made


def contact_per_pass(
    clear_m: ArrayLike,
    per_hour: ArrayLike,
    lapse: ArrayLike,
    kept_m: ArrayLike = KEPT_M,
    body_m: ArrayLike = BODY_M,
    scatter_m: float = SCATTER_M,
    setback_m: ArrayLike = 0.0,
) -> Floats:
    """Contacts per passage of one person; arguments broadcast.

    lane x lapse x [(1 - p2) Phi(-m1 / s) + p2 Phi(-m2 / s)], m_k = min(kept, (clear - k body) / 2), lane =
    min(0.5, (body + kept) / clear), p2 the chance of a meeting. It falls with the clear width and grows
    with flow and lapses.

    Parameters
    ----------
    clear_m
        From the face of the work to the obstruction opposite. [m]
    per_hour
        People an hour, both ways.
    lapse
        Share of collision courses that are not corrected.
    setback_m
        How far the work's face stands behind what people keep clear of: a console, a barrier. [m]
    """
    clear, kept = np.maximum(clear_m, 1e-3), np.asarray(kept_m, dtype=np.float64)
    body = np.asarray(body_m, dtype=np.float64)
    setback = np.asarray(setback_m, dtype=np.float64)
    two = meeting_probability(np.asarray(per_hour, dtype=np.float64))
    alone, meeting = (np.minimum(kept, (clear - count * body) / 2) + setback for count in (1, 2))
    lane = np.minimum(LANE_MOST, (body + kept) / clear)
    one_reaches, both_reach = scipy.special.ndtr(-alone / scatter_m), scipy.special.ndtr(-meeting / scatter_m)
    touched = (1 - two) * one_reaches + two * both_reach
    made: Floats = lane * np.asarray(lapse, dtype=np.float64) * touched
    return made


def contacts_per_year(
    passes: ArrayLike,
    clear_m: ArrayLike,
    per_hour: ArrayLike,
    lapse: ArrayLike,
    overlap: ArrayLike,
    kept_m: ArrayLike = KEPT_M,
    body_m: ArrayLike = BODY_M,
    setback_m: ArrayLike = 0.0,
) -> Floats:
    """Contacts a year of one stream of people; ``overlap`` is the share of its band that the work covers."""
    per_pass = contact_per_pass(clear_m, per_hour, lapse, kept_m, body_m, setback_m=setback_m)
    made: Floats = per_pass * np.asarray(passes, dtype=np.float64) * np.asarray(overlap, dtype=np.float64)
    return made


def height_overlap(bottom_m: float, top_m: float, low_m: float, high_m: float) -> float:
    """Share of a band of heights that lies between the edges of a work."""
    return max(0.0, min(top_m, high_m) - max(bottom_m, low_m)) / (high_m - low_m)


def chair_contacts(
    seatings: ArrayLike, gap_m: ArrayLike, reach_m: ArrayLike = 0.75, scatter_m: float = SCATTER_M
) -> Floats:
    """Contacts a year by chairs pushed back: seatings x Phi((reach - gap) / scatter)."""
    beyond = np.asarray(reach_m, dtype=np.float64) - np.asarray(gap_m, dtype=np.float64)
    made: Floats = np.asarray(seatings, dtype=np.float64) * scipy.special.ndtr(beyond / scatter_m)
    return made


def contact_load(contacts: Value, chance_of_damage: Value | float, allowed: float) -> Value:
    """Damaging contacts over those allowed in the same time."""
    return contacts * chance_of_damage / allowed


def chance_of_damage(contacts_a_year: Value, damage: Value | float, days: float) -> Value:
    """Chance of at least one damaging contact within some days (Poisson)."""
    made: Value = -np.expm1(-contacts_a_year * damage * (days / DAYS_PER_YEAR))
    return made


def stay_days(contacts_a_year: float, damage: float, chance: float) -> float:
    """Days until the chance of a damaging contact reaches ``chance`` (Poisson)."""
    rate = contacts_a_year * damage
    return math.inf if rate <= 0 else -math.log1p(-chance) / rate * DAYS_PER_YEAR


def updated_rate(prior_mean: Value, marks: float, years: float) -> Value:
    """Posterior mean of a yearly rate: Gamma prior of shape 1, marks counted over some years."""
    return (1 + marks) / (1 / prior_mean + years)


def dust_ratio(distance_m: float, half_m: float) -> float:
    """Dust at a distance from visitors over dust beside them, which halves every ``half_m``.

    H. Lloyd et al. 2002, doi 10.1080/01410096.2002.9995179, read in abstract: 0.5 m; later papers quote 1 m.
    """
    return float(0.5 ** (distance_m / half_m))


def yearly_loss_score(share_per_year: float) -> float:
    """Order of magnitude of a yearly loss, 15 for the whole value in one year."""
    return 15.0 + math.log10(share_per_year)

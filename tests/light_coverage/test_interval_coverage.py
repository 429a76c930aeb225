"""A small run of the study of interval coverage; the whole one is ``python -m tests.light_coverage``."""

from __future__ import annotations

import numpy as np
import pytest

from .study import LENGTHS, outcomes, table
from .weather import CARRIED_TO, HELD_OUT, PLACES, VERDICT, sky

YEARS = 60
# Five lengths of 60 years: 300 cases that are not independent, so four standard errors of 60 either side.
LOW, HIGH = 0.93 - 4 * np.sqrt(0.93 * 0.07 / YEARS), 1.0


@pytest.fixture(scope="module")
def small_run():
    return outcomes("windows", VERDICT, YEARS, 4711)


def test_the_interval_holds_the_year(small_run):
    assert LOW <= np.mean([outcome.held for outcome in small_run]) <= HIGH


def test_every_length_is_judged_and_narrower_with_more_weeks(small_run):
    rows = table(small_run)
    assert [row[0] for row in rows] == list(LENGTHS)
    widths = [row[4] for row in rows]
    assert widths == sorted(widths, reverse=True)


def test_naive_scaling_by_days_does_not_hold_it(small_run):
    assert np.mean([outcome.naive_held for outcome in small_run]) < 0.4


def test_misses_lie_on_both_sides(small_run):
    above = np.mean([outcome.truth > outcome.high for outcome in small_run])
    below = np.mean([outcome.truth < outcome.low for outcome in small_run])
    assert max(above, below) < 0.12


def test_fitted_years_take_no_part_in_the_verdict():
    sources = {CARRIED_TO[name][0] if name in CARRIED_TO else name for name in VERDICT}
    assert sources <= set(PLACES)
    assert not sources & set(HELD_OUT)


@pytest.mark.parametrize("name", [*VERDICT, *HELD_OUT])
def test_skies_are_those_of_their_places(name):
    place = sky(name)
    assert len(place.seconds) == 17_520
    assert (np.diff(place.seconds) == 1800.0).all()
    # Noon in summer; half-hours may miss it by 15 min, which near the zenith is up to a degree.
    assert place.elevation.max() == pytest.approx(90.0 - abs(abs(place.latitude) - 23.44), abs=1.0)
    assert place.whole[place.elevation < -6.0].max() == 0.0
    assert 0.2 < place.whole[place.elevation > 10.0].mean() / 600.0 < 1.2

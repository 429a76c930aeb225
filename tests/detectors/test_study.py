"""The detectors on two hundred simulated rooms: what they must see, and how seldom they may be wrong.

The rooms come from :mod:`tests.detectors.rooms`, with weather, heating by the clock and by hand, visitors,
parties, sun and moisture held by walls; the seeds are not those with which the detectors were set.
"""

from __future__ import annotations

import pytest

from tests.detectors.study import doors, fires


@pytest.fixture(scope="module")
def fire_score():
    return fires(909)


@pytest.fixture(scope="module")
def door_score():
    return doors(707, log_s=300)


def test_fires_of_three_kelvin_and_more_are_seen(fire_score):
    assert sum(count for limits, count in fire_score.happened.items() if limits[0] >= 3) > 500
    assert fire_score.recall(3) >= 0.9


def test_smaller_fires_are_seen_less_and_that_is_known(fire_score):
    assert fire_score.seen[(2, 3)] / fire_score.happened[(2, 3)] >= 0.75
    assert fire_score.seen.get((0.5, 1), 0) / fire_score.happened[(0.5, 1)] <= 0.3


def test_false_fires_are_fewer_than_one_a_month(fire_score):
    assert fire_score.days > 200 * 100
    assert fire_score.false_a_month <= 1.0


def test_doors_that_cool_the_wall_by_over_a_kelvin_are_seen(door_score):
    assert sum(count for limits, count in door_score.happened.items() if limits[0] >= 1.2) > 2000
    assert door_score.recall(1.2) >= 0.9


def test_false_doors_are_fewer_than_one_a_month(door_score):
    assert door_score.days > 200 * 8
    assert door_score.false_a_month <= 1.0

"""Verdicts against worlds whose truth is known and whose generator shares nothing with the estimator."""

from functools import lru_cache

import pytest

from tests.calibration.study import counted, outcomes


@lru_cache
def found(ruled_out):
    return counted(made for seed in (1, 2) for made in outcomes(seed, 36, ruled_out=ruled_out))


@pytest.mark.parametrize("ruled_out", [1.0, 0.0])
def test_what_suitable_walls_cleared_is_seldom_over(ruled_out):
    counts = found(ruled_out)
    assert counts.cleared["suitable"] > 0
    assert counts.cleared_wrong("suitable") <= 0.20


def test_what_measures_cleared_is_seldom_over_whatever_they_truly_do():
    counts = found(0.0)
    assert counts.cleared["suitable with measures"] > 100
    assert counts.cleared_wrong("suitable with measures") <= 0.20


@pytest.mark.parametrize("ruled_out", [1.0, 0.0])
def test_unsuitable_walls_are_nearly_always_over(ruled_out):
    counts = found(ruled_out)
    assert counts.unsuitable > 0
    assert counts.unsuitable_right >= 0.80


def test_walls_at_which_nothing_is_near_its_limit_are_decided_as_they_are():
    """Where true loads lie within a fifth of a limit more is left open; the study counts all walls."""
    counts = found(1.0)
    assert counts.clear > 10
    assert counts.clear_decided >= 0.80


@pytest.mark.parametrize("ruled_out", [1.0, 0.0])
def test_most_walls_are_decided(ruled_out):
    """All walls counted, near a limit or not."""
    counts = found(ruled_out)
    assert counts.decided >= 0.80

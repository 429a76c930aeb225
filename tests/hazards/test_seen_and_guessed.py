"""What was seen condemns, what is guessed does not; and what is unknown is as likely too much as not."""

from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.reach import NORTH, SOUTH, extremes
from stillwall.exposure.seasons import Seasonal
from stillwall.judgement.chance import Thresholds, hopeless, passes
from stillwall.load import Load
from stillwall.reference.library import load_library

LIMITS = Thresholds.of(load_library())
NAN = float("nan")
DRAWS = np.random.default_rng(1).normal(size=4000)
WINTER_ONLY = Seasonal(
    low=(16.0, NAN, NAN, NAN),
    high=(20.0, NAN, NAN, NAN),
    coverage=(1.0, 0.0, 0.0, 0.0),
    mean=18.0,
    months=3,
    days=90,
    first=0,
    last=1,
)


def load(draws, **facts):
    return Load(
        hazard="temperature",
        kind="graded",
        draws=np.asarray(draws),
        reason="",
        evidence="assumed",
        sources=(),
        **facts,
    )


def test_a_guess_neither_condemns_nor_clears():
    guessed = load(np.full(100, 1.5), seen=np.full(100, 0.9))
    assert not hopeless(guessed, LIMITS)
    assert not passes(guessed, LIMITS)
    assert hopeless(replace(guessed, seen=None), LIMITS)
    assert hopeless(replace(guessed, seen=np.full(100, 1.1)), LIMITS)


def test_a_graded_load_of_safety_passes_by_its_upper_end():
    draws = np.where(np.arange(100) < 88, 0.5, 1.1)
    assert passes(load(draws), LIMITS)
    assert not passes(load(draws, safety=True), LIMITS)


@pytest.mark.parametrize(("ranks", "guessed_colder"), [(NORTH, False), (SOUTH, True), (None, True)])
def test_no_season_is_guessed_colder_than_a_measured_winter(ranks, guessed_colder):
    found = extremes(WINTER_ONLY, (0, 1, 2, 3), lambda _: DRAWS, 3.0, ranks=ranks)
    assert bool(found.low.min() < 16.0) == guessed_colder
    assert found.guessed
    assert (found.seen_low, found.seen_high) == (16.0, 20.0)


def test_warm_up_in_logged_air_is_less_of_a_guess_than_a_season_nobody_logged():
    part = replace(WINTER_ONLY, coverage=(0.6, 0.0, 0.0, 0.0))
    felt = extremes(part, (0,), lambda _: DRAWS, 10.0, air=(1.0, 0.0, 0.0, 0.0), start_spread=4.0)
    bare = extremes(part, (0,), lambda _: DRAWS, 10.0)
    assert bare.low.min() < felt.low.min() < 16.0


def test_warm_up_in_a_logged_year_leaves_no_season_unseen():
    part = replace(WINTER_ONLY, coverage=(0.3, 0.0, 0.0, 0.0))
    found = extremes(part, (0,), lambda _: DRAWS, 10.0, air=(1.0, 1.0, 1.0, 1.0), start_spread=4.0)
    assert found.low.std() < 4.0 * 0.32

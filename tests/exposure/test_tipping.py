"""Tipping against statics worked step by step."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.exposure.suspension import GRAVITY, fixing_rating_needed, wire_inward_force, wire_tension
from stillwall.exposure.tipping import ballast_needed, combined_centre, tip_angle, tip_energy, tip_force

masses, lengths = st.floats(1, 300), st.floats(0.05, 2.5)


@given(mass=masses, half=st.floats(0.05, 0.6), height=st.floats(0.2, 2.0))
def test_energy_is_the_highest_lift_of_the_centre_on_its_way_over_the_edge(mass, half, height):
    turns = np.linspace(0, math.pi / 2, 20_001)
    lifted = height * np.cos(turns) + half * np.sin(turns) - height
    assert tip_energy(mass, half, height) == pytest.approx(mass * GRAVITY * lifted.max(), rel=1e-5)


@given(mass=masses, half=st.floats(0.05, 0.6), height=st.floats(0.2, 2.0))
def test_at_the_tip_angle_the_centre_stands_over_the_edge(mass, half, height):
    slope = math.radians(tip_angle(half, height))
    assert height * math.sin(slope) == pytest.approx(half * math.cos(slope), rel=1e-9)


@given(mass=masses, half=st.floats(0.05, 0.6), at=lengths)
def test_the_push_that_tips_balances_the_moment_of_the_weight(mass, half, at):
    assert tip_force(mass, half, at) * at == pytest.approx(mass * GRAVITY * half, rel=1e-9)


@given(mass=masses, half=st.floats(0.05, 0.6), at=lengths, push=st.floats(10, 400))
def test_with_its_ballast_the_push_is_held(mass, half, at, push):
    added = ballast_needed(push, at, half, mass)
    assert tip_force(mass + added, half, at) >= push * (1 - 1e-9)
    assert added == 0 or tip_force(mass + added, half, at) == pytest.approx(push, rel=1e-9)


@given(st.lists(st.tuples(masses, lengths), min_size=1, max_size=4))
def test_the_common_centre_balances_all_moments(parts):
    centre = combined_centre([mass for mass, _ in parts], [height for _, height in parts])
    assert sum(mass * (height - centre) for mass, height in parts) == pytest.approx(0, abs=1e-6)


@given(mass=masses, angle=st.floats(3, 80))
def test_two_wires_carry_the_weight_and_pull_alike(mass, angle):
    tension = wire_tension(mass, angle)
    assert 2 * tension * math.sin(math.radians(angle)) == pytest.approx(mass * GRAVITY, rel=1e-9)
    assert tension * math.cos(math.radians(angle)) == pytest.approx(wire_inward_force(mass, angle), rel=1e-9)


@given(mass=masses, points=st.integers(2, 8))
def test_with_one_fixing_gone_the_rest_still_carry_twice(mass, points):
    assert fixing_rating_needed(mass, points, 2) * (points - 1) == pytest.approx(2 * mass)

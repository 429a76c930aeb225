"""Carrying through doors and round corners against sweeps over the angle."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stillwall.exposure.passage import (
    corner_max_length,
    corridor_to_door_max_length,
    opening_fits,
    opening_max_side,
    opening_max_side_rule,
    stair_max_length,
)

ANGLES = np.linspace(0, math.pi / 2, 40_001)


def _fits_at_some_tilt(side, thickness, width, height):
    sin, cos = np.sin(ANGLES), np.cos(ANGLES)
    wide, high = side * sin + thickness * cos, side * cos + thickness * sin
    return bool(((wide <= width) & (high <= height)).any())


lengths = st.floats(0.3, 3.0)


@given(side=lengths, thickness=st.floats(0.02, 0.4), width=lengths, height=lengths)
def test_tilting_through_an_opening_agrees_with_a_sweep(side, thickness, width, height):
    most = opening_max_side(width, height, thickness)
    assume(min(abs(thickness - width), abs(thickness - height)) > 1e-4)
    # Within a tenth of a millimetre of the limit a sweep of finite steps cannot tell.
    assume(abs(side - most) > 1e-4)
    assert opening_fits(side, thickness, width, height) == _fits_at_some_tilt(side, thickness, width, height)
    assert opening_fits(side, thickness, width, height) == (side < most)


@given(thickness=st.floats(0.02, 0.4), width=lengths, height=lengths)
def test_the_handlers_rule_is_never_more_than_what_goes_through(thickness, width, height):
    assume(thickness < 0.5 * min(width, height))
    assert (
        opening_max_side_rule(width, height, thickness) <= opening_max_side(width, height, thickness) + 1e-9
    )


@given(thickness=st.floats(0.02, 0.3), width=lengths, height=lengths, more=st.floats(0.01, 1.0))
def test_a_larger_opening_never_passes_less(thickness, width, height, more):
    assert (
        opening_max_side(width + more, height, thickness) >= opening_max_side(width, height, thickness) - 1e-9
    )
    assert (
        opening_max_side(width, height, thickness) >= opening_max_side(width, height, thickness + more) - 1e-9
    )


@given(first=st.floats(0.8, 2.5), second=st.floats(0.8, 2.5), thickness=st.floats(0.0, 0.4))
def test_round_a_corner_agrees_with_a_fine_sweep(first, second, thickness):
    angles = np.linspace(1e-4, math.pi / 2 - 1e-4, 200_001)
    sin, cos = np.sin(angles), np.cos(angles)
    swept = ((first * cos + second * sin - thickness) / (sin * cos)).min()
    assert corner_max_length(first, second, thickness) == pytest.approx(swept, rel=1e-5)


@given(
    corridor=st.floats(0.8, 2.5),
    door=st.floats(0.6, 1.5),
    depth=st.floats(0.0, 0.4),
    thick=st.floats(0.02, 0.3),
)
def test_a_board_at_the_found_angle_touches_both_jambs_and_the_far_wall(corridor, door, depth, thick):
    length = corridor_to_door_max_length(corridor, door, depth, thick)
    assume(0 < length < math.inf)
    # The slot between the jambs, seen along the board, is door sin t - depth cos t wide.
    angles = np.linspace(1e-6, math.pi / 2 - 1e-6, 100_001)
    slot = door * np.sin(angles) - depth * np.cos(angles)
    steepest = angles[np.argmax(slot >= thick)]
    assert (corridor - thick * math.cos(steepest)) / math.sin(steepest) == pytest.approx(length, rel=1e-3)


def test_nothing_passes_where_it_is_too_thick():
    assert opening_max_side(0.8, 2.0, 2.1) == 0.0
    assert corner_max_length(1.0, 1.0, 1.0) == 0.0
    assert corridor_to_door_max_length(1.2, 0.8, 0.15, 0.9) == 0.0


def test_a_stair_carries_its_slope():
    assert stair_max_length(2.0, 60.0) == pytest.approx(4.0)

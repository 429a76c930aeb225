"""The angle at which a leaf strikes, against turning a leaf of many points in small steps."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.exposure.door_swing import HANDLE_FROM_EDGE_M, strike_angle

STEP_DEG = 0.05


def _turned(leaf, handle, x, y):
    """First angle at which any point of the leaf or its handle lies in the rectangle."""
    along = np.linspace(0, leaf, 1500)
    points = np.stack([along, np.zeros_like(along)])
    if handle > 0:
        points = np.concatenate([points, [[leaf - HANDLE_FROM_EDGE_M], [handle]]], axis=1)
    for angle in np.radians(np.arange(0, 180 + STEP_DEG, STEP_DEG)):
        px = points[0] * math.cos(angle) - points[1] * math.sin(angle)
        py = points[0] * math.sin(angle) + points[1] * math.cos(angle)
        inside = (px >= x[0] - 1e-9) & (px <= x[1] + 1e-9) & (py >= y[0] - 1e-9) & (py <= y[1] + 1e-9)
        if inside.any():
            return math.degrees(angle)
    return None


@given(
    leaf=st.floats(0.6, 1.2),
    handle=st.sampled_from([0.0, 0.07]),
    hinge=st.floats(0.05, 0.6),
    depth=st.floats(0.02, 0.25),
    near=st.floats(0.0, 1.3),
    width=st.floats(0.2, 1.5),
)
def test_a_work_on_the_side_wall(leaf, handle, hinge, depth, near, width):
    x, y = (-hinge, depth - hinge), (near, near + width)
    found, turned = strike_angle(leaf, handle, x, y), _turned(leaf, handle, x, y)
    if turned is None:
        # A leaf of finite points may miss a corner that the exact one grazes.
        assert found is None or strike_angle(leaf - 1e-3, handle, x, y) is None or found > 179
    else:
        assert found is not None
        assert found == pytest.approx(turned, abs=0.4)
        assert found <= turned + 1e-6


@given(
    leaf=st.floats(0.6, 1.2), gap=st.floats(0.1, 1.0), depth=st.floats(0.03, 0.3), width=st.floats(0.3, 1.0)
)
def test_a_leaf_that_folds_back_on_its_own_wall(leaf, gap, depth, width):
    x, y = (-gap - width, -gap), (0.0, depth)
    found, turned = strike_angle(leaf, 0.0, x, y), _turned(leaf, 0.0, x, y)
    assert (found is None) == (turned is None) or abs(leaf - gap) < 2e-3
    if found is not None and turned is not None:
        assert found == pytest.approx(turned, abs=0.4)


def test_a_deeper_work_is_struck_no_later():
    angles = [strike_angle(0.9, 0.07, (-0.15, depth - 0.15), (0.3, 1.0)) for depth in (0.05, 0.1, 0.2)]
    assert None not in angles
    assert angles == sorted(angles, reverse=True)


def test_a_work_beyond_the_reach_is_never_struck():
    assert strike_angle(0.9, 0.07, (-0.15, 0.0), (1.0, 2.0)) is None

"""Patches of sun against rays traced one by one, and against laws of parallel light."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.exposure.sun_patch import (
    Target,
    Window,
    floor_patch_area_m2,
    incidence_cosine,
    lit_fraction,
    patch_on_target,
)

RAYS = 40_000
# Four standard deviations of a share estimated from 40,000 random points.
TOLERANCE = 4.0 * 0.5 / np.sqrt(RAYS)


def _traced(elevation, azimuth, window, target, seed=1):
    """Share of random points of the target from which a ray to the sun passes the whole depth of the wall.

    Rays step through the reveal in ten planes, in the room's three axes, without any formula for apertures.
    """
    draw = np.random.default_rng(seed)
    along = draw.uniform(target.from_m, target.to_m, RAYS)
    z = draw.uniform(target.bottom_m, target.top_m, RAYS)
    if target.relation == "facing":
        u, y = along, np.full(RAYS, target.plane_m)
    else:
        u, y = np.full(RAYS, target.plane_m), along
    g, turn = np.radians(elevation), np.radians(azimuth - window.bearing_deg)
    out, right, up = np.cos(g) * np.cos(turn), np.cos(g) * np.sin(turn), np.sin(g)
    inward = {"facing": (0.0, 1.0), "right": (-1.0, 0.0), "left": (1.0, 0.0)}[target.relation]
    if out <= 0 or elevation <= window.horizon_deg or right * inward[0] + out * inward[1] <= 0:
        return 0.0
    passes = np.ones(RAYS, dtype=bool)
    for depth in np.linspace(0.0, window.reveal_m, 10):
        length = (y + depth) / out
        at_u, at_z = u + length * right, z + length * up
        passes &= (at_u >= window.left_m) & (at_u <= window.right_m)
        passes &= (at_z >= window.sill_m) & (at_z <= window.head_m)
    if window.overhang_m:
        at_z = z + (y + window.reveal_m + window.overhang_m) / out * up
        passes &= at_z <= window.head_m
    return float(passes.mean())


def _cases():
    draw = np.random.default_rng(20261125)
    made = []
    while len(made) < 80:
        left = draw.uniform(0.2, 3.0)
        sill = draw.uniform(0.3, 1.2)
        window = Window(
            float(draw.uniform(0, 360)),
            left,
            left + draw.uniform(0.6, 2.0),
            sill,
            sill + draw.uniform(0.8, 2.0),
            float(draw.uniform(0.0, 0.5)),
            overhang_m=float(draw.choice([0.0, 0.4])),
            horizon_deg=float(draw.choice([0.0, 8.0])),
        )
        relation = str(draw.choice(["facing", "left", "right"]))
        plane = {"facing": draw.uniform(2, 7), "left": 0.0, "right": draw.uniform(5.1, 8.0)}[relation]
        start, bottom = draw.uniform(0.2, 4.0), draw.uniform(0.2, 1.8)
        target = Target(
            relation,
            float(plane),
            start,
            start + draw.uniform(0.3, 1.6),
            bottom,
            bottom + draw.uniform(0.3, 1.6),
        )
        sun = (float(draw.uniform(1, 60)), float(window.bearing_deg + draw.uniform(-80, 80)))
        share = float(lit_fraction(np.array([sun[0]]), np.array([sun[1]]), window, target)[0])
        # Most cases must be cut by an edge, else the draw is mostly of dark walls.
        if 0.02 < share < 0.98 or sum(not 0.02 < one[3] < 0.98 for one in made) < 30:
            made.append((sun, window, target, share))
    return made


@pytest.mark.parametrize(("sun", "window", "target", "share"), _cases())
def test_lit_share_equals_that_of_traced_rays(sun, window, target, share):
    assert share == pytest.approx(_traced(*sun, window, target), abs=TOLERANCE)


def test_enough_cases_are_lit():
    assert sum(0.02 < share < 0.98 for *_, share in _cases()) >= 50


@pytest.mark.parametrize(("sun", "window", "target", "share"), _cases()[:40])
def test_the_polygon_covers_the_lit_share(sun, window, target, share):
    corners = patch_on_target(*sun, window, target)
    if window.overhang_m == 0 and corners:
        x, y = np.array(corners).T
        area = 0.5 * abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1)))
        whole = (target.to_m - target.from_m) * (target.top_m - target.bottom_m)
        faces = incidence_cosine(np.array([sun[0]]), np.array([sun[1]]), window, target)[0] > 0
        assert share == pytest.approx(area / whole if faces else 0.0, abs=1e-9)
    if not corners:
        assert share == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=60)
@given(
    st.floats(1.0, 70.0),
    st.floats(-85.0, 85.0),
    st.floats(0.0, 0.4),
    st.floats(0.0, 0.3),
    st.floats(0.0, 20.0),
)
def test_more_opening_never_takes_sun_away(elevation, turn, deeper, grown, higher):
    """Growing the window, thinning the wall and lowering the horizon never darken the target."""
    less = Window(180.0, 1.0, 2.2, 0.9, 2.5, 0.1 + deeper, horizon_deg=5.0 + higher)
    more = Window(180.0, 1.0 - grown, 2.2 + grown, 0.9 - grown, 2.5 + grown, 0.1, horizon_deg=5.0)
    sun = (np.array([elevation]), np.array([180.0 + turn]))
    for target in (
        Target("facing", 4.0, 0.5, 1.5, 0.8, 1.8),
        Target("right", 3.0, 1.0, 2.0, 0.8, 1.8),
        Target("left", 0.0, 1.0, 2.0, 0.8, 1.8),
    ):
        assert lit_fraction(*sun, more, target)[0] >= lit_fraction(*sun, less, target)[0] - 1e-12


@settings(max_examples=40)
@given(st.floats(2.0, 60.0), st.floats(-70.0, 70.0))
def test_a_room_and_its_mirror_image_are_lit_alike(elevation, turn):
    window = Window(90.0, 1.0, 2.0, 0.8, 2.2, 0.2)
    mirrored = Window(90.0, -2.0, -1.0, 0.8, 2.2, 0.2)
    left = Target("left", 0.0, 1.0, 2.5, 0.5, 1.8)
    right = Target("right", 0.0, 1.0, 2.5, 0.5, 1.8)
    here = lit_fraction(np.array([elevation]), np.array([90.0 + turn]), window, left)
    there = lit_fraction(np.array([elevation]), np.array([90.0 - turn]), mirrored, right)
    assert here[0] == pytest.approx(there[0], abs=1e-12)


def test_no_sun_from_behind_under_the_horizon_or_below_ground():
    window = Window(180.0, 1.0, 2.0, 0.8, 2.2, horizon_deg=10.0)
    target = Target("facing", 3.0, 0.0, 3.0, 0.0, 2.5)
    assert lit_fraction(np.array([30.0, 9.0, -5.0]), np.array([0.0, 180.0, 180.0]), window, target).max() == 0
    assert floor_patch_area_m2(20.0, 0.0, window) == 0.0
    assert patch_on_target(9.0, 180.0, window, target) == ()
    # So high that a deep reveal closes the opening.
    assert floor_patch_area_m2(80.0, 180.0, Window(180.0, 1.0, 2.0, 0.8, 2.2, 1.0)) == 0.0

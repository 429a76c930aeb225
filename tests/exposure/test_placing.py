"""Places on a wall against a search over a fine grid, and runs of wall against counting."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.exposure.placing import UP_COSTS, Rectangle, clear_run, place_rectangle

FIELD = Rectangle(0.0, 0.0, 4.0, 3.0)
GRID_M = 0.05


def _grid_best(height, width, obstacles, wanted):
    """Nearest free place on a grid of 5 cm, or None."""
    best = None
    for left in np.arange(0, FIELD.right - width + 1e-9, GRID_M):
        for bottom in np.arange(0, FIELD.top - height + 1e-9, GRID_M):
            box = Rectangle(left, bottom, left + width, bottom + height)
            if not any(box.overlaps(each) for each in obstacles):
                distance = abs(left - wanted[0]) + UP_COSTS * abs(bottom - wanted[1])
                best = distance if best is None else min(best, distance)
    return best


def steps(low, high):
    return st.integers(round(low / GRID_M), round(high / GRID_M)).map(lambda n: n * GRID_M)


boxes = st.builds(
    lambda left, bottom, wide, high: Rectangle(left, bottom, left + wide, bottom + high),
    steps(0, 3.5),
    steps(0, 2.5),
    steps(0.1, 1.5),
    steps(0.1, 1.5),
)


@given(
    height=steps(0.3, 1.5),
    width=steps(0.3, 1.5),
    obstacles=st.lists(boxes, max_size=3),
    wanted=st.tuples(steps(0, 3), steps(0, 2)),
)
def test_place_is_free_and_no_place_on_a_grid_is_nearer(height, width, obstacles, wanted):
    found = place_rectangle(height, width, FIELD, obstacles, wanted)
    nearest = _grid_best(height, width, obstacles, wanted)
    if found is None:
        assert nearest is None
        return
    box = Rectangle(found[0], found[1], found[0] + width, found[1] + height)
    assert box.left >= -1e-9
    assert box.bottom >= -1e-9
    assert box.right <= FIELD.right + 1e-9
    assert box.top <= FIELD.top + 1e-9
    assert not any(box.overlaps(each) for each in obstacles)
    # All sizes are multiples of the grid's step, so the nearest place lies on the grid.
    assert nearest is not None
    distance = abs(found[0] - wanted[0]) + UP_COSTS * abs(found[1] - wanted[1])
    assert distance == pytest.approx(nearest, abs=1e-6)


@given(st.lists(st.tuples(st.integers(0, 38), st.integers(1, 12)), max_size=5))
def test_longest_clear_run_by_counting(blocked):
    wide = 40
    free = np.ones(wide, bool)
    for low, length in blocked:
        free[low : low + length] = False
    longest = run = 0
    for each in free:
        run = run + 1 if each else 0
        longest = max(longest, run)
    start, end = clear_run(0.0, float(wide), [(float(low), float(low + n)) for low, n in blocked])
    assert end - start == pytest.approx(longest)


def test_distance_of_rectangles_across_a_corner():
    one, other = Rectangle(0, 0, 1, 1), Rectangle(4, 5, 6, 7)
    assert one.distance(other) == pytest.approx(math.hypot(3, 4))
    assert one.distance(Rectangle(0.5, 0.5, 2, 2)) == 0.0

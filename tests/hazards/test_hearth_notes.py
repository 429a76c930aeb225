"""What is told beside the source of heat that governs."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.hazards import hearth
from tests.hazards.wall_cases import case

FIRE = {
    "id": "fire",
    "kind": "hearth",
    "wall": "wall",
    "at_m": 1.4,
    "width_m": 1.2,
    "top_m": 0.9,
    "used": "daily",
}
OTHER = FIRE | {"id": "other", "at_m": 0.1, "width_m": 1.0}
ABOVE = {"mantel_shelf_m": 1.2}


def load(*sources, **facts):
    return hearth.load(case(wall=ABOVE | facts, heat=sources))


def test_the_source_that_governs_is_told_once_and_others_beside_it():
    alone, both = load(FIRE), load(FIRE, OTHER)
    assert alone.reason not in alone.notes
    assert both.reason not in both.notes
    assert len(both.notes) > len(alone.notes)
    assert (both.draws >= alone.draws).all()


def test_the_rise_is_told_in_kelvin_with_its_span():
    found = load(FIRE)
    middle = float(np.median(found.draws))
    # Two kelvin are allowed; the span is that of the allowance.
    assert found.allowance.value == 2.0
    assert found.exposure.value == pytest.approx(2.0 * middle)
    allowance = case().library.figures["hearth.allowance.rise"]
    assert found.span == pytest.approx((2.0 * middle / allowance.high, 2.0 * middle / allowance.low))
    assert found.safety
    assert found.deciding

"""Ageing outside the range of its formula."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.exposure.ageing import equivalent_life, relative_life, relative_rate


def test_air_drier_than_ten_per_cent_counts_as_that():
    at_ten = float(relative_rate(20.0, 10.0, 100.0))
    assert float(relative_rate(20.0, 3.0, 100.0)) == at_ten
    assert float(relative_rate(20.0, 10.5, 100.0)) == pytest.approx(at_ten * 1.05**1.3)
    # (50 / 10)^1.3 = 8.10 times as long as at 50 %RH.
    assert float(relative_life(20.0, 10.0, 100.0)) == pytest.approx(5.0**1.3)


def test_lives_are_averaged_as_damage_by_time():
    # An hour at a life of 1 and three at a life of 3: damage 1 + 1 in four hours.
    assert equivalent_life(np.array([1.0, 3.0]), np.array([1.0, 3.0])) == pytest.approx(2.0)
    assert equivalent_life([1.0, 3.0]) == pytest.approx(1.5)

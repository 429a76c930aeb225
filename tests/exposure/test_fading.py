"""Fading by dose, against the laws its formulas state."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import solve_ivp

from stillwall.exposure import fading


def test_a_thing_in_the_dark_never_fades():
    assert fading.years_to_step(10.0, 0.0) == np.inf
    assert fading.years_to_step(10.0, 1.0) == 1e7


def test_steps_grow_with_the_dose_to_near_total_loss():
    assert fading.steps_made(3e6, 1.0) == 3.0
    assert fading.steps_made(1e9, 1.0) == 30.0
    assert fading.steps_made(1e9, 1.0, 12.0) == 12.0


@pytest.mark.parametrize("whole", [10.0, 30.0])
def test_fading_of_first_order_solves_its_equation(whole):
    # dE/dH = (N - E) / H0, from nothing; one step at the step dose fixes H0.
    doses = np.array([0.0, 0.5, 1.0, 5.0, 40.0]) * 2e6
    found = fading.colour_change(doses, 2.0, whole)
    rate = -np.log1p(-1.0 / whole)
    solved = solve_ivp(
        lambda _, lost: rate * (whole - lost), (0.0, 40.0), [0.0], t_eval=doses / 2e6, rtol=1e-9
    )
    assert found == pytest.approx(solved.y[0], rel=1e-6)
    assert found[2] == pytest.approx(1.0)


def test_steps_to_loss_are_thirty_unless_told():
    assert fading.colour_change(np.array([1e12]), 1.0)[0] == pytest.approx(30.0)


def test_ultraviolet_shortens_the_step_dose_in_equal_ratios():
    # Equal steps of ultraviolet divide the dose by equal factors, up to that of plain window light.
    assert fading.step_dose(10.0, 4.0, 0.0) == pytest.approx(10.0)
    assert fading.step_dose(10.0, 4.0, 400.0) == pytest.approx(4.0)
    assert fading.step_dose(10.0, 4.0, 4000.0) == pytest.approx(4.0)
    assert fading.step_dose(10.0, 4.0, 200.0) == pytest.approx(np.sqrt(40.0))
    assert fading.step_dose(10.0, 4.0, -5.0) == pytest.approx(10.0)
    assert fading.step_dose(9.0, 1.0, 50.0, 100.0) == pytest.approx(3.0)


def test_years_span_is_that_of_a_product_of_log_normals():
    # Middle: 10 Mlx h at the geometric mean of 20,000 and 80,000 lx h a year.
    low, high = fading.years_span(10.0, 0.3, 20_000.0, 80_000.0)
    dose_sd = np.log(80_000.0 / 20_000.0) / (2 * stats.norm.ppf(0.95))
    drawn = stats.lognorm(np.hypot(0.3, dose_sd), scale=1e7 / 40_000.0)
    assert (low, high) == pytest.approx((drawn.ppf(0.05), drawn.ppf(0.95)))
    assert fading.years_span(10.0, 0.0, 4e4, 4e4) == pytest.approx((250.0, 250.0))
    assert np.isfinite(fading.years_span(10.0, 0.3, 0.0, 0.0)).all()

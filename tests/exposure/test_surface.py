"""Surfaces of outside walls: temperature factors after EN ISO 13788, with psychrolib's saturation."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from stillwall.exposure.surface import (
    critical_factor,
    factor_behind,
    factor_from_readings,
    surface_humidity,
    surface_temperature,
    temperature_factor,
    u_value_of_factor,
)

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("inside", "damp", "outside", "limit"),
    [(20.0, 50.0, 0.0, 80.0), (18.0, 65.0, -5.0, 75.0), (22.0, 40.0, 4.0, 100.0)],
)
def test_the_critical_factor_keeps_a_surface_at_its_limit(inside, damp, outside, limit):
    found = critical_factor(inside, damp, outside, limit)
    surface = outside + found * (inside - outside)
    vapour = damp / 100.0 * psychrolib.GetSatVapPres(inside)
    assert 100.0 * vapour / psychrolib.GetSatVapPres(surface) == pytest.approx(limit, rel=3e-3)
    assert float(surface_temperature(inside, outside, found)) == pytest.approx(surface)
    assert float(surface_humidity(inside, damp, surface)) == pytest.approx(limit, rel=3e-3)


@pytest.mark.parametrize("u_value", [0.3, 1.0, 2.5])
def test_a_factor_is_one_less_the_share_of_the_inside_film(u_value):
    # Resistances in a row: the wall with 0.13 inside it, restated with 0.25.
    whole = 1.0 / u_value - 0.13 + 0.25
    assert float(temperature_factor(u_value)) == pytest.approx(1.0 - 0.25 / whole)
    assert float(temperature_factor(u_value, 0.13)) == pytest.approx(1.0 - 0.13 * u_value)
    behind = 1.0 / u_value + 0.18
    assert float(factor_behind(u_value, 0.18)) == pytest.approx(1.0 - (0.13 + 0.18) / behind)
    assert float(u_value_of_factor(1.0 - 0.13 * u_value)) == pytest.approx(u_value)


def test_a_factor_from_readings_is_a_slope_through_the_origin():
    inside, outside = np.array([20.0, 21.0, 20.0, 19.0]), np.array([0.0, 5.0, 15.1, 14.0])
    surface = np.array([15.0, 17.5, 3.0, 17.0])
    # The third pair is 4.9 K apart and left out; the last just five.
    difference, rise = np.array([20.0, 16.0, 5.0]), np.array([15.0, 12.5, 3.0])
    expected = np.linalg.lstsq(difference[:, None], rise, rcond=None)[0][0]
    assert factor_from_readings(surface, inside, outside) == pytest.approx(expected)
    assert np.isnan(factor_from_readings(surface[:1], inside[:1], outside[:1]))
    assert np.isfinite(factor_from_readings(surface[:2], inside[:2], outside[:2]))

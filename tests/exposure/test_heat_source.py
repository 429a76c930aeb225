"""Heat of plumes, fires and lamps by their formulas; saturation is psychrolib's.

H. Rouse, C. S. Yih and H. W. Humphreys, Tellus 4, 1952, 201-210, for the plumes (constants from memory).
"""

from __future__ import annotations

import math

import psychrolib
import pytest

from stillwall.exposure import heat_source

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(("power", "height"), [(50.0, 0.5), (500.0, 2.0)])
def test_plumes_cool_with_height(power, height):
    assert heat_source.point_plume_rise(power, height) == pytest.approx(
        0.301 * power ** (2 / 3) / height ** (5 / 3)
    )
    assert heat_source.line_plume_rise(power, height) == pytest.approx(0.0712 * power ** (2 / 3) / height)
    # Against a wall as if its mirror image burned beside it: twice the power.
    assert heat_source.wall_plume_rise(power, height) == pytest.approx(
        heat_source.line_plume_rise(2 * power, height)
    )


def test_radiation_spreads_over_half_a_sphere_by_the_cosine():
    # The flux of a small diffuse source, summed up over the half sphere in front of it, is its power.
    steps = 2000
    total = 0.0
    for n in range(steps):
        angle = (n + 0.5) * math.pi / 2 / steps
        ring = 2 * math.pi * 3.0**2 * math.sin(angle) * math.pi / 2 / steps
        total += heat_source.radiant_flux(100.0, 3.0, math.cos(angle)) * ring
    assert total == pytest.approx(100.0, rel=1e-4)


def test_a_surface_warms_until_it_loses_what_it_takes_up():
    assert heat_source.surface_rise(200.0, 0.8, 10.0) == pytest.approx(16.0)
    # 1,000 lx of 17 lumens a watt are 58.8 W/m2.
    assert heat_source.light_surface_rise(1000.0, 17.0, 0.8, 10.0) == pytest.approx(1000 / 17 * 0.8 / 10)


def test_warmed_air_is_drier():
    expected = 50.0 * psychrolib.GetSatVapPres(20.0) / psychrolib.GetSatVapPres(25.0)
    assert heat_source.humidity_at_constant_vapour(50.0, 20.0, 25.0) == pytest.approx(expected, rel=1e-3)

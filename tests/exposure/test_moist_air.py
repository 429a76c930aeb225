"""Moist air against PsychroLib and CoolProp over a grid, the handbook's table, and its own inverses.

Known departures, which are physics or convention and no error: CoolProp's humidity ratio is 0.4 to 0.5 %
above the ideal gas (enhancement factor), and both libraries give the frost point where the dew point lies
below freezing, up to 0.9 K above the dew point over water; so the grid for dew points stays above 0.01 degC.
"""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from CoolProp import HumidAirProp
from hypothesis import given
from hypothesis import strategies as st

from stillwall.exposure import moist_air

COUNT = 10_000
# Largest disagreement that the comparison below may show; each is what was seen, rounded up.
PSYCHROLIB_MAXIMA = {"dew_point": 1e-7, "humidity_ratio": 1e-12, "wet_bulb": 0.0006, "saturation": 1e-12}
COOLPROP_MAXIMA = {"dew_point": 0.015, "humidity_ratio": 0.0055, "wet_bulb": 0.021}


@pytest.fixture(scope="module")
def grid():
    generator = np.random.default_rng(20260101)
    temperature = generator.uniform(2.0, 40.0, COUNT)
    # From the humidity whose dew point is just above freezing up to 99 %.
    least = 100 * moist_air.saturation_pressure(0.05) / moist_air.saturation_pressure(temperature)
    humidity = least + (99.0 - least) * generator.uniform(0, 1, COUNT)
    pressure = generator.uniform(80_000, 105_000, COUNT)
    return temperature, humidity, pressure


@pytest.fixture(autouse=True)
def _si_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


def test_grid_against_psychrolib(grid):
    temperature, humidity, pressure = grid
    rows = list(zip(temperature.tolist(), (humidity / 100).tolist(), pressure.tolist(), strict=True))
    dew = np.array([psychrolib.GetTDewPointFromRelHum(t, rh) for t, rh, _ in rows])
    ratio = np.array([psychrolib.GetHumRatioFromRelHum(t, rh, p) for t, rh, p in rows])
    saturation = np.array([psychrolib.GetSatVapPres(t) for t, _, _ in rows])
    assert np.abs(moist_air.dew_point(temperature, humidity) - dew).max() < PSYCHROLIB_MAXIMA["dew_point"]
    found = moist_air.humidity_ratio(temperature, humidity, pressure)
    assert np.abs(found / ratio - 1).max() < PSYCHROLIB_MAXIMA["humidity_ratio"]
    found = moist_air.saturation_pressure(temperature)
    assert np.abs(found / saturation - 1).max() < PSYCHROLIB_MAXIMA["saturation"]


def test_wet_bulb_against_both(grid):
    # PsychroLib bisects in Python, so every tenth point; it stops at 0.001 K.
    temperature, humidity, pressure = (values[::10] for values in grid)
    rows = zip(temperature.tolist(), (humidity / 100).tolist(), pressure.tolist(), strict=True)
    bulb = np.array([psychrolib.GetTWetBulbFromRelHum(t, rh, p) for t, rh, p in rows])
    found = moist_air.wet_bulb(temperature, humidity, pressure)
    assert np.abs(found - bulb).max() < PSYCHROLIB_MAXIMA["wet_bulb"]
    rows = zip((temperature + 273.15).tolist(), (humidity / 100).tolist(), pressure.tolist(), strict=True)
    real = np.array([HumidAirProp.HAPropsSI("B", "T", t, "R", rh, "P", p) for t, rh, p in rows]) - 273.15
    assert np.abs(found - real).max() < COOLPROP_MAXIMA["wet_bulb"]


def test_grid_against_coolprop(grid):
    temperature, humidity, pressure = grid
    rows = list(
        zip((temperature + 273.15).tolist(), (humidity / 100).tolist(), pressure.tolist(), strict=True)
    )
    dew = np.array([HumidAirProp.HAPropsSI("D", "T", t, "R", rh, "P", p) for t, rh, p in rows]) - 273.15
    ratio = np.array([HumidAirProp.HAPropsSI("W", "T", t, "R", rh, "P", p) for t, rh, p in rows])
    above_freezing = dew > 0.01
    assert above_freezing.mean() > 0.99
    difference = np.abs(moist_air.dew_point(temperature, humidity) - dew)[above_freezing]
    assert difference.max() < COOLPROP_MAXIMA["dew_point"]
    share = ratio / moist_air.humidity_ratio(temperature, humidity, pressure) - 1
    assert share.max() < COOLPROP_MAXIMA["humidity_ratio"]
    assert share.min() > 0.003


def test_below_freezing_the_dew_point_is_over_water_and_the_frost_point_is_its_own():
    # 5 degC and 40 %: both libraries answer -6.64, the frost point; over water it is -7.48.
    assert psychrolib.GetTDewPointFromRelHum(5.0, 0.4) == pytest.approx(-6.637, abs=0.01)
    assert float(moist_air.frost_point(5.0, 40.0)) == pytest.approx(-6.637, abs=0.01)
    assert float(moist_air.dew_point(5.0, 40.0)) == pytest.approx(-7.478, abs=0.01)
    assert np.isnan(moist_air.frost_point(20.0, 50.0))


@pytest.mark.parametrize(
    ("temperature_c", "humidity_pct", "wet_bulb_c", "specific"),
    [
        (5, 40, 0.577, 2.1496 / 1002.1496),
        (21, 45, 13.876, 6.9481 / 1006.9481),
        (35, 40, 23.935, 14.1317 / 1014.1317),
    ],
)
def test_wet_bulb_and_specific_humidity(temperature_c, humidity_pct, wet_bulb_c, specific):
    # PsychroLib 2.5.0 at 101 325 Pa; specific humidity from its humidity ratio by definition.
    assert float(moist_air.wet_bulb(temperature_c, humidity_pct)) == pytest.approx(wet_bulb_c, abs=0.002)
    assert float(moist_air.specific_humidity(temperature_c, humidity_pct)) == pytest.approx(
        specific, rel=2e-5
    )


def test_a_frozen_bulb():
    # PsychroLib 2.5.0.
    assert float(moist_air.wet_bulb(-5.0, 60.0)) == pytest.approx(
        psychrolib.GetTWetBulbFromHumRatio(-5.0, float(moist_air.humidity_ratio(-5.0, 60.0)), 101_325.0),
        abs=0.002,
    )


def test_dry_air_has_no_dew_point():
    assert np.isnan(moist_air.dew_point(20.0, 0.0))


@given(st.floats(-30, 50), st.floats(1, 100))
def test_dew_point_inverts_saturation_and_never_passes_the_air(temperature_c, humidity_pct):
    dew = float(moist_air.dew_point(temperature_c, humidity_pct))
    assert dew <= temperature_c + 1e-6
    assert float(moist_air.saturation_pressure(dew)) == pytest.approx(
        float(moist_air.vapour_pressure(temperature_c, humidity_pct)), rel=1e-6
    )


@given(st.floats(0, 45), st.floats(5, 100))
def test_wet_bulb_lies_between_dew_point_and_air(temperature_c, humidity_pct):
    bulb = float(moist_air.wet_bulb(temperature_c, humidity_pct))
    assert float(moist_air.dew_point(temperature_c, humidity_pct)) - 1.0 <= bulb <= temperature_c + 1e-6

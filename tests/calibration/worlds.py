"""Rooms with a known truth: six years of air and light at walls, of which a logger sees the first.

Nothing in here is taken from the estimator: rooms are a heat node with a moisture store each, driven by
made-up weather; sensor errors are uniform, not normal; contacts are gamma and Poisson; and every range is
this file's own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
YEARS = 6
YEAR_H = 8760
HOURS = YEARS * YEAR_H
TEMPERATURE_ACCURACY_K = 0.5
HUMIDITY_ACCURACY_PCT = 2.5
LIGHT_ACCURACY = 0.10
METER_ACCURACY = 0.08
MEASURES = 400
"""Dice for each wall; more than there are measures, or effects of them."""


@dataclass(frozen=True)
class World:
    """Walls of one world. Air and light have shape (hours, walls)."""

    temperature_c: Floats
    humidity_pct: Floats
    light_lx: Floats
    temperature_offset_k: Floats
    humidity_offset_pct: Floats
    light_gain: Floats
    contacts_a_year: Floats
    damage_share: Floats
    marks: NDArray[np.int64]
    marks_years: int
    ruled_out: NDArray[np.float64]
    """One die for each wall and measure, shape (walls, MEASURES): under its share the house rules it out."""
    lamp_lx: Floats
    opens: NDArray[np.int64]
    closes: NDArray[np.int64]
    """Hours of the day between which lamps burn and people come."""
    lamp_reading: Floats
    """What a meter says of a lamp, over what is so."""
    effects: Floats
    """Dice for what measures truly do, shape (walls, MEASURES)."""


def saturation_pa(temperature_c: Floats | float) -> Floats:
    """Magnus form with the coefficients of Alduchov and Eskridge, J. Appl. Meteorol. 35, 1996. [Pa]"""
    made: Floats = 610.94 * np.exp(17.625 * np.asarray(temperature_c) / (243.04 + np.asarray(temperature_c)))
    return made


def wander(rng: np.random.Generator, count: int, memory_h: float) -> Floats:
    """First-order autoregression with unit variance."""
    keep = np.exp(-1.0 / memory_h)
    steps = rng.normal(0.0, np.sqrt(1 - keep**2), count)
    values = np.empty(count)
    state = rng.normal()
    for index in range(count):
        state = keep * state + steps[index]
        values[index] = state
    return values


def make_world(seed: int, walls: int) -> World:
    """Six years at some walls, each in a room of its own."""
    rng = np.random.default_rng(seed)
    hour = np.arange(HOURS)
    season = np.cos(2 * np.pi * (hour - 4900) / YEAR_H)
    mild = np.repeat(rng.normal(0.0, 0.7, YEARS), YEAR_H)
    outside_c = 9.5 + mild + 6.5 * season + 3.0 * np.cos(2 * np.pi * (hour - 15) / 24)
    outside_c = outside_c + 2.6 * wander(rng, HOURS, 70.0)
    deficit = np.clip(0.78 + 0.10 * wander(rng, HOURS, 30.0) - 0.05 * season, 0.3, 1.0)
    vapour_pa = deficit * saturation_pa(outside_c)
    cloud = np.clip(0.62 + 0.3 * wander(rng, HOURS, 14.0), 0.05, 1.0)
    height = np.clip(np.cos(2 * np.pi * (hour - 12) / 24) * 0.55 + 0.28 * season + 0.05, 0.0, None)
    sky_lx = 95_000 * height * (1.1 - 0.85 * cloud)

    temperature, humidity = _air(rng, walls, outside_c, vapour_pa, height)
    light, lamp_lx, opens, closes = _light(rng, walls, hour, sky_lx)
    contacts = rng.gamma(0.6, 0.5, walls)
    marks_years = 4
    return World(
        temperature_c=temperature,
        humidity_pct=humidity,
        light_lx=light,
        temperature_offset_k=rng.uniform(-1, 1, walls) * TEMPERATURE_ACCURACY_K / 0.9,
        humidity_offset_pct=rng.uniform(-1, 1, walls) * HUMIDITY_ACCURACY_PCT / 0.9,
        light_gain=1 + rng.uniform(-1, 1, walls) * LIGHT_ACCURACY / 0.9,
        contacts_a_year=contacts,
        damage_share=rng.triangular(0.008, 0.02, 0.06, walls),
        marks=rng.poisson(contacts * marks_years * rng.uniform(0.4, 1.0, walls)),
        marks_years=marks_years,
        ruled_out=rng.random((walls, MEASURES)),
        lamp_lx=lamp_lx,
        opens=opens,
        closes=closes,
        lamp_reading=1 + METER_ACCURACY * rng.uniform(-1, 1, walls),
        effects=rng.random((walls, MEASURES)),
    )


def _air(
    rng: np.random.Generator, walls: int, outside_c: Floats, vapour_pa: Floats, height: Floats
) -> tuple[Floats, Floats]:
    """Air of each room: a heater with a setpoint, leakage, a store of moisture, sometimes a humidifier."""
    setpoint = rng.uniform(16.0, 21.5, walls)
    night_drop = rng.choice([0.0, 1.5, 4.0], walls, p=[0.5, 0.3, 0.2])
    memory_h = rng.uniform(20.0, 120.0, walls)
    gain_k = rng.uniform(0.1, 1.2, walls)
    leak_per_h = rng.uniform(0.1, 0.7, walls)
    store = rng.uniform(4.0, 30.0, walls)
    source_pa = rng.uniform(50.0, 450.0, walls)
    controlled = rng.random(walls) < 0.75
    target_pct = rng.uniform(46.0, 54.0, walls)
    temperature = np.empty((len(outside_c), walls))
    humidity = np.empty_like(temperature)
    air_c, body_c = setpoint.copy(), setpoint.copy()
    stored_pct = np.full(walls, 50.0)
    for index in range(len(outside_c)):
        night = (index % 24) < 6
        wanted = setpoint - night_drop * night
        free_c = body_c + (outside_c[index] + 4.0 - body_c) / memory_h + gain_k * height[index] * 0.05
        body_c = np.maximum(free_c, body_c + (wanted - 0.3 - body_c) * 0.06)
        air_c = air_c + 0.35 * (np.maximum(body_c, wanted - 1.0) + gain_k * height[index] * 0.3 - air_c)
        saturated = saturation_pa(air_c)
        supply_pct = 100 * (vapour_pa[index] + source_pa) / saturated
        pull = leak_per_h / (1 + store * 0.1)
        air_pct = supply_pct + (stored_pct - supply_pct) * (1 - leak_per_h / (leak_per_h + 0.5))
        held = np.clip(air_pct, target_pct - 3.5, target_pct + 3.5)
        air_pct = np.where(controlled, held, air_pct)
        stored_pct = stored_pct + pull * (air_pct - stored_pct) * 0.12
        temperature[index], humidity[index] = air_c, np.clip(air_pct, 4.0, 99.0)
    return temperature, humidity


def _light(
    rng: np.random.Generator, walls: int, hour: NDArray[np.int64], sky_lx: Floats
) -> tuple[Floats, Floats, NDArray[np.int64], NDArray[np.int64]]:
    """Light at each wall: a share of the sky's, blinds that people draw, lamps when the house is open.

    With it what the lamps give, and the hours from and to which they burn.
    """
    share = np.exp(rng.uniform(np.log(0.00001), np.log(0.002), walls))
    lamp_lx = rng.uniform(40.0, 200.0, walls)
    opens, closes = rng.integers(8, 11, walls), rng.integers(17, 23, walls)
    drawn = rng.uniform(0.0, 0.6, walls)
    day = hour // 24
    blinds = rng.random((day[-1] + 1, walls)) < drawn
    of_day = (hour % 24)[:, np.newaxis]
    lit = (of_day >= opens) & (of_day < closes)
    daylight = sky_lx[:, np.newaxis] * share * np.where(blinds[day], 0.25, 1.0)
    return daylight + lamp_lx * lit, lamp_lx, opens, closes

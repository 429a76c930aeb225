"""Rooms with and without a change in the building, over two years of unlike weather.

Shares nothing with the estimator: weather is a sum of autoregressive parts with an anomaly of its own for
every month; a room is two thermal masses with a thermostat, sun through its windows and people; moisture
comes and goes by air change, people, and a buffer that follows slowly. All worlds advance together, one
hour at a time. Monthly anomalies have the spread of monthly means at oceanic stations, 1.5 K (common
practice, no source); air change 0.2 to 1.2 an hour and buffers after Padfield, The role of absorbent
building materials in moderating changes of relative humidity, 1998 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
START = np.datetime64("2024-07-01T00", "s")
"""Two months before the first season that is looked at, so that no room remembers how it was begun."""
CHANGED = np.datetime64("2025-09-01T00", "s")
DAYS = 792
HOURS = DAYS * 24
CHANGED_HOUR = int((CHANGED - START).astype(int)) // 3600


@dataclass(frozen=True)
class Worlds:
    """Hourly readings of many rooms; shape (hours, worlds) each."""

    times: NDArray[np.datetime64]
    outdoor_c: Floats
    outdoor_pct: Floats
    indoor_c: Floats
    indoor_pct: Floats
    lux: Floats


def saturation_pa(temperature_c: Floats | float) -> Floats:
    """Magnus form with Sonntag's coefficients."""
    return np.asarray(611.2 * np.exp(17.62 * temperature_c / (243.12 + temperature_c)))


def _noise(rng: np.random.Generator, count: int, worlds: int, memory_h: float) -> Floats:
    keep = np.exp(-1 / memory_h)
    fresh = rng.standard_normal((count, worlds)) * np.sqrt(1 - keep * keep)
    made = np.empty((count, worlds))
    made[0] = rng.standard_normal(worlds)
    for step in range(1, count):
        made[step] = keep * made[step - 1] + fresh[step]
    return made


def make(
    seed: int, worlds: int, *, warmer_k: float = 0.0, damper_pct: float = 0.0, brighter: float = 1.0
) -> Worlds:
    """Worlds in which, from the first of September 2025 on, the building changes as stated."""
    rng = np.random.default_rng(seed)
    hour = np.arange(HOURS)[:, None]
    year = 2 * np.pi * (hour / 24 + 182) / 365.25
    month = hour[:, 0] // 730
    anomaly = rng.normal(0, 1.5, (month[-1] + 1, worlds))[month]
    mean, swing = rng.uniform(7, 13, worlds), rng.uniform(5, 9, worlds)
    sun = np.clip(np.sin(2 * np.pi * (hour % 24 - 6) / 24), 0, None) * (0.6 - 0.4 * np.cos(year + 0.17))
    cloud = 1 / (1 + np.exp(-1.5 * _noise(rng, HOURS, worlds, 30)))
    weather = 2.6 * _noise(rng, HOURS, worlds, 70) + 0.8 * _noise(rng, HOURS, worlds, 8)
    outdoor = mean - swing * np.cos(year - 0.45) + anomaly + weather + 7 * sun * (1 - cloud) - 1.5
    spread = np.clip(2.0 + 1.5 * _noise(rng, HOURS, worlds, 50) + 5 * sun * (1 - cloud), 0.1, None)
    outdoor_pa = saturation_pa(outdoor - spread)

    setpoint = rng.uniform(17, 21, worlds)
    night = rng.uniform(0, 3, worlds)
    power = rng.uniform(0.5, 1.5, worlds)
    fabric_h, mass_h = rng.uniform(15, 60, worlds), rng.uniform(80, 300, worlds)
    solar = rng.uniform(0.5, 4.0, worlds)
    changes = rng.uniform(0.2, 1.2, worlds)
    buffer_h, buffer_share = rng.uniform(60, 400, worlds), rng.uniform(0.3, 0.8, worlds)
    people_pa = rng.uniform(0, 250, worlds)
    open_hours = (hour[:, 0] % 24 >= 9) & (hour[:, 0] % 24 < 22)
    visitors = rng.gamma(2.0, 0.5, (DAYS, worlds))
    air_c, wall_c = np.full(worlds, 18.0), np.full(worlds, 16.0)
    pressure, stored = outdoor_pa[0].copy(), np.full(worlds, 55.0)
    temperature, humidity = np.empty((HOURS, worlds)), np.empty((HOURS, worlds))
    for step in range(HOURS):
        changed = step >= CHANGED_HOUR
        aim = setpoint + (warmer_k if changed else 0.0) - (0 if open_hours[step] else night)
        heat = np.clip((aim - air_c) * 0.8, 0, power) if outdoor[step].mean() < 30 else 0.0
        gain = solar * sun[step] * (1 - cloud[step]) * 0.35 + 0.05 * visitors[step // 24] * open_hours[step]
        free = warmer_k if changed else 0.0
        air_c = air_c + (outdoor[step] + free - air_c) / fabric_h + (wall_c - air_c) / 6 + heat + gain
        wall_c = wall_c + (air_c - wall_c) / mass_h
        saturated = saturation_pa(air_c)
        source = people_pa * visitors[step // 24] * open_hours[step] * 0.3
        pressure = (
            pressure
            + (1 - np.exp(-changes)) * (outdoor_pa[step] - pressure)
            + source * (1 - np.exp(-changes))
        )
        wet = 100 * pressure / saturated
        wet = (1 - buffer_share) * wet + buffer_share * stored
        stored = stored + (100 * pressure / saturated - stored) / buffer_h
        temperature[step] = air_c
        humidity[step] = np.clip(wet, 1, 99)
    humidity[CHANGED_HOUR:] += damper_pct
    day_lux = rng.uniform(20, 300, worlds) * sun * (1 - 0.7 * cloud)
    evening = (hour[:, 0] % 24 >= 16) & (hour[:, 0] % 24 < 22)
    lamps = (
        rng.uniform(40, 150, worlds)
        * evening[:, None]
        * (rng.random((DAYS, worlds)) < 0.85)[hour[:, 0] // 24]
    )
    lamps[CHANGED_HOUR:] *= brighter
    return Worlds(
        times=START + np.arange(HOURS) * np.timedelta64(3600, "s"),
        outdoor_c=np.round(outdoor, 1),
        outdoor_pct=np.round(np.clip(100 * outdoor_pa / saturation_pa(outdoor), 1, 100)),
        indoor_c=np.round(temperature + rng.normal(0, 0.05, temperature.shape), 1),
        indoor_pct=np.round(np.clip(humidity + rng.normal(0, 0.3, humidity.shape), 1, 100), 1),
        lux=np.round(np.clip(day_lux + lamps + rng.normal(0, 0.5, lamps.shape), 0, None)),
    )

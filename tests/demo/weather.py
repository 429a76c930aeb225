"""Weather of Larkmoor: an oceanic climate at 53 degrees north, drawn from a seed.

Temperature is a yearly course, a daily course that grows with clear sky, and first-order autoregressive
weather with a memory of about three days. The dew point has its own yearly course and its own
autoregressive part, half of it shared with temperature, so that mild air is moist air; it never passes
the temperature. The share of clear sky is the logistic image of two autoregressive series, fronts of a
day and a half and clouds of half an hour; how much light a closed cover lets through is lognormal.

Levels are those of the climate normals of an inland oceanic station (means of January 5 and July
15.5 degC, dew points of 2 and 10.5 degC); autoregressive weather after Wilks, Statistical Methods in
the Atmospheric Sciences, chapter on time series. Saturation vapour pressure is the Magnus formula with
Sonntag's coefficients (WMO-No. 8, annex 4.B).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .clock import STEP_S, Floats, Times, day_of_year, hour_of_day

LATITUDE = 53.18
LONGITUDE = -6.92


@dataclass(frozen=True)
class Weather:
    """Outdoor air and sky on the simulation's grid."""

    times: Times
    temperature_c: Floats
    vapour_g_m3: Floats
    clearness: Floats
    """0 for a closed cloud cover, 1 for a clear sky."""
    cloud_light: Floats
    """Light of a closed cover over its mean: thick clouds let less through."""


def saturation_pa(temperature_c: Floats) -> Floats:
    """Saturation vapour pressure over water. [Pa]"""
    return 611.2 * np.exp(17.62 * temperature_c / (243.12 + temperature_c))


def saturation_g_m3(temperature_c: Floats) -> Floats:
    """Water in saturated air. [g/m3]"""
    return 1000.0 * saturation_pa(temperature_c) / (461.5 * (temperature_c + 273.15))


def dew_point_c(vapour_g_m3: Floats, temperature_c: Floats) -> Floats:
    """Dew point by the inverse of the Magnus formula. [degC]"""
    logarithm = np.log(vapour_g_m3 * 461.5 * (temperature_c + 273.15) / 1000.0 / 611.2)
    return 243.12 * logarithm / (17.62 - logarithm)


def autoregressive(rng: np.random.Generator, count: int, memory_steps: float) -> Floats:
    """A first-order autoregressive series of unit variance; correlation 1/e after ``memory_steps``."""
    keep = float(np.exp(-1.0 / memory_steps))
    fresh = (1.0 - keep * keep) ** 0.5
    noise = rng.standard_normal(count).tolist()
    value, series = noise[0], []
    for term in noise:
        value = keep * value + fresh * term
        series.append(value)
    return np.array(series)


def make_weather(times: Times, seed: int) -> Weather:
    """Weather on ``times`` (UTC)."""
    rng = np.random.Generator(np.random.PCG64(seed))
    per_hour = 3600 // STEP_S
    hours = len(times) // per_hour + 2
    position = np.arange(len(times)) / per_hour

    def hourly(memory_h: float) -> Floats:
        return np.interp(position, np.arange(hours), autoregressive(rng, hours, memory_h))

    season = np.cos(2 * np.pi * (day_of_year(times) - 203) / 365.25)
    solar_hour = hour_of_day(times) + LONGITUDE / 15
    fronts, shared, own, moist = hourly(34), hourly(70), hourly(18), hourly(40)
    clouds = autoregressive(rng, len(times), 6.0)
    clearness = 1 / (1 + np.exp(-(1.5 * fronts + 0.8 * clouds - 0.75)))

    swing = (1.2 + 1.1 * (season + 1)) * (0.35 + 1.3 / (1 + np.exp(-1.6 * fronts)))
    daily = swing * np.cos(2 * np.pi * (solar_hour - 15) / 24)
    temperature = 10.1 + 5.3 * season + 2.3 * shared + 0.9 * own + daily
    dew = 6.3 + 4.2 * season + 1.9 * (0.75 * shared + 0.66 * moist) + 0.12 * daily
    dew = np.minimum(dew, temperature - 0.3)
    vapour = 1000.0 * saturation_pa(dew) / (461.5 * (temperature + 273.15))
    thickness = 0.38 * hourly(4) + 0.14 * autoregressive(rng, len(times), 3.0)
    return Weather(times, temperature, vapour, clearness, np.exp(thickness - 0.08))

"""Ultraviolet at a place: measured beside the light, or put together from windows and lamps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.record import Channel, Record

Floats = NDArray[np.float64]

LEAST_LUX = 20.0
"""Under this a proportion is mostly noise of the meter."""


def irradiance_mw_m2(proportion_uw_lm: float, illuminance_lux: float) -> float:
    """Ultraviolet irradiance of so much light with such a proportion. [mW/m2]"""
    return proportion_uw_lm * illuminance_lux / 1000.0


def mixed_proportion(proportions_uw_lm: tuple[Floats, ...], doses_lux_h: tuple[Floats, ...]) -> Floats:
    """Proportion of light from several sources, weighted by their doses. [uW/lm]"""
    whole = sum(doses_lux_h[1:], start=doses_lux_h[0])
    energy = sum(
        (share * dose for share, dose in zip(proportions_uw_lm[1:], doses_lux_h[1:], strict=True)),
        start=proportions_uw_lm[0] * doses_lux_h[0],
    )
    made: Floats = np.asarray(energy / np.maximum(whole, 1e-9))
    return made


@dataclass(frozen=True, slots=True)
class Ultraviolet:
    """Ultraviolet as logged: proportion of the whole dose [uW/lm], 95th percentile of irradiance [mW/m2]."""

    proportion_uw_lm: float
    irradiance_mw_m2: float
    readings: int
    logger: str
    accuracy: float


def logged_ultraviolet(record: Record) -> Ultraviolet | None:
    """Ultraviolet from its channel and the light beside it; None without them.

    The proportion is that of the doses, not a mean of ratios, over readings brighter than 20 lx.
    """
    channel, light = record.get("ultraviolet"), record.get("light")
    if channel is None or len(channel.times) == 0:
        return None
    times, values = channel.kept
    good = np.isfinite(values) & (values >= 0)
    if not good.any():
        return None
    times, values = times[good], values[good]
    lux = None if light is None else _beside(light, times)
    if channel.unit == "mW/m2":
        if lux is None or not (lux > LEAST_LUX).any():
            return None
        bright = lux > LEAST_LUX
        proportion = 1000.0 * float(values[bright].sum() / lux[bright].sum())
        irradiance = float(np.quantile(values, 0.95))
    else:
        weight = np.ones(len(values)) if lux is None else np.where(lux > LEAST_LUX, lux, 0.0)
        if not weight.any():
            return None
        proportion = float((values * weight).sum() / weight.sum())
        irradiance = 0.0 if lux is None else float(np.quantile(values * lux / 1000.0, 0.95))
    return Ultraviolet(proportion, irradiance, len(values), channel.logger, channel.accuracy)


def _beside(light: Channel, times: NDArray[np.datetime64]) -> Floats | None:
    light_times, lux = light.kept
    if len(light_times) < 2:
        return None
    made: Floats = np.interp(times.astype(np.int64), light_times.astype(np.int64), lux)
    return made

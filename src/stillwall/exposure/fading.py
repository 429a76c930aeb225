"""Fading: how many just noticeable steps a dose makes, and how long a step takes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LUX_H_PER_MLX_H = 1e6
Z90 = 1.6448536269514722


def years_to_step(step_dose_mlx_h: float, annual_dose_lux_h: float) -> float:
    """Years until one just noticeable step at a steady yearly dose; infinite in the dark. [a]"""
    if annual_dose_lux_h <= 0:
        return float("inf")
    return step_dose_mlx_h * LUX_H_PER_MLX_H / annual_dose_lux_h


def steps_made(dose_lux_h: float, step_dose_mlx_h: float, most: float = 30.0) -> float:
    """Just noticeable steps that a dose makes, at the pace of the first: at most near-total loss. [1]"""
    return min(dose_lux_h / (step_dose_mlx_h * LUX_H_PER_MLX_H), most)


def colour_change(dose_lux_h: Floats, step_dose_mlx_h: float, steps_to_loss: float = 30.0) -> Floats:
    """Steps lost when fading slows as the colour goes: first order, one step at the step dose. [1]

    ``dE(H) = N (1 - exp(-H / H0))`` with ``H0`` such that the first step takes the step dose.
    """
    scale = -step_dose_mlx_h * LUX_H_PER_MLX_H / np.log(1.0 - 1.0 / steps_to_loss)
    made: Floats = steps_to_loss * (1.0 - np.exp(-np.asarray(dose_lux_h) / scale))
    return made


def geometric_mean(step_doses_mlx_h: Sequence[float]) -> float:
    """Middle of the step doses of several blue wools. [Mlx h]"""
    return float(np.exp(np.mean(np.log(np.asarray(step_doses_mlx_h, dtype=np.float64)))))


def step_dose(free_mlx_h: float, rich_mlx_h: float, uv_uw_lm: float, rich_from_uw_lm: float = 400.0) -> float:
    """Step dose at a proportion of ultraviolet between none and that of plain window light. [Mlx h]"""
    share = float(np.clip(uv_uw_lm / rich_from_uw_lm, 0.0, 1.0))
    return float(np.exp(np.log(free_mlx_h) + share * (np.log(rich_mlx_h) - np.log(free_mlx_h))))


def years_span(
    step_dose_mlx_h: float, log_sd: float, annual_low_lux_h: float, annual_high_lux_h: float
) -> tuple[float, float]:
    """Years to one step, 90 %: the colour's own spread and that of the dose together. [a]

    The dose is taken as log-normal between its 5th and 95th percentile.
    """
    low, high = max(annual_low_lux_h, 1e-6), max(annual_high_lux_h, 1e-6)
    middle = years_to_step(step_dose_mlx_h, float(np.sqrt(low * high)))
    spread = np.hypot(Z90 * log_sd, 0.5 * np.log(high / low))
    return float(middle * np.exp(-spread)), float(middle * np.exp(spread))


def damage_responsivity(wavelength_nm: Floats, slope_per_nm: float) -> Floats:
    """Relative spectral responsivity of a material, 1 at 300 nm (CIE 157:2004). [1]"""
    made: Floats = np.exp(-slope_per_nm * (np.asarray(wavelength_nm, dtype=np.float64) - 300.0))
    return made


def damage_per_lumen_ratio(
    wavelength_nm: Floats, first_power: Floats, second_power: Floats, eye: Floats, slope_per_nm: float
) -> float:
    """Damage per lumen of one spectrum over that of another, on evenly spaced wavelengths. [1]

    A factor on steps of fading, never on a limit: the limits were set for daylight and lamps alike.
    """
    weight = damage_responsivity(wavelength_nm, slope_per_nm)

    def per_lumen(power: Floats) -> float:
        return float((power * weight).sum() / (power * eye).sum())

    return per_lumen(first_power) / per_lumen(second_power)

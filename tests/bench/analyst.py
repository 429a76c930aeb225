"""What an able analyst would write with pandas and scipy for the same figures: vectorised, no row loops.

For every wall: cleaned readings on an even grid, air felt through the response of surface and bulk (two
filters for each of two materials), daily swings, seasonal percentiles, dew point, rate of ageing, hours above
a limit, a mould index by the update of Hukka and Viitanen, yearly light dose by part of the day, sun patches.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
from scipy.ndimage import label
from scipy.signal import lfilter

STEP_H = 5 / 60
RESPONSES_H = (1.7, 24.0, 103.2, 360.0, 624.0)
GAS = 8.314


def read(path: Path) -> pd.DataFrame:
    """Readings on an even grid by their stamps."""
    frame = pd.read_csv(path)
    frame["Time"] = pd.to_datetime(frame["Time"], format="%Y-%m-%dT%H:%M:%S")
    frame = frame.set_index("Time").tz_localize("Europe/Dublin", nonexistent="shift_forward", ambiguous="NaT")
    frame = frame[frame.index.notna()]
    frame.columns = ["temperature", "humidity", "light"]
    return frame[~frame.index.duplicated()].resample("5min").mean()


def felt(values: np.ndarray, t95_h: float) -> np.ndarray:
    """First-order response that reaches 95 % of a step in ``t95_h``."""
    kept = np.exp(-3.0 * STEP_H / t95_h)
    made, _ = lfilter([1 - kept], [1, -kept], values, zi=[kept * values[0]])
    return np.asarray(made)


def mould_index(temperature: np.ndarray, humidity: np.ndarray) -> float:
    """Index at the end of the record: growth where the air is over the critical humidity, else decline."""
    critical = np.where(
        temperature < 20, -0.00267 * temperature**3 + 0.160 * temperature**2 - 3.13 * temperature + 100, 80
    )
    wet = humidity > critical
    weeks = np.exp(-0.68 * np.log(np.maximum(temperature, 0.1)) - 13.9 * np.log(humidity) + 66.02)
    steps = np.where(wet, STEP_H / (7 * 24 * weeks), -0.00133 * STEP_H / 6)
    total = np.cumsum(steps)
    return float(np.max(total - np.minimum.accumulate(np.minimum(total, 0.0))))


def figures(path: Path) -> dict[str, float]:
    """All figures of one wall."""
    frame = read(path)
    air = frame[["temperature", "humidity"]].interpolate(limit=36).ffill().bfill()
    temperature, humidity = air["temperature"].to_numpy(), air["humidity"].to_numpy()
    found: dict[str, float] = {}
    for t95_h in RESPONSES_H:
        series = pd.Series(felt(humidity, t95_h), index=air.index)
        daily = series.resample("D")
        found[f"swing_{t95_h}"] = float(((daily.max() - daily.min()) / 2).quantile(0.95))
        found[f"low_{t95_h}"], found[f"high_{t95_h}"] = series.quantile([0.02, 0.98])
        seasons = series.groupby(series.index.quarter).quantile([0.02, 0.98])
        found[f"season_{t95_h}"] = float(seasons.max() - seasons.min())
    departure = (
        pd.Series(humidity, index=air.index) - pd.Series(humidity, index=air.index).rolling("30D").mean()
    )
    found["own_low"], found["own_high"] = departure.quantile([0.07, 0.93])
    log_e = np.log(humidity / 100) + 17.62 * temperature / (243.12 + temperature)
    dew = 243.12 * log_e / (17.62 - log_e)
    found["dew_high"] = float(np.quantile(dew, 0.98))
    kelvin = temperature + 273.15
    found["ageing"] = float(
        np.mean((humidity / 50) ** 1.3 * np.exp(-70_000 / GAS * (1 / kelvin - 1 / 293.15)))
    )
    found["over_75"] = float(np.mean(humidity > 75))
    for factor in (0.45, 0.55, 0.65, 0.8):
        surface = temperature - (1 - factor) * np.maximum(0, 20 - temperature)
        at_surface = np.minimum(
            100,
            humidity
            * np.exp(17.62 * temperature / (243.12 + temperature) - 17.62 * surface / (243.12 + surface)),
        )
        found[f"mould_{factor}"] = mould_index(surface, at_surface)
    light = frame["light"].clip(lower=0)
    found["dose"] = float(light.sum() * STEP_H / max(light.notna().mean(), 1e-9))
    hours = frame.index.hour
    for name, inside in {"day": (hours > 7) & (hours < 17), "evening": (hours >= 17) | (hours < 7)}.items():
        found[f"dose_{name}"] = float(light[inside].sum() * STEP_H)
    by_month = light.groupby(frame.index.month).sum() * STEP_H
    found["dose_june"], found["dose_december"] = float(by_month.get(6, 0.0)), float(by_month.get(12, 0.0))
    patches, count = label((light > 10_000).to_numpy())
    found["patches"] = float(count)
    found["patch_hours"] = float((patches > 0).sum() * STEP_H)
    return found


def estate(folder: Path) -> pd.DataFrame:
    """Figures of every wall of a folder of logs."""
    return pd.DataFrame({path.stem: figures(path) for path in sorted(folder.glob("*.csv"))}).T

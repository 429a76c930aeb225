"""What an able analyst would write with pandas and scipy for the same figures: vectorised, no row loops.

For every wall what ``rank`` says of its readings: cleaned readings on an even grid; air by season; humidity
felt at three response times, its percentiles by season and its daily swings about the mean of the day around;
rate of ageing by season; vapour by month; mould at four temperatures of the surface; evenings of dry heat; the
year's light by half-hour, its lamps, its daylight by week and its patches of sun; and of each load a thousand
draws with their median, 90 % interval and chance of passing 1.

Left out, to the script's gain: questions and units of files, clocks, faults but spikes; ceilings of the mould
index and its slower growth above 1; sun through each window by its geometry; loads that rest on no reading; a
second set of surface temperatures under measures, and the search for measures.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
from scipy.ndimage import label
from scipy.signal import lfilter

STEP_H = 5 / 60
RESPONSES_H = (48.0, 24.0, 96.0)
FACTORS = (0.15, 0.52, 0.67, 0.9)
GAS = 8.314
LATITUDE, LONGITUDE = 53.18, -6.92
DRAWS, Z90 = 1000, 1.645
WEEKS = 52


def read(path: Path) -> pd.DataFrame:
    """Readings on an even grid by their stamps, without readings that leap out and come back."""
    frame = pd.read_csv(path)
    frame["Time"] = pd.to_datetime(frame["Time"], format="%Y-%m-%dT%H:%M:%S")
    frame = frame.set_index("Time").tz_localize("Europe/Dublin", nonexistent="shift_forward", ambiguous="NaT")
    frame = frame[frame.index.notna()]
    frame.columns = ["temperature", "humidity", "light"]
    for name, bound in {"temperature": 5.0, "humidity": 15.0}.items():
        step = frame[name].diff()
        spike = (step.abs() > bound) & (step.shift(-1).abs() > bound) & (step * step.shift(-1) < 0)
        frame[name] = frame[name].mask(spike)
    return frame[~frame.index.duplicated()].resample("5min").mean()


def felt(values: np.ndarray, t95_h: float) -> np.ndarray:
    """First-order response that reaches 95 % of a step in ``t95_h``."""
    kept = np.exp(-3.0 * STEP_H / t95_h)
    made, _ = lfilter([1 - kept], [1, -kept], values, zi=[kept * values[0]])
    return np.asarray(made)


def log_saturation(temperature: np.ndarray) -> np.ndarray:
    """Logarithm of saturation vapour pressure (Magnus). [Pa]"""
    return np.asarray(np.log(611.2) + 17.62 * temperature / (243.12 + temperature))


def by_season(series: pd.Series, *shares: float) -> pd.DataFrame:
    """Quantiles of each meteorological season."""
    made: pd.DataFrame = series.groupby(series.index.month % 12 // 3).quantile(list(shares)).unstack()
    return made


def swings(series: pd.Series) -> tuple[pd.Series, pd.Series]:
    """Each day's largest departure from the mean of the 24 hours around, and half its range."""
    departure = (series - series.rolling(288, center=True, min_periods=260).mean()).abs()
    daily = series.resample("D")
    return departure.resample("D").max().dropna(), ((daily.max() - daily.min()) / 2).dropna()


def mould_index(temperature: np.ndarray, humidity: np.ndarray) -> float:
    """Highest index of a record: growth where the air is over the critical humidity, else decline."""
    critical = np.where(
        temperature < 20, -0.00267 * temperature**3 + 0.160 * temperature**2 - 3.13 * temperature + 100, 80
    )
    wet = humidity > critical
    weeks = np.exp(-0.68 * np.log(np.maximum(temperature, 0.1)) - 13.9 * np.log(humidity) + 66.02)
    steps = np.where(wet, STEP_H / (7 * 24 * weeks), -0.00133 * STEP_H / 6)
    total = np.cumsum(steps)
    return float(np.max(total - np.minimum.accumulate(np.minimum(total, 0.0))))


def dry_heat(temperature: pd.Series, log_vapour: pd.Series) -> int:
    """Evenings warmer than those around by what an open fire gives: quick, lasting and dry."""

    def evenings(series: pd.Series) -> pd.DataFrame:
        quarter = series.resample("15min").mean()
        table = pd.DataFrame({"day": quarter.index.date, "slot": quarter.index.hour * 4 + quarter.index.minute // 15,
                              "value": quarter.to_numpy()})  # fmt: skip
        made: pd.DataFrame = table.pivot_table("value", "day", "slot").loc[:, 54:]
        return made

    warm, vapour = evenings(temperature), evenings(log_vapour)
    curve = warm.loc[:, 60:].sub(warm.loc[:, 54:59].mean(axis=1), axis=0)
    over = curve - curve.rolling(21, center=True, min_periods=6).quantile(0.35)
    rise, quick = over.max(axis=1), over.diff(6, axis=1).max(axis=1)
    lasts = over.ge(0.6 * rise, axis=0).sum(axis=1) >= 4
    gained = vapour.loc[:, 60:].max(axis=1) - vapour.loc[:, 54:59].mean(axis=1)
    found = (rise >= 1.7) & (quick >= 0.9) & lasts & (gained <= 0.052 * rise)
    return int(found.sum())


def sun(index: pd.DatetimeIndex) -> tuple[np.ndarray, np.ndarray]:
    """Elevation and azimuth of the sun. [deg]"""
    day = index.day_of_year.to_numpy()
    hour = index.hour.to_numpy() + index.minute.to_numpy() / 60 + LONGITUDE / 15
    declination = np.radians(23.45) * np.sin(2 * np.pi * (284 + day) / 365)
    turn, latitude = np.radians(15 * (hour - 12)), np.radians(LATITUDE)
    sine = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(turn)
    azimuth = np.arctan2(
        np.sin(turn), np.cos(turn) * np.sin(latitude) - np.tan(declination) * np.cos(latitude)
    )
    return np.degrees(np.arcsin(sine)), np.degrees(azimuth) + 180


def light_figures(light: pd.Series) -> tuple[dict[str, float], np.ndarray]:
    """The year's light: dose, lamps by the clock, daylight by week against the sun, patches; draws of a year."""
    half = light.clip(lower=0).resample("30min").mean()
    elevation, azimuth = sun(half.index.tz_convert("UTC"))
    lux = (half - half[elevation < -12].quantile(0.1)).clip(lower=0)
    slot = half.index.hour * 2 + half.index.minute // 30
    dark = elevation < -6
    lamps = lux[dark].groupby([half.index.day_of_week[dark], slot[dark]]).mean().unstack(fill_value=0.0)
    lamps = lamps.reindex(index=range(7), columns=range(48), fill_value=0.0).to_numpy()
    lamp = np.minimum(lamps[half.index.day_of_week, slot], lux)
    daylight = lux - lamp
    outdoors = 60_000 * np.maximum(np.sin(np.radians(elevation)), 0) ** 1.2
    up = elevation > 3
    ratio = float((daylight[up] / outdoors[up]).median())
    bright = up & (daylight > 4 * ratio * outdoors) & (daylight > 1500)
    sky = pd.DataFrame(
        {"east": azimuth[bright] // 10, "up": elevation[bright] // 5, "day": half.index.date[bright]}
    )
    places = sky.groupby(["east", "up"])["day"].nunique()
    week = np.minimum((half.index.day_of_year - 1) // 7, WEEKS - 1)
    seen = pd.DataFrame({"dose": daylight / 2, "outdoors": outdoors / 2, "known": daylight.notna()}).groupby(
        week
    )
    dose, share = seen["dose"].sum(), seen["known"].mean()
    filled = (dose / share.clip(lower=0.1)).where(share > 0.5, ratio * seen["outdoors"].sum())
    filled = filled.reindex(range(WEEKS)).interpolate(limit_direction="both").to_numpy()
    generator = np.random.default_rng(0)
    weather = np.exp(0.2 * generator.standard_normal((DRAWS, len(filled))) - 0.02)
    year = np.exp(0.08 * generator.standard_normal((DRAWS, 1)))
    electric = float(lamp.sum() / 2) * np.exp(0.1 * generator.standard_normal((DRAWS, 1)))
    running = np.cumsum(filled * weather * year, axis=1) + electric * np.linspace(0, 1, len(filled))
    open_now = (slot >= 19) & (slot < 34)
    patches, count = label((light > 10_000).to_numpy())
    found = {
        "dose": float(lux.sum() / 2 / max(lux.notna().mean(), 1e-9)), "electric": float(lamp.sum() / 2),
        "open_share": float(daylight[open_now].sum() / max(daylight.sum(), 1e-9)), "peak": float(light.max()),
        "sun_places": float((places >= 3).sum()), "sun_hours": float(bright.sum() / 2), "patches": float(count),
        "patch_hours": float((patches > 0).sum() * STEP_H),
    }  # fmt: skip
    for share_of, level in zip(
        (0.05, 0.5, 0.95), np.quantile(running, (0.05, 0.5, 0.95), axis=0), strict=True
    ):
        found[f"after_half_a_year_{share_of}"], found[f"after_a_year_{share_of}"] = level[26], level[-1]
    return found, running[:, -1]


def told(name: str, draws: np.ndarray) -> dict[str, float]:
    """Median, 90 % interval and chance of passing 1 of a load in draws."""
    low, middle, high = np.quantile(draws, (0.05, 0.5, 0.95))
    return {name: middle, f"{name}_low": low, f"{name}_high": high, f"{name}_over": float((draws > 1).mean())}


def figures(path: Path) -> dict[str, float]:
    """All figures of one wall."""
    frame = read(path)
    air = frame[["temperature", "humidity"]].interpolate(limit=36).ffill().bfill()
    temperature, humidity = air["temperature"].to_numpy(), air["humidity"].to_numpy()
    generator = np.random.default_rng(1)
    error_k, error_pct = 0.3 * generator.standard_normal(DRAWS), 1.8 * generator.standard_normal(DRAWS)
    found: dict[str, float] = {}
    seasons = by_season(air["temperature"], 0.02, 0.98)
    found |= told(
        "temperature",
        np.maximum(20.5 - seasons[0.02].min() - error_k, seasons[0.98].max() + error_k - 20.5) / 4.5,
    )
    for t95_h in RESPONSES_H:
        series = pd.Series(felt(humidity, t95_h), index=air.index)
        seasons = by_season(series, 0.02, 0.98)
        centre = series.groupby(series.index.month).mean().mean()
        reach = np.maximum(centre - seasons[0.02].min() - error_pct, seasons[0.98].max() + error_pct - centre)
        found |= told(f"humidity_{t95_h}", reach / 10)
        departure, half_range = swings(series)
        found |= told(f"swing_{t95_h}", by_season(departure, 0.95).max().iloc[0] / 10 + 0.01 * error_pct)
        found[f"half_range_{t95_h}"] = float(by_season(half_range, 0.95).max().iloc[0])
        if t95_h == RESPONSES_H[0]:
            warmth = np.exp(-70_000 / GAS * (1 / (temperature + 273.15) - 1 / 293.15))
            rate = pd.Series((series.to_numpy() / 50) ** 1.3 * warmth, index=air.index)
            ageing = float(rate.groupby(rate.index.month % 12 // 3).mean().mean())
            found |= told("ageing", ageing * np.exp(0.11 * error_k + 0.026 * error_pct) / 1.5)
    seasons = by_season(air["humidity"], 0.02, 0.98)
    found["air_low"], found["air_high"] = float(seasons[0.02].min()), float(seasons[0.98].max())
    vapour = np.log(humidity / 100) + log_saturation(temperature)
    outdoors = 8.9 - 10.1 * np.cos(2 * np.pi / 365.25 * (air.index.day_of_year.to_numpy() - 15.0))
    monthly = pd.DataFrame(
        {"inside": temperature, "vapour": np.exp(vapour), "outside": outdoors}, index=air.index
    )
    monthly = monthly.groupby(air.index.month).mean()
    factor = np.clip(0.6 + 0.15 * generator.standard_normal(DRAWS), 0.05, 0.95)[:, None]
    inside, outside = monthly["inside"].to_numpy(), monthly["outside"].to_numpy()
    surface = outside + factor * (inside - outside)
    found |= told(
        "wall_climate",
        (100 * monthly["vapour"].to_numpy() / np.exp(log_saturation(surface))).max(axis=1) / 75,
    )
    peaks = []
    for each in FACTORS:
        face = outdoors + each * (temperature - outdoors)
        peaks.append(mould_index(face, np.minimum(100, 100 * np.exp(vapour - log_saturation(face)))))
    found |= told(
        "mould", np.interp(factor[:, 0], FACTORS, peaks) * np.exp(0.4 * generator.standard_normal(DRAWS))
    )
    found["dry_heat"] = dry_heat(air["temperature"], pd.Series(vapour, index=air.index))
    light, year = light_figures(frame["light"])
    found |= light | told("light_dose", year / 600_000)
    found |= told("viewing", 72 / np.maximum(year * light["open_share"] / 2700, 1.0))
    return found


def estate(folder: Path) -> pd.DataFrame:
    """Figures of every wall of a folder of logs."""
    return pd.DataFrame({path.stem: figures(path) for path in sorted(folder.glob("*.csv"))}).T

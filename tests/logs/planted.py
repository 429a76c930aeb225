"""Loggers' series with faults planted in them: how many are found, and how often a clean one is accused.

``python -m tests.logs.planted [SERIES]`` prints the table. The rooms are made by their own rules: air that
follows a drifting outdoor day with a lag, vapour that wanders, doors that let air in, sun that comes by the
hour, people in the evening, a sensor with noise and a step of resolution. Nothing of it is taken from the
tests that are to find the faults.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

DAY = 86_400


@dataclass
class Series:
    """A month of one logger."""

    seconds: np.ndarray
    temperature: np.ndarray
    humidity: np.ndarray
    light: np.ndarray
    step_s: int


def room(random: np.random.Generator, days: int = 30) -> Series:
    """A clean month: doors, sun patches, guests, a quiet store now and then."""
    step = int(random.choice([300, 600, 900, 1800]))
    count = days * DAY // step
    seconds = np.arange(count) * step
    hour = seconds / 3600 % 24
    day = seconds // DAY
    weather = np.cumsum(random.normal(0, 1.2, days + 1)) * 0.5
    outside = (
        8 + np.interp(seconds / DAY, np.arange(days + 1), weather) + 4 * np.sin((hour - 9) / 24 * 2 * np.pi)
    )
    quiet = random.random() < 0.25
    base = random.uniform(14, 22)
    response = random.uniform(0.01, 0.05) if quiet else random.uniform(0.05, 0.3)
    lag = int(random.uniform(2, 8) * 3600 / step)
    kernel = np.exp(-np.arange(4 * lag) / lag)
    smooth = np.convolve(np.pad(outside, (4 * lag - 1, 0), mode="edge"), kernel / kernel.sum(), mode="valid")
    temperature = base + response * (smooth - smooth.mean())
    vapour = 900 * (1 + 0.12 * np.interp(seconds / DAY, np.arange(days + 1), random.normal(0, 1, days + 1)))
    if not quiet:
        evening = (hour > 18) & (hour < 22) & (random.random(days)[np.minimum(day, days - 1)] < 0.4)
        warm = np.convolve(
            evening.astype(float), np.ones(max(1, 3600 // step)) / max(1, 3600 // step), mode="same"
        )
        temperature += 1.2 * warm
        vapour *= 1 + 0.08 * warm
    for _ in range(0 if quiet else random.poisson(25)):  # doors: fast down, slow back, in both
        at = int(random.integers(5, count - 60))
        length = np.arange(60)
        breath = np.exp(-length * step / random.uniform(900, 2700))
        size = min(60, count - at)
        temperature[at : at + size] -= random.uniform(1, 7) * breath[:size]
        vapour[at : at + size] *= 1 - random.uniform(0.02, 0.2) * breath[:size]
    sunrise, sunset = 7.0, 18.0
    daylight = np.clip(np.sin((hour - sunrise) / (sunset - sunrise) * np.pi), 0, None)
    cloud = np.repeat(random.uniform(0.2, 1.0, days + 1), DAY // step)[:count]
    light = random.uniform(20, 300) * daylight * cloud * random.uniform(0.9, 1.1, count)
    light += random.uniform(20, 80) * ((hour > 17) & (hour < 23))
    if random.random() < 0.5:  # the sun reaches the logger at its own hour
        patch = (np.abs(hour - random.uniform(9, 16)) < 0.5) & (cloud > 0.7)
        light += random.uniform(2_000, 20_000) * patch * random.uniform(0.8, 1.0, count)
        warm = np.convolve(patch.astype(float), np.exp(-np.arange(8)), mode="full")[:count]
        temperature += random.uniform(1, 4) * warm
    saturation = 610.94 * np.exp(17.625 * temperature / (temperature + 243.04))
    humidity = np.clip(100 * vapour / saturation, 15, 97)
    noise = random.uniform(0.02, 0.08)
    temperature += random.normal(0, noise, count)
    humidity += random.normal(0, 0.25, count)
    fine = float(random.choice([0.01, 0.1, 0.1]))
    return Series(seconds, np.round(temperature / fine) * fine, humidity.round(1), light.round(0), step)


def _some(random: np.random.Generator, series: Series, hours: float) -> slice:
    length = int(hours * 3600 / series.step_s)
    at = int(
        random.integers(
            series.step_s and DAY // series.step_s, len(series.seconds) - length - DAY // series.step_s
        )
    )
    return slice(at, at + length)


def stuck_temperature(random: np.random.Generator, series: Series) -> None:
    """The thermometer holds one value for one and a half to four days."""
    part = _some(random, series, float(random.uniform(36, 96)))
    series.temperature[part] = series.temperature[part.start]


def stuck_humidity(random: np.random.Generator, series: Series) -> None:
    """The hygrometer holds one value for one and a half to four days."""
    part = _some(random, series, float(random.uniform(36, 96)))
    series.humidity[part] = series.humidity[part.start]


def spike_temperature(random: np.random.Generator, series: Series) -> None:
    """One reading of the thermometer alone leaps by 12 to 40 K."""
    at = _some(random, series, 2).start
    series.temperature[at] += random.uniform(12, 40) * random.choice([-1, 1])


def spike_humidity(random: np.random.Generator, series: Series) -> None:
    """One reading of the hygrometer alone leaps by 35 to 60 %."""
    at = _some(random, series, 2).start
    leap = random.uniform(35, 60)
    series.humidity[at] += leap if series.humidity[at] < 40 else -min(leap, series.humidity[at] - 6)


def saturated_humidity(random: np.random.Generator, series: Series) -> None:
    """The hygrometer reads 100 % for 4 to 30 hours."""
    series.humidity[_some(random, series, float(random.uniform(4, 30)))] = 100.0


def saturated_light(random: np.random.Generator, series: Series) -> None:
    """The cell ends at 3,000 to 20,000 lx while the light goes on rising."""
    full = float(random.uniform(3_000, 20_000).__round__())
    hour = series.seconds / 3600 % 24
    series.light += (np.abs(hour - 12) < 2) * full * random.uniform(0.9, 2.5, len(hour))
    series.light = np.minimum(series.light.round(0), full)


def night_offset(random: np.random.Generator, series: Series) -> None:
    """The cell never reads less than 2 to 8 lx."""
    series.light += float(random.integers(2, 9))


def failed_humidity(random: np.random.Generator, series: Series) -> None:
    """The hygrometer falls to 0 or 1 % for some hours."""
    series.humidity[_some(random, series, float(random.uniform(1, 20)))] = float(random.choice([0.0, 1.0]))


def wild_temperature(random: np.random.Generator, series: Series) -> None:
    """The thermometer reads 90 to 150, or under -50."""
    part = _some(random, series, float(random.uniform(1, 10)))
    series.temperature[part] = float(random.choice([random.uniform(90, 119), random.uniform(-69, -50)]))


def clock_set(random: np.random.Generator, series: Series) -> None:
    """The clock is put forward by 20 to 80 % of a step."""
    at = _some(random, series, 2).start
    series.seconds = series.seconds.copy()
    series.seconds[at:] += int(series.step_s * random.uniform(0.2, 0.8))


def download_twice(random: np.random.Generator, series: Series) -> None:
    """Some hours are written twice."""
    part = _some(random, series, float(random.uniform(2, 30)))
    for name in ("seconds", "temperature", "humidity", "light"):
        held = getattr(series, name)
        setattr(series, name, np.concatenate([held[: part.stop], held[part], held[part.stop :]]))


def carried(random: np.random.Generator, series: Series) -> None:
    """The logger is warm from a hand for its first half hour."""
    size = max(2, 1800 // series.step_s + 1)
    series.temperature[:size] = series.temperature.max() + random.uniform(5, 9)


def lost_rows(random: np.random.Generator, series: Series) -> None:
    """Some hours are missing."""
    part = _some(random, series, float(random.uniform(3, 60)))
    keep = np.ones(len(series.seconds), bool)
    keep[part] = False
    for name in ("seconds", "temperature", "humidity", "light"):
        setattr(series, name, getattr(series, name)[keep])


PLANTED: dict[str, tuple[Callable[[np.random.Generator, Series], None], str, str]] = {
    "stuck thermometer": (stuck_temperature, "temperature", "stuck"),
    "stuck hygrometer": (stuck_humidity, "humidity", "stuck"),
    "spike of temperature": (spike_temperature, "temperature", "spike"),
    "spike of humidity": (spike_humidity, "humidity", "spike"),
    "saturated hygrometer": (saturated_humidity, "humidity", "saturated"),
    "light at full scale": (saturated_light, "light", "saturated"),
    "night offset of light": (night_offset, "light", "night_offset"),
    "hygrometer at 0 or 1 %": (failed_humidity, "humidity", "too_dry"),
    "temperature out of range": (wild_temperature, "temperature", "out_of_range"),
    "clock set": (clock_set, "temperature", "clock_jump"),
    "rows written twice": (download_twice, "temperature", "repeated"),
    "carried at the start": (carried, "temperature", "handling"),
    "rows missing": (lost_rows, "temperature", "gap"),
}
"""Name of the fault: how it is planted, the channel and the flag that must tell it."""
NO_FAULTS = frozenset({"transient", "sun_patch"})
"""Flags that only say what happened in the room."""


def flags_of(series: Series, path: Path) -> dict[str, set[str]]:
    """Flags by role, read back from a file as any other."""
    from stillwall.logs.read import read_log

    stamps = np.datetime_as_string(
        np.datetime64("2026-02-01T00:00:00") + series.seconds.astype("timedelta64[s]")
    )
    rows = zip(
        stamps.tolist(),
        series.temperature.tolist(),
        series.humidity.tolist(),
        series.light.tolist(),
        strict=True,
    )
    lines = (f"{stamp},{air:.2f},{humidity:.1f},{lux:.0f}\n" for stamp, air, humidity, lux in rows)
    path.write_text("Time,Temperature (°C),RH (%),Light (lx)\n" + "".join(lines), encoding="utf-8")
    log = read_log(path, name="planted.csv")
    return {channel.role: {flag.name for flag in channel.flags} for channel in log.channels}


def measure(count: int, seed: int = 11) -> list[tuple[str, float, float, int]]:
    """By fault: recall, false alarms of its flag in a clean logger-month, and the number of series."""
    clean: dict[str, int] = {}
    found: dict[str, int] = {}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "planted.csv"
        for number in range(count):
            flags = flags_of(room(np.random.default_rng([seed, number])), path)
            for name, (_, role, flag) in PLANTED.items():
                clean[name] = clean.get(name, 0) + (flag in flags[role])
            clean["any"] = clean.get("any", 0) + bool(set().union(*flags.values()) - NO_FAULTS)
        for name, (plant, role, flag) in PLANTED.items():
            for number in range(count):
                random = np.random.default_rng([seed, number])
                series = room(random)
                plant(random, series)
                found[name] = found.get(name, 0) + (flag in flags_of(series, path)[role])
    rows = [(name, found[name] / count, clean[name] / count, count) for name in PLANTED]
    return [*rows, ("any flag on a clean month", float("nan"), clean["any"] / count, count)]


def main() -> None:
    """Print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    print("| fault | recall | false alarms a logger-month |\n|---|---|---|")
    for name, recall, false_alarms, _ in measure(count):
        print(f"| {name} | {'' if np.isnan(recall) else f'{recall:.3f}'} | {false_alarms:.3f} |")


if __name__ == "__main__":
    main()

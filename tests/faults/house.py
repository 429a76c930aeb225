"""A small house to break things in: two walls with loggers of their own and one without, two works, one room."""

from __future__ import annotations

from pathlib import Path

import numpy as np

SURVEY = """\
[survey]
name = "Larkmoor Botanical Society"
seed = 3
outdoor_logs = ["logs/outdoor.csv"]

[[building]]
id = "orangery"
latitude = 53.2
longitude = -6.9
timezone = "Europe/Dublin"

[[room]]
id = "hall"
building = "orangery"
logs = ["logs/hall.csv"]

[[wall]]
id = "hall-north"
room = "hall"
logs = ["logs/north.csv"]

[[wall]]
id = "hall-south"
room = "hall"
logs = ["logs/south.csv"]

[[wall]]
id = "hall-east"
room = "hall"

[[work]]
id = "lime-avenue"
kind = "painting_canvas"
medium = "oil-on-canvas"

[[work]]
id = "herbarium-sheet"
kind = "paper"
medium = "watercolour"
"""
LOGS = ("outdoor", "hall", "north", "south")


def readings(name: str, days: int = 40, *, warmer_c: float = 0.0) -> str:
    """A log of some weeks by the hour, in UTC."""
    hours = np.arange(24 * days)
    phase = LOGS.index(name)
    times = np.datetime64("2026-03-01T00:00", "m") + 60 * hours
    temperature = 15.0 + phase + warmer_c + 3.0 * np.sin(2 * np.pi * (hours - 9) / 24)
    humidity = 52.0 + 2 * phase + 6.0 * np.sin(2 * np.pi * hours / 170)
    lux = 120.0 * np.clip(np.sin(2 * np.pi * (hours - 6) / 24), 0, None)
    rows = zip(times, temperature, humidity, lux, strict=True)
    lines = ["Time (UTC),Temperature (°C),Relative humidity (%),Illuminance (lux)"]
    lines += [f"{at}:00Z,{t:.2f},{h:.2f},{light:.1f}" for at, t, h, light in rows]
    if name == "south":  # a logger without a light sensor: its wall has the room's light
        lines = [line.rpartition(",")[0] for line in lines]
    return "\n".join([*lines, ""])


def build(folder: Path, survey: str = SURVEY) -> Path:
    """Write the house into a folder, which is made."""
    (folder / "logs").mkdir(parents=True)
    (folder / "survey.toml").write_text(survey, encoding="utf-8", newline="")
    for name in LOGS:
        (folder / "logs" / f"{name}.csv").write_text(readings(name), encoding="utf-8", newline="")
    return folder

"""A walk through the houses with a light meter: the readings that the survey holds.

``python -m tests.demo.meter`` prints them as lines for the survey. A reading is what falls on the wall at
that minute, times the meter's error, to two figures.
"""

from __future__ import annotations

import math

import numpy as np

from .clock import STEP_S, local
from .loggers import SEED, World, make_world
from .walls import LAMP_UV, WALLS, illuminance_lux, lamps_lux

WALKS = (
    "2025-12-10T11:00",
    "2026-01-21T18:20",
    "2026-03-04T14:10",
    "2026-04-15T09:40",
    "2026-06-09T10:30",
    "2026-06-24T16:00",
    "2026-08-12T13:20",
    "2026-09-30T15:30",
    "2026-10-14T20:10",
)
"""UTC."""
UV_WALKS = (2, 4)
"""Walks on which the meter's second head was taken along."""
HAND_HELD = {
    "orangery-east": (0, 1, 2, 3, 4, 6, 7),
    "ballroom-west": (0, 2, 4, 6, 7, 8),
    "hall-west": (0, 1, 2, 3, 4, 5, 6, 7, 8),
    "dining-north": (0, 1, 2, 3, 4, 6, 7, 8),
    "dining-south": (0, 1, 2, 3, 4, 6, 7, 8),
    "library-overmantel": (0, 1, 2, 3, 4, 5, 6, 7, 8),
    "library-facing": (0, 1, 2, 3, 4, 5, 6, 7, 8),
    "drawing-overmantel": (0, 2, 3, 4, 6, 7),
    "lobby-south": (0, 1, 2, 3, 4, 5, 6, 7, 8),
    "seed-dais": (0, 2, 3, 4, 5, 6, 7, 8),
    "seed-north": (0, 2, 3, 4, 5, 6, 7, 8),
    "orangery-north": UV_WALKS,
    "ballroom-north": UV_WALKS,
    "stair-landing": UV_WALKS,
    "drawing-west": UV_WALKS,
    "hall-pedestal": (0, 1, 2, 3, 4, 6, 7, 8),
    "gallery-pedestal": (0, 2, 3, 4, 6, 7),
}
"""Which of the walks came by which wall."""


def sky_word(clearness: float, elevation: float) -> str:
    """What the surveyor wrote down about the sky."""
    if elevation < 0:
        return "night"
    return "clear" if clearness > 0.6 else "mixed" if clearness > 0.22 else "overcast"


def readings(world: World) -> dict[str, list[dict[str, str | float]]]:
    """For each wall: local time, lux, sky, whether the lamps were on, and sometimes ultraviolet."""
    found: dict[str, list[dict[str, str | float]]] = {}
    names = sorted(WALLS)
    for place, (name, walks) in enumerate(HAND_HELD.items()):
        wall, seed = WALLS[name], SEED + 500 + names.index(name)
        lux = illuminance_lux(wall, world.sky, world.calendar, seed)
        lamps = lamps_lux(wall, world.calendar, np.random.Generator(np.random.PCG64(seed)))
        errors = np.random.Generator(np.random.PCG64(SEED + 900 + place)).standard_normal(len(WALKS))
        found[name] = []
        for walk in walks:
            moment = np.datetime64(WALKS[walk]) + np.timedelta64(5 * place, "m")
            index = int((moment - world.times[0]) / np.timedelta64(STEP_S, "s"))
            here = slice(index, index + 1)
            sky = sky_word(float(world.weather.clearness[index]), float(world.sky.elevation[index]))
            reading: dict[str, str | float] = {
                "at": str(local(world.times[here])[0])[:16].replace("T", " "),
                "lux": two_figures(float(lux[index]) * (1 + 0.03 * float(errors[walk]))),
                "sky": sky,
                "lamps": "on" if lamps[index] > 0 else "off",
            }
            if walk in UV_WALKS:
                lamp_share = float(lamps[index] / lux[index])
                uv = LAMP_UV * lamp_share + wall.daylight_uv * (1 - lamp_share)
                reading["uv"] = two_figures(uv * (1 + 0.07 * float(errors[walk - 1])))
            found[name].append(reading)
    return found


def two_figures(value: float) -> float:
    """What the meter's display holds."""
    digits = 1 - math.floor(math.log10(max(value, 0.1)))
    return round(value, digits)


def main() -> None:
    """Print the readings as lines for the survey."""
    for wall, rows in readings(make_world()).items():
        print(wall)
        for row in rows:
            cells = ", ".join(
                f'{key} = "{cell}"' if isinstance(cell, str) else f"{key} = {cell:g}"
                for key, cell in row.items()
            )
            print(f"    {{ {cells} }},")


if __name__ == "__main__":
    main()

"""An estate made from a seed: any number of walls and works, each wall with a year of its own readings.

Hard on purpose: damp air that feeds mould a third of the time and more, sun on the sensor on clear winter
days, a week without readings, a room with a hearth.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy as np

from stillwall.exposure.sky import clear_sky, facade_reference_lux
from stillwall.exposure.sun_position import sun_position

FIRST = np.datetime64("2025-01-01T00:00:00", "s")
DAY_S = 86_400
LATITUDE, LONGITUDE = 53.18, -6.92
SIDES = ("north", "east", "south", "west")
FACES = {"north": 180, "east": 270, "south": 0, "west": 90}
MEDIA = (
    ("painting_canvas", "oil-on-canvas"),
    ("panel", "oil-on-panel"),
    ("painting_canvas", "oil-on-canvas"),
    ("panel", "egg-tempera-panel"),
    ("paper", "watercolour"),
)
FRAMES = ("gilded_gesso", "composition", "carved_wood", "plain_wood")


def write_estate(
    folder: Path, *, walls: int, works: int, step_s: int, days: int = 365, seed: int = 7
) -> None:
    """Write a survey and one log a wall."""
    logs = folder / "logs"
    logs.mkdir(parents=True, exist_ok=True)
    (folder / "survey.toml").write_text(survey_text(walls, works, seed), encoding="utf-8")
    for wall in range(walls):
        write_log(logs / f"wall-{wall:03}.csv", wall, step_s=step_s, days=days, seed=seed)


def survey_text(walls: int, works: int, seed: int) -> str:
    """The survey: four walls a room, one with a hearth, one beside a window, one on a way through."""
    random = Random(seed)
    parts = [HEAD]
    rooms = -(-walls // len(SIDES))
    parts += [
        ROOM.format(number=number, building=number % 3, people=random.randrange(5, 70))
        for number in range(rooms)
    ]
    for number in range(walls):
        side = SIDES[number % len(SIDES)]
        parts.append(
            WALL.format(
                number=number,
                room=number // len(SIDES),
                side=side,
                faces=FACES[side],
                outside=str(side in ("north", "south")).lower(),
                build=random.choice(("brick", "lath_plaster")),
                span=random.choice((2.2, 2.8, 3.6, 5.0)),
                way=random.choice(("none", "none", "passing")),
                clear=random.choice((1.6, 2.4, 4.0)),
                people=random.randrange(5, 70),
            )
        )
        if number % 3:
            parts.append(f"marks_last_year = {random.randrange(4)}\n")
    for number in range(works):
        kind, medium = MEDIA[number % len(MEDIA)]
        height, width = round(random.uniform(0.4, 1.6), 2), round(random.uniform(0.4, 1.6), 2)
        parts.append(
            WORK.format(
                number=number,
                kind=kind,
                medium=medium,
                height=height,
                width=width,
                outer_height=round(height + 0.2, 2),
                outer_width=round(width + 0.2, 2),
                mass=round(14 * height * width + 2, 1),
                frame=random.choice(FRAMES),
                glazing="glass" if kind == "paper" else "none",
                wall=random.randrange(walls),
                condition=random.choice(("sound", "sound", "watch")),
            )
        )
    return "\n".join(parts)


def write_log(path: Path, wall: int, *, step_s: int, days: int, seed: int, first_day: int = 0) -> None:
    """One log of temperature, humidity and light, commas and ISO stamps."""
    seconds, temperature, humidity, lux = readings(
        wall, step_s=step_s, days=days, seed=seed, first_day=first_day
    )
    stamps = np.datetime_as_string(seconds.astype("datetime64[s]"))
    rows = (
        f"{stamp},{celsius:.2f},{percent:.1f},{light:.0f}"
        for stamp, celsius, percent, light in zip(
            stamps.tolist(), temperature.tolist(), humidity.tolist(), lux.tolist(), strict=True
        )
    )
    path.write_text("Time,Temperature (°C),Humidity (%RH),Light (lx)\n" + "\n".join(rows) + "\n", "utf-8")


def readings(
    wall: int, *, step_s: int, days: int, seed: int, first_day: int = 0
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Seconds by the clock, temperature, humidity and light of one wall, without the week that is missing."""
    count = days * DAY_S // step_s
    seconds = FIRST.astype(np.int64) + first_day * DAY_S + np.arange(count) * step_s
    generator = np.random.default_rng((seed, wall, first_day))
    day, season = 2 * np.pi * seconds / DAY_S, 2 * np.pi * seconds / DAY_S / 365
    damp = (48, 76, 82)[wall % 3] + 3 * generator.random()
    temperature = 18 - 5 * np.cos(season) + 1.5 * np.sin(day) + generator.normal(0, 0.2, count)
    humidity = np.clip(damp - 4 * np.cos(season) - 11 * np.sin(day) + generator.normal(0, 2, count), 20, 99)
    sun = sun_position(seconds.astype(float), LATITUDE, LONGITUDE)
    azimuth = FACES[SIDES[wall % len(SIDES)]] or 180.0
    weather = np.exp(0.5 * generator.standard_normal(days + 1))[np.arange(count) * step_s // DAY_S]
    lux = 0.004 * weather * facade_reference_lux(clear_sky(sun.elevation_deg), sun.azimuth_deg, azimuth)
    hour = seconds / 3600.0 % 24.0
    lux = lux + np.where((hour > 17.0) & (hour < 22.0), 45.0, 0.0)
    patch = (sun.elevation_deg > 8) & (sun.elevation_deg < 15) & (np.abs(sun.azimuth_deg - azimuth) < 8)
    lux = lux + np.where(patch & (weather > 1.0), 25_000.0, 0.0)
    kept = np.ones(count, np.bool_)
    kept[count // 3 : count // 3 + 7 * DAY_S // step_s] = days < 60
    return seconds[kept], temperature[kept], humidity[kept], lux[kept]


HEAD = """\
[survey]
name = "Larkmoor Botanical Society"
units = "si"
guideline = "bizot-2023"
seed = 53
surveyed_on = 2026-01-10

""" + "\n".join(
    f"""\
[[building]]
id = "house-{number}"
latitude = {LATITUDE}
longitude = {LONGITUDE}
timezone = "Europe/Dublin"
use = "club"
open_days = 312
open_hours = "09:30 to 17:00"
heating_season = "1 Oct to 31 May"
"""
    for number in range(3)
)
ROOM = """\
[[room]]
id = "room-{number}"
building = "house-{building}"
use = "gallery"
size = "4 m x 8 m x 6 m"
bearing = "0 deg"
people_per_day = {people}
people_peak_hour = 12
cooking = "none"
smoking = false
candles_evenings_per_year = 0
pipes_overhead = false
leaks_known = false
sprinklers = false
pests_seen = false
unseen_hours = 3

[[opening]]
id = "window-{number}"
kind = "window"
room = "room-{number}"
side = "south"
at = "1 m"
sill = "0.9 m"
size = "2 m x 1.2 m"
reveal = "0.2 m"
obstruction = "10 deg"
glass = "single"
film = "none"

[[opening]]
id = "door-{number}"
kind = "inside_door"
room = "room-{number}"
side = "west"
at = "0.3 m"
clear = "2.1 m x 0.9 m"
hinge = "left"
opens = "in"
opens_to = "90 deg"
opens_per_day = 60

[[heat_source]]
id = "hearth-{number}"
room = "room-{number}"
kind = "hearth"
used = "seasonal"
fires_per_year = 40
side = "north"
at = "2 m"
width = "1.1 m"
top = "1 m"
"""
WALL = """\
[[wall]]
id = "wall-{number}"
room = "room-{room}"
side = "{side}"
faces = "{faces} deg"
outside = {outside}
build = "{build}"
fixings_allowed = "any"
height = "3.6 m"
span = "{span} m"
at = "0.5 m"
clear_width = "{clear} m"
circulation = "{way}"
people_per_day = {people}
logs = ["logs/wall-{number:03}.csv"]
"""
WORK = """\
[[work]]
id = "work-{number}"
title = "Study no. {number}"
kind = "{kind}"
medium = "{medium}"
image = "{height} m x {width} m"
framed = "{outer_height} m x {outer_width} m"
depth = "8 cm"
mass = "{mass} kg"
mass_known = "weighed"
frame = "{frame}"
glazing = "{glazing}"
backing = "board"
hanging = "plates"
points = 2
ratings = ["60 kg", "60 kg"]
rating_kind = "working"
condition = "{condition}"
now_at = "wall-{wall}"
"""

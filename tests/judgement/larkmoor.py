"""A small survey with real hazards: walls with a hearth, windows, doors, lamps; records made of formulas."""

from __future__ import annotations

import tempfile
from datetime import date
from functools import lru_cache
from pathlib import Path

import numpy as np

from stillwall.case import Case, Site, Stay
from stillwall.draws import Draws
from stillwall.record import Channel, Record
from stillwall.reference.library import load_library
from stillwall.survey.read import read_survey

START = date(2026, 1, 1)
FIRST = np.datetime64("2025-01-01T00:00:00", "s")
COUNT = 400

BASE = """
[survey]
name = "Larkmoor Botanical Society"
heating_season = "1 Oct to 30 Apr"

[[building]]
id = "reading-house"
latitude = 53.4
longitude = -2.2
timezone = "Europe/London"
use = "club"
open_days = 300
open_hours = "09:00 to 21:00"
"""

ROOMS = [
    """
[[room]]
id = "dining"
building = "reading-house"
floor = 0
use = "dining"
size = "3.4 m x 8 m x 6 m"
people_per_day = 60
people_peak_hour = 30
children_share = 0.05
bags_share = 0.2
supervised_share = 0.5
cooking = "none"
smoking = false
candles_evenings_per_year = 20
""",
    """
[[room]]
id = "passage"
building = "reading-house"
floor = 0
use = "corridor"
size = "3 m x 2 m x 9 m"
people_per_day = 150
people_peak_hour = 60
children_share = 0.1
bags_share = 0.5
trolley_trips_per_day = 3
supervised_share = 0.2
""",
]

WALLS = [
    """
[[wall]]
id = "over-mantel"
room = "dining"
side = "east"
outside = false
build = "brick"
fixings_allowed = "any"
height = "3.4 m"
span = "3 m"
mantel_shelf = "1.2 m"
clear_width = "4 m"
circulation = "none"
marks_last_year = 0
""",
    """
[[wall]]
id = "dining-west"
room = "dining"
side = "west"
outside = true
u_value = "1.2 W/m2/K"
build = "brick"
fixings_allowed = "any"
height = "3.4 m"
span = "5 m"
clear_width = "3 m"
circulation = "passing"
marks_last_year = 1
tables = { edge_to_wall = "1.2 m", seatings_per_year = 900, chair_back = "0.95 m" }
""",
    """
[[wall]]
id = "passage-south"
room = "passage"
side = "south"
outside = false
build = "lath_plaster"
fixings_allowed = "rail_only"
picture_rail = "2.4 m"
height = "3 m"
span = "6 m"
clear_width = "1.6 m"
circulation = "passing"
""",
    """
[[wall]]
id = "passage-end"
room = "passage"
side = "east"
outside = false
build = "gypsum_stud"
fixings_allowed = "any"
height = "3 m"
span = "1.6 m"
clear_width = "8 m"
circulation = "none"
marks_last_year = 0
""",
]

FEATURES = [
    """
[[heat_source]]
id = "fire"
room = "dining"
kind = "hearth"
used = "seasonal"
fires_per_year = 60
power = "6 kW"
wall = "over-mantel"
below_wall = "over-mantel"
side = "east"
at = "1 m"
width = "1 m"
top = "1 m"
shelf_depth = "0.2 m"
flue = "damper"
""",
    """
[[opening]]
id = "garden-window"
kind = "window"
room = "dining"
side = "south"
at = "2 m"
size = "2 m x 1.5 m"
sill = "0.8 m"
bearing = "180 deg"
glass = "single"
film = "none"
""",
    """
[[opening]]
id = "dining-door"
kind = "inside_door"
room = "dining"
side = "north"
at = "1 m"
clear = "2.05 m x 0.85 m"
leaf_width = "0.85 m"
hinge = "left"
opens = "in"
opens_to = "90 deg"
stop = true
opens_per_day = 80
leads_to = "passage"
""",
    """
[[opening]]
id = "front-door"
kind = "outside_door"
room = "passage"
side = "north"
at = "0.5 m"
clear = "2.1 m x 1.0 m"
leaf_width = "1.0 m"
hinge = "left"
opens = "in"
opens_to = "90 deg"
stop = true
opens_per_day = 100
leads_to = "outside"
""",
    """
[[lamp]]
id = "dining-lamps"
kind = "led"
room = "dining"
lux_at_wall = "60 lx"
hours_per_day = "6 h"
days_per_year = 300
""",
    """
[[lamp]]
id = "passage-lamps"
kind = "halogen"
room = "passage"
lux_at_wall = "120 lx"
hours_per_day = "10 h"
days_per_year = 300
""",
]

WORKS = [
    """
[[work]]
id = "lime-avenue"
kind = "painting_canvas"
medium = "oil-on-canvas"
framed = "0.9 m x 1.1 m"
image = "0.7 m x 0.9 m"
depth = "60 mm"
mass = "12 kg"
mass_known = "weighed"
frame = "plain_wood"
glazing = "none"
backing = "board"
hanging = "plates"
condition = "sound"
now_at = "dining-west"
""",
    """
[[work]]
id = "pressed-ferns"
kind = "paper"
medium = "watercolour"
framed = "0.5 m x 0.4 m"
depth = "30 mm"
mass = "3 kg"
mass_known = "weighed"
frame = "plain_wood"
glazing = "glass"
hanging = "plates"
condition = "sound"
now_at = "passage-end"
""",
    """
[[work]]
id = "seed-merchant"
kind = "panel"
medium = "oil-on-panel"
species = "oak"
thickness = "12 mm"
framed = "0.8 m x 0.6 m"
depth = "70 mm"
mass = "9 kg"
mass_known = "weighed"
frame = "composition"
hanging = "plates"
condition = "sound"
""",
]


@lru_cache
def library():
    return load_library()


def text(rooms=ROOMS, walls=WALLS, features=FEATURES, works=WORKS):
    return BASE + "".join([*rooms, *walls, *features, *works])


def survey(written=None):
    """The survey of a text, read from a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "survey.toml").write_text(text() if written is None else written, "utf-8")
        return read_survey(Path(folder))


def _wave(hours, period_h, peak_h):
    return np.cos(2 * np.pi * (hours - peak_h) / period_h)


@lru_cache(maxsize=64)
def record(place, *, years=1.0, swing=1.0, light=1.0, damp=0.0, noise=0):
    """A year of a place in hours: a season, a day, spells of some days; all by formulas and a few dice."""
    hours = np.arange(round(8760 * years))
    outside, fire = place == "dining-west", place == "over-mantel"
    dice = np.random.default_rng(sum(map(ord, place)) + noise)
    spells = np.repeat(dice.normal(0.0, 1.0, 8760 // 60 + 1), 60)[:8760]
    spells = np.tile(spells, round(np.ceil(years)))[: len(hours)]
    season, day = _wave(hours, 8760.0, 4900.0), _wave(hours, 24.0, 15.0)
    temperature = 19.0 + swing * ((4.0 if outside else 2.5) * season + (1.5 if fire else 0.7) * day)
    humidity = 50.0 + damp + swing * (8.0 * season - 2.0 * day + 3.0 * spells)
    sun = np.clip(_wave(hours, 24.0, 12.5) + 0.25 * season - 0.1, 0.0, None)
    share = 500.0 if place.startswith("dining") else 60.0 if place == "over-mantel" else 15.0
    lit = ((hours % 24) >= 9) & ((hours % 24) < 21)
    lux = light * (share * sun + 50.0 * lit)
    times = FIRST + hours.astype("timedelta64[h]").astype("timedelta64[s]")
    rows = (
        ("temperature", "degC", temperature, 0.5),
        ("humidity", "%", np.clip(humidity, 1.0, 100.0), 3.0),
        ("light", "lx", lux, 0.1),
    )
    channels = {
        role: Channel(
            role=role,
            sensor=None,
            unit=unit,
            unit_in_file=unit,
            times=times,
            values=values,
            excluded=np.zeros(len(times), bool),
            flags=(),
            utc=True,
            logger=f"logger-{place}",
            accuracy=accuracy,
        )
        for role, unit, values, accuracy in rows
    }
    return Record(place=place, channels=channels, zone="Europe/London")


def case(surveyed, work, place, *, records=record, stay=None, measures=()):
    """One work at one wall, with a record at every wall."""
    subject = surveyed.works[work]

    def site(name):
        where = surveyed.places[name]
        return Site(
            place=where,
            room=surveyed.room_of(where),
            building=surveyed.building_of(where),
            read=lambda: records(name),
        )

    return Case(
        survey=surveyed,
        library=library(),
        work=subject,
        medium=library().media[subject.medium],
        guideline=library().guidelines[surveyed.head.guideline],
        site=site(place),
        present=None if subject.now_at is None else site(subject.now_at),
        stay=stay or Stay(START),
        draws=Draws(seed=3, count=COUNT),
        measures=frozenset(measures),
    )

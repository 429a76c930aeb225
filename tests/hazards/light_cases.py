"""Cases of light: a room of the Orangery with a window in the south, a wall opposite, logs and readings."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np

from stillwall.case import Case, Site, Stay
from stillwall.draws import Draws
from stillwall.exposure.local_clock import local_seconds
from stillwall.record import Record
from stillwall.reference.library import load_library
from stillwall.survey.features import Lamp, Opening
from stillwall.survey.loggers import LightReading
from stillwall.survey.places import Building, Room, Wall
from stillwall.survey.survey import Survey, SurveyHead
from stillwall.survey.works import Work
from stillwall.units import Size
from tests.exposure.light_records import clock, record_of

FIRST_DAY = 20_089
"""1 January 2025."""
ORANGERY = Building(
    id="orangery", latitude=52.4, longitude=4.9, timezone="Europe/Amsterdam", open_hours="09:00 to 18:00"
)
ROOM = Room(id="fern-room", building="orangery", size=Size(3.4, 6.0, 4.0), bearing_deg=0.0)
WALL = Wall(id="fern-north", room="fern-room", side="north", at_m=1.0, span_m=4.0, height_m=3.0)
SOUTH_WINDOW = Opening(
    id="south-window",
    kind="window",
    room="fern-room",
    side="south",
    at_m=2.4,
    size=Size(2.0, 1.2),
    sill_m=0.9,
    reveal_m=0.2,
    bearing_deg=180.0,
    obstruction_deg=3.0,
    glass="single",
    film="none",
)
NORTH_WINDOW = replace(SOUTH_WINDOW, id="north-window", side="north", bearing_deg=0.0)
WORK = Work(id="fern-study", kind="paper", medium="watercolour", framed=Size(0.6, 0.5), glazing="none")


def lit(days=365, level=60.0, *, start=0, lamp=0.0, step_s=900, sun_lux=0.0, **more):
    """A log of ``days``: an even sky at ``level`` lux at its best, lamps from 17 to 22 h."""
    seconds = clock(FIRST_DAY + start, days, step_s)
    day = (seconds / 86_400.0) % 365.25
    hour = (seconds / 3600.0 + 4.9 / 15.0) % 24.0 - 12.0
    tilt = np.radians(23.44) * np.sin(2 * np.pi * (day + 284.0) / 365.25)
    latitude = np.radians(ORANGERY.latitude)
    noonward = np.cos(np.pi * hour / 12.0)
    height = np.sin(latitude) * np.sin(tilt) + np.cos(latitude) * np.cos(tilt) * noonward
    lux = level * np.maximum(height, 0.0)
    clock_h = (local_seconds(seconds, ORANGERY.timezone) / 3600.0) % 24.0
    lux = lux + np.where((clock_h >= 17.0) & (clock_h < 22.0), lamp, 0.0)
    if sun_lux:
        # Sun on the sensor about noon in the winter months, on every other day.
        clear = seconds // 86_400 % 2 == 0
        lux = lux + np.where((np.abs(hour) < 0.8) & (height > 0.15) & (height < 0.35) & clear, sun_lux, 0.0)
    return record_of(seconds, lux, **more)


def survey_of(
    *, windows=(SOUTH_WINDOW,), lamps=(), room=ROOM, wall=WALL, building=ORANGERY, uv_limit=75, work=WORK
):
    """A survey of one room with one wall and one work."""
    return Survey(
        folder=Path(),
        head=SurveyHead(name="Larkmoor Botanical Society", uv_limit=uv_limit),
        buildings={building.id: building},
        rooms={room.id: room},
        walls={wall.id: wall},
        pedestals={},
        holding_places={},
        openings={window.id: window for window in windows},
        lamps={lamp.id: lamp for lamp in lamps},
        heat_sources={},
        routes={},
        works={work.id: work},
        loggers={},
    )


def case_of(
    record=None, *, survey=None, work=WORK, stay=None, measures=(), place=None, seed=0, **survey_facts
):
    """One work at the wall, with the facts of :func:`survey_of`."""
    survey = survey or survey_of(work=work, **survey_facts)
    wall = place or next(iter(survey.walls.values()))
    library = load_library()
    record = Record(wall.id, {}) if record is None else record
    return Case(
        survey=survey,
        library=library,
        work=work,
        medium=library.media[work.medium],
        guideline=library.guidelines["bizot-2023"],
        site=Site(wall, survey.room_of(wall), survey.building_of(wall), lambda: record),
        present=None,
        stay=stay or Stay(dt.date(2026, 1, 1)),
        draws=Draws(seed),
        measures=frozenset(measures),
    )


def reading(when, lux, sky=None, lamps="off", uv=None):
    """One hand-held reading."""
    return LightReading(at=dt.datetime.fromisoformat(when), lux=lux, sky=sky, lamps=lamps, uv=uv)


LAMP = Lamp(id="spot", kind="led", room="fern-room", lux_at_wall=60.0, hours="17:00 to 22:00")

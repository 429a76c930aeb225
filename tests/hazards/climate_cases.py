"""Cases for the climate hazards: one work at one wall, with records made of plain formulas."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np

from stillwall.case import Case, Site, Stay
from stillwall.draws import Draws
from stillwall.record import Channel, Record
from stillwall.reference.library import load_library
from stillwall.survey.survey import Building, Room, Survey, SurveyHead, Wall
from stillwall.survey.works import Work

START = np.datetime64("2025-01-01T00:00:00", "s")
YEAR_H = 8760


def hours(count: int = YEAR_H, step_s: int = 3600, start: np.datetime64 = START) -> np.ndarray:
    return start + np.arange(0, count * 3600, step_s).astype("timedelta64[s]")


def channel(role, times, values, *, logger="hall", accuracy=0.0, excluded=None) -> Channel:
    times = np.asarray(times)
    values = np.broadcast_to(np.asarray(values, float), times.shape).copy()
    return Channel(
        role=role,
        sensor=None,
        unit="degC" if role in ("temperature", "surface_temperature", "dew_point") else "%",
        unit_in_file="",
        times=times,
        values=values,
        excluded=np.zeros(len(times), bool) if excluded is None else excluded,
        flags=(),
        utc=False,
        logger=logger,
        accuracy=accuracy,
    )


def record(
    temperature=20.0,
    humidity=50.0,
    times=None,
    *,
    place="north-wall",
    logger="hall",
    accuracy=(0.0, 0.0),
    outdoors=None,
    **others,
) -> Record:
    times = hours() if times is None else times
    channels = {}
    if temperature is not None:
        channels["temperature"] = channel(
            "temperature", times, temperature, logger=logger, accuracy=accuracy[0]
        )
    if humidity is not None:
        channels["humidity"] = channel("humidity", times, humidity, logger=logger, accuracy=accuracy[1])
    for role, values in others.items():
        channels[role] = channel(role, times, values, logger=logger)
    return Record(place=place, channels=channels, outdoors=outdoors)


def outdoor(temperature, times=None) -> Record:
    times = hours() if times is None else times
    return Record(place="outdoors", channels={"temperature": channel("temperature", times, temperature)})


def site(made: Record, **wall) -> Site:
    place = Wall(id=made.place, room="hall", **({"outside": False} | wall))
    building = Building(id="seed-hall", latitude=52.0)
    return Site(place=place, room=Room(id="hall", building="seed-hall"), building=building, read=lambda: made)


def survey() -> Survey:
    return Survey(
        folder=Path(),
        head=SurveyHead(name="Larkmoor Botanical Society"),
        buildings={},
        rooms={},
        walls={},
        pedestals={},
        holding_places={},
        openings={},
        lamps={},
        heat_sources={},
        routes={},
        works={},
        loggers={},
    )


def case(
    at: Record,
    *,
    medium="oil-on-canvas",
    guideline="bizot-2023",
    lived: Record | None = None,
    stay: Stay | None = None,
    measures=(),
    wall=None,
    count=1000,
    library=None,
    **work,
) -> Case:
    library = load_library() if library is None else library
    given = {"id": "flora", "kind": "painting_canvas", "medium": medium} | work
    return Case(
        survey=survey(),
        library=library,
        work=Work(**given),
        medium=library.media[medium],
        guideline=library.guidelines[guideline],
        site=site(at, **(wall or {})),
        present=None if lived is None else site(lived),
        stay=stay or Stay(dt.date(2026, 1, 1)),
        draws=Draws(seed=1, count=count),
        measures=frozenset(measures),
    )

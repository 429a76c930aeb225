"""Which logger hangs where, what it reads there, and what is wrong with its file.

A sensor follows the air with a first-order lag, has a calibration error of its own, a little noise and the
resolution of its display. At a wall above a fire the air is that of the room, warmed by the fire's gases and
the breast (minutes to rise, an hour or more to fall) and holding the same water.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from . import faults, styles
from .building import Climate, follow_up, outside_wall_surface, simulate
from .clock import STEP_S, Floats, Times, grid, local
from .faults import Readings
from .occupancy import Calendar, Use, make_calendar, make_uses
from .sun import Sky, make_sky
from .walls import WALLS, illuminance_lux
from .weather import Weather, dew_point_c, make_weather, saturation_g_m3

SEED = 20261031


@dataclass(frozen=True)
class World:
    """Everything that is true, on one grid."""

    times: Times
    weather: Weather
    sky: Sky
    calendar: Calendar
    uses: dict[str, Use]
    rooms: dict[str, Climate]

    def between(self, begin: str, end: str, minutes: int) -> slice:
        """The grid's steps from begin to end (UTC, end left out) at an interval."""
        first = int((np.datetime64(begin) - self.times[0]) / np.timedelta64(STEP_S, "s"))
        last = int((np.datetime64(end) - self.times[0]) / np.timedelta64(STEP_S, "s"))
        return slice(first, last, minutes * 60 // STEP_S)


def make_world(seed: int = SEED) -> World:
    """Simulate the weather, the people and the rooms."""
    times = grid()
    weather = make_weather(times, seed)
    sky = make_sky(weather)
    uses = make_uses(times, seed + 1)
    return World(times, weather, sky, make_calendar(times), uses, simulate(weather, sky, uses))


@dataclass(frozen=True)
class Sensor:
    """Errors of one sensor of temperature and humidity."""

    number: int
    temperature_error_k: float
    humidity_error_pct: float
    lag_min: float = 10.0

    def read(self, temperature_c: Floats, vapour_g_m3: Floats, when: slice) -> tuple[Floats, Floats]:
        """What it shows of air with this temperature and this much water, at the steps of ``when``."""
        rng = np.random.Generator(np.random.PCG64(SEED + self.number))
        humidity = np.minimum(100 * vapour_g_m3 / saturation_g_m3(temperature_c), 99.6)
        shown_t = follow_up(temperature_c, self.lag_min, self.lag_min)[when]
        shown_h = follow_up(humidity, self.lag_min, self.lag_min)[when]
        shown_t = shown_t + self.temperature_error_k + 0.03 * rng.standard_normal(len(shown_t))
        shown_h = shown_h + self.humidity_error_pct + 0.15 * rng.standard_normal(len(shown_h))
        return shown_t, np.clip(shown_h, 0.0, 99.9)


def above_fire(world: World, room: str, share: float, rise_min: float, fall_min: float) -> Floats:
    """Temperature where a share of the fire's warmth is felt. [degC]"""
    return world.rooms[room].temperature_c + follow_up(share * world.uses[room].fire, rise_min, fall_min)


def light_seen(world: World, wall: str, when: slice, offset: float, full_scale: float) -> Floats:
    """What a light sensor shows: a small offset in the dark, a top that it cannot pass. [lx]"""
    index = sorted(WALLS).index(wall)
    truth = illuminance_lux(WALLS[wall], world.sky, world.calendar, SEED + 500 + index)[when]
    rng = np.random.Generator(np.random.PCG64(SEED + 700 + index))
    shown = truth * (1.02 + 0.01 * rng.standard_normal(len(truth))) + offset
    return np.minimum(shown, full_scale)


YEAR = ("2025-09-30T00:00", "2026-11-01T00:00")
LONG = ("2024-08-01T00:00", "2026-11-01T00:00")


def outdoor(world: World) -> bytes:
    """27 months outdoors, hourly, UTC; thirty hours are missing after a storm."""
    when = world.between(*LONG, 60)
    shown = Sensor(1, 0.1, 0.8, 15).read(world.weather.temperature_c, world.weather.vapour_g_m3, when)
    readings = faults.gap(Readings(world.times[when], shown), "2026-01-24T09:00", "2026-01-25T15:00")
    return styles.iso_zulu(readings, "Larkmoor walled garden")


def gallery(world: World) -> bytes:
    """27 months in the gallery, hourly; a stuck spell, a spike, a flat battery, the clock of the house."""
    when = world.between(*LONG, 60)
    room = world.rooms["orangery-gallery"]
    shown = Sensor(2, -0.1, -0.6).read(room.temperature_c, room.vapour_g_m3, when)
    readings = Readings(local(world.times[when]), shown)
    readings = faults.stuck(readings, 1, "2025-03-03T05:00", 58)
    readings = faults.spike(readings, 0, "2025-12-11T14:00", 14.0)
    readings = faults.gap(readings, "2025-06-11T10:00", "2025-06-16T09:00")
    return styles.continental(readings, "Orangery gallery, pier between the windows", "LB-0312")


def library(world: World) -> bytes:
    """Thirteen months in the library every 20 minutes: over the mantel (A) and on the facing wall (B)."""
    when = world.between(*YEAR, 20)
    vapour = world.rooms["library"].vapour_g_m3
    mantel = Sensor(3, 0.15, 0.9).read(above_fire(world, "library", 1.0, 35, 75), vapour, when)
    facing = Sensor(4, -0.05, -0.4).read(above_fire(world, "library", 0.07, 15, 30), vapour, when)
    readings = Readings(local(world.times[when]), (*mantel, *facing))
    readings = faults.spike(readings, 3, "2026-02-17T11:00", 31.0)
    return styles.split_month_first(readings, ("A", "B"))


def drawing_light(world: World) -> bytes:
    """A year and a week of light on the west wall every 15 minutes; the cell tops out in the sun."""
    when = world.between("2025-10-25T00:00", YEAR[1], 15)
    shown = light_seen(world, "drawing-west", when, 1.4, 10_000.0)
    readings = faults.gap(Readings(world.times[when], (shown,)), "2026-04-03T08:15", "2026-04-12T16:30")
    return styles.tabbed_lux(readings, "Drawing room, west wall", "C 7")


def lobby(world: World) -> bytes:
    """Thirteen months beside the outer door every 15 minutes, seconds since 1970."""
    when = world.between(*YEAR, 15)
    room = world.rooms["seed-lobby"]
    shown = Sensor(5, 0.05, 0.5, 4.0).read(room.temperature_c, room.vapour_g_m3, when)
    return styles.epoch(Readings(world.times[when], shown))


def reading_house(world: World) -> bytes:
    """Four rooms of the Reading House in one hourly file."""
    when = world.between(*YEAR, 60)
    columns: list[Floats] = []
    for number, room in enumerate(("reading-hall", "dining-room", "landing", "drawing-room"), start=6):
        air = world.rooms[room]
        errors = ((0.1, -0.8), (-0.15, 0.6), (0.0, 0.3), (0.1, -0.2))[number - 6]
        columns += Sensor(number, *errors).read(air.temperature_c, air.vapour_g_m3, when)
    readings = faults.gap(
        Readings(local(world.times[when]), tuple(columns)), "2026-05-19T11:00", "2026-05-20T10:00"
    )
    return styles.many_sensors(readings, ("S1", "S2", "S3", "S4"))


def drawing_overmantel(world: World) -> bytes:
    """Over the hearth that is said to be decorative, every 30 minutes; three readings are no readings."""
    when = world.between(*YEAR, 30)
    vapour = world.rooms["drawing-room"].vapour_g_m3
    shown = Sensor(10, 0.05, 0.4).read(above_fire(world, "drawing-room", 1.0, 35, 75), vapour, when)
    readings = faults.sentinel(Readings(local(world.times[when]), shown), 1, "2026-03-08T13:00", 3, -999.9)
    return styles.plain(readings)


def meeting_room(world: World) -> bytes:
    """The dais, and 20 mm from the outside north wall, hourly."""
    when = world.between(*YEAR, 60)
    room = world.rooms["meeting-room"]
    surface = outside_wall_surface(room, world.weather, 0.62)
    near_wall = surface + 0.35 * (room.temperature_c - surface)
    dais = Sensor(11, 0.1, 0.5).read(room.temperature_c, room.vapour_g_m3, when)
    north = Sensor(12, -0.1, -0.7).read(near_wall, room.vapour_g_m3, when)
    readings = Readings(local(world.times[when]), (*dais, *north))
    return styles.month_names(readings, ("Dais", "North"))


def store(world: World) -> bytes:
    """The store, hourly with dew point and battery, until the logger fell silent in June."""
    when = world.between("2025-09-30T09:00", "2026-06-17T03:00", 60)
    room = world.rooms["seed-store"]
    temperature, humidity = Sensor(13, 0.0, 0.7).read(room.temperature_c, room.vapour_g_m3, when)
    dew = dew_point_c(humidity / 100 * saturation_g_m3(temperature), temperature)
    battery = np.linspace(3.31, 2.71, len(dew))
    readings = Readings(local(world.times[when]), (temperature, humidity, dew, battery))
    return styles.with_dew_point(readings, "Seed Hall store, rack B", 3380)


def corridor(world: World) -> bytes:
    """Five weeks of the corridor, hourly, one value a row."""
    when = world.between("2026-03-02T00:00", "2026-04-06T00:00", 60)
    room = world.rooms["seed-corridor"]
    shown = Sensor(14, 0.2, 1.1).read(room.temperature_c, room.vapour_g_m3, when)
    readings = Readings(world.times[when], shown)
    return styles.long_form(readings, "K1", (("temperature", "degC", 1), ("humidity", "%", 1)))


def gallery_light(world: World) -> bytes:
    """Six weeks of summer light on the gallery's north wall every 20 minutes, in foot-candles."""
    return _gallery_light(world, "2026-05-11T00:00", "2026-06-22T00:00")


def gallery_december(world: World) -> bytes:
    """The same for four weeks of December."""
    return _gallery_light(world, "2025-12-01T00:00", "2025-12-29T00:00")


def _gallery_light(world: World, begin: str, end: str) -> bytes:
    when = world.between(begin, end, 20)
    shown = light_seen(world, "orangery-north", when, 0.0, 20_000.0)
    return styles.foot_candles(
        Readings(local(world.times[when]), (shown,)), "Gallery north wall, at the picture"
    )


def ballroom_light(world: World) -> bytes:
    """Six weeks of light on the ballroom's north wall every 15 minutes."""
    when = world.between("2026-02-02T00:00", "2026-03-16T00:00", 15)
    shown = light_seen(world, "ballroom-north", when, 0.4, 20_000.0)
    return styles.sixteen_bit(Readings(world.times[when], (shown,)), "Ballroom, north wall, 2.3 m")


def landing_light(world: World) -> bytes:
    """Five weeks of summer light on the stair landing every 30 minutes, one value a row."""
    return _landing_light(world, "2026-06-01T00:00", "2026-07-06T00:00")


def landing_december(world: World) -> bytes:
    """The same for four weeks of December."""
    return _landing_light(world, "2025-12-01T00:00", "2025-12-29T00:00")


def _landing_light(world: World, begin: str, end: str) -> bytes:
    when = world.between(begin, end, 30)
    shown = light_seen(world, "stair-landing", when, 0.0, 20_000.0)
    return styles.long_form(Readings(local(world.times[when]), (shown,)), "K4", (("illuminance", "lx", 1),))


def library_light(world: World) -> bytes:
    """Four weeks of summer light on the wall facing the hearth every 30 minutes."""
    return _library_light(world, "2026-06-01T00:00", "2026-06-29T00:00")


def library_december(world: World) -> bytes:
    """The same for December."""
    return _library_light(world, "2025-12-01T00:00", "2025-12-29T00:00")


def _library_light(world: World, begin: str, end: str) -> bytes:
    when = world.between(begin, end, 30)
    shown = light_seen(world, "library-facing", when, 0.0, 10_000.0)
    return styles.tabbed_lux(Readings(world.times[when], (shown,)), "Library, south wall", "C 9")


DOWNLOADS = (
    "2025-09-30", "2025-11-03", "2025-12-01", "2026-01-07", "2026-02-02", "2026-03-02", "2026-04-01",
    "2026-05-05", "2026-06-02", "2026-07-01", "2026-08-04", "2026-09-01", "2026-10-05", "2026-11-01",
)  # fmt: skip


def ballroom(world: World) -> Iterator[tuple[str, bytes]]:
    """The ballroom's monthly downloads, hourly; each begins three days before the one before it ended."""
    when = world.between(*YEAR, 60)
    room = world.rooms["ballroom"]
    shown = Sensor(15, -0.2, 1.0).read(room.temperature_c, room.vapour_g_m3, when)
    whole = Readings(local(world.times[when]), shown)
    for number, (begin, end) in enumerate(pairwise(DOWNLOADS)):
        first = np.datetime64(begin) - np.timedelta64(3 if number else 0, "D")
        last = np.datetime64(end) + np.timedelta64(10, "h")
        part = (whole.times >= first) & (whole.times < last)
        readings = Readings(whole.times[part], tuple(column[part] for column in whole.columns))
        battery = f"{3.58 - 0.02 * number:.2f}"
        name = f"ballroom-{begin[:7]}.csv"
        yield name, styles.twelve_hour(readings, "Ballroom, east pier", "2207", battery)


FILES: dict[str, Callable[[World], bytes]] = {
    "outdoor.csv": outdoor,
    "gallery.csv": gallery,
    "gallery-north-light.csv": gallery_light,
    "gallery-north-light-december.csv": gallery_december,
    "ballroom-north-light.csv": ballroom_light,
    "reading-house.csv": reading_house,
    "library.csv": library,
    "library-facing-light.csv": library_light,
    "library-facing-light-december.csv": library_december,
    "landing-light.csv": landing_light,
    "landing-light-december.csv": landing_december,
    "drawing-overmantel.csv": drawing_overmantel,
    "drawing-west-light.csv": drawing_light,
    "lobby.csv": lobby,
    "meeting-room.csv": meeting_room,
    "corridor.csv": corridor,
    "store.csv": store,
}


def make_files(world: World) -> dict[str, bytes]:
    """Every log file by name."""
    return {name: make(world) for name, make in FILES.items()} | dict(ballroom(world))

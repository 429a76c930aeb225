"""The demo is what its generator makes, and is what it says it is."""

from __future__ import annotations

import datetime as dt
import tomllib
import zoneinfo
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from pvlib import solarposition

from stillwall.logs.read import read_log
from stillwall.record import Channel
from stillwall.survey.read import read_survey

from . import clock, loggers, meter, occupancy, walls
from .loggers import World
from .sun import sun_position
from .weather import LATITUDE, LONGITUDE, saturation_g_m3

FOLDER = Path(__file__).parents[2] / "sample_logs"
MOST_BYTES = 6_000_000


@pytest.fixture(scope="module")
def world() -> World:
    return loggers.make_world()


@pytest.fixture(scope="module")
def made(world: World) -> dict[str, bytes]:
    return loggers.make_files(world)


@pytest.fixture(scope="module")
def survey() -> dict[str, Any]:
    return tomllib.loads((FOLDER / "survey.toml").read_text("utf-8"))


def _by_id(survey: dict[str, Any], table: str) -> dict[str, dict[str, Any]]:
    return {row["id"]: row for row in survey[table]}


def test_committed_logs_are_what_the_generator_makes(made: dict[str, bytes]) -> None:
    committed = {path.name: path.read_bytes() for path in (FOLDER / "logs").iterdir()}
    assert sorted(committed) == sorted(made)
    differing = [name for name, content in made.items() if committed[name] != content]
    assert differing == []


def test_the_generator_does_not_know_the_estimator() -> None:
    sources = [path for path in Path(__file__).parent.glob("*.py") if path != Path(__file__)]
    assert len(sources) >= 10
    assert not [path.name for path in sources if "stillwall" in path.read_text("utf-8")]


def test_the_folder_is_small_and_its_files_many() -> None:
    files = [FOLDER / "survey.toml", *(FOLDER / "logs").iterdir()]
    assert sum(path.stat().st_size for path in files) < MOST_BYTES
    assert len([path for path in files if path.suffix == ".csv"]) >= 16


def test_the_export_styles_differ(made: dict[str, bytes]) -> None:
    heads = {content[:3] for content in made.values()}
    assert b"\xef\xbb\xbf" in heads
    assert any(content.startswith(b"\xff\xfe") for content in made.values())
    text = {
        name: content.decode("utf-16" if content[:2] == b"\xff\xfe" else "latin-1")
        for name, content in made.items()
    }
    last = {name: lines.splitlines()[-5] for name, lines in text.items()}
    assert last["outdoor.csv"].split(",")[0].endswith("Z")
    assert last["gallery.csv"].count(";") == 2
    assert last["gallery.csv"].count(",") == 2
    assert last["library.csv"].count(",") == 5
    assert last["lobby.csv"].split(",")[0].isdigit()
    assert "\t" in last["drawing-west-light.csv"]
    assert "PM" in text["ballroom-2025-12.csv"]
    assert "°F" in made["ballroom-2025-12.csv"].decode("utf-8-sig")
    assert "Dew point" in text["store.csv"]
    assert text["store.csv"].count("Dew point") == 2
    assert "(fc)" in text["gallery-north-light.csv"]
    assert "illuminance" in last["landing-light.csv"]
    assert "Oct" in last["meeting-room.csv"]
    assert last["reading-house.csv"].count(";") == 8


@pytest.mark.parametrize(
    ("name", "rows"),
    [
        ("gallery.csv", 19_728 - 119),  # 822 days of hours less the flat battery
        ("outdoor.csv", 19_728 - 30),
        ("library.csv", 397 * 72),
        ("lobby.csv", 397 * 96),
        ("drawing-west-light.csv", 372 * 96 - 897),
        ("gallery-north-light.csv", 42 * 72),
        ("ballroom-north-light.csv", 42 * 96),
        ("landing-light.csv", 35 * 48),
        ("corridor.csv", 35 * 24 * 2),
    ],
)
def test_spans_are_those_that_the_demo_promises(made: dict[str, bytes], name: str, rows: int) -> None:
    encoding = "utf-16" if made[name][:2] == b"\xff\xfe" else "latin-1"
    lines = made[name].decode(encoding).splitlines()
    readings = [line for line in lines if line[:1] in '"0123456789' and line[1:2].isdigit()]
    assert len(readings) == rows


def test_the_last_reading_is_the_last_evening_of_october(made: dict[str, bytes]) -> None:
    assert made["gallery.csv"].decode("cp1252").splitlines()[-1].startswith("31.10.26 23:00;")
    assert made["outdoor.csv"].decode().splitlines()[-1].startswith("2026-10-31T23:00Z,")


def test_the_store_fell_silent_in_june(made: dict[str, bytes]) -> None:
    assert made["store.csv"].decode().splitlines()[-1].startswith("17/06/2026 03:00,")


def test_downloads_of_the_ballroom_overlap(made: dict[str, bytes]) -> None:
    first = set(made["ballroom-2025-11.csv"].decode("utf-8-sig").splitlines()[2:-1])
    second = set(made["ballroom-2025-12.csv"].decode("utf-8-sig").splitlines()[2:-1])
    assert len(first & second) == 3 * 24 + 10


def test_faults_are_there(made: dict[str, bytes]) -> None:
    gallery = [line.split(";") for line in made["gallery.csv"].decode("cp1252").splitlines()[6:]]
    stuck = [
        row[2] for row in gallery if row[0] >= "03.03.25" and row[0][3:8] == "03.25" and row[0][:2] < "06"
    ]
    longest = max(
        sum(1 for value in stuck[start : start + 58] if value == stuck[start])
        for start in range(len(stuck) - 57)
    )
    assert longest == 58
    stamps = [row[0] for row in gallery]
    assert stamps.count("25.10.26 01:00") == 2  # the hour that comes twice
    assert stamps.count("29.03.26 01:00") == 0  # the hour that never comes
    assert made["drawing-overmantel.csv"].decode().count("-999.9") == 3
    light = [line.split("\t")[1] for line in made["drawing-west-light.csv"].decode().splitlines()[4:]]
    assert light.count("10000") >= 20
    assert light.count("1") > 5_000
    assert light.count("0") == 0  # the night is never quite dark for this cell


def test_survey_holds_what_the_demo_promises(survey: dict[str, Any]) -> None:
    assert {row["id"] for row in survey["building"]} == {"orangery", "reading-house", "seed-hall"}
    assert len(survey["wall"]) >= 14
    assert len(survey["pedestal"]) == 2
    assert len(survey["place"]) == 2
    assert len({row["room"] for row in survey["wall"]}) >= 8
    assert len(survey["work"]) >= 12
    incoming = [row["id"] for row in survey["work"] if "arrives" in row]
    assert incoming == ["portrait-of-the-seedsman"]
    works = _by_id(survey, "work")
    assert works["founders-in-the-palm-house"]["image"] == "6 ft x 8 ft"
    assert works["founders-in-the-palm-house"]["frame"] == "composition"
    assert works["night-flowering-cereus"]["image"] == "6 ft x 9 ft"
    occupied = {row["now_at"] for row in survey["work"] if "now_at" in row}
    assert "orangery-north" in occupied


def test_every_log_is_listed_and_every_listed_log_is_there(
    survey: dict[str, Any], made: dict[str, bytes]
) -> None:
    listed = set()
    for row in [survey["survey"], *survey["room"], *survey["wall"], *survey["place"], *survey["pedestal"]]:
        for log in row.get("logs", []) + row.get("outdoor_logs", []):
            listed.add(log if isinstance(log, str) else log["file"])
    assert listed == {f"logs/{name}" for name in made}


def test_hand_held_readings_are_what_the_meter_showed(survey: dict[str, Any], world: World) -> None:
    rows = [*survey["wall"], *survey["pedestal"]]
    written = {row["id"]: row["light_readings"] for row in rows if "light_readings" in row}
    assert written == meter.readings(world)


def test_windows_of_the_survey_are_those_that_let_the_light_in(survey: dict[str, Any]) -> None:
    rooms = {
        "orangery-gallery": walls.GALLERY_PANES,
        "ballroom": walls.BALLROOM_PANES,
        "landing": walls.LANDING_PANES,
        "drawing-room": walls.DRAWING_PANES,
    }

    def metres(text: str) -> float:
        parts = text.split()
        inches = float(parts[0]) * 12 + (float(parts[2]) if len(parts) > 2 else 0)
        return inches * 0.0254

    for room, panes in rooms.items():
        windows = [row for row in survey["opening"] if row["kind"] == "window" and row["room"] == room]
        assert len(windows) == len(panes)
        for row, pane in zip(windows, panes, strict=True):
            height, width = row["size"].split(" x ")
            said = (metres(row["at"]), metres(width), metres(row["sill"]), metres(height))
            assert said == pytest.approx((pane.at, pane.width, pane.sill, pane.height))
            assert float(row["obstruction"].split()[0]) == pane.obstruction
            assert row["side"] == pane.side


def test_clock_changes_when_the_zone_does() -> None:
    # zoneinfo's copy of the IANA database; Dublin's winter time is UTC.
    zone = zoneinfo.ZoneInfo("Europe/Dublin")
    hours = np.arange(np.datetime64("2024-06-15T00:00:00"), clock.END, np.timedelta64(1, "h"))
    shown = clock.local(hours)
    for utc, wall in list(zip(hours.tolist(), shown.tolist(), strict=True))[::7]:
        assert utc.replace(tzinfo=dt.UTC).astimezone(zone).replace(tzinfo=None) == wall


def test_sun_stands_where_a_published_algorithm_says() -> None:
    # NREL's solar position algorithm as in pvlib; the almanac's formulas claim a hundredth of a degree.
    times = np.arange(
        np.datetime64("2026-01-01T00:10:00"), np.datetime64("2027-01-01"), np.timedelta64(97, "m")
    )
    elevation, azimuth = sun_position(times)
    index = pd.DatetimeIndex(times).tz_localize("UTC")
    published = solarposition.get_solarposition(index, LATITUDE, LONGITUDE)
    up = published["elevation"].to_numpy() > 2
    assert np.abs(elevation - published["elevation"].to_numpy())[up].max() < 0.02
    assert np.abs(azimuth - published["azimuth"].to_numpy())[up].max() < 0.03


def test_rooms_obey_the_balance_of_water(world: World) -> None:
    """Over a year a room holds the weather's water and its people's, less what the dehumidifier takes."""
    year = world.times >= np.datetime64("2025-10-31")
    outside = world.weather.vapour_g_m3[year].mean()
    for room, climate in world.rooms.items():
        inside = climate.vapour_g_m3[year].mean()
        assert outside - 1.5 < inside < outside + 3.0, room
        humidity = 100 * climate.vapour_g_m3 / saturation_g_m3(climate.temperature_c)
        assert humidity[year].min() > 15, room
        assert humidity[year].max() < 95, room


def test_fires_are_seen_where_they_burn(world: World) -> None:
    fires = {
        room: occupancy.fire_days(world.uses[room], world.calendar)
        for room in ("library", "drawing-room", "landing")
    }
    assert fires["library"] > 100  # two seasons and the beginning of a third
    assert 14 <= fires["drawing-room"] < 60  # said to be decorative
    assert fires["landing"] == 0
    warm = loggers.above_fire(world, "library", 1.0, 35, 75) - world.rooms["library"].temperature_c
    burning = world.uses["library"].fire > 0
    peaks = [
        float(warm[world.calendar.day == day].max())
        for day in np.unique(world.calendar.day[burning]).tolist()
    ]
    assert min(peaks) > 2.0
    assert max(peaks) < 7.5
    assert float(np.median(peaks)) == pytest.approx(4.5, abs=1.0)


def test_lobby_shows_the_door(world: World) -> None:
    """A busy hour in winter: steps towards outdoors of a kelvin and more within five minutes."""
    january = (world.times >= np.datetime64("2026-01-05")) & (world.times < np.datetime64("2026-02-02"))
    steps = np.diff(world.rooms["seed-lobby"].temperature_c[january])
    assert 100 < (steps < -1.0).sum() < 1_000
    assert (np.diff(world.rooms["orangery-gallery"].temperature_c[january]) < -1.0).sum() == 0


def test_same_seed_same_weather() -> None:
    again = loggers.make_weather(clock.grid()[:5_000], loggers.SEED)
    first = loggers.make_weather(clock.grid()[:5_000], loggers.SEED)
    assert np.array_equal(again.temperature_c, first.temperature_c)
    assert not np.array_equal(
        again.temperature_c, loggers.make_weather(clock.grid()[:5_000], loggers.SEED + 1).temperature_c
    )


def _channels(name: str) -> tuple[Channel, ...]:
    survey = read_survey(FOLDER)
    settings = survey.loggers.get(name)
    log = read_log(FOLDER / "logs" / name, name=f"logs/{name}", settings=settings, zone="Europe/Dublin")
    assert all(channel.utc for channel in log.channels)
    return log.channels


def _same_readings(channel: Channel, times: clock.Times, shown: clock.Floats, half_step: float) -> None:
    """Every reading that is kept is what the sensor showed at that moment, to half a step of its display."""
    kept, values = channel.kept
    common, there, here = np.intersect1d(kept, times.astype("datetime64[s]"), return_indices=True)
    assert len(common) == len(kept)
    assert len(kept) > 0.98 * len(times)
    assert np.abs(values[there] - shown[here]).max() <= half_step + 1e-9


def test_reader_finds_what_the_sensors_showed(world: World) -> None:
    """Clocks, units, sensors and faults of the files, against the simulation that they come from."""
    tenth_of_a_fahrenheit = 0.05 / 1.8
    vapour = {room: climate.vapour_g_m3 for room, climate in world.rooms.items()}
    when = world.between(*loggers.LONG, 60)
    gallery_room = world.rooms["orangery-gallery"]
    temperature, humidity = loggers.Sensor(2, -0.1, -0.6).read(
        gallery_room.temperature_c, gallery_room.vapour_g_m3, when
    )
    found = {channel.role: channel for channel in _channels("gallery.csv")}
    _same_readings(found["temperature"], world.times[when], temperature, 0.05)
    _same_readings(found["humidity"], world.times[when], humidity, 0.05)

    when = world.between(*loggers.YEAR, 20)
    mantel = loggers.above_fire(world, "library", 1.0, 35, 75)
    temperature, humidity = loggers.Sensor(3, 0.15, 0.9).read(mantel, vapour["library"], when)
    sensor_a = {channel.role: channel for channel in _channels("library.csv") if channel.sensor == "A"}
    _same_readings(sensor_a["temperature"], world.times[when], temperature, tenth_of_a_fahrenheit)
    _same_readings(sensor_a["humidity"], world.times[when], humidity, 0.05)

    when = world.between("2026-05-11T00:00", "2026-06-22T00:00", 20)
    light = loggers.light_seen(world, "orangery-north", when, 0.0, 20_000.0)
    (channel,) = _channels("gallery-north-light.csv")
    _same_readings(channel, world.times[when], light, 0.005 * 10.763910417)

    when = world.between(*loggers.YEAR, 60)
    ballroom = world.rooms["ballroom"]
    temperature, _ = loggers.Sensor(15, -0.2, 1.0).read(ballroom.temperature_c, ballroom.vapour_g_m3, when)
    for begin, end in zip(loggers.DOWNLOADS, loggers.DOWNLOADS[1:], strict=False):
        channel = _channels(f"ballroom-{begin[:7]}.csv")[0]
        month = (world.times[when] >= channel.times[0]) & (world.times[when] <= channel.times[-1])
        _same_readings(channel, world.times[when][month], temperature[month], tenth_of_a_fahrenheit)
        assert channel.times[-1] > np.datetime64(end) - np.timedelta64(1, "D")


def test_reader_knows_the_faults_that_were_put_there() -> None:
    def flags(name: str, role: str, sensor: str | None = None) -> dict[str, int]:
        for channel in _channels(name):
            if channel.role == role and channel.sensor == sensor:
                return {flag.name: flag.count for flag in channel.flags}
        raise AssertionError(f"{name} has no {role}")

    assert flags("gallery.csv", "temperature")["spike"] == 1
    assert 58 <= flags("gallery.csv", "humidity")["stuck"] <= 60
    assert flags("gallery.csv", "humidity")["gap"] == 1
    assert flags("library.csv", "humidity", "B")["spike"] == 1
    assert "spike" not in flags("library.csv", "temperature", "A")  # a fire is not a spike
    assert flags("drawing-overmantel.csv", "humidity")["no_reading"] == 3
    assert flags("drawing-west-light.csv", "light")["saturated"] >= 20
    assert flags("drawing-west-light.csv", "light")["night_offset"] > 5_000
    assert flags("lobby.csv", "temperature") == {}  # a door is not a fault

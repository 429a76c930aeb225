"""What is logged at a place: its own loggers for each quantity, else its room's."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from os import cpu_count
from pathlib import Path

import numpy as np

from stillwall.errors import Fault, LogError
from stillwall.exposure.moist_air import saturation_pressure
from stillwall.logs.join import join
from stillwall.logs.questions import ask, below_existing
from stillwall.logs.read import LogFile, read_log
from stillwall.record import Channel, Record, Role
from stillwall.survey.loggers import OFFSET_KINDS, LogFileRef, LoggerSettings
from stillwall.survey.paths import file_inside
from stillwall.survey.quantities import UnusableError
from stillwall.survey.survey import Building, Place, Survey
from stillwall.units import parse_quantity

_MOST_KEPT = 8
_kept: OrderedDict[tuple[object, ...], LogFile] = OrderedDict()


def read_record(survey: Survey, place: Place) -> Record:
    """The record of a place.

    Temperature, humidity, light and ultraviolet come each from the place's own loggers, else from its
    room's (``from_room``). Where only a dew point is logged beside the temperature, it is turned into
    relative humidity.

    Raises
    ------
    LogError
        If a file that the place rests on cannot be read, or leaves a question open.
    """
    building = survey.building_of(place)
    room = survey.room_of(place)
    zone = building.timezone if building is not None else None
    own = read_channels(survey, place.logs, zone)
    shared = read_channels(survey, room.logs, zone) if room is not None else {}
    from_room = frozenset(role for role in shared if role not in own)
    room_record = (
        Record(f"room:{room.id}", shared, frozenset(), zone) if room is not None and own and shared else None
    )
    outdoors = read_outdoor(survey, building) if building is not None or survey.head.outdoor_logs else None
    return Record(
        place.id,
        {**{role: channel for role, channel in shared.items() if role in from_room}, **own},
        from_room,
        zone,
        room_record,
        outdoors,
    )


def read_outdoor(survey: Survey, building: Building | None) -> Record | None:
    """What is logged outside a building (its own outdoor logs, else the survey's); None where nothing is."""
    logs = (
        building.outdoor_logs if building is not None and building.outdoor_logs else survey.head.outdoor_logs
    )
    if not logs:
        return None
    zone = building.timezone if building is not None else None
    channels = read_channels(survey, logs, zone)
    return Record("outdoors", channels, frozenset(), zone) if channels else None


def settings_of(survey: Survey, file: str) -> LoggerSettings | None:
    """What the survey settles about a log file, by its path as written or its name alone."""
    return survey.loggers.get(file) or survey.loggers.get(Path(file).name)


def read_file(survey: Survey, ref: LogFileRef, zone: str | None) -> LogFile:
    """One file of a survey, from memory where it was read just before."""
    settings = settings_of(survey, ref.file)
    try:
        path = file_inside(survey.folder, ref.file)
    except UnusableError as error:
        raise (
            LogError(Fault(ref.file, *map(str, error.args[:3])))
            if len(error.args) >= 3
            else LogError(
                Fault(ref.file, str(error), "a log file in the survey's folder", "correct the name")
            )
        ) from error
    about = path.stat()
    written = (about.st_ino, about.st_size, about.st_mtime_ns, about.st_ctime_ns)
    key = (path, written, repr(settings), zone)
    if key in _kept:
        _kept.move_to_end(key)
        return _kept[key]
    made = read_log(path, name=ref.file, settings=settings, zone=zone)
    _kept[key] = made
    while len(_kept) > _MOST_KEPT:
        _kept.popitem(last=False)
    return made


def read_channels(survey: Survey, refs: Sequence[LogFileRef], zone: str | None) -> dict[Role, Channel]:
    """Channels of some files by role, downloads joined, dew point turned into humidity."""
    if not refs:
        return {}
    if len(refs) == 1:
        files = [read_file(survey, refs[0], zone)]
    else:
        with ThreadPoolExecutor(max_workers=min(len(refs), cpu_count() or 1)) as pool:
            files = list(pool.map(lambda ref: read_file(survey, ref, zone), refs))
    by_role: dict[Role, list[Channel]] = {}
    for ref, file in zip(refs, files, strict=True):
        try:
            chosen = _chosen(survey, ref, file)
        except LogError as error:
            raise below_existing(error, ref.file) if settings_of(survey, ref.file) else error from None
        for channel in chosen:
            by_role.setdefault(channel.role, []).append(channel)
    joined = {role: join(_one_clock(channels)) for role, channels in by_role.items()}
    return _with_humidity(joined)


def _chosen(survey: Survey, ref: LogFileRef, file: LogFile) -> list[Channel]:
    settings = settings_of(survey, ref.file)
    wanted = ref.sensor or (settings.sensor if settings is not None else None)
    channels = list(file.channels)
    sensors = list(dict.fromkeys(channel.sensor for channel in channels if channel.sensor is not None))
    if wanted is not None:
        chosen = [channel for channel in channels if channel.sensor is None or _same(channel.sensor, wanted)]
        if sensors and not any(channel.sensor is not None for channel in chosen):
            raise ask(
                file.name, f"there is no sensor {wanted!r} in it", f"one of {', '.join(map(repr, sensors))}",
                sensor=sensors[0],
            )  # fmt: skip
        channels = chosen
    roles = [channel.role for channel in channels]
    if len(set(roles)) < len(roles):
        raise ask(
            file.name,
            f"it holds several sensors ({', '.join(sensors)})",
            "the sensor that hangs at this place",
            sensor=sensors[0],
            instead=f'or where the place names it: {{ file = "{ref.file}", sensor = "{sensors[0]}" }}',
        )
    return [_shifted(channel, ref) for channel in channels]


def _same(sensor: str, wanted: str) -> bool:
    return sensor.strip().lower() == wanted.strip().lower()


def _shifted(channel: Channel, ref: LogFileRef) -> Channel:
    logger = f"{channel.logger}#{channel.sensor}" if channel.sensor is not None else channel.logger
    channel = replace(channel, logger=logger)
    if ref.offset is None:
        return channel
    for role, kind in OFFSET_KINDS.items():
        if role != channel.role:
            continue
        try:
            added = parse_quantity(ref.offset, kind)
        except ValueError:
            return channel
        return replace(
            channel, values=channel.values + added, notes=(*channel.notes, f"offset of {ref.offset} added")
        )
    return channel


def _one_clock(channels: Sequence[Channel]) -> Sequence[Channel]:
    if len({channel.utc for channel in channels}) > 1:
        local = next(channel for channel in channels if not channel.utc)
        raise ask(
            local.files[0], "its clock is local while other downloads of this place are in UTC",
            "one clock, or the zone of each", zone="Europe/Dublin", instead="with the zone of the logger",
        )  # fmt: skip
    return channels


def _with_humidity(channels: Mapping[Role, Channel]) -> dict[Role, Channel]:
    """Relative humidity from dew point and temperature, where only the dew point is logged.

    Over liquid water, as hygrometers report it (Hyland and Wexler 1983, as in ``exposure.moist_air``).
    """
    made = dict(channels)
    if "humidity" in made or "dew_point" not in made or "temperature" not in made:
        return made
    dew, air = made["dew_point"], made["temperature"]
    common, at_dew, at_air = np.intersect1d(dew.times, air.times, assume_unique=True, return_indices=True)
    if len(common) == 0:
        return made
    dew_c, air_c = dew.values[at_dew], air.values[at_air]
    humidity = 100.0 * saturation_pressure(dew_c) / saturation_pressure(air_c)
    excluded = dew.excluded[at_dew] | air.excluded[at_air] | (humidity > 105.0)
    slope = 5.4e3 / (float(np.median(air_c)) + 273.15) ** 2 * float(np.median(humidity))
    made["humidity"] = replace(
        dew,
        role="humidity",
        unit="%",
        unit_in_file=f"dew point in {dew.unit_in_file}",
        times=common,
        values=humidity,
        excluded=excluded,
        flags=(),
        accuracy=float(np.hypot(dew.accuracy, air.accuracy) * slope),
        notes=(*dew.notes, "relative humidity worked out from dew point and temperature"),
    )
    return made

"""A check of loggers: what was read from each file, which place rests on it, what to find out first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from os import cpu_count
from pathlib import Path

import numpy as np

from stillwall.errors import LogError
from stillwall.logs.current import InUse, in_use
from stillwall.logs.gaps import coverage_by_month
from stillwall.logs.neighbours import shifts_in_rooms
from stillwall.logs.place import read_file, read_record, settings_of
from stillwall.logs.read import LogFile, read_log
from stillwall.record import Channel, Record, Role
from stillwall.survey.loggers import LogFileRef, LoggerSettings
from stillwall.survey.survey import Place, Survey

MONTHS_OF_A_YEAR = 12
CALIBRATION_YEARS = 1
"""Yearly calibration: common practice; ISO 11799 asks for it to be repeated."""
_MONTH_NAMES = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
                "October", "November", "December")  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class CheckedFile:
    """One file: its log, or why it cannot be read."""

    name: str
    log: LogFile | None
    error: LogError | None
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class CheckedPlace:
    """One place and its record, or why there is none."""

    place: Place
    record: Record | None


@dataclass(frozen=True, slots=True)
class Missing:
    """Something to find out or to do, and the places that wait for it."""

    what: str
    blocks: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Checkup:
    """All that ``stillwall check`` says. ``places`` is empty for files alone."""

    files: tuple[CheckedFile, ...]
    places: tuple[CheckedPlace, ...]
    missing: tuple[Missing, ...]

    def also_missing(self, more: Iterable[Missing]) -> Checkup:
        """The same with more to find out, after what the logs lack."""
        known = {missing.what for missing in self.missing}
        added = tuple(missing for missing in more if missing.what not in known)
        return replace(self, missing=self.missing + added)


def check_files(paths: Sequence[Path], zone: str | None = None) -> Checkup:
    """Check files alone, without a survey; a broken one leaves the others be."""

    def one(path: Path) -> CheckedFile:
        try:
            return CheckedFile(str(path), read_log(path, name=path.name, zone=zone), None)
        except LogError as error:
            return CheckedFile(str(path), None, error)

    with ThreadPoolExecutor(max_workers=max(1, min(len(paths), cpu_count() or 1))) as pool:
        files = tuple(pool.map(one, paths))
    missing: list[Missing] = []
    local = [
        file.name for file in files if file.log is not None and not all(c.utc for c in file.log.channels)
    ]
    if local and zone is None:
        missing.append(
            Missing("the time zone of the logger's clock (--timezone, such as Europe/Dublin)", tuple(local))
        )
    return Checkup(files, (), tuple(missing))


def check_survey(survey: Survey) -> Checkup:
    """Check every log of a survey, and what each place rests on."""
    refs: dict[str, tuple[LogFileRef, str | None, list[str]]] = {}
    for ref, zone, user in _uses(survey):
        refs.setdefault(ref.file, (ref, zone, []))[2].append(user)

    def one(entry: tuple[LogFileRef, str | None, list[str]]) -> CheckedFile:
        ref, zone, users = entry
        try:
            return CheckedFile(ref.file, read_file(survey, ref, zone), None, tuple(dict.fromkeys(users)))
        except LogError as error:
            return CheckedFile(ref.file, None, error, tuple(dict.fromkeys(users)))

    with ThreadPoolExecutor(max_workers=max(1, min(len(refs), cpu_count() or 1))) as pool:
        files = tuple(pool.map(one, refs.values()))
    places: list[CheckedPlace] = []
    open_questions: list[Missing] = []
    for place in survey.places.values():
        try:
            places.append(CheckedPlace(place, read_record(survey, place)))
        except LogError as error:
            places.append(CheckedPlace(place, None))
            if not any(file.error is not None and str(file.error) == str(error) for file in files):
                open_questions.append(Missing(str(error), (place.id,)))
    return Checkup(files, tuple(places), _missing(survey, files, places, open_questions))


def _uses(survey: Survey) -> list[tuple[LogFileRef, str | None, str]]:
    """Every log file that the survey names, with the zone of its building and the place it is for."""
    made: list[tuple[LogFileRef, str | None, str]] = []
    by_room: dict[str, list[str]] = {}
    by_building: dict[str, list[str]] = {}
    for place in survey.places.values():
        building = survey.building_of(place)
        zone = building.timezone if building is not None else None
        made += [(ref, zone, place.id) for ref in place.logs]
        if place.room is not None:
            by_room.setdefault(place.room, []).append(place.id)
        if building is not None:
            by_building.setdefault(building.id, []).append(place.id)
    for room in survey.rooms.values():
        building = survey.buildings.get(room.building)
        zone = building.timezone if building is not None else None
        for ref in room.logs:
            made += [(ref, zone, user) for user in by_room.get(room.id, [f"room {room.id}"])]
    for building in survey.buildings.values():
        users = by_building.get(building.id, [f"building {building.id}"])
        for ref in building.outdoor_logs or survey.head.outdoor_logs:
            made += [(ref, building.timezone, user) for user in users]
    return made


def _missing(
    survey: Survey, files: Sequence[CheckedFile], places: Sequence[CheckedPlace], questions: Sequence[Missing]
) -> tuple[Missing, ...]:
    made = list(questions)
    logs = {file.name: file.log for file in files if file.log is not None}
    last = max((c.times[-1] for log in logs.values() for c in log.channels), default=None)
    used = {} if last is None else in_use(_lists(survey), logs, last)
    for file in files:
        if file.error is not None:
            made.append(Missing(f"{file.name} cannot be used: {file.error.faults[0].found}", file.places))
        elif last is not None and file.name in used:
            made += _overdue(file, used[file.name], settings_of(survey, file.name), last)
    unclimated = [
        one.place.id for one in places if one.record is not None and "temperature" not in one.record
    ]
    if unclimated:
        made.append(Missing("temperature and humidity at the place or in its room", tuple(unclimated)))
    undry = [
        one.place.id for one in places
        if one.record is not None and "temperature" in one.record and "humidity" not in one.record
    ]  # fmt: skip
    if undry:
        made.append(Missing("humidity at the place or in its room", tuple(undry)))
    dark = [
        one.place.id for one in places
        if one.record is not None and "light" not in one.record and not one.place.light_readings
    ]  # fmt: skip
    if dark:
        made.append(
            Missing("light at the wall: a logger for some weeks, or readings with a light meter", tuple(dark))
        )
    made += _unseen(places)
    made += _shifted(places)
    zoneless = [
        one.place.id for one in places
        if one.record is not None and any(not channel.utc for channel in one.record.channels.values())
    ]  # fmt: skip
    if zoneless:
        made.append(Missing("timezone of the building, for clocks that do not say theirs", tuple(zoneless)))
    return tuple(sorted(made, key=lambda missing: -len(missing.blocks)))


def _lists(survey: Survey) -> list[Sequence[LogFileRef]]:
    """The files that the survey lists together, for a place, a room or outdoors."""
    return [
        *(place.logs for place in survey.places.values()),
        *(room.logs for room in survey.rooms.values()),
        *(building.outdoor_logs for building in survey.buildings.values()),
        survey.head.outdoor_logs,
    ]


def _overdue(
    file: CheckedFile, use: InUse, settings: LoggerSettings | None, last: np.datetime64
) -> list[Missing]:
    """What a logger in use is waiting for."""
    made: list[Missing] = []
    if use.silent_since is not None:
        made.append(
            Missing(
                f"{file.name} has been silent since {str(use.silent_since)[:10]}: fetch it, or end its use",
                file.places,
            )
        )
    if settings is None:
        return made
    today = last.astype("datetime64[D]").astype(dt.date)
    due = settings.calibration_due
    if due is None and settings.calibrated_on is not None:
        due = settings.calibrated_on + dt.timedelta(days=365 * CALIBRATION_YEARS + 1)
    if due is not None and due <= today:
        made.append(Missing(f"calibration of {file.name}, due {due.isoformat()}", file.places))
    if settings.battery_due is not None and settings.battery_due <= today:
        made.append(Missing(f"battery of {file.name}, due {settings.battery_due.isoformat()}", file.places))
    return made


def _unseen(places: Sequence[CheckedPlace]) -> list[Missing]:
    """Months of the year that nobody has logged, by the same set of months."""
    by_months: dict[tuple[str, tuple[int, ...]], list[str]] = {}
    for one in places:
        if one.record is None:
            continue
        for role in ("humidity",):
            channel = one.record.channels.get(role)
            if channel is None:
                continue
            seen = {int(month[5:7]) for month, share in coverage_by_month(channel).items() if share >= 0.5}
            lacking = tuple(month for month in range(1, MONTHS_OF_A_YEAR + 1) if month not in seen)
            if lacking:
                by_months.setdefault((role, lacking), []).append(one.place.id)
    return [
        Missing(f"humidity and temperature in {_months(lacking)}", tuple(ids))
        for (_, lacking), ids in by_months.items()
    ]  # fmt: skip


def _shifted(places: Sequence[CheckedPlace]) -> list[Missing]:
    """Sensors that have shifted against another of their room."""
    loggers: dict[tuple[str, str], tuple[str, str, Mapping[Role, Channel]]] = {}
    users: dict[str, list[str]] = {}
    for one in places:
        if one.record is None or one.place.room is None:
            continue
        room = one.record.room
        for record in (room, one.record) if room is not None else (one.record,):
            if "temperature" not in record or "humidity" not in record:
                continue
            name = " and ".join(record.channels["humidity"].files)
            loggers.setdefault((one.place.room, name), (one.place.room, name, record.channels))
            users.setdefault(name, []).append(one.place.id)
    return [
        Missing(
            f"calibration of {own} and {near}: their vapour pressures in one room step apart by "
            f"{100 * shift.ratio:+.0f} % from {shift.day} on, which air does not; one of them has shifted",
            tuple(dict.fromkeys((*users[own], *users[near]))),
        )
        for _, own, near, shift in shifts_in_rooms(list(loggers.values()))
    ]


def _months(months: Sequence[int]) -> str:
    names = [_MONTH_NAMES[month - 1] for month in months]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def kept_summary(channel: Channel) -> tuple[float, float, float] | None:
    """Least, mean and greatest of the readings that are not excluded; None where there are none."""
    _, values = channel.kept
    if len(values) == 0:
        return None
    return float(values.min()), float(values.mean()), float(values.max())

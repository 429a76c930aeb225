"""Places of a survey with what is logged there: read when needed, remembered between runs."""

from __future__ import annotations

import hashlib
from collections.abc import Hashable, Iterable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from importlib.metadata import version
from pathlib import Path
from typing import Any
from zoneinfo import TZPATH

import numpy as np

from stillwall.case import Site
from stillwall.errors import LogError
from stillwall.exposure.local_clock import local_seconds
from stillwall.logs.place import read_record, settings_of
from stillwall.record import Record
from stillwall.store import Store, code_digest, content_digest
from stillwall.survey.loggers import LogFileRef
from stillwall.survey.survey import HoldingPlace, Place, Survey
from stillwall.survey.works import Work

FOLDER = ".stillwall"
"""Folder beside the survey in which results are kept; it may be deleted at any time."""


def last_reading(record: Record) -> np.datetime64 | None:
    """Time of the last reading of a record, by the clock of the place where its zone is known."""
    ends = [
        local_seconds(channel.times[-1:].astype(np.int64), record.zone if channel.utc else None)[0]
        for channel in record.channels.values()
        if len(channel.times)
    ]
    return np.datetime64(int(max(ends)), "s") if ends else None


@dataclass(eq=False)
class Sites:
    """Every place of a survey as a site, opened when first asked for.

    ``problems`` says for a place which of its log files could not be used, and why.
    """

    survey: Survey
    store: Store | None = None
    problems: dict[str, str] = field(default_factory=dict)
    _open: dict[str, Site] = field(default_factory=dict)
    _keys: dict[str, tuple[str, int]] = field(default_factory=dict)
    _digests: dict[Path, str | None] = field(default_factory=dict)
    _states: dict[Path, tuple[int, ...] | None] = field(default_factory=dict)

    def at(self, place: Place) -> Site:
        """The site of a place."""
        if place.id not in self._open:
            memory = self._remembered(place)
            self._open[place.id] = Site(
                place=place,
                room=self.survey.room_of(place),
                building=self.survey.building_of(place),
                read=partial(self._read, place),
                memory=memory,
            )
        return self._open[place.id]

    def history(self, work: Work) -> Site | None:
        """Where a work has been living: the place or log that the survey names, or None."""
        name = work.history or work.now_at
        if name is None:
            return None
        if name in self.survey.places:
            return self.at(self.survey.places[name])
        return self.at(HoldingPlace(id=f"history-of-{work.id}"[:80], logs=(LogFileRef(file=name),)))

    def log_files(self, place: Place) -> tuple[Path, ...]:
        """The log files on which a place rests: its own, its room's, those outdoors."""
        refs = [*place.logs]
        room, building = self.survey.room_of(place), self.survey.building_of(place)
        if room is not None:
            refs += room.logs
        outdoors = building.outdoor_logs if building is not None else ()
        refs += outdoors or self.survey.head.outdoor_logs
        return tuple(dict.fromkeys(self.survey.folder / ref.file for ref in refs))

    def cold(self, places: Iterable[Place]) -> list[Place]:
        """Places of which nothing is remembered, so that their logs have to be read."""
        return [place for place in places if not self.at(place).memory]

    def forget(self, place: Place) -> None:
        """Let go of a place and its readings."""
        self._open.pop(place.id, None)

    def keep(self) -> None:
        """Remember what was computed since it was last kept. Places with a log in trouble are not kept."""
        if self.store is None:
            return
        for name, (key, known) in self._keys.items():
            memory = self._open[name].memory
            unchanged = all(
                _state(file) == self._states[file] for file in self.log_files(self._open[name].place)
            )
            if len(memory) > known and name not in self.problems and unchanged:
                self.store.save(name, key, memory)
                self._keys[name] = (key, len(memory))

    def _remembered(self, place: Place) -> dict[Hashable, Any]:
        if self.store is None:
            return {}
        key = self._key(place)
        if key is None:
            return {}
        memory = self.store.load(place.id, key)
        self._keys[place.id] = (key, len(memory))
        return memory

    def _key(self, place: Place) -> str | None:
        """Digest of all that the readings of a place depend on; None where a file cannot be read."""
        files = self.log_files(place)
        for file in files:
            if file not in self._digests:
                self._states[file] = _state(file)
                self._digests[file] = content_digest([file])
        digests = [self._digests[file] for file in files]
        if None in digests:
            return None
        room, building = self.survey.room_of(place), self.survey.building_of(place)
        outdoors = building.outdoor_logs if building else ()
        refs = (place.logs, room.logs if room else (), outdoors, self.survey.head.outdoor_logs)
        settings = [settings_of(self.survey, ref.file) for group in refs for ref in group]
        zone = None if building is None else building.timezone
        told = repr((code_digest(), digests, refs, settings, zone, zone_rules(zone)))
        return hashlib.sha256(told.encode()).hexdigest()

    def _read(self, place: Place) -> Record:
        """The record of a place. A file that cannot be used is left out and told; the others still count."""
        survey, here, broken = self.survey, place, set[str]()
        while True:
            try:
                return read_record(survey, here)
            except LogError as error:
                found = {fault.where.split(":")[0] for fault in error.faults} - broken
                told = self.problems.get(place.id, "")
                self.problems[place.id] = f"{told}\n{error}".strip()
                if not found:
                    return Record(place=place.id, channels={})
                broken |= found
                survey, here = _without(self.survey, broken), replace(place, logs=_kept(place.logs, broken))


@lru_cache(maxsize=32)
def zone_rules(zone: str | None) -> str:
    """Digest of what the machine knows of a time zone, whose rules change now and then."""
    if zone is None:
        return ""
    for folder in TZPATH:
        with suppress(OSError):
            return hashlib.sha256((Path(folder) / zone).read_bytes()).hexdigest()
    return version("tzdata")


def _state(file: Path) -> tuple[int, ...] | None:
    """What changes whenever a file is written, its content aside; None where there is none."""
    try:
        about = file.stat()
    except OSError:
        return None
    return about.st_ino, about.st_size, about.st_mtime_ns, about.st_ctime_ns


def _kept(refs: tuple[LogFileRef, ...], broken: set[str]) -> tuple[LogFileRef, ...]:
    return tuple(ref for ref in refs if ref.file not in broken)


def _without(survey: Survey, broken: set[str]) -> Survey:
    """The survey as if some log files had not been named in it."""
    rooms = {name: replace(room, logs=_kept(room.logs, broken)) for name, room in survey.rooms.items()}
    buildings = {
        name: replace(building, outdoor_logs=_kept(building.outdoor_logs, broken))
        for name, building in survey.buildings.items()
    }
    head = replace(survey.head, outdoor_logs=_kept(survey.head.outdoor_logs, broken))
    return replace(survey, rooms=rooms, buildings=buildings, head=head)

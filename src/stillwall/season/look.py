"""Rooms this season against last year's and against their bands: what needs a person, and what may wait."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from stillwall.phrases import date_words
from stillwall.record import Record
from stillwall.reference.library import Library
from stillwall.season.alerts import acknowledged, change_alerts, due, silent_loggers
from stillwall.season.channels import channel_season
from stillwall.season.model import QUANTITIES, Logged, Season, Spot, day_number
from stillwall.survey.survey import Place, Survey


def look(survey: Survey, library: Library, logged: Logged, season: Season) -> Spot:
    """One room or wall over a season: figures, change against last year, alerts."""
    guideline = library.guidelines[survey.head.guideline]
    left_out = _works_days(survey, logged)
    channels = tuple(
        made
        for role in QUANTITIES
        if (made := channel_season(library, logged.record, role, season, guideline, left_out)) is not None
    )
    alerts = [
        *change_alerts(library, logged, channels, season, survey.head.units),
        *silent_loggers(library, logged, season.end),
        *due(library, survey, logged, season.end),
    ]
    told = tuple(acknowledged(survey, alert, season.end) for alert in alerts)
    return Spot(
        room=logged.room,
        wall=logged.wall,
        season=season,
        channels=channels,
        alerts=tuple(sorted(told, key=lambda alert: (-alert.consequence, alert.id))),
        notes=tuple(_notes(survey, logged, season)),
    )


def _works_days(survey: Survey, logged: Logged) -> frozenset[int]:
    """Days of notes about this room or wall, left out of the comparison."""
    return frozenset(
        day
        for note in survey.notes
        if note.room == logged.room or (note.wall is not None and note.wall == logged.wall)
        for day in range(day_number(note.date), day_number(note.to or note.date) + 1)
    )


def _notes(survey: Survey, logged: Logged, season: Season) -> Iterator[str]:
    for note in survey.notes:
        here = note.room == logged.room or (note.wall is not None and note.wall == logged.wall)
        if here and note.date <= season.end and (note.to or note.date) >= season.start:
            yield f"{date_words(note.date)}: {note.text}"


def rooms_logged(
    survey: Survey, record_of: Callable[[Place], Record]
) -> Iterator[tuple[str, str | None, Record]]:
    """Each room with loggers, and each wall or pedestal with loggers of its own."""
    seen: set[str] = set()
    for place in survey.places.values():
        room = place.room
        if room is None:
            continue
        record = record_of(place)
        if room not in seen and survey.rooms[room].logs:
            seen.add(room)
            yield room, None, replace(record.room or record, outdoors=record.outdoors, zone=record.zone)
        if place.logs and any(role not in record.from_room for role in record.channels):
            own = {role: each for role, each in record.channels.items() if role not in record.from_room}
            yield room, place.id, replace(record, channels=own)

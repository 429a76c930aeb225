"""What needs a person: a change, a sensor that drifts, a logger that fell silent, something that is due."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from stillwall.exposure.local_clock import DAY_S
from stillwall.exposure.readings import readings
from stillwall.exposure.season_change import daily_means, drift
from stillwall.phrases import date_words
from stillwall.record import Channel, Role
from stillwall.reference.library import Library
from stillwall.season.model import QUANTITIES, Alert, ChannelSeason, Logged, Season, Spot, date_of
from stillwall.survey.survey import Survey
from stillwall.units import System, show_temperature_difference

UNITS = {"temperature": "K", "humidity": "%RH"}


def change_alerts(
    library: Library, logged: Logged, channels: Iterable[ChannelSeason], season: Season, system: System
) -> Iterator[Alert]:
    """Changes against last year that are large and certain enough to be called one."""
    score = library.figure("season.score")
    for channel in channels:
        change = channel.against_last_year
        if change is None:
            continue
        matters = library.figure(f"season.least.{channel.role}")
        if change.score < score or abs(change.change) < matters:
            continue
        up = "up" if change.change > 0 else "down"
        since = season.start if change.since_day is None else date_of(change.since_day)
        steps = int(abs(change.change) // (2 * matters))
        size = [str(steps)] if steps > 1 else []
        yield Alert(
            id=".".join([logged.name, channel.role, up, *size, f"{season.start:%Y}-{season.name}"]),
            kind=channel.role,
            since=since,
            reason=change_words(channel, system),
            consequence=1.0 + logged.consequence(channel.role),
        )


def change_words(channel: ChannelSeason, system: System) -> str:
    """The change against last year, in a sentence."""
    change = channel.against_last_year
    if change is None:
        return "No season of last year to compare with."
    if channel.role == "light":
        factor, low, high = (max(0.0, 1.0 + each) for each in (change.change, change.low, change.high))
        return (
            f"The evening's light is {factor:.1f} times last year's (90 % interval {low:.1f} to {high:.1f})."
        )
    word = "higher" if change.change > 0 else "lower"
    low, high = sorted((abs(change.low), abs(change.high)))
    if change.low < 0 < change.high:
        low = 0.0
    if channel.role == "temperature":
        size, low_words, high_words = (
            show_temperature_difference(each, system) for each in (abs(change.change), low, high)
        )
    else:
        size, low_words, high_words = (f"{each:.1f} %RH" for each in (abs(change.change), low, high))
    weather = "with the weather set aside" if change.adjusted else "the weather not set aside"
    return (
        f"{channel.role.capitalize()} is {size} {word} than in the same days last year, {weather} "
        f"(90 % interval {low_words} to {high_words})."
    )


def tell_sensors(spots: Iterable[Spot], logged: Sequence[Logged], library: Library) -> tuple[Spot, ...]:
    """Tell a drifting sensor from a room that changes, where two loggers hang in one room.

    A change that the other logger does not show, while the two drift apart, is the sensor's.
    """
    made = []
    for spot, one in zip(spots, logged, strict=True):
        others = [other for other in logged if other.room == one.room and other is not one]
        alerts = tuple(_by_sensor(alert, one, others, library) for alert in spot.alerts)
        made.append(replace(spot, alerts=alerts))
    return tuple(made)


def _by_sensor(alert: Alert, one: Logged, others: Iterable[Logged], library: Library) -> Alert:
    if alert.kind not in ("temperature", "humidity"):
        return alert
    role: Role = "temperature" if alert.kind == "temperature" else "humidity"
    mine = readings(one.record, role)
    for other in others:
        theirs = readings(other.record, role)
        if mine is None or theirs is None or mine.logger == theirs.logger:
            continue
        found = drift(daily_means(mine), daily_means(theirs))
        if found is None:
            continue
        slope, error = found
        if abs(slope) > max(3 * error, library.figure(f"season.least.{role}")):
            return replace(
                alert,
                kind="sensor",
                reason=(
                    f"{alert.reason} The logger {mine.logger} drifts against {theirs.logger} in the same "
                    f"room by {abs(slope):.1f} {UNITS[role]} a year: hang them side by side for a week "
                    "before the room is blamed."
                ),
                consequence=0.4,
            )
    return alert


def silent_loggers(library: Library, logged: Logged, today: dt.date) -> Iterator[Alert]:
    """Loggers from which nothing has come; a short record that has ended was a campaign, not a failure."""
    ended: dict[tuple[str, dt.date], list[str]] = {}
    for role, channel in sorted(logged.record.channels.items()):
        if role not in QUANTITIES or not len(channel.times):
            continue
        last = date_of_last(channel)
        if is_silent(library, channel, today) and not is_short(library, channel):
            ended.setdefault((channel.logger, last), []).append(role)
    for (logger, last), roles in ended.items():
        yield Alert(
            id=f"{logged.name}.silent.{logger}.{last:%Y-%m-%d}",
            kind="silent",
            since=last,
            reason=f"The logger {logger} has given no {' or '.join(roles)} since {date_words(last)}.",
            consequence=0.5,
        )


def is_silent(library: Library, channel: Channel, today: dt.date) -> bool:
    """Whether nothing has come for too long."""
    patience = max(library.figure("season.silent_days"), 20 * channel.step_s / DAY_S)
    return (today - date_of_last(channel)).days > patience


def is_short(library: Library, channel: Channel) -> bool:
    """Whether a record that has ended is so short that it was a campaign."""
    days_read = len(np.unique(channel.times.astype("datetime64[D]")))
    return days_read < library.figure("season.campaign_days")


def date_of_last(channel: Channel) -> dt.date:
    """The day of the last reading."""
    made: dt.date = channel.times[-1].astype("datetime64[D]").item()
    return made


def due(library: Library, survey: Survey, logged: Logged, today: dt.date) -> Iterator[Alert]:
    """Calibrations and batteries whose day has come, of loggers in use.

    Older downloads, which a newer one goes on from, and campaigns that have ended wait for nothing.
    """
    files = {
        channel.files[-1]
        for channel in logged.record.channels.values()
        if channel.files
        and len(channel.times)
        and not (is_silent(library, channel, today) and is_short(library, channel))
    }
    for name, settings in sorted(survey.loggers.items()):
        if not any(file == name or file.endswith(f"/{name}") for file in files):
            continue
        for what, due in (("calibration", settings.calibration_due), ("battery", settings.battery_due)):
            if due is not None and due <= today:
                yield Alert(
                    id=f"{logged.name}.{what}.{name}.{due:%Y-%m-%d}",
                    kind=what,
                    since=due,
                    reason=f"The {what} of the logger {name} was due on {date_words(due)}.",
                    consequence=0.2,
                )


def acknowledged(survey: Survey, alert: Alert, today: dt.date) -> Alert:
    """The alert, marked where somebody has seen it and its quiet has not run out."""
    for seen in survey.acknowledged:
        if seen.alert == alert.id and (seen.until is None or seen.until >= today):
            day = "" if seen.on is None else f", {date_words(seen.on)}"
            return replace(alert, acknowledged=f"{seen.by}{day}")
    return alert

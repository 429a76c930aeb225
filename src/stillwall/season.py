"""Rooms this season against last year's and against their bands: what needs a person, and what may wait."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.local_clock import DAY_S
from stillwall.exposure.moist_air import vapour_pressure
from stillwall.exposure.readings import Readings, day_slices, quantiles, readings
from stillwall.exposure.season_change import Change, Daily, compare, daily_means, outdoor_drivers
from stillwall.record import Record, Role
from stillwall.reference.guidelines import Guideline
from stillwall.reference.library import Library
from stillwall.survey.survey import Place, Survey
from stillwall.units import System, show_temperature_difference

Floats = NDArray[np.float64]
NAMES = {12: "winter", 3: "spring", 6: "summer", 9: "autumn"}
QUANTITIES: tuple[Role, ...] = ("temperature", "humidity", "light")
EPOCH = dt.date(1970, 1, 1)


@dataclass(frozen=True, slots=True)
class Season:
    """A meteorological season, as far as it has come."""

    name: str
    start: dt.date
    end: dt.date
    """Last day that is looked at."""

    def year_before(self) -> Season:
        """The same days of the year before."""
        return Season(self.name, _year_earlier(self.start), _year_earlier(self.end))


@dataclass(frozen=True, slots=True)
class ChannelSeason:
    """One quantity over a season. Figures are of usable readings, None where there is none."""

    role: Role
    coverage: float
    median: float | None
    low: float | None
    high: float | None
    """5th and 95th percentiles by time."""
    in_band: float | None
    against_last_year: Change | None
    unit: str


@dataclass(frozen=True, slots=True)
class Alert:
    """Something that a person should look at.

    ``id`` stays the same from day to day and changes when something new happens; ``consequence`` orders
    alerts by what they mean for the works that hang there.
    """

    id: str
    kind: str
    since: dt.date
    reason: str
    acknowledged: str | None = None
    consequence: float = 0.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A room, or a wall with loggers of its own, over a season."""

    room: str
    wall: str | None
    season: Season
    channels: tuple[ChannelSeason, ...]
    alerts: tuple[Alert, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Logged:
    """What is to be looked at: a record and where it belongs."""

    room: str
    wall: str | None
    record: Record
    consequence: Callable[[Role], float] = field(default=lambda role: 0.0)
    """How much a quantity matters to the works here: their largest load on it."""

    @property
    def name(self) -> str:
        """Id of the wall, else of the room."""
        return self.wall or self.room


def season_of(day: dt.date) -> Season:
    """The meteorological season that a day is in, up to that day."""
    month = day.month - day.month % 3 if day.month >= 3 else 12
    year = day.year if month <= day.month else day.year - 1
    return Season(NAMES[month], dt.date(year, month, 1), day)


def _year_earlier(day: dt.date) -> dt.date:
    return dt.date(day.year - 1, day.month, min(day.day, 28) if day.month == 2 else day.day)


def look(survey: Survey, library: Library, logged: Logged, season: Season) -> Spot:
    """One room or wall over a season: figures, change against last year, alerts."""
    guideline = library.guidelines[survey.head.guideline]
    left_out = _works_days(survey, logged)
    channels = tuple(
        made
        for role in QUANTITIES
        if (made := _channel(library, logged.record, role, season, guideline, left_out)) is not None
    )
    alerts = [
        *_change_alerts(library, logged, channels, season, survey.head.units),
        *_silent(library, logged, season.end),
        *_due(survey, logged, season.end),
    ]
    told = tuple(_acknowledged(survey, alert, season.end) for alert in alerts)
    return Spot(
        room=logged.room,
        wall=logged.wall,
        season=season,
        channels=channels,
        alerts=tuple(sorted(told, key=lambda alert: (-alert.consequence, alert.id))),
        notes=tuple(_notes(survey, logged, season)),
    )


def _channel(
    library: Library,
    record: Record,
    role: Role,
    season: Season,
    guideline: Guideline,
    left_out: frozenset[int],
) -> ChannelSeason | None:
    taken = readings(record, role)
    if taken is None:
        return None
    now = _during(taken, season)
    length = (season.end - season.start).days + 1
    unit = {"temperature": "degC", "humidity": "%", "light": "lx"}.get(role, "")
    if now is None:
        return ChannelSeason(role, 0.0, None, None, None, None, None, unit)
    low, median, high = quantiles(now.values, now.hours, (0.05, 0.5, 0.95))
    return ChannelSeason(
        role=role,
        coverage=min(1.0, now.total_hours / (24.0 * length)),
        median=float(median),
        low=float(low),
        high=float(high),
        in_band=_in_band(now, role, guideline),
        against_last_year=_change(library, record, role, season, left_out),
        unit=unit,
    )


def _during(taken: Readings, season: Season) -> Readings | None:
    start, end = _day(season.start) * DAY_S, (_day(season.end) + 1) * DAY_S
    keep = (taken.local_seconds >= start) & (taken.local_seconds < end)
    return taken.of(taken.values, keep) if keep.any() else None


def _in_band(now: Readings, role: Role, guideline: Guideline) -> float | None:
    band = {"temperature": guideline.temperature, "humidity": guideline.humidity}.get(role)
    if band is None or (band.low is None and band.high is None):
        return None
    inside = np.ones(len(now.values), bool)
    if band.low is not None:
        inside &= now.values >= band.low
    if band.high is not None:
        inside &= now.values <= band.high
    return float(now.hours[inside].sum() / now.total_hours)


def _change(
    library: Library, record: Record, role: Role, season: Season, left_out: frozenset[int]
) -> Change | None:
    taken = readings(record, role)
    if taken is None:
        return None
    if role == "light":
        return _light_change(library, taken, season, left_out)
    daily = daily_means(taken)
    before, now = _between(daily, season.year_before(), left_out), _between(daily, season, left_out)
    seasons = [_driven(library, record, role, each) for each in (before, now)]
    if all(
        each is not None and len(each[0].days) > 0.8 * len(whole.days)
        for each, whole in zip(seasons, (before, now), strict=True)
    ):
        (then, drove), (here, drives) = (each for each in seasons if each is not None)
        return compare(then, here, spread=library.figure(f"season.spread.{role}"), drivers=(drove, drives))
    return compare(before, now, spread=library.figure(f"season.spread_unknown_weather.{role}"))


def _driven(library: Library, record: Record, role: Role, daily: Daily) -> tuple[Daily, Floats] | None:
    """Days on which the air outdoors is known, and what a room follows of it.

    A room's temperature follows that outdoors, in another way while it is heated; its humidity follows
    the vapour outdoors and both temperatures, so that a change of warmth is not told twice.
    """
    if record.outdoors is None or not len(daily.days):
        return None
    temperature = readings(record.outdoors, "temperature")
    if temperature is None:
        return None
    hinges = tuple(library.figure(f"season.heating_begins.{word}") for word in ("cold", "cool", "mild"))
    drivers, known = outdoor_drivers(daily_means(temperature), daily.days, hinges=hinges)
    swing, _ = outdoor_drivers(_daily_swing(temperature), daily.days)
    drivers = np.hstack([drivers, swing[:, :2]])
    if role == "humidity":
        humidity = readings(record.outdoors, "humidity")
        if humidity is None:
            return None
        warmth = np.interp(humidity.seconds, temperature.seconds, temperature.values)
        vapour = daily_means(humidity.of(vapour_pressure(warmth, humidity.values)))
        moist, moist_known = outdoor_drivers(vapour, daily.days)
        drivers, known = np.hstack([drivers, moist]), known & moist_known
        inside = readings(record, "temperature")
        if inside is not None:
            warmth_inside = daily_means(inside)
            drivers = np.column_stack(
                [drivers, np.interp(daily.days, warmth_inside.days, warmth_inside.values)]
            )
            known &= np.isin(daily.days, warmth_inside.days)
    return Daily(daily.days[known], daily.values[known]), drivers[known]


def _daily_swing(taken: Readings) -> Daily:
    """Greatest less least of each day outdoors, which tells sunny days from dull ones."""
    days, starts = day_slices(taken.local_seconds)
    swing = np.maximum.reduceat(taken.values, starts) - np.minimum.reduceat(taken.values, starts)
    return Daily(days, swing)


def _light_change(
    library: Library, taken: Readings, season: Season, left_out: frozenset[int]
) -> Change | None:
    """Change of the evening's light, 19 to 23 h of the local clock, as a share of last year's.

    The evening tells lamps from the weather; in the months when it is day until late it does not, and
    the daylight of the evening counts with them.
    """
    hour = taken.local_seconds % DAY_S // 3600
    evening = daily_means(taken, (hour >= 19) & (hour < 23))
    before, now = _between(evening, season.year_before(), left_out), _between(evening, season, left_out)
    usual = max(float(before.values.mean()) if len(before.values) else 0.0, library.figure("season.dark"))
    return compare(
        Daily(before.days, before.values / usual),
        Daily(now.days, now.values / usual),
        spread=library.figure("season.spread.light"),
    )


def _between(daily: Daily, season: Season, left_out: frozenset[int]) -> Daily:
    keep = (daily.days >= _day(season.start)) & (daily.days <= _day(season.end))
    if left_out:
        keep &= ~np.isin(daily.days, list(left_out))
    return Daily(daily.days[keep], daily.values[keep])


def _change_alerts(
    library: Library, logged: Logged, channels: Iterable[ChannelSeason], season: Season, system: System
) -> Iterator[Alert]:
    score = library.figure("season.score")
    for channel in channels:
        change = channel.against_last_year
        if change is None:
            continue
        matters = library.figure(f"season.least.{channel.role}")
        if change.score < score or abs(change.change) < matters:
            continue
        up = "up" if change.change > 0 else "down"
        since = season.start if change.since_day is None else _date(change.since_day)
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


def _silent(library: Library, logged: Logged, today: dt.date) -> Iterator[Alert]:
    """Loggers from which nothing has come; a short record that has ended was a campaign, not a failure."""
    ended: dict[tuple[str, dt.date], list[str]] = {}
    for role, channel in sorted(logged.record.channels.items()):
        if role not in QUANTITIES or not len(channel.times):
            continue
        last = channel.times[-1].astype("datetime64[D]").item()
        patience = max(library.figure("season.silent_days"), 20 * channel.step_s / DAY_S)
        days_read = len(np.unique(channel.times.astype("datetime64[D]")))
        campaign = days_read < library.figure("season.campaign_days")
        if (today - last).days > patience and not campaign:
            ended.setdefault((channel.logger, last), []).append(role)
    for (logger, last), roles in ended.items():
        yield Alert(
            id=f"{logged.name}.silent.{logger}.{last:%Y-%m-%d}",
            kind="silent",
            since=last,
            reason=f"The logger {logger} has given no {' or '.join(roles)} since {last:%Y-%m-%d}.",
            consequence=0.5,
        )


def _due(survey: Survey, logged: Logged, today: dt.date) -> Iterator[Alert]:
    files = {file for channel in logged.record.channels.values() for file in channel.files}
    for name, settings in sorted(survey.loggers.items()):
        if not any(file == name or file.endswith(f"/{name}") for file in files):
            continue
        for what, due in (("calibration", settings.calibration_due), ("battery", settings.battery_due)):
            if due is not None and due <= today:
                yield Alert(
                    id=f"{logged.name}.{what}.{name}.{due:%Y-%m-%d}",
                    kind=what,
                    since=due,
                    reason=f"The {what} of the logger {name} was due on {due:%Y-%m-%d}.",
                    consequence=0.2,
                )


def _acknowledged(survey: Survey, alert: Alert, today: dt.date) -> Alert:
    for seen in survey.acknowledged:
        if seen.alert == alert.id and (seen.until is None or seen.until >= today):
            day = "" if seen.on is None else f", {seen.on:%Y-%m-%d}"
            return replace(alert, acknowledged=f"{seen.by}{day}")
    return alert


def _works_days(survey: Survey, logged: Logged) -> frozenset[int]:
    """Days of notes about this room or wall, left out of the comparison."""
    return frozenset(
        day
        for note in survey.notes
        if note.room == logged.room or (note.wall is not None and note.wall == logged.wall)
        for day in range(_day(note.date), _day(note.to or note.date) + 1)
    )


def _notes(survey: Survey, logged: Logged, season: Season) -> Iterator[str]:
    for note in survey.notes:
        here = note.room == logged.room or (note.wall is not None and note.wall == logged.wall)
        if here and note.date <= season.end and (note.to or note.date) >= season.start:
            yield f"{note.date:%Y-%m-%d}: {note.text}"


def _day(day: dt.date) -> int:
    return (day - EPOCH).days


def _date(day: int) -> dt.date:
    return EPOCH + dt.timedelta(days=day)


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

"""A season, what is looked at in it, and what comes of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field

from stillwall.exposure.season_change import Change
from stillwall.record import Record, Role

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


def day_number(day: dt.date) -> int:
    """Days since 1970."""
    return (day - EPOCH).days


def date_of(day: int) -> dt.date:
    """The date of a day counted from 1970."""
    return EPOCH + dt.timedelta(days=day)

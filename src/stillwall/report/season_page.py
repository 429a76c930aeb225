"""The season on one page: what needs a person, then every room as a small chart."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np
from jinja2 import Environment, StrictUndefined, Template
from numpy.typing import NDArray

from stillwall.charts.multiples import SeasonView, season_drawing
from stillwall.charts.theme import Drawing
from stillwall.exposure.readings import readings
from stillwall.exposure.season_change import Daily, daily_means
from stillwall.opened import OpenSurvey
from stillwall.record import Record, Role
from stillwall.report.season_screen import NOTHING_NEW, spot_name
from stillwall.report.words import SCREENING, date_words
from stillwall.season import ChannelSeason, Season, Spot, change_words, rooms_logged
from stillwall.units import System

UNITS = {"temperature": "°C", "humidity": "%RH", "light": "lx"}
EPOCH = dt.date(1970, 1, 1)


@dataclass(frozen=True, slots=True)
class Small:
    """One small chart with its heading and what changed."""

    heading: str
    drawing: Drawing
    words: str


def season_page(spots: Sequence[Spot], opened: OpenSurvey) -> str:
    """The page as one HTML file."""
    survey = opened.survey
    season = spots[0].season if spots else None
    new = [(spot, alert) for spot in spots for alert in spot.alerts if alert.acknowledged is None]
    new.sort(key=lambda pair: (-pair[1].consequence, pair[1].id))
    seen = [(spot, alert) for spot in spots for alert in spot.alerts if alert.acknowledged is not None]
    return _template().render(
        society=survey.head.name,
        title="" if season is None else f"{season.name.capitalize()} {season.start.year}",
        until="" if season is None else date_words(season.end),
        quiet=NOTHING_NEW,
        new=[(spot_name(survey, spot), date_words(alert.since), alert.reason) for spot, alert in new],
        seen=[(spot_name(survey, spot), alert.reason, alert.acknowledged) for spot, alert in seen],
        charts=list(_charts(spots, opened)),
        notes=[f"{spot_name(survey, spot)}, {note}" for spot in spots for note in spot.notes],
        screening=SCREENING,
    )


def _charts(spots: Sequence[Spot], opened: OpenSurvey) -> Iterator[Small]:
    records = {
        (room, wall): record
        for room, wall, record in rooms_logged(opened.survey, lambda place: opened.site(place.id).record)
    }
    for number, spot in enumerate(spots):
        for channel in spot.channels:
            if channel.role == "light":
                continue
            view = _view(records[spot.room, spot.wall], spot, channel, opened)
            yield Small(
                heading=f"{spot_name(opened.survey, spot)}, {channel.role}",
                drawing=season_drawing(view, prefix=f"s{number}-{channel.role}"),
                words=_words(channel, opened.system),
            )


def _words(channel: ChannelSeason, system: System) -> str:
    if channel.median is None:
        return "No readings this season."
    band = "" if channel.in_band is None else f"{channel.in_band * 100:.0f} % of the time in its band. "
    change = channel.against_last_year
    if change is None:
        return f"{band}Nothing to compare with."
    return f"{band}{'No clear change.' if change.low < 0 < change.high else change_words(channel, system)}"


def _view(record: Record, spot: Spot, channel: ChannelSeason, opened: OpenSurvey) -> SeasonView:
    season = spot.season
    guideline = opened.library.guidelines[opened.survey.head.guideline]
    band = guideline.temperature if channel.role == "temperature" else guideline.humidity
    return SeasonView(
        title=f"{spot_name(opened.survey, spot)}, {channel.role}",
        unit=UNITS[channel.role],
        now=_days(record, channel.role, season),
        before=_days(record, channel.role, season.year_before()),
        low=None if band is None else band.low,
        high=None if band is None else band.high,
        first_words=f"{season.start.day} {season.start:%b}",
        last_words=f"{season.end.day} {season.end:%b}",
        alarmed=any(alert.kind == channel.role and alert.acknowledged is None for alert in spot.alerts),
    )


def _days(record: Record, role: Role, season: Season) -> NDArray[np.float64]:
    first = (season.start - EPOCH).days
    made = np.full((season.end - season.start).days + 1, np.nan)
    taken = readings(record, role)
    if taken is not None:
        daily: Daily = daily_means(taken)
        at = daily.days - first
        here = (at >= 0) & (at < len(made))
        made[at[here]] = daily.values[here]
    return made


@lru_cache(maxsize=1)
def _template() -> Template:
    environment = Environment(autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True)
    return environment.from_string((files("stillwall.report") / "season.html.j2").read_text(encoding="utf-8"))

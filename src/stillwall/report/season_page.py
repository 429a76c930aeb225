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

from stillwall.assess import Assessment
from stillwall.charts.multiples import SeasonView, season_drawing
from stillwall.charts.theme import Drawing
from stillwall.exposure.readings import readings
from stillwall.exposure.season_change import Daily, daily_means
from stillwall.opened import OpenSurvey
from stillwall.phrases import date_words
from stillwall.record import Record, Role
from stillwall.report.season_screen import NOTHING_NEW, notes_of, since_words, spot_name
from stillwall.report.systems import OTHER, page_script, paired, script_hash, shown_in
from stillwall.report.words import SCREENING
from stillwall.season import ChannelSeason, Season, Spot, change_words, rooms_logged
from stillwall.units import System

EPOCH = dt.date(1970, 1, 1)


@dataclass(frozen=True, slots=True)
class Small:
    """One small chart with its heading and what changed."""

    heading: str
    drawing: Drawing
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonPage:
    """What the page says. An alert is a place, since when, why, and by whom it was seen."""

    society: str
    title: str
    until: str
    new: tuple[tuple[str, str, str], ...]
    seen: tuple[tuple[str, str, str], ...]
    charts: tuple[Small, ...]
    unread: tuple[str, ...]
    notes: tuple[str, ...]


def season_page(spots: Sequence[Spot], opened: Assessment) -> str:
    """The page as one HTML file, in both systems of units."""
    drawn: dict[str, Drawing] = {}
    own = _page(spots, opened, drawn)
    shown = shown_in(opened, OTHER[opened.system])
    other = _page(shown.season() if spots else spots, shown, drawn)
    script = page_script()
    return _template().render(
        page=paired(own, other),
        system=opened.system,
        switched=own != other,
        quiet=NOTHING_NEW,
        screening=SCREENING,
        script=script,
        script_hash=script_hash(script),
    )


def _page(spots: Sequence[Spot], opened: Assessment, drawn: dict[str, Drawing]) -> SeasonPage:
    survey = opened.survey
    season = spots[0].season if spots else None
    new = [(spot, alert) for spot in spots for alert in spot.alerts if alert.acknowledged is None]
    new.sort(key=lambda pair: (-pair[1].consequence, pair[1].id))
    seen = [(spot, alert) for spot in spots for alert in spot.alerts if alert.acknowledged is not None]
    unread = [
        f"{spot_name(survey, spot)}, {channel.role}"
        for spot in spots
        for channel in spot.channels
        if channel.median is None
    ]
    return SeasonPage(
        society=survey.head.name,
        title="" if season is None else f"{season.name.capitalize()} {season.start.year}",
        until="" if season is None else date_words(season.end),
        new=tuple((spot_name(survey, spot), since_words(alert), alert.reason) for spot, alert in new),
        seen=tuple((spot_name(survey, spot), alert.reason, f"{alert.acknowledged}") for spot, alert in seen),
        charts=tuple(_charts(spots, opened, drawn)),
        unread=tuple(unread),
        notes=notes_of(survey, spots),
    )


def _charts(spots: Sequence[Spot], opened: OpenSurvey, drawn: dict[str, Drawing]) -> Iterator[Small]:
    records = {
        (room, wall): record
        for room, wall, record in rooms_logged(opened.survey, lambda place: opened.site(place.id).record)
    }
    for number, spot in enumerate(spots):
        for channel in spot.channels:
            if channel.role == "light" or channel.median is None:
                continue
            name = f"s{number}-{channel.role}"
            if channel.role == "temperature":
                name = f"{name}-{opened.system}"
            if name not in drawn:
                view = _view(records[spot.room, spot.wall], spot, channel, opened)
                drawn[name] = season_drawing(view, prefix=name)
            yield Small(
                heading=f"{spot_name(opened.survey, spot)}, {channel.role}",
                drawing=drawn[name],
                words=_words(channel, opened.system),
            )


def _words(channel: ChannelSeason, system: System) -> str:
    band = "" if channel.in_band is None else f"{channel.in_band * 100:.0f} % in its band. "
    change = channel.against_last_year
    if change is None:
        return f"{band}Nothing to compare with."
    return f"{band}{'No clear change.' if change.low < 0 < change.high else change_words(channel, system)}"


def _view(record: Record, spot: Spot, channel: ChannelSeason, opened: OpenSurvey) -> SeasonView:
    season = spot.season
    guideline = opened.library.guidelines[opened.survey.head.guideline]
    band = guideline.temperature if channel.role == "temperature" else guideline.humidity
    fahrenheit = channel.role == "temperature" and opened.system == "us"
    slope, zero = (1.8, 32.0) if fahrenheit else (1.0, 0.0)
    units = {"temperature": "°F" if fahrenheit else "°C", "humidity": "%RH"}
    low, high = (None, None) if band is None else (band.low, band.high)
    return SeasonView(
        title=f"{spot_name(opened.survey, spot)}, {channel.role}",
        unit=units[channel.role],
        now=_days(record, channel.role, season) * slope + zero,
        before=_days(record, channel.role, season.year_before()) * slope + zero,
        low=None if low is None else low * slope + zero,
        high=None if high is None else high * slope + zero,
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

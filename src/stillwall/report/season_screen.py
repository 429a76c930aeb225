"""The Monday screen: what needs a person first, then every room in a line."""

from __future__ import annotations

from collections.abc import Sequence

from stillwall.opened import OpenSurvey
from stillwall.phrases import date_words
from stillwall.report.screens import table, wrap
from stillwall.season import Alert, ChannelSeason, Spot
from stillwall.survey.survey import Survey
from stillwall.units import show_temperature, show_temperature_difference

HEADS = ("where", "median", "5 to 95 %", "in band", "on last year")
NOTHING_NEW = "Nothing new needs a person."


def season_screen(spots: Sequence[Spot], opened: OpenSurvey) -> str:
    """Alerts, most consequential first, then the figures of every room."""
    if not spots:
        return "No room of this survey has a logger."
    season = spots[0].season
    title = f"{opened.survey.head.name}, {season.name} {season.start.year} to {date_words(season.end)}"
    lines = [*wrap(title), ""]
    new = [(spot, alert) for spot in spots for alert in spot.alerts if alert.acknowledged is None]
    new.sort(key=lambda pair: (-pair[1].consequence, pair[1].id))
    if not new:
        lines.append(NOTHING_NEW)
    for spot, alert in new:
        lines += wrap(_alert(opened.survey, spot, alert), first="! ", rest="  ")
        lines += wrap(f'to keep quiet: [[acknowledged]] alert = "{alert.id}"', first="  ", rest="    ")
    seen = [(spot, alert) for spot in spots for alert in spot.alerts if alert.acknowledged is not None]
    for spot, alert in seen:
        text = f"{_alert(opened.survey, spot, alert)} Seen by {alert.acknowledged}."
        lines += wrap(text, first="- ", rest="  ")
    building = ""
    rows: list[tuple[str, ...]] = []
    for spot in spots:
        if (here := building_name(opened.survey, spot)) != building:
            building = here
            lines += _table(rows)
            rows = []
            lines += ["", *wrap(building)]
        rows += [
            (
                spot_name(opened.survey, spot),
                *_figures(channel, opened),
                _change(channel, opened),
            )
            for channel in spot.channels
        ]
    lines += _table(rows)
    if noted := notes_of(opened.survey, spots):
        lines += ["", *(line for note in noted for line in wrap(note))]
    return "\n".join(lines)


def notes_of(survey: Survey, spots: Sequence[Spot]) -> tuple[str, ...]:
    """What was noted of each room this season, once a room."""
    noted = [(survey.rooms[spot.room].name or spot.room, note) for spot in spots for note in spot.notes]
    return tuple(f"{name}, {note}" for name, note in dict.fromkeys(noted))


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    return table(HEADS, rows) if rows else []


def building_name(survey: Survey, spot: Spot) -> str:
    """The building of a room in words."""
    building = survey.rooms[spot.room].building
    return survey.buildings[building].name or building if building in survey.buildings else building


def spot_name(survey: Survey, spot: Spot) -> str:
    """A room or wall in words."""
    room = survey.rooms[spot.room]
    name = room.name or room.id
    if spot.wall is None:
        return name
    place = survey.places[spot.wall]
    return place.name or place.id


def since_words(alert: Alert) -> str:
    """``since 12 January 2026``; empty where the reason says that day itself."""
    day = date_words(alert.since)
    return "" if day in alert.reason else f"since {day}"


def _alert(survey: Survey, spot: Spot, alert: Alert) -> str:
    where = ", ".join(part for part in (spot_name(survey, spot), since_words(alert)) if part)
    return f"{where}: {alert.reason}"


def _figures(channel: ChannelSeason, opened: OpenSurvey) -> tuple[str, str, str]:
    if channel.median is None or channel.low is None or channel.high is None:
        return "—", f"no {channel.role} read", ""
    band = "" if channel.in_band is None else f"{channel.in_band * 100:.0f} %"
    if channel.role == "temperature":
        shown = [
            show_temperature(each, opened.system) for each in (channel.median, channel.low, channel.high)
        ]
    else:
        unit = {"humidity": "%RH", "light": "lx"}[channel.role]
        shown = [f"{each:,.0f} {unit}" for each in (channel.median, channel.low, channel.high)]
    low = shown[1].rsplit(" ", 1)[0]
    return shown[0], f"{low} to {shown[2]}", band


def _change(channel: ChannelSeason, opened: OpenSurvey) -> str:
    change = channel.against_last_year
    if change is None:
        return "—"
    if change.low < 0 < change.high:
        return "not clear"
    if channel.role == "light":
        return f"{max(0.0, 1 + change.change):.1f} times"
    if channel.role == "temperature":
        size = show_temperature_difference(abs(change.change), opened.system)
    else:
        size = f"{abs(change.change):.1f} %RH"
    return f"{'+' if change.change >= 0 else '-'}{size}"

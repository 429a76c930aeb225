"""Climate of a place as it is drawn: humidity against a band, temperature against the guideline's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.answers import Placed
from stillwall.charts.series import BandLine, DayRange, SeriesView, day_ranges, series_drawing
from stillwall.charts.theme import Drawing
from stillwall.exposure.classes import Classed, class_record
from stillwall.exposure.own_history import own_history
from stillwall.phrases import date_words
from stillwall.record import Record, Role
from stillwall.units import System, show_temperature_difference

QUANTITIES: tuple[tuple[Role, str, str, str], ...] = (
    ("humidity", "Humidity", "Is the room steady? Humidity, day by day", "%RH"),
    ("temperature", "Temperature", "Temperature, day by day", "°C"),
)

OWN_BAND = (
    " The band is that of EN 15757:2010 about the room's 30-day mean, shown as information: it approves "
    "any steady room, so no load is judged by it."
)


def climate_charts(
    placed: Placed, *, system: System, prefix: str, drawn: dict[str, Drawing]
) -> Iterator[tuple[str, Drawing, str]]:
    """Heading, drawing and caption for each climate quantity that is logged; humidity is drawn once."""
    record = placed.case.site.record
    for role, title, heading, unit in QUANTITIES:
        channel = record.get(role)
        if channel is None or len(channel.times) < 2:
            continue
        days = day_ranges(channel)
        own = _own_history(record) if role == "humidity" else None
        lines = (own,) if own is not None else tuple(_flat(days, placed, role))
        if role == "temperature" and system == "us":
            days, lines, unit = _fahrenheit_days(days), tuple(map(_fahrenheit_band, lines)), "°F"
        view = SeriesView(title=title, unit=unit, days=days, bands=lines, share_recorded=channel.coverage)
        whose = "the room's logger" if role in record.from_room else "this place's own logger"
        caption = (
            f"Daily range in slate, brown where it leaves the band. From {whose}; "
            f"{channel.coverage * 100:.0f} % of the span recorded.{OWN_BAND if own is not None else ''}"
        )
        name = f"{prefix}-{role}" if role == "humidity" else f"{prefix}-{role}-{system}"
        if name not in drawn:
            drawn[name] = series_drawing(view, prefix=name)
        yield heading, drawn[name], caption


def _own_history(record: Record) -> BandLine | None:
    """The room's own-history band, where the record is long enough for it."""
    found = own_history(record)
    if found is None or not found.long_enough or len(found.day_s) < 3:
        return None
    times = found.day_s.astype("datetime64[s]").astype("datetime64[D]")
    mean = found.day_mean
    return BandLine(times, mean + found.lower, mean + found.upper, "the room's own-history band", mean)


def _flat(days: DayRange, placed: Placed, role: Role) -> Iterator[BandLine]:
    guideline = placed.case.guideline
    band = {"humidity": guideline.humidity, "temperature": guideline.temperature}[role]
    if band is None or band.low is None or band.high is None or not len(days.days):
        return
    ends = days.days[[0, -1]]
    yield BandLine(ends, np.full(2, band.low), np.full(2, band.high), guideline.title)


def _fahrenheit(celsius: NDArray[np.float64]) -> NDArray[np.float64]:
    return celsius * 1.8 + 32.0


def _fahrenheit_days(days: DayRange) -> DayRange:
    least, mean, greatest = map(_fahrenheit, (days.least, days.mean, days.greatest))
    return DayRange(days.days, least, mean, greatest)


def _fahrenheit_band(band: BandLine) -> BandLine:
    return BandLine(band.times, _fahrenheit(band.low), _fahrenheit(band.high), band.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassRow:
    """How the climate of a place stands to one guideline."""

    title: str
    status: str
    clause: str


def class_rows(placed: Placed, system: System) -> tuple[ClassRow, ...]:
    """The record of a place against every guideline at once; empty without a climate record."""
    guidelines = tuple(placed.case.library.guidelines.values())
    classed = placed.case.site.exposure(class_record, guidelines)
    if all(clause.name == "record" for each in classed for clause in each.clauses):
        return ()
    return tuple(
        ClassRow(title=each.title, status=each.status, clause=_failing(each, system))
        for each in classed
        if each.clauses
    )


def _failing(classed: Classed, system: System) -> str:
    """The clause that decides: which, since when, by how much, for what share of the time."""
    if classed.status == "met":
        return ""
    deciding = [clause for clause in classed.clauses if clause.status == classed.status]
    worst = max(deciding, key=lambda clause: clause.share)
    if worst.first is None:
        return f"{worst.quantity}, {worst.name}"
    first = date_words(np.datetime64(worst.first, "s").astype("datetime64[D]").item())
    humid = worst.quantity == "humidity"
    size = f"{worst.worst:.1f} %RH" if humid else show_temperature_difference(worst.worst, system)
    return (
        f"{worst.quantity}, {worst.name}: by up to {size}, first on {first}, "
        f"{worst.share * 100:.0f} % of the time"
    )

"""Climate of a place as it is drawn: humidity against a band, temperature against the guideline's."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from stillwall.assess import Placed
from stillwall.charts.series import BandLine, DayRange, SeriesView, day_ranges, series_drawing
from stillwall.charts.theme import Drawing
from stillwall.record import Role
from stillwall.reference.guidelines import Band

QUANTITIES: tuple[tuple[Role, str, str, str], ...] = (
    ("humidity", "Humidity", "Is the room steady? Humidity, day by day", "%RH"),
    ("temperature", "Temperature", "Temperature, day by day", "°C"),
)


def climate_charts(placed: Placed, *, prefix: str) -> Iterator[tuple[str, Drawing, str]]:
    """Heading, drawing and caption for each climate quantity that is logged."""
    record = placed.case.site.record
    for role, title, heading, unit in QUANTITIES:
        channel = record.get(role)
        if channel is None or len(channel.times) < 2:
            continue
        days = day_ranges(channel)
        band = getattr(placed.case.guideline, role)
        lines = tuple(_flat(days, band, placed.case.guideline.title))
        view = SeriesView(title=title, unit=unit, days=days, bands=lines, share_recorded=channel.coverage)
        whose = "the room's logger" if role in record.from_room else "this place's own logger"
        caption = (
            f"Daily range in slate, brown where it leaves the band. From {whose}; "
            f"{channel.coverage * 100:.0f} % of the span recorded."
        )
        yield heading, series_drawing(view, prefix=f"{prefix}-{role}"), caption


def _flat(days: DayRange, band: Band | None, label: str) -> Iterator[BandLine]:
    if band is None or band.low is None or band.high is None or not len(days.days):
        return
    ends = days.days[[0, -1]]
    yield BandLine(ends, np.full(2, band.low), np.full(2, band.high), label)

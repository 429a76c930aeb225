"""Light of a place as it is drawn: by hour and day, and the dose against its budget."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from stillwall.assess import Placed
from stillwall.charts.carpet import CarpetView, carpet_drawing
from stillwall.charts.theme import Drawing
from stillwall.record import Channel

SLOTS = 96
"""Slots of a day in the carpet: quarters of an hour."""


def light_charts(placed: Placed, *, prefix: str) -> Iterator[tuple[str, Drawing, str]]:
    """Heading, drawing and caption for what is known of the light."""
    channel = placed.case.site.record.get("light")
    if channel is None or len(channel.times) < 2:
        return
    view = carpet(channel)
    yield (
        "When is it light? Illuminance by hour and day",
        carpet_drawing(view, prefix=f"{prefix}-light"),
        "Darker is more light, from 10 to 5,000 lx; paper where nothing was read.",
    )


def carpet(channel: Channel) -> CarpetView:
    """Greatest illuminance of each quarter of an hour, so that no peak is lost."""
    times, values = channel.kept
    day = times.astype("datetime64[D]")
    first = day[0]
    row = (day - first).astype(np.int64)
    slot = ((times - day).astype("timedelta64[s]").astype(np.int64) * SLOTS) // 86_400
    lux = np.full((int(row[-1]) + 1, SLOTS), -np.inf)
    np.maximum.at(lux, (row, slot), values)
    lux[np.isinf(lux)] = np.nan
    step = max(1, round(channel.step_s / (86_400 / SLOTS)))
    return CarpetView(first_day=first, lux=_spread(lux, step), clock="UTC" if channel.utc else "local time")


def _spread(
    lux: np.ndarray[tuple[int, int], np.dtype[np.float64]], slots: int
) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Carry each reading to the slots up to the next one, for logs coarser than a slot."""
    made = lux.copy()
    for back in range(1, min(slots, SLOTS)):
        earlier = np.full_like(lux, np.nan)
        earlier[:, back:] = lux[:, :-back]
        made = np.where(np.isnan(made), earlier, made)
    return made

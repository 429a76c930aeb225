"""Who passes a place: every day, by kind, and at occasions; counted where somebody counted, else guessed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

import numpy as np

from stillwall.case import DAYS_PER_YEAR, Case
from stillwall.draws import Floats
from stillwall.survey.places import Event, Pedestal, Wall

GUESTS_COME = frozenset(
    {"hall", "corridor", "stair", "landing", "dining", "bar", "ballroom", "lobby", "drawing", "gallery"}
)
"""Uses of rooms into which the guests of an occasion come that names no room."""
HOURS_OPEN = 10.0
"""Hours a day over which people come. [h]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class People:
    """Passes a year and people an hour by stream, and what of it is guessed."""

    passes: dict[str, Floats]
    per_hour: dict[str, Floats]
    per_day: Floats
    days: Floats
    counted: bool


def people(case: Case, place: Wall | Pedestal) -> People:
    """Who passes: counted at the wall, counted in the room, or guessed from the use of the room."""
    room, building = case.site.room, case.site.building
    room_id = "none" if room is None else room.id
    past = np.ones(case.draws.count)
    if place.people_per_day is not None:
        per_day, counted = np.full(case.draws.count, place.people_per_day), True
    else:
        known = None if room is None else room.people_per_day
        use = "unknown" if room is None or room.use is None else room.use
        guess = figure_draws(case, f"people.{use}", f"room:{room_id}:people")
        per_day, counted = (guess, False) if known is None else (np.full(case.draws.count, known), True)
        if place.circulation is None:
            past = np.minimum(figure_draws(case, "past.unknown", f"wall:{place.id}:past"), 1.0)
        elif place.circulation == "none":
            past = np.minimum(figure_draws(case, "past.none", f"wall:{place.id}:past"), 1.0)
    open_days = None if building is None else building.open_days
    days = figure_draws(case, "peak.open_days") if open_days is None else np.full(case.draws.count, open_days)
    peak = None if room is None else room.people_peak_hour
    peak_share = (
        figure_draws(case, "peak.share") if peak is None else peak / np.maximum(per_day, max(peak, 1e-9))
    )
    busy = per_day * peak_share
    quiet = (per_day - busy) / (HOURS_OPEN - 1)
    per_hour = (peak_share * busy + (1 - peak_share) * quiet) * past
    passes = per_day * past * days

    def share(name: str) -> Floats:
        value = None if room is None else getattr(room, name)
        return (
            figure_draws(case, f"peak.{name}", f"room:{room_id}:{name}")
            if value is None
            else np.full(1, value)
        )

    trips = None if room is None else room.trolley_trips_per_day
    trolleys = (
        figure_draws(case, "peak.trolley_trips", f"room:{room_id}:trolleys")
        if trips is None
        else np.full(1, trips)
    )
    flows = {
        "adult": passes,
        "bags": passes * share("bags_share"),
        "child": passes * share("children_share"),
        "wheelchair": passes * share("wheelchair_share"),
        "trolley": trolleys * past * days,
    }
    return People(
        passes=flows,
        per_hour=dict.fromkeys(flows, per_hour),
        per_day=per_day * past,
        days=days,
        counted=counted,
    )


def occasions(case: Case) -> Iterator[Event]:
    """Kinds of occasion whose guests come into the room of the place."""
    room, building = case.site.room, case.site.building
    if room is None:
        return
    yield from room.events
    for event in () if building is None else building.events:
        if event.room == room.id or (event.room is None and room.use in GUESTS_COME):
            yield event


def guest_passes(case: Case) -> tuple[Floats, Floats] | None:
    """Passes a year and people an hour at occasions, as they fall into the stay."""
    passes, busiest = np.zeros(case.draws.count), np.zeros(case.draws.count)
    moves = figure_draws(case, "events.moves_past")
    found = False
    for event in occasions(case):
        count = event.per_year * share_of_year(case.stay.start, case.stay.last_day, event.months)
        if count <= 0:
            continue
        found = True
        guests = (
            figure_draws(case, "events.guests", f"event:{event.name}:guests")
            if event.guests is None
            else np.full(case.draws.count, event.guests)
        )
        passes = passes + guests * moves * count
        busiest = np.maximum(busiest, guests * moves / figure_draws(case, "events.hours"))
    return (passes, busiest) if found else None


@lru_cache(maxsize=4096)
def share_of_year(start: date, last: date, months: tuple[int, ...]) -> float:
    """Occasions a year in the stay over occasions a year at large, by the months in which they fall."""
    if not months:
        return 1.0
    first, end = np.datetime64(start, "D"), np.datetime64(last, "D") + 1
    days = np.arange(first, max(end, first + 1))
    inside = np.isin(days.astype("datetime64[M]").astype(int) % 12 + 1, months).mean()
    lengths = {2: 28.25, 4: 30, 6: 30, 9: 30, 11: 30}
    usual = sum(lengths.get(month, 31) for month in set(months)) / DAYS_PER_YEAR
    return float(inside / usual)


def figure_draws(case: Case, name: str, stream: str = "") -> Floats:
    """Draws of a figure within its span, by its own stream."""
    figure = case.library.figures[f"bump.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream or f"model:bump:{name}", figure.low, figure.value, figure.high)

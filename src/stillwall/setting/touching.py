"""How often those who pass, sit or wait touch a work at its place, by stream, with what measures change."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats
from stillwall.exposure.contacts import chair_contacts, contacts_per_year, height_overlap
from stillwall.setting.traffic import People, figure_draws, guest_passes, people
from stillwall.survey.places import HoldingPlace, Pedestal, Wall

REACH_SD_M = 0.06
"""Spread of how far chairs are pushed back on average, 0.65 to 0.85 m. [m]"""


@dataclass(frozen=True, slots=True)
class Hung:
    """Heights of a work's edges, and how far it stands out. [m]"""

    bottom_m: float
    top_m: float
    projection_m: float


@dataclass(frozen=True, slots=True)
class Changes:
    """What measures change of the way past a work; nothing as it stands."""

    furniture_m: float = 0.0
    furniture_top_m: float = 0.0
    barrier_m: float | None = None
    tables_m: float = 0.0
    events: bool = True

    @classmethod
    def of(cls, case: Case) -> Changes:
        """Those of the measures in force."""

        def metres(part: str) -> float:
            return float(case.setting("bump", part) or 0.0)

        barrier = case.setting("bump", "barrier")
        return cls(
            furniture_m=metres("furniture"),
            furniture_top_m=metres("furniture_top"),
            barrier_m=None if barrier is None else float(barrier),
            tables_m=metres("tables"),
            events=case.setting("bump", "events") is not False,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Setting:
    """What the wall and the work offer to those who pass."""

    clear_m: Floats | float
    setback_m: float
    barrier_m: float | None
    lowest_m: float
    tables_m: float | None
    events: bool


def people_past(case: Case) -> People:
    """Who passes the place of a case."""
    assert not isinstance(case.site.place, HoldingPlace)
    return people(case, case.site.place)


def _setting(case: Case, place: Wall | Pedestal, hung: Hung, changes: Changes) -> _Setting:
    below = place.furniture_below if isinstance(place, Wall) else None
    depth = max(0.0 if below is None or below.depth_m is None else below.depth_m, changes.furniture_m)
    front = max(depth, hung.projection_m)
    barriers = [each for each in (place.barrier_m, changes.barrier_m) if each is not None]
    way = place.circulation in ("passing", "required_egress")
    clear: Floats | float
    if place.clear_width_m is not None:
        clear = place.clear_width_m - front
    else:
        kind = "way" if way else "room"
        clear = np.maximum(figure_draws(case, f"clear.{kind}", f"wall:{place.id}:clear_width") - front, 0.1)
    tables = place.tables if isinstance(place, Wall) else None
    return _Setting(
        clear_m=clear,
        setback_m=front - hung.projection_m,
        barrier_m=max(barriers) if barriers else None,
        lowest_m=max(0.0 if below is None else below.height_m, changes.furniture_top_m),
        tables_m=None if tables is None else max(tables.edge_to_wall_m, changes.tables_m),
        events=changes.events,
    )


def contact_rates(case: Case, hung: Hung, changes: Changes) -> dict[str, Floats]:
    """Contacts a year by stream, averaged over the stay."""
    place, flows = case.site.place, case.once(people_past)
    assert not isinstance(place, HoldingPlace)
    setting = _setting(case, place, hung, changes)
    figure = case.library.figure
    rates = _passing(case, setting, hung, flows)
    tables = place.tables if isinstance(place, Wall) else None
    if tables is not None and setting.tables_m is not None:
        low = figure("bump.band.chair_low")
        high = tables.chair_back_m or figure("bump.band.chair_high")
        high = max(high, low + 0.01)
        reach, scatter = figure("bump.chairs.reach"), figure("bump.chairs.scatter")
        z = case.draws.normal("model:bump:chairs.reach")
        gap = setting.tables_m - hung.projection_m
        made = chair_contacts(tables.seatings_per_year, gap, reach + REACH_SD_M * z, scatter)
        rates["chairs"] = made * height_overlap(hung.bottom_m, hung.top_m, low, high)
    room = case.site.room
    if room is not None and room.use in ("bar", "lobby"):
        overlap = height_overlap(
            hung.bottom_m,
            hung.top_m,
            figure("bump.band.waiting_low"),
            figure("bump.band.waiting_high"),
        )
        hours = flows.per_day * flows.days * figure_draws(case, "waiting_time.each")
        rates["waiting"] = hours * figure_draws(case, "waiting.contacts") * overlap * _past(case, setting)
    rates["staff"] = figure_draws(case, "staff.visits") * figure_draws(case, "staff.contacts_per_visit")
    return rates


def _passing(case: Case, setting: _Setting, hung: Hung, flows: People) -> dict[str, Floats]:
    """Contacts a year by those who pass, by stream; all streams in one go, shape (streams, count)."""
    figure = case.library.figure
    passes, per_hour = dict(flows.passes), dict(flows.per_hour)
    guests = guest_passes(case) if setting.events else None
    if guests is not None:
        passes["crowd"], per_hour["crowd"] = guests
    overlaps = {}
    for stream in passes:
        lowest, high = figure(f"bump.band.{stream}_low"), figure(f"bump.band.{stream}_high")
        overlaps[stream] = _overlap(hung, max(lowest, setting.lowest_m), high, lowest)
    reached = [stream for stream, overlap in overlaps.items() if overlap > 0]
    rates = {stream: np.zeros(case.draws.count) for stream in passes}
    if reached:
        shape = (len(reached), case.draws.count)
        made = _open_or_kept_off(
            case,
            setting,
            hung,
            passes=np.stack([np.broadcast_to(passes[stream], shape[1]) for stream in reached]),
            per_hour=np.stack([np.broadcast_to(per_hour[stream], shape[1]) for stream in reached]),
            lapse=np.minimum(np.stack([figure_draws(case, f"lapse.{stream}") for stream in reached]), 1.0),
            overlap=np.array([[overlaps[stream]] for stream in reached]),
            body_m=np.array([[figure(f"bump.body.{stream}")] for stream in reached]),
        )
        rates.update(zip(reached, made, strict=True))
    return rates


def _overlap(hung: Hung, low: float, high: float, lowest: float) -> float:
    """Share of the whole band that the work covers above what stands below it."""
    if low >= high:
        return 0.0
    return height_overlap(hung.bottom_m, hung.top_m, low, high) * (high - low) / (high - lowest)


def _open_or_kept_off(
    case: Case,
    setting: _Setting,
    hung: Hung,
    *,
    passes: Floats,
    per_hour: Floats,
    lapse: Floats,
    overlap: Floats,
    body_m: Floats,
) -> Floats:
    """Contacts a year with the way open, or with a barrier where there is one: it may do no harm."""
    kept = figure_draws(case, "body.kept")
    open_way = contacts_per_year(
        passes, setting.clear_m, per_hour, lapse, overlap, kept, body_m, setting.setback_m
    )
    if setting.barrier_m is None or setting.barrier_m <= hung.projection_m:
        return open_way
    setback = max(setting.setback_m, setting.barrier_m - hung.projection_m)
    narrowed = np.maximum(setting.clear_m + hung.projection_m - setting.barrier_m, 0.1)
    kept_off = contacts_per_year(passes, narrowed, per_hour, lapse, overlap, kept, body_m, setback)
    return np.minimum(open_way, kept_off + open_way * _past(case, setting))


def _past(case: Case, setting: _Setting) -> Floats | float:
    """Share that comes past the barrier."""
    return 1.0 if setting.barrier_m is None else figure_draws(case, "barrier.passes")

"""Cut simulated years to short logs, estimate the year from each, and count how often the truth is held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.annual_dose import annual_dose
from stillwall.exposure.daylight_reference import Location, WindowFace
from stillwall.exposure.dose_draws import year_dose
from stillwall.exposure.light_year import LightSite
from stillwall.exposure.sun_on_wall import SunWindow, WallSun, sun_on
from stillwall.exposure.sun_patch import Window
from stillwall.record import Channel, Record

from .rooms import SimulatedYear, simulate
from .weather import sky

Floats = NDArray[np.float64]
LENGTHS = (2, 4, 8, 13, 26)
STEPS = 48


@dataclass(frozen=True)
class Outcome:
    """One estimate: lengths in weeks, the true dose and what was said of it. [lx h]"""

    weeks: int
    kind: str
    sky: str
    tree: bool
    truth: float
    low: float
    median: float
    high: float
    naive_low: float
    naive_high: float

    @property
    def held(self) -> bool:
        """Whether the interval holds the truth."""
        return self.low <= self.truth <= self.high

    @property
    def naive_held(self) -> bool:
        """The same for naive scaling."""
        return self.naive_low <= self.truth <= self.naive_high


def logged(room: SimulatedYear, start_day: int, weeks: int, draw: np.random.Generator) -> Record:
    """What a logger of ordinary make writes: noise of 2 %, an offset at night, steps of its converter."""
    count = weeks * 7 * STEPS
    index = (start_day * STEPS + np.arange(count)) % len(room.lux)
    seconds = room.sky.seconds[0] + 1800.0 * (start_day * STEPS + np.arange(count))
    step = float(draw.choice([0.1, 1.0, 4.0]))
    offset = float(draw.choice([0.0, 0.0, 1.5]))
    lux = room.lux[index] * (1.0 + 0.02 * draw.standard_normal(count)) + offset
    lux = np.floor(lux / step + 0.5) * step
    times = seconds.astype(np.int64).astype("datetime64[s]")
    channel = Channel(
        "light",
        None,
        "lx",
        "lx",
        times,
        np.maximum(lux, 0.0),
        np.zeros(count, dtype=bool),
        (),
        True,
        "l",
        0.1,
    )
    return Record("wall", {"light": channel})


def believed_site(room: SimulatedYear, *, basis: str) -> LightSite:
    """What the survey says: place and windows, only the place, or neither."""
    place = room.sky
    location = Location(place.latitude, place.longitude, place.zone)
    if basis == "nothing":
        return LightSite(Location(None, None, place.zone))
    if basis == "latitude":
        return LightSite(location)
    windows = tuple(WindowFace(bearing) for bearing in room.believed)
    week = None
    if basis == "plan":
        left, right, sill, head, reveal = room.window
        window = Window(room.believed[0], left, right, sill, head, reveal, horizon_deg=6.0, glazed_share=1.0)
        entry = SunWindow(window, "facing", room.depth_m, None)
        wall = WallSun(location, (entry,), room.at_m - 0.2, room.at_m + 0.2, 1.3, 1.7)
        week = tuple(
            float(w)
            for w in sun_on(Record("wall", {}), wall, room.at_m - 0.1, room.at_m + 0.1, 1.4, 1.6).week_lux_h
        )
    return LightSite(location, windows, sun_week_lux_h=week, sun_possible=basis == "no-plan")


def naive(record: Record, draw: np.random.Generator) -> tuple[float, float]:
    """The mean day times 365, with the interval of days drawn again and again."""
    lux = record.channels["light"].values
    daily = lux.reshape(-1, STEPS).sum(axis=1) * 0.5
    again = draw.choice(daily, (200, len(daily))).mean(axis=1) * 365.0
    low, high = np.quantile(again, [0.05, 0.95])
    return float(low), float(high)


def outcomes(
    kind: str, skies: tuple[str, ...], years: int, seed: int, lengths: tuple[int, ...] = LENGTHS
) -> list[Outcome]:
    """One outcome a length for each of ``years`` rooms.

    ``kind`` is ``windows``, ``latitude`` or ``nothing`` (what the survey knows), ``sun`` (sun on the wall,
    plan known), ``sun-unknown`` (the same, plan unknown) or ``changed`` (a blind's use changes in the year).
    """
    found = []
    for number in range(years):
        place = sky(skies[number % len(skies)])
        with_sun = kind.startswith("sun")
        room_seed = seed + 7919 * number
        room = simulate(place, room_seed, with_sun=with_sun, change_blind=kind == "changed")
        if with_sun and room.sun.sum() < 0.01 * room.lux.sum():
            continue
        truth = float(room.lux.sum() * 0.5)
        basis = {"sun": "plan", "sun-unknown": "no-plan", "changed": "windows"}.get(kind, kind)
        site = believed_site(room, basis=basis)
        for weeks in lengths:
            draw = np.random.default_rng((room_seed, weeks))
            record = logged(room, int(draw.integers(0, 365)), weeks, draw)
            median, low, high = year_dose(annual_dose(record, site))
            low_naive, high_naive = naive(record, draw)
            found.append(
                Outcome(weeks, kind, place.name, room.tree, truth, low, median, high, low_naive, high_naive)
            )
    return found


def table(found: list[Outcome]) -> list[tuple[int, int, float, float, float, float, float]]:
    """By length: cases, coverage, share above, median high over low, and the naive coverage and width."""
    rows = []
    for weeks in sorted({outcome.weeks for outcome in found}):
        here = [outcome for outcome in found if outcome.weeks == weeks]
        rows.append(
            (
                weeks,
                len(here),
                float(np.mean([o.held for o in here])),
                float(np.mean([o.truth > o.high for o in here])),
                float(np.median([o.high / o.low for o in here])),
                float(np.mean([o.naive_held for o in here])),
                float(np.median([o.naive_high / o.naive_low for o in here])),
            )
        )
    return rows

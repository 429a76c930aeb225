"""Who is in the rooms, when the heating runs, which doors open, on which evenings a fire is lit.

A calendar of a society's year: daily hours with noise, lunches and dinners, talks, committees, a wedding
season in the ballroom from May to September, doors that open when people come and go, fires on evenings
of the heating season.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .clock import STEP_S, Floats, Times, hour_of_day, local, month, weekday
from .weather import autoregressive

CONTROLLER_REPLACED = "2026-09-21T11:00"
"""When the gallery got a new heating controller, and with it a setting 3.2 K higher."""
HEATING_MONTHS = (10, 11, 12, 1, 2, 3, 4, 5)


@dataclass(frozen=True)
class Use:
    """What people do in one room, on the simulation's grid."""

    setpoint_c: Floats
    people: Floats
    air_changes_per_h: Floats
    heat_w: Floats
    fire: Floats
    """Warmth that the fire of the evening gives the wall above it once it has settled. [K]"""


@dataclass(frozen=True)
class Calendar:
    """Hours, days and seasons of the local clock."""

    times: Times
    hour: Floats
    weekday: NDArray[np.int64]
    month: NDArray[np.int64]
    day: NDArray[np.int64]
    heating: NDArray[np.bool_] = field(repr=False)

    def between(self, start: float, end: float) -> NDArray[np.bool_]:
        """Whether the local hour lies in [start, end)."""
        return (self.hour >= start) & (self.hour < end)

    def daily(self, rng: np.random.Generator) -> Floats:
        """One uniform draw for each local day, spread over its steps."""
        return rng.random(int(self.day.max()) + 1)[self.day]


def make_calendar(times: Times) -> Calendar:
    """The local calendar of the grid."""
    clock = local(times)
    months = month(clock)
    days = clock.astype("datetime64[D]").astype(np.int64)
    return Calendar(
        times, hour_of_day(clock), weekday(clock), months, days - days.min(), np.isin(months, HEATING_MONTHS)
    )


def _setpoint(
    calendar: Calendar, rng: np.random.Generator, day_c: float, night_c: float, start: float, end: float
) -> Floats:
    """Thermostat with a night setback, turned up and down by people over the days."""
    days = int(calendar.day.max()) + 2
    mood = 0.45 * autoregressive(rng, days, 4.0)
    turned = np.interp(np.arange(len(calendar.times)) * STEP_S / 86400, np.arange(days), mood)
    late = 0.5 * (calendar.daily(rng) - 0.5)
    on = (calendar.hour >= start + late) & (calendar.hour < end + late)
    return np.where(calendar.heating, np.where(on, day_c, night_c), min(day_c, 17.5)) + turned


def wedding(calendar: Calendar, rng: np.random.Generator) -> NDArray[np.bool_]:
    """Saturdays of the wedding season on which there is one."""
    chosen = calendar.daily(rng) < 0.75
    return chosen & (calendar.weekday == 5) & np.isin(calendar.month, (5, 6, 7, 8, 9))


def _door_air_changes(
    calendar: Calendar, rng: np.random.Generator, per_hour: float, least: float, most: float
) -> Floats:
    """Air changes by openings of an outer door; each replaces a share of the room's air. [1/h]"""
    chance = per_hour * STEP_S / 3600
    opened = np.zeros(len(calendar.times))
    for _ in range(2):
        happens = rng.random(len(calendar.times)) < chance / 2
        share = least + (most - least) * rng.random(len(calendar.times)) ** 1.6
        opened += np.where(happens, -np.log(1 - share), 0.0)
    busy = calendar.between(9, 21.5) & (calendar.weekday != 0)
    return np.where(busy, np.minimum(opened, 0.7) * 3600 / STEP_S, 0.0)


def _fires(
    calendar: Calendar, rng: np.random.Generator, chance: Floats, least_k: float, most_k: float
) -> Floats:
    lit = (calendar.daily(rng) < chance) & np.isin(calendar.month, (10, 11, 12, 1, 2, 3, 4))
    start = 16.8 + 2.4 * calendar.daily(rng)
    end = start + 2.8 + 1.9 * calendar.daily(rng)
    peak = least_k + (most_k - least_k) * calendar.daily(rng)
    burning = lit & (calendar.hour >= start) & (calendar.hour < end)
    flicker = 1 + 0.16 * autoregressive(rng, len(calendar.times), 4.0)
    embers = np.clip((end - calendar.hour) / 1.2, 0.35, 1.0)
    return np.where(burning, peak * np.clip(flicker, 0.5, 1.4) * embers, 0.0)


def make_uses(times: Times, seed: int) -> dict[str, Use]:
    """The use of every room."""
    calendar = make_calendar(times)
    rng = np.random.Generator(np.random.PCG64(seed))
    none = np.zeros(len(times))
    between, days = calendar.between, calendar.weekday
    open_day = days != 0

    def present(count: Floats | float, when: NDArray[np.bool_]) -> Floats:
        return np.where(when, count * (0.6 + 0.8 * calendar.daily(rng)), 0.0)

    def use(
        setpoint: Floats, people: Floats, air: Floats = none, heat: Floats = none, fire: Floats = none
    ) -> Use:
        return Use(setpoint, people, air, heat, fire)

    uses: dict[str, Use] = {}
    setting = np.where(times < np.datetime64(CONTROLLER_REPLACED), 18.6, 21.8)
    uses["orangery-gallery"] = use(setting, present(5, open_day & between(10, 17)))

    party = wedding(calendar, rng)
    christmas = (calendar.month == 12) & (days == 4) & (calendar.daily(rng) < 0.7)
    guests = present(115, party & between(15, 24)) + present(90, christmas & between(18.5, 23))
    aired = np.where((party & between(17, 23.5)) | (christmas & between(20, 23)), 1.6, 0.0)
    dressed = np.where(party & between(9, 15), 0.5, 0.0)
    set_ball = np.where(christmas & between(14, 23), 19.5, _setpoint(calendar, rng, 16.8, 15.2, 8, 18))
    uses["ballroom"] = use(set_ball, guests + present(3, between(9, 17)), aired + dressed, 22.0 * guests)

    entries = _door_air_changes(calendar, rng, 9, 0.01, 0.05)
    uses["reading-hall"] = use(
        _setpoint(calendar, rng, 19.4, 18.0, 6.5, 22), present(5, between(11.5, 22)), entries
    )

    lunch = present(16, open_day & between(12.3, 14.2))
    dinner = present(22, np.isin(days, (3, 4, 5)) & between(19, 22.6))
    meal_air = np.where((lunch + dinner) > 0, 1.5, 0.0)
    uses["dining-room"] = use(_setpoint(calendar, rng, 20.0, 17.8, 10, 22.5), lunch + dinner, meal_air)

    clubs = np.where(np.isin(days, (3, 4, 6)), 0.46, 0.16)
    fire = _fires(calendar, rng, clubs, 3.0, 5.8)
    lit = fire > 0
    readers = present(3, between(10, 18)) + np.where(lit, 6.0, 0.0)
    fire_heat = np.where(lit, 500 + 50 * fire, 0.0)
    uses["library"] = use(
        _setpoint(calendar, rng, 19.2, 18.2, 8, 21), readers, np.where(lit, 0.8, 0.0), fire_heat, fire
    )

    uses["landing"] = use(_setpoint(calendar, rng, 19.4, 18.2, 6.5, 22), present(1, between(11.5, 22)))

    committee = present(9, (days == 1) & between(17, 19)) + present(12, (days == 6) & between(15, 17))
    seasonable = np.where(np.isin(calendar.month, (11, 12, 1, 2)) & np.isin(days, (1, 5, 6)), 0.26, 0.0)
    grate = _fires(calendar, rng, seasonable, 3.2, 5.4)
    grate_heat = np.where(grate > 0, 900 + 80 * grate, 0.0)
    uses["drawing-room"] = use(
        _setpoint(calendar, rng, 19.4, 17.8, 9, 21),
        committee + np.where(grate > 0, 8.0, 0.0),
        np.where(grate > 0, 0.8, 0.0),
        grate_heat,
        grate,
    )

    talks = present(55, (days == 2) & between(19, 21.4)) + present(25, (days == 5) & between(10.5, 12.5))
    comings = _door_air_changes(calendar, rng, 2.2, 0.10, 0.34)
    uses["seed-lobby"] = use(_setpoint(calendar, rng, 19.5, 17.5, 8, 21), 0.02 * talks, comings)
    uses["meeting-room"] = use(
        _setpoint(calendar, rng, 19.6, 18.0, 8, 21.5), talks + present(2, between(10, 16)), 0.03 * talks
    )
    uses["seed-corridor"] = use(_setpoint(calendar, rng, 18.0, 16.5, 8, 20), present(0.5, between(9, 20)))
    uses["seed-store"] = use(np.full(len(times), 17.0), present(0.3, between(10, 16)))
    return uses


def fire_days(use: Use, calendar: Calendar) -> int:
    """Number of days on which a fire burns."""
    return len(np.unique(calendar.day[use.fire > 0]))

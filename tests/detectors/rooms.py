"""Rooms to try the detectors on: heat and moisture balances with weather, heating, visitors, sun and fires.

Two nodes of temperature, vapour in the air, two stores of moisture in furnishings, a first-order logger.
Every room is simulated twice from the same chances, with and without its fires (or its doors), so that what
an event does at the wall is known exactly. Nothing here is taken from the detectors or their settings.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

MAGNUS = (611.2, 17.62, 243.12)
"""Sonntag 1990, coefficients of the Magnus form over water."""
DENSITY_KG_M3 = 1.2
HEAT_J_KGK = 1006.0


def saturation(temperature_c):
    base, a, b = MAGNUS
    return base * np.exp(a * temperature_c / (b + temperature_c))


@dataclass
class Weather:
    """Outdoors for every room, shape (steps, rooms)."""

    temperature_c: np.ndarray
    humidity_pct: np.ndarray
    sun: np.ndarray
    """Share of the clear sky's sun, 0 at night."""


@dataclass
class Run:
    """What the loggers of all rooms read, shape (steps, rooms), and what was done to them."""

    times: np.ndarray
    temperature_c: np.ndarray
    humidity_pct: np.ndarray
    without_c: np.ndarray
    """Temperature that would have been read without the events."""
    weather: Weather
    events: list[list[tuple[int, int]]]
    """For each room, first and last step of each event."""
    air_without_c: np.ndarray
    """Air at the wall without events, before the logger."""
    air_c: np.ndarray


def weather(rng, steps, rooms, step_s, start_day):
    hours = np.arange(steps) * step_s / 3600
    day = start_day + hours / 24
    seasonal = 9.0 + 9.5 * np.cos(2 * np.pi * (day - 205) / 365)
    memory = np.exp(-step_s / (60 * 3600))
    front = np.zeros((steps, rooms))
    cloud = np.zeros((steps, rooms))
    kicks = rng.normal(size=(2, steps, rooms)) * np.sqrt(1 - memory**2)
    front[0], cloud[0] = rng.normal(size=(2, rooms))
    for i in range(1, steps):
        front[i] = memory * front[i - 1] + kicks[0, i]
        cloud[i] = memory * cloud[i - 1] + kicks[1, i]
    clear = 1 / (1 + np.exp(-2 * cloud))
    clock = (hours % 24)[:, None]
    length = (12 + 3.5 * np.cos(2 * np.pi * (day - 172) / 365))[:, None]
    height = np.clip(np.cos(np.pi * (clock - 12.5) / length), 0, None)
    sun = np.where(np.abs(clock - 12.5) < length / 2, height, 0.0) * clear
    swing = rng.uniform(1.0, 3.5, rooms) * (0.4 + clear)
    temperature = (
        seasonal[:, None]
        + rng.normal(0, 2.0, rooms)
        + rng.uniform(2.5, 4.5, rooms) * front
        + swing * np.cos(2 * np.pi * (clock - 15) / 24)
    )
    humidity = np.clip(84 - 9 * cloud - 3.0 * swing * np.cos(2 * np.pi * (clock - 15) / 24), 30, 100)
    return Weather(temperature, humidity, sun)


def _people(rng, times, volume):
    """Heads in each room: a few by day, and on some evenings a party."""
    hours = times.astype("datetime64[s]").astype(np.int64) / 3600
    clock, days = hours % 24, (hours // 24).astype(int)
    days -= days[0]
    count = days[-1] + 2
    rooms = len(volume)
    heads = np.zeros((len(times), rooms))
    for room in range(rooms):
        by_day = rng.poisson(rng.uniform(0, 6), count)
        opens, closes = rng.uniform(8, 11), rng.uniform(16, 22)
        heads[:, room] = by_day[days] * ((clock > opens) & (clock < closes))
        parties = rng.random(count) < rng.uniform(0.0, 0.12)
        begins = rng.uniform(17.5, 20.0, count)
        ends = begins + rng.uniform(2.0, 4.0, count)
        guests = np.minimum(rng.integers(10, 60, count), volume[room] / 6)
        inside = parties[days] & (clock > begins[days]) & (clock < ends[days])
        heads[:, room] += _gradual(inside * guests[days], times)
    return heads


def _gradual(heads, times):
    """Guests come and go over three quarters of an hour."""
    width = int(2700 / (times[1] - times[0]).astype(int)) + 1
    return np.convolve(heads, np.ones(width) / width, mode="same")


def _setpoints(rng, times, rooms):
    hours = times.astype("datetime64[s]").astype(np.int64) / 3600
    clock, days = hours % 24, (hours // 24).astype(int)
    days -= days[0]
    count = days[-1] + 2
    made = np.zeros((len(times), rooms))
    for room in range(rooms):
        day = rng.uniform(18.5, 22.0)
        night = day - rng.choice([0.0, 1.0, 2.0, 4.0], p=[0.3, 0.3, 0.25, 0.15])
        on, off = rng.uniform(5.0, 8.0), rng.uniform(20.5, 23.5)
        made[:, room] = np.where((clock > on) & (clock < off), day, night)
        turned = (rng.random(count) < 0.06) * rng.uniform(0.5, 1.5, count)
        begins = rng.uniform(16, 20, count)
        made[:, room] += turned[days] * ((clock > begins[days]) & (clock < begins[days] + 4))
    return made


def _fires(rng, times, rooms, share_of_rooms):
    """Heat at the wall over the air of the room [K], heat into the room [W], draught of the chimney [1/h]."""
    step_s = int((times[1] - times[0]).astype(int))
    steps = len(times)
    per_day = 86_400 // step_s
    local, power, draught = (np.zeros((steps, rooms)) for _ in range(3))
    events = [[] for _ in range(rooms)]
    for room in range(rooms):
        if rng.random() > share_of_rooms:
            continue
        often = rng.uniform(0.03, 0.35)
        up, down = rng.uniform(15, 50) * 60, rng.uniform(40, 150) * 60
        usual = rng.uniform(0.8, 6.0)
        for day in range(steps // per_day):
            if rng.random() > often:
                continue
            start = int((day + rng.uniform(15.5, 21.0) / 24) * per_day)
            length = int(rng.uniform(1.5, 5.0) * 3600 / step_s)
            reach = usual * rng.uniform(0.6, 1.5)
            tail = int(8 * 3600 / step_s)
            stop = min(start + length, steps)
            end = min(start + length + tail, steps)
            seconds = np.arange(end - start) * step_s
            burning = seconds < length * step_s
            rise = reach * (1 - np.exp(-seconds / up))
            last = reach * (1 - np.exp(-length * step_s / up))
            curve = np.where(burning, rise, last * np.exp(-(seconds - length * step_s) / down))
            flicker = 1 + 0.12 * np.sin(2 * np.pi * seconds / rng.uniform(1500, 4000) + rng.uniform(0, 6))
            local[start:end, room] += curve * np.where(burning, flicker, 1.0)
            power[start:stop, room] += rng.uniform(300, 1800)
            draught[start:stop, room] += rng.uniform(0.3, 1.5)
            events[room].append((start, stop))
    return local, power, draught, events


def _doors(rng, times, rooms):
    """Share of outdoor air at the wall by openings of a door, decaying as the air mixes again."""
    step_s = int((times[1] - times[0]).astype(int))
    steps = len(times)
    per_day = 86_400 // step_s
    share = np.zeros((steps, rooms))
    events = [[] for _ in range(rooms)]
    for room in range(rooms):
        if rng.random() < 0.25:
            continue
        recovery = rng.uniform(7, 20) * 60
        strength = rng.uniform(0.05, 0.22)
        for day in range(steps // per_day):
            number = rng.poisson(rng.uniform(3, 12))
            starts = np.sort(rng.uniform(7.5, 22.0, number)) / 24
            for start in ((day + starts) * per_day).astype(int):
                if start >= steps - 2:
                    continue
                size = strength * rng.uniform(0.5, 1.5)
                stop = min(steps, start + int(5 * recovery / step_s) + 2)
                seconds = np.arange(stop - start) * step_s
                open_s = rng.uniform(20, 90)
                curve = (
                    size
                    * np.minimum(1.0, (seconds + step_s / 2) / open_s)
                    * np.exp(-np.maximum(seconds - open_s, 0) / recovery)
                )
                share[start:stop, room] = np.maximum(share[start:stop, room], curve)
                events[room].append((start, min(steps - 1, start + max(1, int(open_s / step_s)))))
    return share, events


def simulate(
    seed, *, rooms, days, step_s, start, what, log_s=None, lag_min=(2.0, 15.0), noise_k=(0.02, 0.06)
):
    """Rooms with ``what`` of "fires" or "doors" and their twins without, logged every ``log_s``.

    The first day settles the rooms and is left out.
    """
    rng = np.random.default_rng(seed)
    steps = days * 86_400 // step_s
    times = np.datetime64(start, "s") + np.arange(steps) * np.timedelta64(step_s, "s")
    start_day = int((times[0] - times[0].astype("datetime64[Y]")).astype("timedelta64[D]").astype(int))
    outdoors = weather(rng, steps, rooms, step_s, start_day)
    volume = rng.uniform(60, 350, rooms)
    heads = _people(rng, times, volume)
    goal = _setpoints(rng, times, rooms)
    zeros = np.zeros((steps, rooms))
    local, power, draught, events = (
        _fires(rng, times, rooms, 0.6)
        if what == "fires"
        else (zeros, zeros, zeros, [[] for _ in range(rooms)])
    )
    door = zeros
    if what == "doors":
        door, events = _doors(rng, times, rooms)
    loss = rng.uniform(0.4, 1.1, rooms) * volume
    leak = rng.uniform(0.15, 0.9, rooms)
    capacity = volume * DENSITY_KG_M3 * HEAT_J_KGK * rng.uniform(3, 8, rooms)
    mass = volume * rng.uniform(4e4, 1.5e5, rooms)
    film = volume * rng.uniform(4, 9, rooms)
    heater = volume * rng.uniform(25, 60, rooms)
    window = rng.uniform(0.005, 0.03, rooms) * volume
    facing = rng.uniform(-3.5, 3.5, rooms)
    patch = rng.uniform(0, 4, rooms) * (rng.random(rooms) < 0.3)
    store = volume * np.stack([rng.uniform(0.2, 1.0, rooms), rng.uniform(1.0, 6.0, rooms)])
    tied = volume * np.stack([rng.uniform(0.10, 0.5, rooms), rng.uniform(0.05, 0.3, rooms)])
    clock = (times.astype("datetime64[s]").astype(np.int64) / 3600) % 24
    aimed = np.clip(np.cos(np.pi * (clock[:, None] - 12.5 - facing) / 9), 0, None)
    gains = outdoors.sun * aimed

    def run(with_events):
        on = 1.0 if with_events else 0.0
        air, wall = goal[0] - 1.0, goal[0] - 2.0
        vapour_out = outdoors.humidity_pct / 100 * saturation(outdoors.temperature_c)
        vapour = 0.45 * saturation(air)
        held = np.full((2, rooms), 45.0)
        boiler = np.zeros(rooms)
        seen_t, seen_e = np.empty((2, steps, rooms))
        for i in range(steps):
            out = outdoors.temperature_c[i]
            wanted = np.clip((goal[i] - air) * heater * 0.8, 0, heater)
            boiler += (wanted - boiler) * min(1.0, step_s / 1500)
            change = leak + 0.4 * (heads[i] > 8) + on * (draught[i] + 3.0 * door[i])
            flow = change / 3600 * volume * DENSITY_KG_M3 * HEAT_J_KGK
            source = boiler + 90 * heads[i] + 600 * window * gains[i] + on * power[i]
            gain = source + film * wall + (loss * 0.4 + flow) * out
            total = film + loss * 0.4 + flow
            rest = gain / total
            air = rest + (air - rest) * np.exp(-total * step_s / capacity)
            wall = wall + step_s / mass * (film * (air - wall) - loss * 0.6 * (wall - out))
            # Vapour: change by air, people and stores; in pascal, 1 g in V m3 is 135.6 / V Pa at 20 degC.
            per_gram = 135.6 / volume
            give = tied * (held / 100 * saturation(0.5 * (air + wall)) - vapour) / 100
            wet = change / 3600 * vapour_out[i] + per_gram * (55 * heads[i] / 3600)
            rate = change / 3600 + per_gram * (tied / 100).sum(axis=0) / 3600
            wet = (
                wet + per_gram * (tied / 100 * held / 100 * saturation(0.5 * (air + wall))).sum(axis=0) / 3600
            )
            even = wet / rate
            vapour = even + (vapour - even) * np.exp(-rate * step_s)
            held = held - give * step_s / 3600 / store
            near = air + on * local[i] + patch * gains[i]
            share = on * door[i]
            seen_t[i] = near + share * (out - near)
            seen_e[i] = vapour + share * (vapour_out[i] - vapour)
        return seen_t, seen_e

    with_t, with_e = run(True)
    without_t, _ = run(False)
    lag_t = rng.uniform(*lag_min, rooms) * 60
    lag_e = lag_t * rng.uniform(0.7, 1.5, rooms)
    sensor_c, twin_c = _lagged(with_t, lag_t, step_s), _lagged(without_t, lag_t, step_s)
    rh = _lagged(100 * with_e / saturation(with_t), lag_e, step_s)
    every = 1 if log_s is None else log_s // step_s
    settled = 86_400 // step_s
    pick = slice(settled, None, every)
    grain_t, grain_h = rng.choice([0.01, 0.05, 0.1], rooms), rng.choice([0.05, 0.1, 0.5], rooms)
    unrest = rng.uniform(*noise_k, rooms)
    shape = sensor_c[pick].shape
    read_t = sensor_c[pick] + rng.normal(0, 0.2, rooms) + unrest * rng.normal(size=shape)
    read_h = rh[pick] + rng.normal(0, 1.5, rooms) + 0.15 * rng.normal(size=shape)
    return Run(
        times=times[pick],
        temperature_c=np.round(read_t / grain_t) * grain_t,
        humidity_pct=np.clip(np.round(read_h / grain_h) * grain_h, 1, 100),
        without_c=twin_c[pick],
        weather=Weather(outdoors.temperature_c[pick], outdoors.humidity_pct[pick], outdoors.sun[pick]),
        events=[
            [((a - settled) // every, (b - settled) // every) for a, b in each if a >= settled]
            for each in events
        ],
        air_without_c=without_t[settled:],
        air_c=with_t[settled:],
    ), sensor_c[pick]


def _lagged(values, lag_s, step_s):
    keep = np.exp(-step_s / lag_s)
    made = np.empty_like(values)
    made[0] = values[0]
    for i in range(1, len(values)):
        made[i] = keep * made[i - 1] + (1 - keep) * values[i]
    return made

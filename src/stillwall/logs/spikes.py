"""Single readings that leap out and come back: a fault, a door's breath, or the sun."""

from __future__ import annotations

import numpy as np

from stillwall.logs.thresholds import limit
from stillwall.record import Channel, Flag, Floats, Mask, Role

MINUTE_S = 60
_SUN_LUX = 500.0
_SUN_FACTOR = 3.0


def spike_flags(channel: Channel, beside: dict[Role, Channel], usable: Mask) -> list[Flag]:
    """Spikes of one or two readings; those that the sensor's other channel shares are kept as transients."""
    whole = bool(usable.all())
    rows = np.arange(len(usable)) if whole else np.flatnonzero(usable)
    if len(rows) < 4:
        return []
    values = channel.values if whole else channel.values[rows]
    seconds = (channel.times if whole else channel.times[rows]).astype(np.int64)
    jumps = np.flatnonzero(np.abs(np.diff(values)) > limit(f"spike.{channel.role}"))
    spikes: list[np.ndarray] = []
    kept: list[np.ndarray] = []
    sunny: list[np.ndarray] = []
    for width in (1, 2):
        first = _leaps(jumps, values, seconds, width, limit(f"spike.{channel.role}"))
        if len(first) == 0:
            continue
        shared = _shared(channel, beside, rows, first, width)
        sun = _sunlit(channel, beside, rows, first, width) & (channel.role == "temperature")
        for inside in range(width):
            spikes.append(rows[first[~shared & ~sun] + inside])
            kept.append(rows[first[shared & ~sun] + inside])
            sunny.append(rows[first[sun] + inside])
    made: list[Flag] = []
    for name, excludes, found, note in (
        ("spike", True, spikes, "out and back, and the sensor's other channel does not share it"),
        ("transient", False, kept, "out and back in both channels: a door, a hand or the sun, not a fault"),
        ("sun_patch", False, sunny, "warm while the light leaps: sun on the logger, true for the spot"),
    ):
        where = np.unique(np.concatenate(found)) if found else np.zeros(0, np.int64)
        if len(where):
            made.append(Flag(name, excludes, where, channel.times[where[0]], note))
    return made


def _leaps(jumps: np.ndarray, values: Floats, seconds: np.ndarray, width: int, bound: float) -> np.ndarray:
    """First index of each leap of ``width`` readings that returns to where it came from.

    ``jumps``: readings after which the next differs by more than ``bound``.
    """
    first = jumps + 1
    first = first[first + width < len(values)]
    if len(first) == 0:
        return first
    before, after = values[first - 1], values[first + width]
    inside = np.stack([values[first + place] for place in range(width)])
    up = inside.min(axis=0) - np.maximum(before, after)
    down = np.minimum(before, after) - inside.max(axis=0)
    height = np.maximum(up, down)
    step = (seconds[first + width] - seconds[first - 1]) / (width + 1)
    longest = limit("spike.longest_step") * MINUTE_S
    wanted = np.where(step <= longest, bound, 2.0 * bound)
    leaps = (
        (height > wanted)
        & (np.abs(before - after) <= limit("spike.returned") * height)
        & (step <= 4 * longest)
    )
    made: np.ndarray = first[leaps]
    return made


def _departure(channel: Channel, other: Channel, rows: np.ndarray, first: np.ndarray, width: int) -> Floats:
    """How far another channel leaves the mean of the readings around, at the same times."""
    times = other.times
    if len(times) < 4:
        return np.zeros(len(first))

    def at(index: np.ndarray) -> Floats:
        wanted = channel.times[rows[index]]
        place = np.minimum(np.searchsorted(times, wanted), len(times) - 1)
        return np.where(times[place] == wanted, other.values[place], np.nan)

    around = np.stack([at(first - 1), at(first + width)])
    inside = np.stack([at(first + place) for place in range(width)])
    base = around.mean(axis=0)
    departure: Floats = np.nan_to_num(np.abs(inside - base).max(axis=0), nan=0.0)
    return departure


def _shared(
    channel: Channel, beside: dict[Role, Channel], rows: np.ndarray, first: np.ndarray, width: int
) -> np.ndarray:
    role: Role = "humidity" if channel.role == "temperature" else "temperature"
    other = beside.get(role)
    if other is None:
        return np.zeros(len(first), bool)
    least = limit("spike.shared") * limit(f"spike.{role}")
    made: np.ndarray = _departure(channel, other, rows, first, width) >= least
    return made


def _sunlit(
    channel: Channel, beside: dict[Role, Channel], rows: np.ndarray, first: np.ndarray, width: int
) -> np.ndarray:
    light = beside.get("light")
    if light is None or len(light.times) < 4:
        return np.zeros(len(first), bool)
    place = np.clip(np.searchsorted(light.times, channel.times[rows[first]]), 1, len(light.times) - 2)
    now = np.maximum.reduce([light.values[place - 1], light.values[place], light.values[place + 1]])
    usual = float(np.median(light.values[light.values > 0])) if (light.values > 0).any() else 0.0
    made: np.ndarray = (now > _SUN_LUX) & (now > _SUN_FACTOR * usual)
    return made

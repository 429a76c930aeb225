"""Faults of sensors, found in the readings; each flag says whether it excludes.

Tests and starting values of ``data/hazards/logging.toml``. A sun patch, a door's breath and a hand are no
faults of the sensor: they are flagged where they are seen, and kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from stillwall.logs.gaps import clock_flags
from stillwall.logs.runs import Ints, equal_runs, hours_between, marked_runs, spread
from stillwall.logs.spikes import spike_flags
from stillwall.logs.thresholds import limit
from stillwall.record import Channel, Flag, Mask, Role
from stillwall.survey.loggers import LoggerSettings

_AIR: tuple[Role, ...] = ("temperature", "surface_temperature", "humidity", "dew_point")


def find_faults(channels: Sequence[Channel], settings: LoggerSettings) -> list[Channel]:
    """The channels of one file with the flags of their sensors' faults."""
    by_clock: dict[int, list[Flag]] = {}
    for channel in channels:
        if id(channel.times) not in by_clock:
            by_clock[id(channel.times)] = clock_flags(channel.times)
    return [
        _flagged(channel, _beside(channel, channels), by_clock[id(channel.times)], settings)
        for channel in channels
    ]


def _beside(channel: Channel, channels: Sequence[Channel]) -> dict[Role, Channel]:
    """Other quantities of the same sensor, on the same clock."""
    return {
        other.role: other
        for other in channels
        if other is not channel and (other.sensor == channel.sensor or other.sensor is None)
    }


def _flagged(
    channel: Channel, beside: dict[Role, Channel], clock: Sequence[Flag], settings: LoggerSettings
) -> Channel:
    if len(channel.values) == 0:
        return channel
    flags = [*clock, *_out_of_range(channel), *_idle(channel, beside)]
    usable = ~channel.excluded
    for flag in flags:
        if flag.excludes:
            usable[flag.where] = False
    flags += _stuck(channel, beside, usable)
    if channel.role == "humidity":
        flags += _saturated_humidity(channel)
    if channel.role == "light":
        flags += [*_saturated_light(channel, settings), *_night_offset(channel, usable)]
    if channel.role in ("temperature", "humidity"):
        flags += spike_flags(channel, beside, usable)
        flags += _handling(channel, usable)
    if channel.role == "dew_point" and "temperature" in beside:
        flags += _dew_above_air(channel, beside["temperature"])
    excluded = channel.excluded.copy()
    for flag in flags:
        if flag.excludes:
            excluded[flag.where] = True
    return replace(channel, flags=(*channel.flags, *flags), excluded=excluded)


def _flag(channel: Channel, name: str, where: Ints, *, excludes: bool, note: str) -> list[Flag]:
    if len(where) == 0:
        return []
    return [Flag(name, excludes, where, channel.times[where[0]], note)]


def _masked(channel: Channel, name: str, mask: Mask, *, excludes: bool, note: str) -> list[Flag]:
    if not mask.any():
        return []
    return _flag(channel, name, np.flatnonzero(mask), excludes=excludes, note=note)


def _out_of_range(channel: Channel) -> list[Flag]:
    values = channel.values
    if channel.role in ("temperature", "surface_temperature", "dew_point"):
        low, high = limit("range.temperature_low"), limit("range.temperature_high")
        if channel.role == "dew_point":
            low -= 30.0
        if values.min() >= low and values.max() <= high:
            return []
        beyond = (values < low) | (values > high)
        return _masked(channel, "out_of_range", beyond, excludes=True, note="no such air in a building")
    if channel.role == "humidity":
        low, full, high = (
            limit("range.humidity_low"),
            limit("range.humidity_dew"),
            limit("range.humidity_high"),
        )
        return [
            *_masked(channel, "above_100", (values > full) & (values <= high), excludes=False,
                     note="over 100 %, within what saturated sensors read"),
            *_masked(channel, "far_above_100", values > high, excludes=True, note="over 102 %: not air"),
            *_masked(channel, "out_of_range", values < 0, excludes=True, note="below 0 %"),
            *_masked(channel, "too_dry", (values >= 0) & (values < low), excludes=True,
                     note="under 5 %: a failed sensor, or none"),
        ]  # fmt: skip
    if values.min() >= 0 and values.max() <= limit("range.light_high"):
        return []
    if channel.role == "light":
        return [
            *_masked(channel, "negative", values < 0, excludes=True, note="light below 0"),
            *_masked(channel, "out_of_range", values > limit("range.light_high"), excludes=True,
                     note="brighter than the sun"),
        ]  # fmt: skip
    return _masked(channel, "negative", values < 0, excludes=True, note="radiation below 0")


def _idle(channel: Channel, beside: dict[Role, Channel]) -> list[Flag]:
    """Rows in which everything is 0, the temperature too: nothing was logged."""
    if channel.role not in _AIR or ("temperature" not in beside and channel.role != "temperature"):
        return []
    others = [other for role, other in beside.items() if role in (*_AIR, "light", "ultraviolet")]
    if not others or channel.values.min() > 0.0:
        return []
    zero = channel.values == 0.0
    if zero.sum() < limit("idle.least_rows"):
        return []
    for other in others:
        zero &= _at(channel, other) == 0.0
    air = channel if channel.role == "temperature" else beside["temperature"]
    moving = np.abs(air.values[air.values != 0.0])
    if zero.sum() < limit("idle.least_rows") or not len(moving):
        return []
    if np.percentile(moving, 1) < limit("idle.nearest_degrees"):
        return []
    return _masked(
        channel, "all_zero", zero, excludes=True, note="every column of the row is 0: nothing was logged"
    )


def _at(channel: Channel, other: Channel) -> np.ndarray:
    """Readings of another channel at this channel's times, NaN where it has none."""
    if other.times is channel.times or (
        len(other.times) == len(channel.times) and (other.times == channel.times).all()
    ):
        return other.values
    place = np.searchsorted(other.times, channel.times)
    place = np.minimum(place, len(other.times) - 1)
    return np.where(other.times[place] == channel.times, other.values[place], np.nan)


def _stuck(channel: Channel, beside: dict[Role, Channel], usable: Mask) -> list[Flag]:
    """Readings identical for a day or more, where the channel is not simply a quiet one.

    Either the other channel of the sensor moves meanwhile, or the run is far longer than the channel's
    usual ones, or the whole record is one value.
    """
    least = int(limit("stuck.least_readings"))
    if len(channel.values) < least:
        return []
    cuts = np.flatnonzero(channel.values[1:] != channel.values[:-1])
    longest = (
        max(int(np.diff(cuts).max(initial=0)), int(cuts[0]) + 1, len(channel.values) - 1 - int(cuts[-1]))
        if len(cuts)
        else len(channel.values)
    )
    if longest < least:
        return []
    starts, ends = equal_runs(channel.values)
    counts = ends - starts + 1
    hours = hours_between(channel.times, starts, ends)
    wanted = limit("stuck.light_hours" if channel.role in ("light", "ultraviolet") else "stuck.hours")
    value = channel.values[starts]
    long = (counts >= least) & (hours >= wanted) & usable[starts]
    if channel.role in ("light", "ultraviolet"):
        long &= value > 0
    if channel.role == "humidity":
        long &= (value < limit("stuck.damp_air")) | (value < channel.values.max())
    if not long.any():
        return []
    shorter = hours[~long & (counts > 1)]
    usual = float(np.percentile(shorter, 99)) if len(shorter) else 0.0
    chosen: list[int] = []
    for run in np.flatnonzero(long).tolist():
        whole = counts[run] >= limit("stuck.share_of_record") * len(channel.values) or (
            np.count_nonzero(channel.values == value[run])
            >= limit("stuck.share_of_record") * len(channel.values)
        )
        moved = _other_moved(channel, beside, int(starts[run]), int(ends[run]))
        if (
            (whole and hours[run] >= wanted)
            or (moved and hours[run] >= limit("stuck.other_share_of_usual") * usual)
            or (len(shorter) and hours[run] >= limit("stuck.times_usual_run") * usual)
        ):
            chosen.append(run)
    where = spread(starts[chosen], ends[chosen])
    keeps = channel.role in ("light", "ultraviolet")
    note = "one and the same value" + (": a lamp that always burns, or a fault" if keeps else "")
    return _flag(channel, "stuck", where, excludes=not keeps, note=note)


def _other_moved(channel: Channel, beside: dict[Role, Channel], start: int, end: int) -> bool:
    for role, other in beside.items():
        if role not in ("temperature", "humidity") or role == channel.role:
            continue
        inside = (other.times >= channel.times[start]) & (other.times <= channel.times[end]) & ~other.excluded
        if inside.sum() < 3:
            continue
        moved = float(np.ptp(other.values[inside]))
        if moved >= limit("stuck.other_humidity" if role == "humidity" else "stuck.other_temperature"):
            return True
    return False


def _saturated_humidity(channel: Channel) -> list[Flag]:
    if channel.values.max() < limit("saturated.humidity"):
        return []
    mask = channel.values >= limit("saturated.humidity")
    starts, ends = marked_runs(mask)
    long = hours_between(channel.times, starts, ends) > limit("saturated.humidity_hours")
    where = spread(starts[long], ends[long])
    note = "saturated: condensation or a failed sensor; kept, since leaving it out would hide damp"
    return _flag(channel, "saturated", where, excludes=False, note=note)


def _saturated_light(channel: Channel, settings: LoggerSettings) -> list[Flag]:
    values = channel.values
    top = float(values.max())
    if settings.full_scale_lux is not None:
        mask = values >= 0.995 * settings.full_scale_lux
    elif top < limit("saturated.light_least"):
        return []
    else:
        mask = values >= top * (1 - 1e-9)
        if mask.sum() < limit("saturated.light_readings") or not (mask[1:] & mask[:-1]).any():
            return []
        just_below = ((values >= 0.98 * top) & ~mask).sum()
        if mask.sum() < 3 * just_below:
            return []
    note = "at the end of the scale: the light was at least this"
    return _masked(channel, "saturated", mask, excludes=False, note=note)


def _night_offset(channel: Channel, usable: Mask) -> list[Flag]:
    """Every day's darkest reading is one and the same light above 0."""
    if (channel.values < limit("night.offset")).mean() > 0.5 * (1.0 - limit("night.days")):
        return []
    values, times = channel.values[usable], channel.times[usable]
    if len(values) < 24:
        return []
    day = times.astype("datetime64[D]").astype(np.int64)
    starts = np.flatnonzero(np.concatenate(([True], day[1:] != day[:-1])))
    lowest = np.minimum.reduceat(values, starts)
    counts = np.diff(np.append(starts, len(values)))
    lowest = lowest[counts >= 0.5 * np.median(counts)]
    if len(lowest) < limit("night.least_days"):
        return []
    offset = float(np.median(lowest))
    if offset < limit("night.offset"):
        return []
    near = np.abs(lowest - offset) <= max(0.25 * offset, 0.5)
    if near.mean() < limit("night.days"):
        return []
    where = np.flatnonzero(usable & (channel.values <= 1.25 * offset))
    note = f"never darker than about {offset:.1f} lx: the cell's offset, or a lamp that always burns"
    return _flag(channel, "night_offset", where, excludes=False, note=note)


def _handling(channel: Channel, usable: Mask) -> list[Flag]:
    """Readings of the first and the last hour that the day beside them never reaches."""
    bound = limit(f"handling.{channel.role}")
    window = np.timedelta64(int(limit("handling.minutes")) * 60, "s")
    day = np.timedelta64(86_400, "s")
    found: list[int] = []
    times, values = channel.times, channel.values
    if len(values) < 24 or times[-1] - times[0] < day:
        return []
    for head in (True, False):
        if head:
            rows = np.arange(int(np.searchsorted(times, times[0] + day + window, side="right")))
            away = times[rows] - times[0]
        else:
            rows = np.arange(int(np.searchsorted(times, times[-1] - day - window)), len(times))
            away = times[-1] - times[rows]
        near = rows[(away <= window) & usable[rows]]
        rest = rows[(away > window) & usable[rows]]
        if len(near) < 2 or len(rest) < 12:
            continue
        low, high = float(values[rest].min()), float(values[rest].max())
        if values[near].max() > high + bound or values[near].min() < low - bound:
            third = bound / 3.0
            out = (values[near] > high + third) | (values[near] < low - third)
            found += near[out].tolist()
    note = "in the first or last hour of the file: carried or held"
    return _flag(channel, "handling", np.array(sorted(found), np.int64), excludes=True, note=note)


def _dew_above_air(channel: Channel, air: Channel) -> list[Flag]:
    with np.errstate(invalid="ignore"):
        above = channel.values > _at(channel, air) + 0.5
    return _masked(
        channel, "dew_above_air", above, excludes=True, note="a dew point above the air's temperature"
    )

"""Heat that a log has seen at a wall: evenings of dry heat, or how much warmer the wall is than its room.

One logger: each evening is laid over the evenings around it, so that heating by the clock and the usual
course of the day cancel; what remains and is warm, quick and dry is an evening of dry heat, as of an open
fire. Two loggers: the difference of wall and room, less its usual value, is heat that acts on the wall.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.local_clock import DAY_S
from stillwall.exposure.moist_air import saturation_pressure
from stillwall.exposure.readings import Readings, at_times, chosen, readings, saturation, take, usual_step_s
from stillwall.record import Record

Floats = NDArray[np.float64]
Season = tuple[tuple[int, int], tuple[int, int]]
"""First and last month and day."""

SLOT_S: Final = 900
"""Grid on which evenings are compared. [s]"""
BEFORE_SLOTS: Final = 6
"""The level before the evening: the mean of an hour and a half up to 15:00."""
FIRST_SLOT: Final = 15 * 4
EVENING_SLOTS: Final = 11 * 4
"""Evenings run from 15:00 to 02:00."""
AROUND_DAYS: Final = 10
"""Evenings on either side with which one is compared."""
USUAL_SHARE: Final = 0.35
"""Quantile of the evenings around that stands for the usual one: holds while fires are lit on fewer than
two evenings in three."""
LEAST_EVENINGS: Final = 6
RISE_K: Final = 1.7
"""Least rise over the usual evening."""
QUICK_K: Final = 0.9
"""Least rise within an hour and a half."""
CLIMBS: Final = 0.7
"""Share of that rise which the temperature itself must climb within three hours."""
LASTS_SLOTS: Final = 4
"""A fire warms for an hour at least."""
DRY_PER_K: Final = 0.052
"""Greatest rise of the logarithm of vapour pressure for each kelvin that still counts as dry heat: walls
give off some water when warmed; with 0.062 relative humidity would not fall at all. [1/K]"""
AFTER_SUNSET_H: Final = 0.75
NO_LATITUDE_SUNSET_H: Final = 18.5
LEAST_PAIRS: Final = 100
HOUR_S: Final = 3600


@dataclass(frozen=True, slots=True)
class HeatSeen:
    """What a log says of heat at its place.

    Attributes
    ----------
    evenings
        Local dates of dry-heat evenings.
    rises_k
        Highest rise of each over the usual evening. [K]
    season_days
        Evenings of the heating season that the log covers well enough to judge. [d]
    two_loggers
        Whether the wall's own logger was compared with the room's.
    difference_p95_k, difference_median_k
        Of wall less room, after their usual difference at night is taken off. [K]
    hours_over_2k, cycles_over_3k
        A year, for the season seen.
    """

    evenings: tuple[np.datetime64, ...] = ()
    rises_k: tuple[float, ...] = ()
    season_days: float = 0.0
    two_loggers: bool = False
    difference_p95_k: float = 0.0
    difference_median_k: float = 0.0
    hours_over_2k: float = 0.0
    cycles_over_3k: float = 0.0


def heat_seen(
    record: Record,
    season: Season = ((10, 1), (4, 30)),
    latitude_deg: float | None = None,
) -> HeatSeen:
    """What a record says of heat at its place.

    Parameters
    ----------
    season
        First and last (month, day) of the heating season.
    latitude_deg
        For the hour of sunset; without it 18:30 stands for every evening's.
    """
    temperature = readings(record, "temperature")
    if temperature is None:
        return HeatSeen()
    evenings = _evenings(temperature, readings(record, "humidity"), season)
    if evenings is None:
        return HeatSeen()
    seen = HeatSeen()
    if len(evenings.days):
        found, rises = _dry_heat(evenings, latitude_deg)
        found &= evenings.judged
        seen = HeatSeen(
            evenings=tuple(evenings.days[found]),
            rises_k=tuple(float(rise) for rise in rises[found]),
            season_days=float(evenings.judged.sum()),
        )
    return _with_room(seen, record, temperature, season)


@dataclass(frozen=True, slots=True, eq=False)
class _Evenings:
    """Curves by day of the heating season, shape (days, slots), NaN in gaps.

    ``curve`` is the temperature over its level before 15:00, ``over`` that over the usual evening's,
    ``vapour`` the logarithm of vapour pressure.
    """

    days: NDArray[np.datetime64]
    curve: Floats
    over: Floats
    vapour: Floats | None
    judged: NDArray[np.bool_]


def _evenings(temperature: Readings, humidity: Readings | None, season: Season) -> _Evenings | None:
    local = temperature.local_seconds
    first, last = int(local[0]) // DAY_S, int(local[-1]) // DAY_S
    count = last - first + 1
    if count < LEAST_EVENINGS:
        return None
    slot = SLOT_S if usual_step_s(temperature.seconds) <= SLOT_S else HOUR_S
    per_day, scale = DAY_S // slot, slot // SLOT_S
    start, length = FIRST_SLOT // scale, EVENING_SLOTS // scale
    before = max(1, BEFORE_SLOTS // scale)
    grid = _binned(local - first * DAY_S, temperature.values, slot, count * per_day + per_day)
    rows = np.arange(count) * per_day + start - before
    evening = np.lib.stride_tricks.sliding_window_view(grid, before + length)[rows]
    with np.errstate(invalid="ignore"):
        level = _nanmean(evening[:, :before])
        curve = evening[:, before:] - level[:, None]
    days = (np.datetime64("1970-01-01", "D") + first) + np.arange(count)
    heated = np.flatnonzero(_in_season(days, season))
    over = curve[heated] - _usual(curve, heated)
    vapour = None
    if humidity is not None:
        seconds, pressure = _log_vapour(temperature, humidity)
        vapour_grid = _binned(seconds - first * DAY_S, pressure, slot, len(grid))
        vapour = np.lib.stride_tricks.sliding_window_view(vapour_grid, before + length)[rows[heated]]
    judged = np.isfinite(level[heated]) & (np.isfinite(over).mean(axis=1) > 0.7)
    return _Evenings(days=days[heated], curve=curve[heated], over=over, vapour=vapour, judged=judged)


def _log_vapour(temperature: Readings, humidity: Readings) -> tuple[NDArray[np.int64], Floats]:
    """Logarithm of vapour pressure, and the local seconds at which it is known."""
    if temperature.seconds is humidity.seconds:
        saturated = saturation(temperature)
        return humidity.local_seconds, np.log(np.maximum(humidity.values, 1.0) * saturated)
    matched, known = at_times(temperature, humidity.seconds)
    part = chosen(known)
    pressure = np.log(np.maximum(take(humidity.values, part), 1.0) * saturation_pressure(take(matched, part)))
    return take(humidity.local_seconds, part), pressure


def _binned(seconds: NDArray[np.int64], values: Floats, slot_s: int, slots: int) -> Floats:
    """Means of equal slots from 0, empty slots joined across one or two and NaN beyond."""
    index = seconds // slot_s
    starts = np.concatenate(([0], np.flatnonzero(index[1:] != index[:-1]) + 1))
    lengths, sums = np.diff(starts, append=len(index)), np.add.reduceat(values, starts)
    places = index[starts]
    keep = (places >= 0) & (places < slots)
    total = np.bincount(places[keep], sums[keep], minlength=slots)
    number = np.bincount(places[keep], lengths[keep], minlength=slots)
    with np.errstate(invalid="ignore"):
        mean = np.where(number > 0, total / np.maximum(number, 1), np.nan)
    filled = np.flatnonzero(number > 0)
    if len(filled) < 2:
        return mean
    empty = np.flatnonzero(number == 0)
    after = np.searchsorted(filled, empty)
    inner = (after > 0) & (after < len(filled))
    empty, after = empty[inner], after[inner]
    short = filled[after] - filled[after - 1] <= 3
    mean[empty[short]] = np.interp(empty[short], filled, mean[filled])
    return mean


def _nanmean(values: Floats) -> Floats:
    known = np.isfinite(values)
    count = known.sum(axis=1)
    total = np.where(known, values, 0.0).sum(axis=1)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _usual(curve: Floats, rows: NDArray[np.int64]) -> Floats:
    """Low quantile, slot by slot, of the evenings around each evening of ``rows``, itself left out."""
    days, slots = curve.shape
    padded = np.full((days + 2 * AROUND_DAYS, slots), np.nan)
    padded[AROUND_DAYS : AROUND_DAYS + days] = curve
    others = np.empty((len(rows), slots, 2 * AROUND_DAYS))
    for number, shift in enumerate((*range(AROUND_DAYS), *range(AROUND_DAYS + 1, 2 * AROUND_DAYS + 1))):
        others[:, :, number] = padded[rows + shift]
    others.sort(axis=2)
    running = np.zeros((len(padded) + 1, slots), np.int64)
    np.cumsum(np.isfinite(padded), axis=0, out=running[1:])
    known = running[rows + 2 * AROUND_DAYS + 1] - running[rows] - np.isfinite(curve[rows])
    place = USUAL_SHARE * (known - 1)
    below = np.clip(np.floor(place).astype(np.int64), 0, None)
    above = np.clip(below + 1, 0, np.maximum(known - 1, 0))
    low = np.take_along_axis(others, below[..., None], axis=2)[..., 0]
    high = np.take_along_axis(others, above[..., None], axis=2)[..., 0]
    made = low + (place - below) * (high - low)
    return np.where(known >= LEAST_EVENINGS, made, np.nan)


def _dry_heat(evenings: _Evenings, latitude_deg: float | None) -> tuple[NDArray[np.bool_], Floats]:
    """Which evenings were warm, quick and dry, and how warm."""
    over = np.nan_to_num(evenings.over, nan=-np.inf)
    days, slots = over.shape
    hours_per_slot = EVENING_SLOTS / 4 / slots
    peak = over.argmax(axis=1)
    each = np.arange(days)
    rise = over[each, peak]
    back = max(1, round(1.5 / hours_per_slot))
    padded = np.concatenate([np.zeros((days, back)), np.nan_to_num(evenings.over)], axis=1)
    quick = (padded[:, back:] - padded[:, :-back]).max(axis=1)
    lasts = max(1, round(LASTS_SLOTS / 4 / hours_per_slot))
    warm = (over >= 0.6 * rise[:, None]).sum(axis=1) >= lasts
    hour = FIRST_SLOT / 4 + (peak + 0.5) * hours_per_slot
    dark = hour >= _sunset_h(evenings.days, latitude_deg) + AFTER_SUNSET_H
    found = (rise >= RISE_K) & (quick >= QUICK_K) & warm & dark
    found &= _climb(evenings.curve, peak, hours_per_slot) >= CLIMBS * RISE_K
    if evenings.vapour is not None:
        found &= _dry(evenings.vapour, over, peak, rise)
    return found, rise


def _climb(curve: Floats, peak: NDArray[np.int64], hours_per_slot: float) -> Floats:
    """Greatest rise of the temperature itself within three hours, up to the peak. [K]

    An evening that merely cools less than its neighbours, after a dull day among sunny ones, has none.
    """
    back = max(1, round(3.0 / hours_per_slot))
    known = np.isfinite(curve)
    padded = np.concatenate([np.zeros((len(curve), back)), np.where(known, curve, np.inf)], axis=1)
    least = padded[:, : curve.shape[1]].copy()
    for shift in range(1, back + 1):
        np.minimum(least, padded[:, shift : shift + curve.shape[1]], out=least)
    rises = np.where(known, curve - least, 0.0)
    slots = np.arange(curve.shape[1])
    leads = (slots <= peak[:, None]) & (slots >= peak[:, None] - round(4.0 / hours_per_slot))
    made: Floats = np.where(leads, rises, 0.0).max(axis=1)
    return made


def _dry(vapour: Floats, over: Floats, peak: NDArray[np.int64], rise: Floats) -> NDArray[np.bool_]:
    """Whether vapour pressure rose by no more than warmed walls give off."""
    days, slots = over.shape
    before = vapour.shape[1] - slots
    each = np.arange(days)
    # The start: the last slot before the peak that stood under a fifth of the rise.
    cool = (over < 0.2 * rise[:, None]) & (np.arange(slots) <= peak[:, None])
    start = np.where(cool.any(axis=1), slots - 1 - cool[:, ::-1].argmax(axis=1), 0)
    then = vapour[each, before + start]
    now = vapour[each, before + peak]
    gained = now - then
    climbed = rise - np.where(np.isfinite(over[each, start]), over[each, start], 0.0)
    made: NDArray[np.bool_] = np.isfinite(gained) & (gained <= DRY_PER_K * np.maximum(climbed, RISE_K))
    return made


def _sunset_h(days: NDArray[np.datetime64], latitude_deg: float | None) -> Floats:
    """Hour of sunset by the sun's own clock; the declination by Cooper, Solar Energy 12, 1969. [h]"""
    if latitude_deg is None:
        return np.full(len(days), NO_LATITUDE_SUNSET_H)
    of_year = (days - days.astype("datetime64[Y]")).astype(np.int64) + 1
    declination = np.radians(23.45) * np.sin(2 * np.pi * (284 + of_year) / 365)
    cosine = -np.tan(np.radians(latitude_deg)) * np.tan(declination)
    made: Floats = 12 + np.degrees(np.arccos(np.clip(cosine, -1, 1))) / 15
    return made


def _in_season(days: NDArray[np.datetime64], season: Season) -> NDArray[np.bool_]:
    months = days.astype("datetime64[M]")
    of_month = (days - months.astype("datetime64[D]")).astype(np.int64) + 1
    code = (months.astype(np.int64) % 12 + 1) * 100 + of_month
    first, last = (month * 100 + day for month, day in season)
    made: NDArray[np.bool_] = (code >= first) & (code <= last)
    return made if first <= last else (code >= first) | (code <= last)


def _with_room(seen: HeatSeen, record: Record, wall: Readings, season: Season) -> HeatSeen:
    """Adds wall less room, after their usual difference in the small hours is taken off."""
    room = None if record.room is None else readings(record.room, "temperature")
    if room is None or "temperature" in record.from_room or room.logger == wall.logger:
        return seen
    matched, known = at_times(room, wall.seconds)
    days = np.datetime64("1970-01-01", "D") + (wall.local_seconds // DAY_S).astype("timedelta64[D]")
    keep = known & _in_season(days, season)
    if keep.sum() < LEAST_PAIRS:
        return seen
    difference = (wall.values - matched)[keep]
    hour = (wall.local_seconds[keep] % DAY_S) / HOUR_S
    night = (hour >= 3) & (hour < 7)
    difference = difference - np.median(difference[night] if night.any() else difference)
    hours = wall.hours[keep]
    year = np.datetime64("2001-01-01", "D") + np.arange(365)
    seasons = float(hours.sum()) / (24 * float(_in_season(year, season).sum()))
    over = difference > 3.0
    return replace(
        seen,
        two_loggers=True,
        difference_p95_k=float(np.quantile(difference, 0.95)),
        difference_median_k=float(np.median(difference)),
        hours_over_2k=float(hours[difference > 2.0].sum()) / seasons,
        cycles_over_3k=float((over[1:] & ~over[:-1]).sum() + over[0]) / seasons,
    )

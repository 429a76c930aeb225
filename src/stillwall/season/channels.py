"""What a quantity does over a season, and how it stands to the season a year before."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.local_clock import DAY_S
from stillwall.exposure.moist_air import vapour_pressure
from stillwall.exposure.readings import Readings, day_slices, quantiles, readings
from stillwall.exposure.season_change import Change, Daily, compare, daily_means, outdoor_drivers
from stillwall.record import Record, Role
from stillwall.reference.guidelines import Guideline
from stillwall.reference.library import Library
from stillwall.season.model import ChannelSeason, Season, day_number

Floats = NDArray[np.float64]


def channel_season(
    library: Library,
    record: Record,
    role: Role,
    season: Season,
    guideline: Guideline,
    left_out: frozenset[int],
) -> ChannelSeason | None:
    """One quantity over a season; None where it is not logged. Days ``left_out`` are not compared."""
    taken = readings(record, role)
    if taken is None:
        return None
    now = _during(taken, season)
    length = (season.end - season.start).days + 1
    unit = {"temperature": "degC", "humidity": "%", "light": "lx"}.get(role, "")
    if now is None:
        return ChannelSeason(role, 0.0, None, None, None, None, None, unit)
    low, median, high = quantiles(now.values, now.hours, (0.05, 0.5, 0.95))
    return ChannelSeason(
        role=role,
        coverage=min(1.0, now.total_hours / (24.0 * length)),
        median=float(median),
        low=float(low),
        high=float(high),
        in_band=_in_band(now, role, guideline),
        against_last_year=_change(library, record, role, season, left_out),
        unit=unit,
    )


def _during(taken: Readings, season: Season) -> Readings | None:
    start, end = day_number(season.start) * DAY_S, (day_number(season.end) + 1) * DAY_S
    keep = (taken.local_seconds >= start) & (taken.local_seconds < end)
    return taken.of(taken.values, keep) if keep.any() else None


def _in_band(now: Readings, role: Role, guideline: Guideline) -> float | None:
    band = {"temperature": guideline.temperature, "humidity": guideline.humidity}.get(role)
    if band is None or (band.low is None and band.high is None):
        return None
    inside = np.ones(len(now.values), bool)
    if band.low is not None:
        inside &= now.values >= band.low
    if band.high is not None:
        inside &= now.values <= band.high
    return float(now.hours[inside].sum() / now.total_hours)


def _change(
    library: Library, record: Record, role: Role, season: Season, left_out: frozenset[int]
) -> Change | None:
    taken = readings(record, role)
    if taken is None:
        return None
    if role == "light":
        return _light_change(library, taken, season, left_out)
    daily = daily_means(taken)
    before, now = _between(daily, season.year_before(), left_out), _between(daily, season, left_out)
    seasons = [_driven(library, record, role, each) for each in (before, now)]
    if all(
        each is not None and len(each[0].days) > 0.8 * len(whole.days)
        for each, whole in zip(seasons, (before, now), strict=True)
    ):
        (then, drove), (here, drives) = (each for each in seasons if each is not None)
        return compare(then, here, spread=library.figure(f"season.spread.{role}"), drivers=(drove, drives))
    return compare(before, now, spread=library.figure(f"season.spread_unknown_weather.{role}"))


def _driven(library: Library, record: Record, role: Role, daily: Daily) -> tuple[Daily, Floats] | None:
    """Days on which the air outdoors is known, and what a room follows of it.

    A room's temperature follows that outdoors, in another way while it is heated; its humidity follows
    the vapour outdoors and both temperatures, so that a change of warmth is not told twice.
    """
    if record.outdoors is None or not len(daily.days):
        return None
    temperature = readings(record.outdoors, "temperature")
    if temperature is None:
        return None
    hinges = tuple(library.figure(f"season.heating_begins.{word}") for word in ("cold", "cool", "mild"))
    drivers, known = outdoor_drivers(daily_means(temperature), daily.days, hinges=hinges)
    swing, _ = outdoor_drivers(_daily_swing(temperature), daily.days)
    drivers = np.hstack([drivers, swing[:, :2]])
    if role == "humidity":
        humidity = readings(record.outdoors, "humidity")
        if humidity is None:
            return None
        warmth = np.interp(humidity.seconds, temperature.seconds, temperature.values)
        vapour = daily_means(humidity.of(vapour_pressure(warmth, humidity.values)))
        moist, moist_known = outdoor_drivers(vapour, daily.days)
        drivers, known = np.hstack([drivers, moist]), known & moist_known
        inside = readings(record, "temperature")
        if inside is not None:
            warmth_inside = daily_means(inside)
            drivers = np.column_stack(
                [drivers, np.interp(daily.days, warmth_inside.days, warmth_inside.values)]
            )
            known &= np.isin(daily.days, warmth_inside.days)
    return Daily(daily.days[known], daily.values[known]), drivers[known]


def _daily_swing(taken: Readings) -> Daily:
    """Greatest less least of each day outdoors, which tells sunny days from dull ones."""
    days, starts = day_slices(taken.local_seconds)
    swing = np.maximum.reduceat(taken.values, starts) - np.minimum.reduceat(taken.values, starts)
    return Daily(days, swing)


def _light_change(
    library: Library, taken: Readings, season: Season, left_out: frozenset[int]
) -> Change | None:
    """Change of the evening's light, 19 to 23 h of the local clock, as a share of last year's.

    The evening tells lamps from the weather; in the months when it is day until late it does not, and
    the daylight of the evening counts with them.
    """
    hour = taken.local_seconds % DAY_S // 3600
    evening = daily_means(taken, (hour >= 19) & (hour < 23))
    before, now = _between(evening, season.year_before(), left_out), _between(evening, season, left_out)
    usual = max(float(before.values.mean()) if len(before.values) else 0.0, library.figure("season.dark"))
    return compare(
        Daily(before.days, before.values / usual),
        Daily(now.days, now.values / usual),
        spread=library.figure("season.spread.light"),
    )


def _between(daily: Daily, season: Season, left_out: frozenset[int]) -> Daily:
    keep = (daily.days >= day_number(season.start)) & (daily.days <= day_number(season.end))
    if left_out:
        keep &= ~np.isin(daily.days, list(left_out))
    return Daily(daily.days[keep], daily.values[keep])

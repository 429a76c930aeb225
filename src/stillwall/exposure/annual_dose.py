"""A wall's light over a whole year, from any length of record."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.daylight_reference import Outdoors, outdoors
from stillwall.exposure.dose import (
    SLOTS,
    HalfHours,
    half_hours,
    night_offset_lux,
    saturated_share,
    sensor_step_lux,
)
from stillwall.exposure.lamps import LampSchedule, lamp_schedule
from stillwall.exposure.light_year import (
    SPREADS,
    SUN_SHARE_MEAN,
    SUN_SHARE_SD,
    SUN_WEEK_SD,
    AnnualDose,
    Basis,
    LightSite,
    YearParts,
    nothing_logged,
)
from stillwall.exposure.season_kriging import WEEKS, season_posterior
from stillwall.exposure.sun_in_log import SunInLog, find_sun
from stillwall.record import Record

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_WEEK_SHARE = 0.5
"""A week counts as seen from this share of its expected daylight on."""
FILL_SD = 0.35
"""Spread of what is filled in for the hours that a seen week lacks, as a logarithm."""


def annual_dose(record: Record, site: LightSite) -> AnnualDose:
    """The year's light at a place from its light channel.

    Weeks that were seen are kept as measured. Daylight of the others follows outdoor light by a ratio
    that drifts with the season (:mod:`stillwall.exposure.season_kriging`); electric light keeps its
    clock; direct sun on the wall follows geometry where windows are surveyed.
    """
    channel = record.get("light")
    times, lux = channel.kept if channel is not None else (np.zeros(0, "datetime64[s]"), np.zeros(0))
    known = np.isfinite(lux)
    if not known.all():
        times, lux = times[known], lux[known]
    if channel is None or len(times) < 2:
        return nothing_logged()
    seconds = times.astype("datetime64[s]").astype(np.int64).astype(np.float64)
    raw = half_hours(seconds, np.maximum(lux, 0.0), method=site.method)
    sky = outdoors(raw.first_day, max(364, raw.days), site.location, site.windows, utc=channel.utc)
    offset = _offset(raw, sky)
    cells = HalfHours(raw.first_day, np.maximum(raw.dose_lux_h - offset * raw.covered_h, 0.0), raw.covered_h)
    here = _first_days(sky, raw.days)
    year = _first_days(sky, 364)
    dark_slots = np.bincount(year.local_slot[year.dark], minlength=SLOTS) > 3
    schedule = lamp_schedule(cells, here, dark_slots, site.lamps)
    step = sensor_step_lux(lux)
    sun = find_sun(cells, here, schedule)
    parts = _year_parts(cells, here, year, schedule, site, sun, step, dark_slots)
    if parts is None:
        return nothing_logged()
    peak = int(np.argmax(lux))
    basis: Basis = (
        "latitude_unknown"
        if site.location.latitude_deg is None
        else ("windows" if site.windows else "latitude")
    )
    weights = parts.expected_lux_h
    months = _months_seen(parts)
    opening = _opening_shares(cells, here, schedule, site)
    return AnnualDose(
        parts=parts,
        basis=basis,
        method=_method_words(basis, parts, site, schedule),
        measured_lux_h=float(cells.dose_lux_h.sum()),
        measured_h=float(cells.covered_h.sum()),
        weeks_seen=int(parts.seen.sum()),
        expected_share=float(weights[parts.seen].sum() / max(weights.sum(), 1e-9)),
        june_seen=months[0],
        december_seen=months[1],
        peak_lux=float(lux[peak]),
        peak_at=times[peak],
        offset_lux=offset,
        step_lux=step,
        saturated_share=saturated_share(lux, site.full_scale_lux),
        lamp_level_lux=schedule.lit_level_lux,
        lamp_daily_h=schedule.daily_h,
        lamps_from_survey=schedule.from_survey,
        hidden_lamp_h=float(parts.hidden_h.max()),
        open_daylight_share=opening[0],
        open_electric_share=opening[1],
        open_h=(site.open_to_h - site.open_from_h) % 24.0 or 24.0,
        sun=sun,
        daylight_seen=_daylight_seen(cells, here, schedule),
        first=times[0],
        last=times[-1],
    )


@lru_cache(maxsize=8)
def _first_days(sky: Outdoors, days: int) -> Outdoors:
    return Outdoors(
        sky.first_day,
        sky.elevation_deg[:days],
        sky.azimuth_deg[:days],
        sky.reference_lux[:days],
        sky.dark[:days],
        sky.deep_night[:days],
        sky.local_slot[:days],
        sky.weekday[:days],
    )


def _offset(cells: HalfHours, sky: Outdoors) -> float:
    lux = cells.mean_lux
    night = sky.deep_night[: cells.days]
    if np.count_nonzero(night & np.isfinite(lux)) < 10:
        night = sky.dark[: cells.days]
    return night_offset_lux(lux[night])


def _year_parts(
    cells: HalfHours,
    here: Outdoors,
    year: Outdoors,
    schedule: LampSchedule,
    site: LightSite,
    sun: SunInLog,
    step_lux: float,
    dark_slots: NDArray[np.bool_],
) -> YearParts | None:
    """The year's weeks; None for readings by night alone, which say nothing of them."""
    lamp = schedule.lamp_lux(here)
    electric_cell = np.minimum(lamp * cells.covered_h, cells.dose_lux_h)
    daylight_cell = cells.dose_lux_h - electric_cell
    sun_day = sun.daily_lux_h if len(sun.daily_lux_h) == cells.days else np.zeros(cells.days)
    week = (np.arange(cells.days) // 7) % WEEKS
    keep = np.arange(cells.days) < max(364, (cells.days // 364) * 364)
    week = week[keep]

    def by_week(daily: Floats) -> Floats:
        return np.asarray(np.bincount(week, weights=daily[keep], minlength=WEEKS), dtype=np.float64)

    geometric = site.sun_week_lux_h is not None and any(site.sun_week_lux_h)
    take_out = sun_day if geometric else np.zeros(cells.days)
    reference_cell = here.reference_lux * 0.5
    share_cell = np.minimum(cells.covered_h * 2.0, 1.0)
    reference_seen = by_week((reference_cell * share_cell).sum(axis=1))
    daylight = by_week(daylight_cell.sum(axis=1) - take_out)
    electric = by_week(electric_cell.sum(axis=1))
    missing_lamp = by_week((lamp * (0.5 - np.minimum(cells.covered_h, 0.5))).sum(axis=1))
    covered_days = by_week(cells.covered_h.sum(axis=1) / 24.0)
    expected = (year.reference_lux * 0.5).sum(axis=1).reshape(WEEKS, 7).sum(axis=1)
    expected = np.maximum(expected, 2e-3 * expected.max())
    years = np.maximum(np.rint(np.bincount(week, minlength=WEEKS) / 7.0), 1.0)
    share = np.where(
        expected > 5e-3 * expected.max(), reference_seen / (expected * years), covered_days / (7.0 * years)
    )
    if not share.max() > 0:
        return None
    seen = share >= LEAST_WEEK_SHARE
    if not seen.any():
        seen = share >= min(LEAST_WEEK_SHARE, 0.9 * float(share.max()) + 1e-12)
    scale = np.where(seen, 1.0 / np.clip(share, 1e-6, None), 0.0) / years
    daylight_week = np.where(seen, np.maximum(daylight, 0.0) * scale, 0.0)
    filled = np.where(seen, daylight_week * np.clip(1.0 - share, 0.0, 1.0), 0.0)
    lamp_fraction = np.where(seen, np.bincount(week, minlength=WEEKS) / 7.0 / years, 1.0)
    electric_week = np.where(seen, (electric + missing_lamp) / years / np.maximum(lamp_fraction, 1e-6), 0.0)
    day_of_year = _day_of_year(cells.first_day + 7 * np.arange(WEEKS)) + 3.5
    spread = SPREADS[_spread_name(site, sun, geometric=geometric)]
    mean_seen = float(daylight_week[seen].mean())
    level = np.maximum(daylight_week[seen], max(1e-3 * mean_seen, 1.0))
    noise = np.sqrt(spread.week_sd**2 + (FILL_SD * np.clip(1.0 - share[seen], 0.0, 1.0)) ** 2)
    log_ratio = np.log(level / expected[seen])
    posterior = season_posterior(day_of_year[seen], log_ratio, spread, day_of_year[~seen], noise)
    sun_expected, log_share, log_sd, sun_seen = _sun_share(site, by_week(sun_day) * scale, seen, day_of_year)
    level_year = schedule.level_lux[year.weekday, year.local_slot] * 0.5
    dusk_year = np.where(year.dark, schedule.dusk_lux[year.weekday, year.local_slot], 0.0) * 0.5
    hidden_cells = year.dark & schedule.hidden[year.local_slot]
    unlit = np.isfinite(cells.mean_lux) & (cells.mean_lux < step_lux) & ~here.dark
    return YearParts(
        first_day=cells.first_day,
        seen=seen,
        daylight_lux_h=daylight_week,
        electric_lux_h=electric_week,
        sun_lux_h=sun_seen if geometric else np.zeros(WEEKS),
        filled_lux_h=filled,
        expected_lux_h=expected,
        posterior=posterior,
        week_sd=spread.week_sd,
        lamp_dark_lux_h=np.where(year.dark, level_year, 0.0).reshape(WEEKS, -1).sum(axis=1),
        lamp_day_lux_h=np.where(year.dark, 0.0, level_year).reshape(WEEKS, -1).sum(axis=1),
        lamp_dusk_lux_h=dusk_year.reshape(WEEKS, -1).sum(axis=1),
        lamps_from_survey=schedule.from_survey,
        hidden_h=hidden_cells.reshape(WEEKS, -1).sum(axis=1) * 0.5,
        sun_expected_lux_h=sun_expected,
        sun_log_share=log_share,
        sun_log_sd=log_sd,
        coarse_lux_h=float(unlit.sum()) / cells.days * 7.0 * 0.5 * 0.5 * step_lux,
    )


def _spread_name(site: LightSite, sun: SunInLog, *, geometric: bool) -> str:
    if not geometric and (sun.found or site.sun_possible):
        return "sun"
    return "facade" if site.windows and site.location.latitude_deg is not None else "horizontal"


def _sun_share(
    site: LightSite, sun_week: Floats, seen: NDArray[np.bool_], day_of_year: Floats
) -> tuple[Floats, float | None, float, Floats]:
    """Expected sun by week, and the log share of it that really lands after what the log saw."""
    if site.sun_week_lux_h is None or not any(site.sun_week_lux_h):
        return np.zeros(WEEKS), None, 0.0, np.zeros(WEEKS)
    calendar = np.asarray(site.sun_week_lux_h)
    middle = 7.0 * np.arange(WEEKS) + 3.5
    expected = np.interp(day_of_year, middle, calendar, period=365.0)
    tested = seen & (expected > 0.02 * expected.max())
    found = np.where(seen, sun_week, 0.0)
    precision = 1.0 / SUN_SHARE_SD**2
    mean = SUN_SHARE_MEAN
    if tested.any():
        ratio = max(float(found[tested].sum() / expected[tested].sum()), 0.02)
        weight = float(tested.sum()) / SUN_WEEK_SD**2
        mean = (precision * mean + weight * np.log(ratio)) / (precision + weight)
        precision += weight
    return expected, mean, float(precision**-0.5), found


def _day_of_year(days: Ints) -> Floats:
    dates = days.astype("datetime64[D]")
    since = dates - dates.astype("datetime64[Y]").astype("datetime64[D]")
    made: Floats = since.astype(np.int64).astype(np.float64)
    return made


def _months_seen(parts: YearParts) -> tuple[bool, bool]:
    """Whether four weeks within 60 days of the June, and of the December, solstice were seen."""
    middle = _day_of_year(parts.first_day + 7 * np.arange(WEEKS)) + 3.5

    def near(day: float) -> bool:
        apart = np.abs((middle - day + 182.5) % 365.0 - 182.5)
        return int(np.count_nonzero(parts.seen & (apart <= 60.0))) >= 4

    return near(172.0), near(355.0)


def _opening_shares(
    cells: HalfHours, sky: Outdoors, schedule: LampSchedule, site: LightSite
) -> tuple[float, float]:
    """Shares of daylight and of electric dose that fall in opening hours; 1 where there is none at all."""
    hour = (sky.local_slot + 0.5) / 2.0
    if site.open_from_h < site.open_to_h:
        open_now = (hour >= site.open_from_h) & (hour < site.open_to_h)
    else:
        open_now = (hour >= site.open_from_h) | (hour < site.open_to_h)
    electric = np.minimum(schedule.lamp_lux(sky) * cells.covered_h, cells.dose_lux_h)
    daylight = cells.dose_lux_h - electric
    shares = []
    for part in (daylight, electric):
        whole = float(part.sum())
        shares.append(float(part[open_now].sum()) / whole if whole > 0 else 1.0)
    return shares[0], shares[1]


def _daylight_seen(cells: HalfHours, sky: Outdoors, schedule: LampSchedule) -> bool:
    """Whether readings rise with the light outdoors beyond what lamps explain."""
    lux = cells.mean_lux
    bright = np.isfinite(lux) & (sky.reference_lux > 5000.0)
    dark = np.isfinite(lux) & sky.dark
    if not bright.any():
        return False
    lamp = schedule.lamp_lux(sky)
    by_day = float(np.median(np.maximum(lux - lamp, 0.0)[bright]))
    by_night = float(np.median(np.maximum(lux - lamp, 0.0)[dark])) if dark.any() else 0.0
    return by_day > by_night + max(2.0, 0.15 * schedule.lit_level_lux)


def _method_words(basis: Basis, parts: YearParts, site: LightSite, schedule: LampSchedule) -> str:
    seen = int(parts.seen.sum())
    if seen >= WEEKS:
        daylight = "every week of the year measured"
    else:
        yardstick = {
            "windows": "the faces that its windows look out of",
            "latitude": "open ground at its latitude",
            "latitude_unknown": "open ground averaged over 30 to 60 degrees of latitude",
        }[basis]
        daylight = (
            f"{seen} weeks measured, {WEEKS - seen} carried by season (kriging) on light at {yardstick}"
        )
    lamps = "lamps by the survey's hours" if schedule.from_survey else "lamps by what burns after dark"
    sun = "; direct sun by window geometry" if parts.sun_log_share is not None else ""
    return f"{daylight}; {lamps}{sun}"

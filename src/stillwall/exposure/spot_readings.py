"""A year's light from a handful of readings with a hand-held meter."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.daylight_reference import (
    MEAN_LATITUDES_DEG,
    Location,
    outdoors,
    zone_offsets_h,
)
from stillwall.exposure.light_year import (
    SPREADS,
    SUN_SHARE_MEAN,
    SUN_SHARE_SD,
    AnnualDose,
    Basis,
    LightSite,
    YearParts,
    nothing_logged,
)
from stillwall.exposure.season_kriging import WEEKS, season_posterior
from stillwall.exposure.sky import (
    SkyState,
    clear_sky,
    facade_reference_lux,
    horizontal_reference_lux,
    sunshine_of,
)
from stillwall.exposure.sun_position import sun_position
from stillwall.record import Record

Floats = NDArray[np.float64]

READING_SD: dict[str, float] = {"overcast": 0.45, "mixed": 0.75, "clear": 0.70, "": 0.90}
"""Log spread of indoor over outdoor light in one reading, by the word for the sky (judgement)."""
SHARED_SD = 0.24
"""Log spread that more readings do not narrow: meter, hand and shadow, blinds that are drawn when nobody
reads, hours at which nobody comes (judgement)."""
LAMP_HOURS_LOW, LAMP_HOURS_MID, LAMP_HOURS_HIGH = 2.0, 5.0, 14.0
"""Hours a day that a lamp burns where nobody says (judgement)."""
LAMP_LUX_LOW, LAMP_LUX_MID, LAMP_LUX_HIGH = 10.0, 50.0, 250.0
"""Level of lamps where no reading after dark and no survey says (judgement)."""


@dataclass(frozen=True, slots=True)
class SpotReading:
    """One reading: seconds since 1970 on the building's clock, illuminance [lx], sky and lamps in words."""

    clock_s: float
    illuminance_lux: float
    sky: SkyState | None = None
    lamps: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class LampGuess:
    """Electric light where no record shows it: weekly dose with its 90 % interval. [lx h]"""

    low_lux_h: float
    mid_lux_h: float
    high_lux_h: float


@dataclass(frozen=True, slots=True, eq=False)
class SpotDose:
    """A year by hand-held readings: daylight as in a record without a seen week, and lamps as a guess."""

    annual: AnnualDose
    parts: YearParts
    lamps: LampGuess
    day_readings: int
    night_readings: int


def paired_ratio(record: Record, readings: tuple[SpotReading, ...], zone: str | None) -> float | None:
    """Light at a place over light at its room's logger, where readings were taken while it logged.

    The middle of the ratios at readings within half an hour of the log's, brighter than 5 lx; None
    where there is none.
    """
    channel = record.get("light")
    if channel is None:
        return None
    times, lux = channel.kept
    seconds = times.astype(np.int64)
    ratios = []
    for reading in readings:
        shift = zone_offsets_h(zone, int(reading.clock_s // 86_400), 1)[0] if channel.utc else 0.0
        at = reading.clock_s - 3600.0 * shift
        here = int(np.clip(np.searchsorted(seconds, at), 1, max(len(seconds) - 1, 1)))
        if len(seconds) > 1 and min(abs(seconds[here] - at), abs(seconds[here - 1] - at)) <= 1800:
            level = float(np.interp(at, seconds, lux))
            if level > 5.0:
                ratios.append(reading.illuminance_lux / level)
    return float(np.median(ratios)) if ratios and np.median(ratios) > 0 else None


def spot_dose(record: Record, readings: tuple[SpotReading, ...], site: LightSite) -> SpotDose | None:
    """Yearly light from hand-held readings; None where there is none. The record is not looked at.

    Each reading by day gives one ratio of indoor to outdoor light, with the spread that its sky deserves;
    the ratios are carried over the year as weeks of a record are. A reading after dark gives the level
    of the lamps, whose hours are the survey's or a guess. Readings by day alone leave the lamps, readings
    by night alone the daylight, to a wide prior.
    """
    del record
    if not readings:
        return None
    clock = np.array([reading.clock_s for reading in readings])
    lux = np.array([reading.illuminance_lux for reading in readings])
    year_start = int(clock[0] // 86_400)
    # The reading's own day decides between winter and summer time.
    offset_h = np.array([zone_offsets_h(site.location.zone, int(s // 86_400), 1)[0] for s in clock])
    utc = clock - 3600.0 * offset_h
    reference, elevation = _reference_at(utc, readings, site)
    by_day = reference > 200.0
    by_night = (elevation < -3.0) | np.array([reading.sky == "night" for reading in readings])
    by_day &= ~by_night
    lamp_level = _lamp_level(readings, lux, by_night, site)
    lamps_on = np.array([reading.lamps == "on" for reading in readings])
    daylight = np.maximum(lux - np.where(lamps_on, lamp_level[1], 0.0), np.maximum(0.15 * lux, 0.5))
    year = outdoors(year_start, 364, site.location, site.windows, utc=True)
    expected = (year.reference_lux * 0.5).sum(axis=1).reshape(WEEKS, 7).sum(axis=1)
    expected = np.maximum(expected, 2e-3 * expected.max())
    week_day = _day_of_year(year_start + 7 * np.arange(WEEKS)) + 3.5
    spread = SPREADS["facade" if site.windows and site.location.latitude_deg is not None else "horizontal"]
    if by_day.any():
        noise = np.array([READING_SD.get(reading.sky or "", READING_SD[""]) for reading in readings])[by_day]
        day = _day_of_year((clock[by_day] // 86_400).astype(np.int64))
        posterior = season_posterior(
            day,
            np.log(daylight[by_day] / reference[by_day]),
            spread,
            week_day,
            noise,
        )
        posterior = replace(posterior, covariance=posterior.covariance + SHARED_SD**2)
    else:
        # A wall's daylight lies between a ten-thousandth and a twentieth of that outdoors.
        posterior = season_posterior(
            week_day[:1], np.log(np.array([2e-3])), spread, week_day, np.array([1.6])
        )
    basis: Basis = (
        "latitude_unknown"
        if site.location.latitude_deg is None
        else ("windows" if site.windows else "latitude")
    )
    nothing = np.zeros(WEEKS)
    sun_expected = (
        np.interp(week_day, 7.0 * np.arange(WEEKS) + 3.5, np.asarray(site.sun_week_lux_h), period=365.0)
        if site.sun_week_lux_h is not None and any(site.sun_week_lux_h)
        else nothing
    )
    parts = YearParts(
        first_day=year_start,
        seen=np.zeros(WEEKS, dtype=bool),
        daylight_lux_h=nothing,
        electric_lux_h=nothing,
        sun_lux_h=nothing,
        filled_lux_h=nothing,
        expected_lux_h=expected,
        posterior=posterior,
        week_sd=spread.week_sd,
        lamp_dark_lux_h=nothing,
        lamp_day_lux_h=nothing,
        lamp_dusk_lux_h=nothing,
        lamps_from_survey=bool(site.lamps),
        hidden_h=nothing,
        sun_expected_lux_h=sun_expected,
        sun_log_share=SUN_SHARE_MEAN if sun_expected.any() else None,
        sun_log_sd=SUN_SHARE_SD,
        coarse_lux_h=0.0,
    )
    annual = _as_annual(parts, site, basis, clock, lux, by_day, lamp_level[1])
    return SpotDose(
        annual,
        parts,
        _lamp_guess(lamp_level, site),
        int(by_day.sum()),
        int(by_night.sum()),
    )


def _as_annual(
    parts: YearParts,
    site: LightSite,
    basis: Basis,
    clock: Floats,
    lux: Floats,
    by_day: NDArray[np.bool_],
    lamp_level_lux: float,
) -> AnnualDose:
    count = len(lux)
    peak = int(np.argmax(lux))
    return replace(
        nothing_logged(),
        parts=parts,
        basis=basis,
        method=f"{count} hand-held reading{'s' if count != 1 else ''} carried over the year by sun and sky",
        peak_lux=float(lux[peak]),
        peak_at=np.datetime64(int(clock[peak]), "s"),
        lamp_level_lux=lamp_level_lux,
        open_daylight_share=0.75,
        open_electric_share=0.4,
        open_h=(site.open_to_h - site.open_from_h) % 24.0 or 24.0,
        daylight_seen=bool(by_day.any()),
        first=np.datetime64(int(clock.min()), "s"),
        last=np.datetime64(int(clock.max()), "s"),
    )


def _reference_at(utc_s: Floats, readings: tuple[SpotReading, ...], site: LightSite) -> tuple[Floats, Floats]:
    """Outdoor reference [lx] and the sun's elevation [deg] at each reading, for the sky that was seen."""
    location = site.location
    sign = -1.0 if location.southern else 1.0
    latitudes = (
        [sign * latitude for latitude in MEAN_LATITUDES_DEG]
        if location.latitude_deg is None
        else [location.latitude_deg]
    )
    longitude = location.longitude_deg if location.longitude_deg is not None else _zone_longitude(location)
    sunshine = np.array([sunshine_of(reading.sky) for reading in readings])
    references = []
    elevations = []
    for latitude in latitudes:
        sun = sun_position(utc_s, latitude, longitude)
        sky = clear_sky(sun.elevation_deg)
        made = np.zeros(len(utc_s))
        for share in np.unique(sunshine):
            if site.windows and location.latitude_deg is not None:
                total = sum(window.area_m2 for window in site.windows)
                level = (
                    sum(
                        window.area_m2
                        * facade_reference_lux(sky, sun.azimuth_deg, window.bearing_deg, float(share))
                        for window in site.windows
                    )
                    / total
                )
            else:
                level = horizontal_reference_lux(sky, float(share))
            made = np.where(sunshine == share, level, made)
        references.append(made)
        elevations.append(sun.elevation_deg)
    return np.asarray(np.mean(references, axis=0)), np.asarray(elevations[len(elevations) // 2])


def _zone_longitude(location: Location) -> float:
    return 0.0 if location.zone is None else 15.0 * min(zone_offsets_h(location.zone, 19_000, 366))


def _lamp_level(
    readings: tuple[SpotReading, ...], lux: Floats, by_night: NDArray[np.bool_], site: LightSite
) -> tuple[float, float, float]:
    """Level of the lamps while lit, with its 90 % interval: (low, middle, high). [lx]"""
    lit = by_night & np.array([reading.lamps != "off" for reading in readings])
    if lit.any():
        level = max(float(np.mean(lux[lit])), 0.2)
        factor = np.exp(1.645 * 0.25 / np.sqrt(np.count_nonzero(lit)))
        return level / factor, level, level * factor
    surveyed = [lamp.level_lux for lamp in site.lamps if lamp.level_lux is not None]
    if surveyed:
        level = sum(surveyed)
        return 0.7 * level, level, 1.4 * level
    return LAMP_LUX_LOW, LAMP_LUX_MID, LAMP_LUX_HIGH


def _lamp_guess(level: tuple[float, float, float], site: LightSite) -> LampGuess:
    hours = [lamp.daily_h for lamp in site.lamps if lamp.daily_h is not None]
    if hours:
        days = [lamp.days_per_year if lamp.days_per_year is not None else 365.0 for lamp in site.lamps]
        daily = max(hours) * max(days) / 365.0
        spread = (0.8 * daily, daily, 1.2 * daily)
    else:
        spread = (LAMP_HOURS_LOW, LAMP_HOURS_MID, LAMP_HOURS_HIGH)
    middle = 7.0 * level[1] * spread[1]
    below = np.hypot(np.log(level[1] / level[0]), np.log(spread[1] / max(spread[0], 1e-3)))
    above = np.hypot(np.log(level[2] / level[1]), np.log(spread[2] / max(spread[1], 1e-3)))
    return LampGuess(float(middle * np.exp(-below)), float(middle), float(middle * np.exp(above)))


def _day_of_year(days: NDArray[np.int64]) -> Floats:
    dates = days.astype("datetime64[D]")
    since = dates - dates.astype("datetime64[Y]").astype("datetime64[D]")
    made: Floats = since.astype(np.int64).astype(np.float64)
    return made

"""The light at a place as a case knows it: windows, lamps, log or readings, and the dose of a stay."""

from __future__ import annotations

import calendar
from collections.abc import Hashable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal
from weakref import WeakKeyDictionary
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from stillwall.case import DAYS_PER_YEAR, Case, Site
from stillwall.draws import Z90, Draws, Floats
from stillwall.exposure.dose_draws import Z_GRID, Light, StayDose, light, stay_dose
from stillwall.exposure.lamps import LampFacts
from stillwall.exposure.light_year import AnnualDose, LightSite
from stillwall.exposure.spot_readings import SpotDose, SpotReading, paired_ratio, spot_dose
from stillwall.exposure.sun_on_wall import SunOn, sun_on
from stillwall.load import Evidence
from stillwall.setting.naming import place_name
from stillwall.setting.sun_geometry import SunGeometry, location_of, sun_geometry, window_faces
from stillwall.survey.loggers import LightReading, LogFileRef
from stillwall.survey.spans import daily_hours

Kind = Literal["log", "room_log", "readings", "room_readings", "none"]
EPOCH_ORDINAL = 719_163
"""Ordinal of 1970-01-01."""

_SITES: WeakKeyDictionary[Site, tuple[object, LightSite]] = WeakKeyDictionary()
_LIGHT: WeakKeyDictionary[Site, dict[Hashable, tuple[object, LightAt | None]]] = WeakKeyDictionary()
MOST_REMEMBERED = 16


@dataclass(frozen=True, slots=True, eq=False)
class LightAt:
    """Draws of the dose of a stay at a place, in its three parts, and what they rest on. [lx h]"""

    daylight: Floats
    electric: Floats
    sun: Floats
    kind: Kind
    evidence: Evidence
    annual: AnnualDose
    missing: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def whole(self) -> Floats:
        """All light together."""
        made: Floats = self.daylight + self.electric + self.sun
        return made


def geometry_of(case: Case) -> SunGeometry:
    """Windows of the room as they stand to the place."""
    return sun_geometry(case.survey, case.library, case.site)


def sun_on_wall(case: Case) -> SunOn | None:
    """Direct sun by geometry at the middle of the place, where a logger hangs; None without geometry."""
    wall = geometry_of(case).wall
    if wall is None:
        return None
    middle = 0.5 * (wall.left_m + wall.right_m)
    return case.site.exposure(sun_on, wall, middle - 0.1, middle + 0.1, 1.4, 1.6)


@lru_cache(maxsize=1024)
def drawn_between(draws: Draws, source: str, low: float, median: float, high: float) -> Floats:
    """:meth:`~stillwall.draws.Draws.between`, remembered, since many cases share a source of error."""
    made = draws.between(source, low, median, high)
    made.flags.writeable = False
    return made


def light_site(case: Case) -> LightSite:
    """What the yearly estimate may know of a place. Remembered by site."""
    found = _SITES.get(case.site)
    if found is not None and found[0] is case.survey:
        return found[1]
    survey, place, building = case.survey, case.site.place, case.site.building
    mapped, geometry = sun_on_wall(case), geometry_of(case)
    figure = case.library.figure
    opening = (figure("viewing.opening.from"), figure("viewing.opening.to"))
    if building is not None and building.open_hours is not None:
        opening = daily_hours(building.open_hours)
    settings = [survey.loggers[ref.file] for ref in _log_refs(case) if ref.file in survey.loggers]
    averages = any(setting.averages for setting in settings)
    full_scales = [s.full_scale_lux for s in settings if s.full_scale_lux is not None]
    lamps = []
    for lamp in survey.lamps_of(place):
        hours = daily_hours(lamp.hours) if lamp.hours is not None else (None, None)
        lamps.append(
            LampFacts(lamp.lux_at_wall, hours[0], hours[1], lamp.hours_per_day_h, lamp.days_per_year)
        )
    made = LightSite(
        location=location_of(building),
        windows=window_faces(survey, case.site),
        lamps=tuple(lamps),
        method="mean_before" if averages else "trapezoid",
        full_scale_lux=min(full_scales) if full_scales else None,
        sun_possible=geometry.in_line > 0 and geometry.wall is None,
        sun_week_lux_h=None if mapped is None else tuple(float(week) for week in mapped.week_lux_h),
        open_from_h=opening[0],
        open_to_h=opening[1],
    )
    _SITES[case.site] = (survey, made)
    return made


def light_at(case: Case, days: float) -> LightAt | None:
    """Dose of ``days`` of the stay from its first day on, by the best evidence there is; None without any.

    The log at the place, else its room's log (with the light at the place as an unknown share of it,
    narrowed by a reading taken while it logged), else hand-held readings. Remembered by site.
    """
    made = _LIGHT.setdefault(case.site, {})
    key = (id(case.survey), id(case.library), case.draws, case.stay.start, days)
    if key not in made:
        while len(made) >= MOST_REMEMBERED:
            del made[next(iter(made))]
        # The survey and the library stay beside the result, so that their ids cannot be used again.
        made[key] = ((case.survey, case.library), _light_at(case, days))
    return made[key][1]


def _light_at(case: Case, days: float) -> LightAt | None:
    site = light_site(case)
    first_day = case.stay.start.toordinal() - EPOCH_ORDINAL
    logged = case.site.exposure(light, site)
    own = _readings(case, case.site.place.light_readings)
    if logged.annual.parts is not None:
        return _from_log(case, logged, stay_dose(logged.annual.parts, first_day), own, days)
    if own:
        spot = case.site.exposure(spot_dose, own, site)
        return None if spot is None else _from_readings(case, spot, days, at_place=True)
    room = case.site.room
    if room is not None and room.light_readings:
        spot = case.site.exposure(spot_dose, _readings(case, room.light_readings), site)
        return None if spot is None else _from_readings(case, spot, days, at_place=False)
    return None


def dose_under_measures(case: Case, found: LightAt, days: float) -> Floats:
    """Draws of the dose of ``days`` at the work under the measures in force. [lx h]"""
    dose = case.factor("light_dose", "all") * (
        found.daylight * case.factor("light_dose", "daylight")
        + found.electric * case.factor("light_dose", "electric")
        + found.sun * case.factor("light_dose", "sun")
    )
    added = case.setting("light_dose", "added")
    if isinstance(added, int | float):
        dose = dose + float(added) * case.library.figure("light_dose.added_hours") * days
    made: Floats = np.asarray(dose, dtype=np.float64)
    return made


@dataclass(frozen=True, slots=True, eq=False)
class DoseFan:
    """Dose since the first day of a stay: days, 5th, 50th and 95th percentiles, shape (n,). [lx h]"""

    days: NDArray[np.datetime64]
    low: Floats
    median: Floats
    high: Floats


def dose_fan(case: Case) -> DoseFan | None:
    """How the dose at the work grows over a stay, its first year at most, by week; None without evidence."""
    last = min(case.stay.days, DAYS_PER_YEAR)
    at = np.unique(np.append(np.arange(0.0, last, 7.0), last))
    curves = []
    for days in at:
        found = light_at(case, float(days))
        if found is None:
            return None
        curves.append(case.draws.interval(dose_under_measures(case, found, float(days))))
    median, low, high = np.array(curves).T
    first = np.datetime64(case.stay.start, "D")
    return DoseFan(first + at.astype(np.int64).astype("timedelta64[D]"), low, median, high)


def _from_log(
    case: Case, logged: Light, stay: StayDose, own: tuple[SpotReading, ...], days: float
) -> LightAt:
    draws, place = case.draws, case.site.place
    room = case.site.room
    stream = room.id if logged.from_room and room is not None else place.id
    daylight, electric, sun = stay.after(days)
    sensor = np.exp(
        logged.accuracy / Z90 * draws.normal(f"logger:{logged.logger}:light")
        + case.library.figure("light_dose.sensor_angle") * draws.normal(f"logger:{logged.logger}:light_angle")
    )
    missing: tuple[str, ...] = ()
    evidence: Evidence = "measured"
    notes: tuple[str, ...] = ()
    share: Floats | float = 1.0
    if logged.from_room:
        evidence = "assumed"
        paired = case.site.exposure(paired_ratio, own, light_site(case).location.zone) if own else None
        spread = "light_dose.room_logger" if paired is None else "light_dose.paired_reading"
        share = (paired or 1.0) * np.exp(
            case.library.figure(spread) * draws.normal(f"wall:{place.id}:light_share")
        )
        if paired is None:
            missing = (
                "A light log, or one reading under an even sky while the room's logger runs, at "
                f"{place_name(case)} itself?",
            )
            notes = (
                "The light is the room logger's; the place itself may get a third of it or three times as "
                "much.",
            )
        else:
            notes = (f"The light is the room logger's times {paired:.2g}, by readings at the place itself.",)
    factor = sensor * share
    return LightAt(
        daylight=_drawn(case, stream, "daylight", daylight) * factor,
        electric=_drawn(case, stream, "electric", electric) * factor,
        sun=_drawn(case, stream, "sun", sun) * factor,
        kind="room_log" if logged.from_room else "log",
        evidence=evidence,
        annual=logged.annual,
        missing=missing,
        notes=notes,
    )


def _from_readings(case: Case, spot: SpotDose, days: float, *, at_place: bool) -> LightAt:
    place = case.site.place
    first_day = case.stay.start.toordinal() - EPOCH_ORDINAL
    daylight, _, sun = stay_dose(spot.parts, first_day).after(days)
    guess = spot.lamps
    electric = drawn_between(
        case.draws, f"season:{place.id}:lamps", guess.low_lux_h, guess.mid_lux_h, guess.high_lux_h
    ) * (days / 7.0)
    share: Floats | float = 1.0
    missing = []
    if not at_place:
        spread = case.library.figure("light_dose.room_logger")
        share = np.exp(spread * case.draws.normal(f"wall:{place.id}:light_share"))
        missing.append(f"Light readings at the height of the picture at {place_name(case)} itself?")
    if spot.day_readings < 3:
        missing.append(
            "Three or more light readings by day, lamps off, with hour and sky, or six weeks of a light "
            f"logger, at {place_name(case)}?"
        )
    if spot.night_readings == 0:
        missing.append(
            f"A light reading after dark with the lamps on, and the lamps' hours, at {place_name(case)}?"
        )
    return LightAt(
        daylight=_drawn(case, place.id, "daylight", daylight) * share,
        electric=electric * share,
        sun=_drawn(case, place.id, "sun", sun),
        kind="readings" if at_place else "room_readings",
        evidence="assumed",
        annual=spot.annual,
        missing=tuple(missing),
        notes=(),
    )


def _drawn(case: Case, stream: str, part: str, quantiles: Floats) -> Floats:
    if not quantiles[-1]:
        return np.zeros(case.draws.count)
    made: Floats = np.interp(case.draws.normal(f"season:{stream}:{part}"), Z_GRID, quantiles)
    return made


def _readings(case: Case, readings: tuple[LightReading, ...]) -> tuple[SpotReading, ...]:
    building = case.site.building
    made = []
    for reading in readings:
        at = reading.at
        if at.tzinfo is not None:
            zone = ZoneInfo(building.timezone) if building is not None and building.timezone else at.tzinfo
            at = at.astimezone(zone)
        made.append(
            SpotReading(float(calendar.timegm(at.timetuple())), reading.lux, reading.sky, reading.lamps)
        )
    return tuple(made)


def _log_refs(case: Case) -> tuple[LogFileRef, ...]:
    room = case.site.room
    return case.site.place.logs + (() if room is None else room.logs)

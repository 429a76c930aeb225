"""The worst month's humidity at the face of an outside wall, behind the work."""

from __future__ import annotations

import calendar
from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.moist_air import saturation_pressure
from stillwall.exposure.seasons import SEASONS, SEEN_SHARE, unseen
from stillwall.exposure.wall_surface import Months, months
from stillwall.load import Evidence, Load
from stillwall.reference.sources import Figure
from stillwall.setting.bearing import frame_medium, needed_seasons, sensor_draws, unseen_seasons_questions
from stillwall.setting.naming import place_name
from stillwall.setting.wall_face import WallFace, wall_face
from stillwall.units import Amount

NAME: Final = "wall_climate"
PARTS = {
    "stand_off": "whether the work stands off the wall with air behind it",
    "surface_humidity": "humidity at the wall's face",
}
_WORST_MONTHS: Final = 3
_MONTH_NAMES: Final = tuple(calendar.month_name[1:])
_VAPOUR_PER_K: Final = 0.06


def load(case: Case) -> Load | None:
    """Worst monthly humidity at the wall behind the work, from means of vapour and temperature."""
    face = wall_face(case, NAME)
    limit, of_frame = _limit(case)
    if face is None or limit is None:
        return None
    seen = case.site.exposure(months, face.climate)
    if seen is None:
        return _unlogged(case, face, limit)
    humidity, month = _worst(case, face, seen)
    humidity = humidity * case.factor(NAME, "surface_humidity")
    missing = unseen(tuple(share >= SEEN_SHARE for share in seen.coverage), needed_seasons(case))
    typical = median(humidity)
    behind = "logged at the surface" if not np.isnan(seen.surface_c).all() else _basis(face, seen)
    notes = ["The frame bears less than the picture, so its limit counts."] if of_frame else []
    if typical >= 100:
        notes.append("At 100 %RH water condenses on the wall.")
    return Load(
        hazard=NAME,
        kind="graded",
        draws=humidity / limit.value,
        reason=(
            f"Behind the work the face of the wall comes to {typical:.0f} %RH in {month} ({behind}); "
            f"{limit.value:.0f} %RH is allowed."
        ),
        evidence=_evidence(face, seen, missing),
        sources=(limit.source,),
        missing=(*face.questions, *unseen_seasons_questions(case, missing, "temperature and humidity")),
        deciding=True,
        exposure=Amount(typical, "%RH"),
        allowance=Amount(limit.value, "%RH"),
        span=None if limit.low is None or limit.high is None else (typical / limit.high, typical / limit.low),
        notes=tuple(notes),
    )


def _limit(case: Case) -> tuple[Figure | None, bool]:
    own, frame = case.medium.wall_humidity, frame_medium(case)
    other = None if frame is None else frame.wall_humidity
    if own is None or (other is not None and other.value < own.value):
        return other, other is not None
    return own, False


def _worst(case: Case, face: WallFace, seen: Months) -> tuple[Floats, str]:
    """Humidity of the worst month in draws, and its name."""
    needed = needed_seasons(case)
    inside, vapour = np.array(seen.inside_c), np.array(seen.vapour_pa)
    outside, surface = np.array(seen.outside_c), np.array(seen.surface_c)
    index = np.array(seen.month) % 12 // 3
    chosen = np.flatnonzero(np.isin(index, needed))
    middle = median(face.factor)
    if len(chosen):
        cold = np.where(np.isnan(surface), outside + middle * (inside - outside), surface)
        guess = vapour[chosen] / saturation_pressure(cold[chosen])
        chosen = chosen[np.argsort(guess)[::-1][:_WORST_MONTHS]]
    error = (1.0 - seen.outdoors_logged) * face.outdoor_error_k
    found = [_humidity(case, face, inside[i], vapour[i], outside[i] + error, surface[i]) for i in chosen]
    names = [_MONTH_NAMES[seen.month[i] - 1] for i in chosen]
    for season in needed:
        if seen.coverage[season] < SEEN_SHARE:
            spread = case.library.figure("wall_climate.unseen_vapour")
            draws = case.draws.normal(f"season:{case.site.place.id}:{NAME}:{season}")
            guess_vapour = float(vapour.mean()) * np.exp(spread * draws)
            coldest = _coldest(face, season) + face.outdoor_error_k
            found.append(_humidity(case, face, float(inside.mean()), guess_vapour, coldest, np.nan))
            names.append(f"{SEASONS[season]}, when nobody logged")
    medians = [median(humidity) for humidity in found]
    return np.maximum.reduce(found), names[int(np.argmax(medians))]


def _humidity(
    case: Case,
    face: WallFace,
    inside_c: float,
    vapour_pa: Floats | float,
    outside_c: Floats | float,
    surface_c: float,
) -> Floats:
    """Humidity at the wall's face, with the errors of the room's sensors. shape (count,) [%]"""
    warm = sensor_draws(case, case.site, "temperature")
    damp = sensor_draws(case, case.site, "humidity")
    saturated = float(saturation_pressure(inside_c))
    vapour = (vapour_pa + damp / 100.0 * saturated) * np.exp(_VAPOUR_PER_K * warm)
    if np.isnan(surface_c):
        surface = outside_c + face.factor * (inside_c + warm - outside_c)
    else:
        surface = np.full(case.draws.count, surface_c)
    return np.maximum(100.0 * vapour / saturation_pressure(surface), 0.0)


def _coldest(face: WallFace, season: int) -> float:
    """Stated outdoor temperature of a season's coldest month. [degC]"""
    days = np.array([15.0, 46.0, 74.0, 105.0, 135.0, 166.0, 196.0, 227.0, 258.0, 288.0, 319.0, 349.0])
    temperature = face.climate.at((days * 86_400).astype(np.int64))
    return float(min(temperature[month] for month in range(12) if (month + 1) % 12 // 3 == season))


def _basis(face: WallFace, seen: Months) -> str:
    wall = "by its stated insulation" if face.known else "with insulation as is usual for its build"
    if seen.outdoors_logged >= 0.9:
        return f"{wall}, outdoors as logged"
    return f"{wall}, outdoors as is usual at its latitude"


def _evidence(face: WallFace, seen: Months, missing: tuple[str, ...]) -> Evidence:
    if missing:
        return "missing"
    if not np.isnan(seen.surface_c).any():
        return "measured"
    return "surveyed" if face.known and seen.outdoors_logged >= 0.9 else "assumed"


def _unlogged(case: Case, face: WallFace, limit: Figure) -> Load:
    return Load(
        hazard=NAME,
        kind="graded",
        draws=None,
        reason=(
            "Temperature and humidity are not logged together at the wall, so how damp its cold face is "
            "behind the work is not known."
        ),
        evidence="missing",
        sources=(limit.source,),
        missing=(
            *face.questions,
            f"A winter of readings of temperature and humidity at {place_name(case)}?",
        ),
        deciding=True,
    )

"""The cold side of a wall: how much colder than the room its face is behind a work, in joint draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats
from stillwall.exposure.surface import factor_behind, u_value_of_factor
from stillwall.exposure.wall_surface import OutdoorClimate
from stillwall.setting.naming import place_name

INSULATED_BUILDS = frozenset({"gypsum_stud", "gypsum_metal"})


@dataclass(frozen=True, slots=True, eq=False)
class WallFace:
    """An outside wall behind a work.

    Attributes
    ----------
    factor : shape (count,)
        Temperature factor of the face behind the work. [1]
    outdoor_error_k : shape (count,)
        How far the stated outdoor climate may be off, for times without an outdoor log. [K]
    climate
        The stated outdoor climate.
    known : bool
        Whether the survey gives the wall's U-value or temperature factor.
    questions : tuple of str
        What is not known of the wall.
    """

    factor: Floats
    outdoor_error_k: Floats
    climate: OutdoorClimate
    known: bool
    questions: tuple[str, ...]


def wall_face(case: Case, hazard: str) -> WallFace | None:
    """The face of the wall behind a work, or None where the place is no outside wall.

    A wall of which nobody said whether it is an outside wall may be anything from inside to solid and cold.
    """
    wall = case.wall
    if wall is None or wall.outside is False:
        return None
    u_value, known = _u_value(case)
    resistance = _picture_resistance(case, hazard)
    factor = np.clip(factor_behind(u_value, resistance), 0.02, 0.999)
    questions = []
    if wall.outside is None:
        questions.append(f"Is the wall an outside wall, at {place_name(case)}?")
    if not known:
        questions.append(
            "What is the wall's U-value or temperature factor, or its build and insulation, at "
            f"{place_name(case)}?"
        )
    climate, sd = _climate(case)
    where = case.site.building.id if case.site.building is not None else case.site.place.id
    return WallFace(
        factor=factor,
        outdoor_error_k=sd * case.draws.normal(f"season:{where}:outdoors"),
        climate=climate,
        known=known and wall.outside is not None,
        questions=tuple(questions),
    )


def _u_value(case: Case) -> tuple[Floats, bool]:
    wall = case.wall
    assert wall is not None
    stream = f"wall:{wall.id}:u_value"
    spread = case.library.figure("wall_climate.u_value.known_spread")
    given = wall.u_value_w_m2k
    if given is None and wall.f_rsi is not None:
        given = float(u_value_of_factor(min(wall.f_rsi, 0.99)))
    if given is not None and given > 0:
        return case.draws.between(stream, given / spread, given, given * spread), True
    insulated = wall.insulated is True or (wall.insulated is None and wall.build in INSULATED_BUILDS)
    kind = "insulated" if insulated else "unknown" if wall.outside is None else "solid"
    low, mid, high = (
        case.library.figure(f"wall_climate.u_value.{kind}.{end}") for end in ("low", "mid", "high")
    )
    return case.draws.between(stream, low, mid, high), False


def _picture_resistance(case: Case, hazard: str) -> Floats:
    kind = "stand_off" if case.setting(hazard, "stand_off") else "flat"
    low, mid, high = (
        case.library.figure(f"wall_climate.behind.{kind}.{end}") for end in ("low", "mid", "high")
    )
    return case.draws.between("model:wall_climate:behind", low, mid, high)


def _climate(case: Case) -> tuple[OutdoorClimate, float]:
    figure = case.library.figure
    latitude = None if case.site.building is None else case.site.building.latitude
    distance = figure("wall_climate.outdoors.latitude") if latitude is None else abs(latitude)
    mean = (
        figure("wall_climate.outdoors.equator_mean") - figure("wall_climate.outdoors.mean_slope") * distance
    )
    amplitude = figure("wall_climate.outdoors.amplitude_slope") * distance
    return OutdoorClimate(mean, amplitude, latitude is not None and latitude < 0), figure(
        "wall_climate.outdoors.error"
    )

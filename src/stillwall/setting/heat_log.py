"""What the log at a place says of fires and other heat, and whether that agrees with the survey."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats
from stillwall.exposure.fires import HeatSeen, heat_seen
from stillwall.exposure.readings import temperature_logged
from stillwall.phrases import counted, listed
from stillwall.setting.naming import names_of
from stillwall.survey.features import HeatSource
from stillwall.survey.spans import year_span
from stillwall.survey.survey import Survey

Season = tuple[tuple[int, int], tuple[int, int]]
NORTHERN: Season = ((10, 1), (4, 30))
SOUTHERN: Season = ((4, 15), (10, 15))


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedHeat:
    """The log's word on heat at one place.

    Attributes
    ----------
    own
        Whether the place has a logger of its own: only that can clear a wall.
    enough
        Whether it saw enough of a heating season to clear anything.
    fires_a_year
        Dry-heat evenings, scaled to a whole season.
    sure
        Whether there were more of them than false alarms would explain.
    """

    seen: HeatSeen
    own: bool
    enough: bool
    fires_a_year: float
    sure: bool

    @property
    def count(self) -> int:
        """Evenings of dry heat in the log."""
        return len(self.seen.evenings)


def logged_heat(case: Case) -> LoggedHeat | None:
    """What the log of the case's place says, or None where temperature is not logged."""
    logged = case.site.exposure(temperature_logged)
    if not logged.here:
        return None
    building = case.site.building
    season = heating_season(case)
    latitude = None if building is None else building.latitude
    seen = case.site.exposure(heat_seen, season, latitude)
    figure = case.library.figure
    length = _days(season)
    count = len(seen.evenings)
    false = figure("hearth.log.false_a_month") * seen.season_days / 30.4
    return LoggedHeat(
        seen=seen,
        own=logged.own,
        enough=seen.season_days >= figure("hearth.log.clears_days"),
        fires_a_year=count / seen.season_days * length if seen.season_days > 0 else 0.0,
        sure=count >= 3 and count > 2 * false,
    )


def heating_season(case: Case) -> Season:
    """First and last day of heating, as written or as usual on this side of the equator."""
    building = case.site.building
    text = (None if building is None else building.heating_season) or case.survey.head.heating_season
    if text is not None:
        return year_span(text)
    south = building is not None and building.latitude is not None and building.latitude < 0
    return SOUTHERN if south else NORTHERN


def fire_rise(case: Case, logged: LoggedHeat) -> Floats:
    """Rise at the work by fires, from a single logger, with its error. [K]"""
    sensor = case.library.figure("hearth.log.sensor_error")
    error = sensor * case.draws.normal(f"model:hearth:log:{case.site.place.id}")
    if not logged.count:
        return case.draws.between(f"wall:{case.site.place.id}:unseen_heat", *_span(case, "unseen"))
    typical = float(np.quantile(logged.seen.rises_k, 0.75))
    return np.maximum(typical + error, 0.0)


def wall_rise(case: Case, logged: LoggedHeat, rise_k: float | None = None) -> Floats:
    """Rise of the wall over its room from two loggers, with their error. [K]

    ``rise_k`` is the rise read off them; the one that an hour in twenty passes, where it is not given.
    """
    sensor = case.library.figure("hearth.log.sensor_error")
    error = sensor * np.sqrt(2) / 2 * case.draws.normal(f"model:hearth:log:{case.site.place.id}")
    made: Floats = np.maximum((logged.seen.difference_p95_k if rise_k is None else rise_k) + error, 0.0)
    return made


def agreement(survey: Survey, logged: LoggedHeat, fires: Sequence[HeatSource]) -> str | None:
    """Whether log and survey agree about fires, in a sentence; None where neither says anything."""
    days, count = logged.seen.season_days, logged.count
    if days < 1:
        return "The log covers no heating season, so it says nothing about fires."
    lit = any(source.used in ("seasonal", "daily", "events") or source.fires_per_year for source in fires)
    here = names_of(survey).fittings
    names = listed([here[source.id] for source in fires]) if fires else ""
    are = "is" if len(fires) == 1 else "are"
    of = counted(days, "evening")
    if logged.sure and fires and not lit:
        return (
            f"The log shows dry heat on {count} of {of} of the heating season; the survey says that {names} "
            f"{are} never lit. They differ: find out which is right."
        )
    if logged.sure:
        where = f"; the survey lists {names}" if names else "; the survey lists no fire"
        return f"The log shows dry heat on {count} of {of} of the heating season{where}."
    seen = logged.seen
    if lit and logged.own and seen.two_loggers and seen.cycles_over_3k >= 1:
        return f"The survey says that {names} {are} lit, and the loggers of wall and room bear it out."
    if lit and logged.enough:
        return (
            f"The survey says that {names} {are} lit; the log shows dry heat on {count or 'none'} of {of} of "
            "the heating season. They differ, though small fires may not show."
        )
    return (
        f"The log shows no dry heat on {of} of the heating season."
        if not count
        else f"The log shows dry heat on only {count} of {of} of the heating season."
    )


def _days(season: Season) -> float:
    (first_month, first_day), (last_month, last_day) = season
    first = (first_month - 1) * 30.4 + first_day
    last = (last_month - 1) * 30.4 + last_day
    return (last - first) % 365.0


def _span(case: Case, name: str) -> tuple[float, float, float]:
    figure = case.library.figures[f"hearth.log.{name}"]
    assert figure.low is not None
    assert figure.high is not None
    return figure.low, figure.value, figure.high

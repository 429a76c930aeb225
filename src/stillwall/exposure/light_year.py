"""What is known of a wall's light over a year: the facts that go in, the parts that come out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.daylight_reference import Location, WindowFace
from stillwall.exposure.dose import Method
from stillwall.exposure.lamps import LampFacts
from stillwall.exposure.season_kriging import SeasonPosterior, Spread
from stillwall.exposure.sun_in_log import SunInLog

Floats = NDArray[np.float64]
Basis = Literal["windows", "latitude", "latitude_unknown"]

SPREADS: dict[str, Spread] = {
    "facade": Spread(0.43, 1.4, 0.15, 0.45, 0.20),
    "horizontal": Spread(0.63, 1.5, 0.14, 0.45, 0.20),
    "sun": Spread(0.40, 0.30, 0.30, 0.10, 0.26),
}
"""Fitted once to simulated rooms in five climates; see the study of interval coverage."""
SUN_SHARE_MEAN, SUN_SHARE_SD, SUN_WEEK_SD = -0.8, 1.4, 0.7
"""Log of the sun that really lands over what geometry predicts; its spread; the spread of one week."""


@dataclass(frozen=True, slots=True)
class LightSite:
    """All that the yearly estimate may know besides the readings."""

    location: Location = field(default_factory=Location)
    windows: tuple[WindowFace, ...] = ()
    lamps: tuple[LampFacts, ...] = ()
    method: Method = "trapezoid"
    full_scale_lux: float | None = None
    open_from_h: float = 9.0
    open_to_h: float = 18.0
    sun_week_lux_h: tuple[float, ...] | None = None
    """Dose of direct sun expected by geometry in each of 52 weeks from 1 January, None without geometry."""
    sun_possible: bool = False
    """Whether a window whose geometry is not known may send sun to the place."""


@dataclass(frozen=True, slots=True, eq=False)
class YearParts:
    """Light by week over the 52 weeks that begin on ``first_day``, and how it is known. [lx h]

    Attributes
    ----------
    first_day
        Days since 1970-01-01 of the first day of week 0.
    seen : shape (52,)
        Weeks with readings over at least half their expected daylight.
    daylight_lux_h, electric_lux_h, sun_lux_h : shape (52,)
        Of the seen weeks, hours without readings filled in; 0 in the others.
    filled_lux_h : shape (52,)
        The part of ``daylight_lux_h`` that was filled in.
    expected_lux_h : shape (52,)
        Reference exposure outdoors.
    posterior
        Log of daylight over reference in the weeks that were not seen, in their order.
    lamp_dark_lux_h, lamp_day_lux_h, lamp_dusk_lux_h : shape (52,)
        Electric dose by the schedule: in the dark; at the same hours of the clock while the sun is up; in
        dark hours that no reading saw, carried on from a lit neighbour.
    hidden_h : shape (52,)
        Hours of each week that are dark and of which nothing shows whether lamps burn.
    sun_expected_lux_h : shape (52,)
        Direct sun by geometry.
    sun_log_share, sun_log_sd
        Log of real over expected sun, with its spread; None where no geometry is known.
    """

    first_day: int
    seen: NDArray[np.bool_]
    daylight_lux_h: Floats
    electric_lux_h: Floats
    sun_lux_h: Floats
    filled_lux_h: Floats
    expected_lux_h: Floats
    posterior: SeasonPosterior
    week_sd: float
    lamp_dark_lux_h: Floats
    lamp_day_lux_h: Floats
    lamp_dusk_lux_h: Floats
    lamps_from_survey: bool
    hidden_h: Floats
    sun_expected_lux_h: Floats
    sun_log_share: float | None
    sun_log_sd: float
    coarse_lux_h: float


@dataclass(frozen=True, slots=True, eq=False)
class AnnualDose:
    """What a record says of a wall's light over a year.

    ``parts`` is None where the record holds no usable light reading.
    """

    parts: YearParts | None
    basis: Basis
    method: str
    measured_lux_h: float
    measured_h: float
    weeks_seen: int
    expected_share: float
    """Share of the year's expected daylight that readings cover."""
    june_seen: bool
    december_seen: bool
    peak_lux: float
    peak_at: np.datetime64 | None
    offset_lux: float
    step_lux: float
    saturated_share: float
    lamp_level_lux: float
    lamp_daily_h: float
    lamps_from_survey: bool
    hidden_lamp_h: float
    open_daylight_share: float
    open_electric_share: float
    """Shares of the daylight and of the electric dose that fall in opening hours. [1]"""
    open_h: float
    """Opening hours of a day. [h]"""
    sun: SunInLog
    daylight_seen: bool
    first: np.datetime64 | None = None
    last: np.datetime64 | None = None


def nothing_logged() -> AnnualDose:
    """The answer where there is no light reading."""
    return AnnualDose(
        parts=None,
        basis="latitude_unknown",
        method="none",
        measured_lux_h=0.0,
        measured_h=0.0,
        weeks_seen=0,
        expected_share=0.0,
        june_seen=False,
        december_seen=False,
        peak_lux=0.0,
        peak_at=None,
        offset_lux=0.0,
        step_lux=0.0,
        saturated_share=0.0,
        lamp_level_lux=0.0,
        lamp_daily_h=0.0,
        lamps_from_survey=False,
        hidden_lamp_h=0.0,
        open_daylight_share=0.0,
        open_electric_share=0.0,
        open_h=9.0,
        sun=SunInLog.none(),
        daylight_seen=False,
    )

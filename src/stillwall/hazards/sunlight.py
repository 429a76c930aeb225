"""Direct sun: how much warmer than the air the sun on the work makes its surface.

The light of the sun is part of the light dose; here it counts as heat.
"""

from __future__ import annotations

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.light_year import AnnualDose
from stillwall.exposure.sun_heat import irradiance_of_lux, surface_rise_k
from stillwall.exposure.sun_in_log import LEAST_SUN_LUX
from stillwall.exposure.sun_on_wall import LEVELS, SunOn
from stillwall.load import Evidence, Load
from stillwall.phrases import counted, percent, show_rise, two_figures
from stillwall.reference.sources import Figure
from stillwall.setting.lighting import LightAt, drawn_between, geometry_of, light_at
from stillwall.setting.naming import room_name, room_named
from stillwall.setting.sun_geometry import SunGeometry
from stillwall.setting.sun_on_work import sun_on_work
from stillwall.survey.places import HoldingPlace
from stillwall.units import Amount

SEEN_ALL = 0.9
"""Share of the year's daylight that a log must have seen to stand for the whole year."""
LEAST_AGREEMENT = 0.3
"""Share of weeks with sun, logged or predicted, on which both must agree not to be called at odds."""
CLOCKS_APART_H = 1.25
LEAST_RISE_K = 0.1
PARTS = {"beam": "the sun's beam on the work"}
FOLLOWS = ("fit",)


def load(case: Case) -> Load | None:
    """Rise of the surface in direct sun over what the work may take.

    From the geometry of the windows; what the light log saw of the sun counts where it is hotter, and a
    long log without the sun's mark counts against the geometry. None for metal and stone, which the heat
    of the sun does not harm, and where no window can send sun to the place.
    """
    medium = case.medium
    if isinstance(case.site.place, HoldingPlace) or (
        medium.group in ("metal", "stone") and medium.sun_rise_limit is None and medium.heat_limit is None
    ):
        return None
    limit = medium.sun_rise_limit or case.library.figures["sunlight.limit.rise"]
    geometry = geometry_of(case)
    found = light_at(case, 365.0)
    annual = None if found is None else found.annual
    logged = annual is not None and annual.sun.found
    if geometry.in_line == 0 and not logged:
        return _without_window(case, geometry, found)
    mapped = sun_on_work(case)
    if mapped is None and not logged:
        if found is not None and found.kind == "log" and found.annual.expected_share >= SEEN_ALL:
            return _none_logged(case, found.annual, limit)
        return _unknown(case, geometry, limit.value)
    irradiance = np.zeros(case.draws.count)
    evidence: Evidence = "surveyed" if geometry.complete else "assumed"
    hours = 0.0
    notes: list[str] = []
    if mapped is not None:
        hours, by_geometry = _by_geometry(case, mapped)
        denied, denial = _denied(case, annual, mapped, hours)
        irradiance = by_geometry * denied
        notes += denial
    if logged and annual is not None:
        efficacy = case.library.figure("sunlight.surface.sun_efficacy")
        irradiance = np.maximum(irradiance, irradiance_of_lux(annual.sun.peak_lux, efficacy))
        evidence = "measured"
        notes.append(
            f"The log shows sun on {counted(len(annual.sun.days), 'day')}, "
            f"{counted(round(annual.sun.hours), 'hour')} in all, up to {two_figures(annual.sun.peak_lux)} lx."
        )
        if mapped is not None:
            notes += _matched(annual, mapped, hours)
    rise = surface_rise_k(irradiance, _absorbed(case), _exchange(case)) * case.factor("sunlight", "beam")
    median, low, high = case.draws.interval(rise)
    return Load(
        hazard="sunlight",
        kind="graded",
        draws=rise / limit.value,
        deciding=True,
        reason=_reason(case, hours, rise, (median, low, high), limit.value, logged=logged),
        evidence=evidence,
        missing=geometry.missing if not logged else (),
        exposure=Amount(median, "K"),
        allowance=Amount(limit.value, "K"),
        sources=(limit.source,),
        notes=tuple(notes),
    )


def _by_geometry(case: Case, mapped: SunOn) -> tuple[float, Floats]:
    """Hours of sun a year at the measured dimensions, and draws of the peak irradiance on the work. [W/m2]"""
    z = case.draws.normal(f"wall:{case.site.place.id}:sun_geometry")
    return float(mapped.hours[LEVELS.index(0.0)]), np.interp(z, LEVELS, mapped.peak_w_m2)


def _denied(
    case: Case, annual: AnnualDose | None, mapped: SunOn, hours: float
) -> tuple[Floats | float, list[str]]:
    """What a log without the sun's mark leaves of the predicted sun, and what to say of it."""
    if annual is None or annual.parts is None or not hours:
        return 1.0, []
    parts = annual.parts
    expected = parts.sun_expected_lux_h
    tested = parts.seen & (expected > 0.02 * max(float(expected.max()), 1e-9))
    if annual.sun.found or 7 * int(tested.sum()) < case.library.figure("sunlight.log_denies_after"):
        return 1.0, []
    seen = float(expected[tested].sum() / max(expected.sum(), 1e-9))
    if parts.sun_log_share is None:
        return 1.0, []
    left = np.exp(
        parts.sun_log_share + parts.sun_log_sd * case.draws.normal(f"season:{case.site.place.id}:sun")
    )
    passed: Floats = np.minimum(left, 1.0)
    return (
        seen * passed + (1.0 - seen),
        [
            f"The survey predicts sun in {counted(int(tested.sum()), 'week')} of the log, which shows none: "
            "check the window's bearing, its blinds and what stands opposite."
        ],
    )


def _reason(
    case: Case,
    hours: float,
    rise: Floats,
    interval: tuple[float, float, float],
    limit_k: float,
    *,
    logged: bool,
) -> str:
    median, low, high = interval
    chance = float(np.mean(rise > LEAST_RISE_K))
    if not chance:
        return "By where the windows stand no sun reaches the work."
    system = case.survey.head.units
    up_to = show_rise(median, system)
    ends = " to ".join(show_rise(max(round(end), 0), system).split(" ")[0] for end in (low, high))
    allowed = f"{show_rise(limit_k, system)} is allowed."
    heat = f"up to {up_to} above the air (90 %: {ends}); {allowed}"
    if hours:
        return (
            f"With clear skies sun falls on the work for about {hours:.0f} h a year and warms its surface "
            f"{heat}"
        )
    if logged:
        return f"The log shows sun on the wall, which warms the work's surface {heat}"
    return (
        f"With what is uncertain of the windows, sun reaches the work with a chance of {percent(chance)} and "
        f"warms its surface {heat}"
    )


def _matched(annual: AnnualDose, mapped: SunOn, hours: float) -> list[str]:
    """Whether the sun that the log shows is the one that the windows' geometry predicts."""
    parts = annual.parts
    if hours < 1.0 or parts is None or not parts.sun_expected_lux_h.any():
        return ["The surveyed windows do not explain it: check where they stand and their bearings."]
    predicted = parts.seen & (parts.sun_expected_lux_h > 0.02 * parts.sun_expected_lux_h.max())
    shown = parts.seen & (parts.sun_lux_h > 0)
    either = int((predicted | shown).sum())
    both = int((predicted & shown).sum())
    notes = []
    if either and both < LEAST_AGREEMENT * either:
        notes.append(
            f"The log shows sun in {counted(int(shown.sum()), 'week')} and the survey predicts it in "
            f"{int(predicted.sum())}, of which only {both} are the same: check the bearing, the blinds and "
            "what stands opposite."
        )
    elif either:
        notes.append(f"Log and survey agree on {both} of {counted(either, 'week')} with sun.")
    if annual.sun.from_h is not None and annual.sun.to_h is not None and mapped.clock_h is not None:
        apart = 0.5 * (annual.sun.from_h + annual.sun.to_h) - 0.5 * sum(mapped.clock_h)
        if abs(apart) > CLOCKS_APART_H:
            side = "later" if apart > 0 else "earlier"
            notes.append(
                f"The sun in the log comes {abs(apart):.1f} h {side} than the survey predicts: check the "
                "logger's clock and zone, and the bearing."
            )
    return notes


def _without_window(case: Case, geometry: SunGeometry, found: LightAt | None) -> Load | None:
    """No window in line of the place: nothing to say, unless the survey may have left windows out."""
    room = case.site.room
    if (
        (room is not None and room.windowless)
        or geometry.listed
        or (found is not None and found.kind == "log" and not found.annual.daylight_seen)
    ):
        return None
    where = room_name(case.survey, None if room is None else room.id)
    asked_of = room_named(case.survey, None if room is None else room.id)
    daylight = found is not None and found.annual.daylight_seen
    return Load(
        hazard="sunlight",
        kind="graded",
        draws=None,
        deciding=True,
        reason=(
            f"The light there follows the day, yet the survey lists no window of {where}."
            if daylight
            else f"The survey lists no window of {where}, and no light log shows that there is none."
        ),
        evidence="missing",
        missing=(
            f"Which windows has {asked_of}: in which wall, how far from its left corner, sill, size, reveal "
            "and "
            "bearing? A light log there would tell too; windowless = true says that there is none.",
        ),
        sources=(case.library.figures["sunlight.limit.rise"].source,),
    )


def _none_logged(case: Case, annual: AnnualDose, limit: Figure) -> Load:
    """A year's log at the place without the mark of the sun: what would have gone unmarked is small."""
    efficacy = case.library.figure("sunlight.surface.sun_efficacy")
    irradiance = np.full(case.draws.count, irradiance_of_lux(min(LEAST_SUN_LUX, annual.peak_lux), efficacy))
    rise = surface_rise_k(irradiance, _absorbed(case), _exchange(case)) * case.factor("sunlight", "beam")
    return Load(
        hazard="sunlight",
        kind="graded",
        draws=rise / limit.value,
        deciding=True,
        reason=f"In {counted(annual.weeks_seen, 'week')} the light log at the wall shows no sun on it.",
        evidence="measured",
        exposure=Amount(median(rise), "K"),
        allowance=Amount(limit.value, "K"),
        sources=(limit.source,),
    )


def _unknown(case: Case, geometry: SunGeometry, limit_k: float) -> Load:
    return Load(
        hazard="sunlight",
        kind="graded",
        draws=None,
        deciding=True,
        reason="Whether sun reaches the work cannot be worked out from what was surveyed.",
        evidence="missing",
        missing=geometry.missing,
        allowance=Amount(limit_k, "K"),
        sources=(case.library.figures["sunlight.limit.rise"].source,),
    )


def _exchange(case: Case) -> Floats:
    """Exchange of heat between a surface and its room. [W/m2/K]"""
    figure = case.library.figures["sunlight.surface.exchange"]
    low, high = figure.low or figure.value, figure.high or figure.value
    return drawn_between(case.draws, "model:sunlight:exchange", low, figure.value, high)


def _absorbed(case: Case) -> Floats:
    """Share of the sun that the surface takes up."""
    figure = case.library.figures["sunlight.absorbed"]
    reflectance = case.work.reflectance
    if reflectance is not None:
        return np.full(case.draws.count, 1.0 - reflectance)
    low, high = figure.low or figure.value, figure.high or figure.value
    return drawn_between(case.draws, f"work:{case.work.id}:absorbed", low, figure.value, high)

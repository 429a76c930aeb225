"""Ultraviolet: its proportion and its irradiance at the work, against the house's limit."""

from __future__ import annotations

from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Z90, Floats, median
from stillwall.exposure.ultraviolet import logged_ultraviolet, mixed_proportion
from stillwall.load import Evidence, Load
from stillwall.phrases import counted, two_figures
from stillwall.reference.sources import Citation
from stillwall.setting.lighting import LightAt, drawn_between, light_at
from stillwall.setting.naming import place_name
from stillwall.setting.sun_geometry import windows_of
from stillwall.survey.features import Opening
from stillwall.units import Amount

PARTS = {
    "all": "all ultraviolet on the work",
    "daylight": "ultraviolet of light through windows",
    "electric": "ultraviolet of lamps",
    "glazing": "what the work's own glazing lets through, in place of the present one",
}
LENDER: Final = Citation(key="lender", locator="ultraviolet of the loan's conditions", checked="practice")


def load(case: Case) -> Load | None:
    """The worse of proportion and irradiance over its limit; None for works that it does not touch."""
    responsivity = case.work.sensitivity or case.medium.light.responsivity
    lender = case.work.lender
    asked = None if lender is None else lender.uv_uw_lm
    if responsivity == "R0" and asked is None:
        return None
    figures = case.library.figures
    house = case.survey.head.uv_limit
    named = figures["ultraviolet.limit.modern" if house == 10 else "ultraviolet.limit.proportion"]
    limit, source = (named.value, named.source) if asked is None else (asked, LENDER)
    strong = figures["ultraviolet.limit.irradiance"]
    found = light_at(case, 365.0)
    glazing = _glazing(case)
    if found is None:
        daylight = drawn_between(case.draws, "model:ultraviolet:light", 0.02, 0.5, 5.0)
        electric = drawn_between(case.draws, "model:ultraviolet:lamps", 0.02, 0.3, 5.0)
        lux = drawn_between(
            case.draws, f"wall:{case.site.place.id}:lux", *_span(case, "viewing.light_unknown")
        )
    else:
        daylight = found.daylight + found.sun
        electric = found.electric
        lux = _opening_lux(found)
    measured = case.site.exposure(logged_ultraviolet)
    evidence: Evidence
    missing: tuple[str, ...] = ()
    if measured is not None:
        spread = np.hypot(measured.accuracy / Z90 / max(measured.proportion_uw_lm, 1.0), 0.05)
        meter = np.exp(
            min(float(spread), figures["ultraviolet.meter_spread"].value)
            * case.draws.normal(f"logger:{measured.logger}:ultraviolet")
        )
        at_work = measured.proportion_uw_lm * meter
        day, lamp = at_work, at_work
        evidence = "measured"
        how = f"by a logger, {counted(measured.readings, 'reading')}"
    else:
        spot = _spot_readings(case)
        if spot:
            meter = np.exp(
                figures["ultraviolet.meter_spread"].value
                * case.draws.normal(f"wall:{case.site.place.id}:uv_meter")
            )
            day = lamp = float(np.median(spot)) * meter
            evidence, how = "surveyed", f"by {counted(len(spot), 'hand-held reading')}"
        else:
            day, lamp, evidence, how = _by_kind(case)
            missing = (
                f"How much ultraviolet by day, in µW/lm and by which meter, reaches {place_name(case)}?",
            )
    proportion = (
        mixed_proportion(
            (day * case.factor("ultraviolet", "daylight"), lamp * case.factor("ultraviolet", "electric")),
            (daylight, electric),
        )
        * glazing
        * case.factor("ultraviolet", "all")
    )
    irradiance = proportion * lux / 1000.0
    ratio = np.maximum(proportion / max(limit, 1e-6), irradiance / strong.value)
    typical, low, high = case.draws.interval(proportion)
    return Load(
        hazard="ultraviolet",
        kind="graded",
        draws=ratio,
        reason=(
            f"About {two_figures(typical)} µW/lm at the work (90 %: {two_figures(low)} to "
            f"{two_figures(high)}, {how}) and {two_figures(median(irradiance))} mW/m² in opening "
            f"hours; {limit:g} µW/lm and {strong.value:g} mW/m² are allowed."
        ),
        evidence=evidence if found is not None or measured is not None else "assumed",
        missing=missing,
        exposure=Amount(typical, "uW/lm"),
        allowance=Amount(limit, "uW/lm"),
        sources=(source, strong.source),
        notes=(
            "Meters of different bands differ by up to a factor of three; compare readings of one meter.",
        ),
    )


def _opening_lux(found: LightAt) -> Floats:
    annual = found.annual
    dose = found.daylight * annual.open_daylight_share + found.electric * annual.open_electric_share
    made: Floats = dose / (365.0 * annual.open_h)
    return made


def _spot_readings(case: Case) -> list[float]:
    return [reading.uv for reading in case.site.place.light_readings if reading.uv is not None]


def _by_kind(case: Case) -> tuple[Floats, Floats, Evidence, str]:
    """Proportions of daylight and of lamps by the kinds of windows and lamps. [uW/lm]"""
    place = case.site.place
    windows = windows_of(case.survey, case.site.room)
    kinds = {_window_kind(window) for window in windows} or {"unknown"}
    worst = "plain" if "plain" in kinds else ("unknown" if "unknown" in kinds else "filtered")
    day = drawn_between(case.draws, f"wall:{place.id}:uv_window", *_span(case, f"ultraviolet.window.{worst}"))
    if worst == "unknown":
        day = np.minimum(day, case.library.figure("ultraviolet.window.plain.high"))
    lamps = case.survey.lamps_of(place)
    stated = [lamp.uv_uw_lm for lamp in lamps if lamp.uv_uw_lm is not None]
    lamp_kinds = {lamp.kind for lamp in lamps if lamp.uv_uw_lm is None} or (
        {"unknown"} if not stated else set()
    )
    options = [_span(case, f"ultraviolet.lamp.{kind}") for kind in lamp_kinds]
    options += [(0.8 * max(uv, 0.1), max(uv, 0.1), 1.25 * max(uv, 0.1)) for uv in stated]
    lamp = drawn_between(case.draws, f"wall:{place.id}:uv_lamp", *max(options, key=lambda span: span[1]))
    words = {
        "plain": "plain window glass",
        "filtered": "filtered windows",
        "unknown": "windows of unknown glass",
    }
    return day, lamp, "assumed", f"assumed from {words[worst]}"


def _window_kind(window: Opening) -> str:
    if window.film in ("uv", "neutral", "tinted") or window.glass == "laminated":
        return "filtered"
    return "unknown" if window.glass is None and window.film is None else "plain"


def _glazing(case: Case) -> Floats:
    factor = case.factor("ultraviolet", "glazing")
    if not isinstance(factor, float):
        return factor
    kind = case.work.glazing or "unknown"
    low, middle, high = _span(case, f"ultraviolet.glazing.{kind}")
    return drawn_between(case.draws, f"work:{case.work.id}:uv_glazing", low, middle, high)


def _span(case: Case, name: str) -> tuple[float, float, float]:
    figures = case.library.figures
    if name in figures:
        figure = figures[name]
        return figure.low or figure.value, figure.value, figure.high or figure.value
    return figures[f"{name}.low"].value, figures[f"{name}.mid"].value, figures[f"{name}.high"].value

"""Light dose: lux hours over the stay against the yearly limit of the work's responsivity class.

Equal doses do equal harm whatever the intensity (reciprocity), so lux hours add up and a bright hour is
in the dose already: the peak is told beside it and never judged by itself.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.dose_budget import lender_allowance, on_show_share, spent_before, stay_allowance
from stillwall.exposure.dose_draws import Light
from stillwall.exposure.fading import geometric_mean, years_span
from stillwall.exposure.light_year import AnnualDose
from stillwall.load import Evidence, Load, weakest
from stillwall.phrases import counted, percent, sentence, two_figures
from stillwall.reference.sources import Citation
from stillwall.setting.lighting import EPOCH_ORDINAL, LightAt, dose_under_measures, geometry_of, light_at
from stillwall.setting.naming import place_name
from stillwall.units import Amount

PARTS = {
    "all": "all light on the work",
    "daylight": "light that comes through windows, the sun itself left out",
    "electric": "light of lamps",
    "sun": "the sun itself on the work",
    "added": "lux of a new lamp, lit for the hours of light_dose.added_hours",
}
LENDER: Final = Citation(key="lender", locator="light dose of the loan's conditions", checked="practice")
SENSITIVITY: Final = {
    "R0": "not sensitive",
    "R1": "low sensitivity",
    "R2": "medium sensitivity",
    "R3": "high sensitivity",
}
"""Responsivity to light in words."""
BLUE_WOOLS: Final = {"R3": (1, 2, 3), "R2": (4, 5, 6), "R1": (7, 8)}
DAYS_PER_YEAR: Final = 365.25
LEAST_WEEKS: Final = 4
"""Weeks of log under which a dose is an extrapolation, and not measured."""


def load(case: Case) -> Load | None:
    """Dose of the stay over what the work may take; None for works that light does not fade."""
    response = case.medium.light
    lender = case.work.lender
    asked = None if lender is None else lender.dose_lux_h
    responsivity = case.work.sensitivity or response.responsivity
    if responsivity == "R0" and asked is None and response.bar is None:
        return None
    figures = case.library.figures
    by_class = figures.get(f"light_dose.limit.{responsivity.lower()}")
    source = LENDER if asked is not None or by_class is None else by_class.source
    limit = 0.0 if by_class is None else by_class.value
    annual_limit = limit if asked is None else asked
    if response.bar is not None:
        return Load(
            hazard="light_dose",
            kind="graded",
            draws=None,
            barred=True,
            deciding=True,
            reason=sentence(f"{case.medium.title} is not shown in the original: {response.bar}"),
            evidence="surveyed",
            sources=(response.source,),
        )
    allowance, notes = _allowance(case, annual_limit, by_lender=asked is not None)
    found = light_at(case, case.stay.days)
    allows = (
        f"the lender allows {_klx(allowance)}"
        if asked is not None
        else f"class {responsivity} ({SENSITIVITY[responsivity]}) may take {_klx(allowance)}"
    )
    if found is None:
        return Load(
            hazard="light_dose",
            kind="graded",
            draws=None,
            deciding=True,
            reason=f"Nobody has measured the light there; {allows} over {_stay_words(case)}.",
            evidence="missing",
            missing=(
                "How much light, by six weeks of a logger or by readings with hour and sky, reaches "
                f"{place_name(case)}?",
            ),
            allowance=Amount(allowance, "lx h"),
            sources=(source,),
            notes=notes,
        )
    dose = dose_under_measures(case, found, case.stay.days)
    ratio = dose / max(allowance, 1e-9)
    evidence, missing = _evidence(case, found, ratio)
    typical, low, high = case.draws.interval(dose)
    span = None
    if asked is None and case.work.sensitivity is None and responsivity != "R0":
        middle = median(ratio)
        ends = [
            0.0 if end == "R0" else middle * limit / figures[f"light_dose.limit.{end.lower()}"].value
            for end in response.span
        ]
        span = (min(ends), max(ends))
    return Load(
        hazard="light_dose",
        kind="graded",
        draws=ratio,
        deciding=True,
        reason=(
            f"About {_klx(typical)} of light over {_stay_words(case)} (90 %: {_klx(low, unit=False)} to "
            f"{_klx(high, unit=False)}); {allows}."
        ),
        evidence=evidence,
        missing=missing,
        exposure=Amount(typical, "lx h"),
        allowance=Amount(allowance, "lx h"),
        span=span,
        sources=(source,) if asked is not None else (source, response.source),
        notes=(*_notes(case, found, responsivity, annual_limit, (typical, low, high)), *notes),
        accrues=True,
    )


def _allowance(case: Case, annual_limit: float, *, by_lender: bool) -> tuple[float, tuple[str, ...]]:
    """What the stay may use, and how that came about. [lx h]"""
    days = case.stay.days
    if by_lender:
        return lender_allowance(annual_limit, days), ()
    spent = 0.0
    notes: tuple[str, ...] = ()
    if days < 365.0:
        past = case.work.dose_spent
        if past is None:
            notes = ("The dose of the twelve months before is not known and counts as nothing.",)
        else:
            spent = spent_before(past.dose_lux_h, past.since, past.to, case.stay.start)
            notes = (f"In the twelve months before it took {_klx(spent)} of the year's allowance.",)
    return stay_allowance(annual_limit, days, spent), notes


def _evidence(case: Case, found: LightAt, ratio: Floats) -> tuple[Evidence, tuple[str, ...]]:
    """How well the dose is known. A record that saw too little of the stay can condemn, but not clear."""
    figures = case.library.figures
    missing = list(found.missing)
    evidence: Evidence = found.evidence
    annual = found.annual
    if found.kind in ("log", "room_log"):
        if annual.hidden_lamp_h > 0:
            missing.append(
                "Which lamps burn on winter evenings, from when to when, and how brightly do they light "
                f"{place_name(case)}?"
            )
        enough = (annual.june_seen and annual.december_seen) or (
            _seen_share(case, found) >= figures["light_dose.clear_share"].value
        )
        condemned = float(np.mean(ratio > 1.0)) >= figures["light_dose.clear_after_chance"].value
        if annual.weeks_seen < LEAST_WEEKS:
            evidence = weakest(evidence, "assumed")
        if not enough and not condemned:
            missing.insert(
                0, f"Four weeks of a light log that include {_unseen(annual)}, at {place_name(case)}?"
            )
            evidence = "missing"
    geometry = geometry_of(case)
    if geometry.in_line and geometry.wall is None and not annual.sun.found:
        missing.extend(geometry.missing)
    return evidence, tuple(dict.fromkeys(missing))


def _seen_share(case: Case, found: LightAt) -> float:
    first_day = case.stay.start.toordinal() - EPOCH_ORDINAL
    return Light(found.annual).seen_share(first_day, min(case.stay.days, 365.0))


def _unseen(annual: AnnualDose) -> str:
    """The season whose weeks would tell most."""
    if not annual.june_seen and not annual.december_seen:
        return "April or September, or both June and December"
    return "December" if annual.june_seen else "June"


def _notes(
    case: Case,
    found: LightAt,
    responsivity: str,
    annual_limit: float,
    dose: tuple[float, float, float],
) -> tuple[str, ...]:
    annual = found.annual
    year = DAYS_PER_YEAR / max(case.stay.days, 1.0) if case.stay.days >= 365.0 else None
    notes = [sentence(f"How the year was worked out: {annual.method}"), *found.notes]
    illuminance = None if case.work.lender is None else case.work.lender.illuminance_lux
    limiting = illuminance
    if limiting is None and responsivity != "R0":
        limiting = case.library.figure(f"light_dose.limiting_illuminance.{responsivity.lower()}")
    if limiting is not None and annual.peak_lux > 0:
        whose = "the lender's limit" if illuminance is not None else f"the level for showing {responsivity}"
        notes.append(
            f"The brightest reading is {two_figures(annual.peak_lux)} lx; {whose} is {limiting:g} lx, but it "
            "is the dose that counts."
        )
    if found.kind in ("log", "room_log"):
        notes.append(
            f"The log saw {annual.weeks_seen} of 52 weeks, which hold {percent(annual.expected_share)} of "
            "the year's daylight."
        )
    notes.extend(_sensor_notes(annual))
    if annual.sun.found:
        notes.append(
            f"Sun fell on the sensor on {counted(len(annual.sun.days), 'day')}, mostly between "
            f"{_clock(annual.sun.from_h)} and {_clock(annual.sun.to_h)}, up to "
            f"{two_figures(annual.sun.peak_lux)} lx."
        )
    elif geometry_of(case).in_line and geometry_of(case).wall is None and found.kind != "none":
        notes.append("This holds as long as no sun reaches the work in months that nobody logged.")
    if year is not None:
        notes.extend(_fading(case, responsivity, tuple(d * year for d in dose)))
        share = on_show_share(dose[0] * year, annual_limit)
        work = case.work
        if work.on_show_months and work.rest_months is not None:
            shown = work.on_show_months / (work.on_show_months + work.rest_months)
            notes.append(
                f"Shown for {counted(work.on_show_months, 'month')} and rested for {work.rest_months:g}, it "
                f"takes {_klx(dose[0] * year * shown)} a year in the long run."
            )
        elif share < 1.0:
            notes.append(
                f"Shown {percent(share)} of the time it would keep to its allowance in the long run."
            )
    return tuple(notes)


def _sensor_notes(annual: AnnualDose) -> list[str]:
    notes = []
    if annual.offset_lux > 0.05:
        notes.append(f"The {annual.offset_lux:.1f} lx that the sensor shows in the dark were taken off.")
    if annual.saturated_share > 0:
        notes.append(
            f"{sentence(percent(annual.saturated_share))[:-1]} of the readings stand at the top of the "
            "sensor's scale, so the dose is at least this."
        )
    if annual.step_lux > 1.5:
        notes.append(
            f"The sensor counts in steps of {annual.step_lux:.1f} lx; what is under half a step it shows as "
            "none."
        )
    return notes


def _fading(case: Case, responsivity: str, annual: tuple[float, ...]) -> list[str]:
    """Years to a just noticeable step for colours of the class, with and without ultraviolet, as ranges."""
    wools = BLUE_WOOLS.get(responsivity)
    if wools is None:
        return []
    spans = []
    for light in ("uv_free", "uv_rich"):
        step = geometric_mean([case.library.figure(f"light_dose.step.{light}.bw{wool}") for wool in wools])
        low, high = years_span(step, case.library.figure("light_dose.step.spread"), annual[1], annual[2])
        spans.append(f"{_years(low)} to {_years(high)} years")
    return [
        f"Colours of class {responsivity} fade by a step that is just noticeable in {spans[0]} without "
        f"ultraviolet, in {spans[1]} with that of daylight through plain glass."
    ]


def _years(years: float) -> str:
    return f"{years:.1f}" if years < 9.95 else f"{float(f'{years:.2g}'):,.0f}"


def _stay_words(case: Case) -> str:
    if case.stay.end is None:
        return "a year"
    return counted(case.stay.days, "day")


def _klx(dose_lux_h: float, *, unit: bool = True) -> str:
    klx = dose_lux_h / 1000.0
    number = f"{float(f'{klx:.2g}'):,g}" if klx < 1000 else f"{float(f'{klx:.3g}'):,.0f}"
    return f"{number} klx h" if unit else number


def _clock(hour: float | None) -> str:
    if hour is None:
        return "an hour that is not known"
    return f"{int(hour):02d}:{round(hour % 1 * 60):02d}"

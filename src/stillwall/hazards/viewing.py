"""Viewing: whether people can see the work where it hangs, so that the best wall is not the darkest."""

from __future__ import annotations

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.viewing import contrast_left, illuminance_for_same_luminance, veiled_share
from stillwall.load import Evidence, Load
from stillwall.phrases import two_figures
from stillwall.setting.hanging import hang
from stillwall.setting.lighting import drawn_between, geometry_of, light_at
from stillwall.setting.naming import place_name
from stillwall.survey.places import HoldingPlace
from stillwall.units import Amount

PARTS = {
    "all": "all light on the work in opening hours",
    "daylight": "daylight in opening hours",
    "electric": "light of lamps in opening hours",
    "needed": "light that is needed to see the work",
    "added": "lux of a new lamp while people are there",
    "window": "brightness of windows that the work mirrors",
    "pane": "what lies in front of the work: glass or none",
}
RELIEVED_BY = ("all", "daylight", "electric", "added")


def load(case: Case) -> Load | None:
    """Light needed over light there in opening hours, or the share lost to glare, whichever is worse.

    None in a holding place, where nothing is shown.
    """
    if isinstance(case.site.place, HoldingPlace):
        return None
    figures = case.library.figures
    reflectance, reflectance_known = _reflectance(case)
    needed = _needed(case, reflectance)
    there, evidence, missing = _light_there(case, needed)
    lit = light_at(case, 365.0) is not None
    ratio = needed / np.maximum(there, 0.1)
    veiled = _veiled(case, there, reflectance)
    glare = veiled / figures["viewing.glare.veiled_share"].value
    worst = np.maximum(ratio, glare)
    dark = (
        case.work.reflectance is not None and case.work.reflectance <= figures["viewing.dark_picture"].value
    )
    typical, low, high = case.draws.interval(there)
    wanted = median(needed)
    notes = (
        ["Glare: a window opposite is mirrored over half of the picture or more."] if _mostly(glare) else []
    )
    if not reflectance_known:
        notes.append("How light or dark the picture is was not recorded.")
    if dark and evidence == "assumed" and not case.site.place.light_readings:
        evidence = "missing"
    return Load(
        hazard="viewing",
        kind="graded",
        draws=None if evidence == "missing" else worst,
        deciding=dark,
        reason=(
            f"Nobody measured the light there, and anything from {two_figures(low)} to {two_figures(high)} "
            f"lx is believable; seeing it well takes about {two_figures(wanted)} lx."
            if not lit
            else f"About {two_figures(typical)} lx in opening hours (90 %: {two_figures(low)} to "
            f"{two_figures(high)}); seeing it well takes about {two_figures(wanted)} lx."
        ),
        evidence=evidence,
        missing=missing,
        exposure=Amount(wanted, "lx"),
        allowance=Amount(typical, "lx"),
        sources=(figures["viewing.base"].source, figures["viewing.older_eyes"].source),
        span=None if case.brief or evidence == "missing" else _span(case, needed, there, glare),
        notes=tuple(notes),
    )


def _span(case: Case, needed: Floats, there: Floats, glare: Floats) -> tuple[float, float]:
    """The median load for the eyes of the young and of the old."""
    eyes, cap = case.library.figures["viewing.older_eyes"], case.library.figure("viewing.cap")
    ends = []
    for age in (eyes.low or eyes.value, eyes.high or eyes.value):
        wanted = np.minimum(needed * age / eyes.value, max(cap, float(np.max(needed))))
        ends.append(median(np.maximum(wanted / np.maximum(there, 0.1), glare)))
    return ends[0], ends[1]


def _mostly(glare: Floats) -> bool:
    return median(glare) >= 1.0


def _reflectance(case: Case) -> tuple[Floats, bool]:
    """Draws of the picture's reflectance, and whether it was recorded."""
    if case.work.reflectance is not None:
        return np.full(case.draws.count, max(case.work.reflectance, 0.02)), True
    figure = case.medium.reflectance or case.library.figures["viewing.reflectance_unknown"]
    low, high = figure.low or figure.value, figure.high or figure.value
    return drawn_between(case.draws, f"work:{case.work.id}:reflectance", low, figure.value, high), False


def _needed(case: Case, reflectance: Floats) -> Floats:
    """Light at which the picture is as bright as a light sheet at the base level, for mixed ages. [lx]

    Whose eyes a house provides for is its policy, as any allowance is: it is judged at one figure, and what
    the young and the old would say is told as the span.
    """
    figures = case.library.figures
    age = figures["viewing.older_eyes"].value
    sheet = figures["viewing.light_sheet"].value
    base = illuminance_for_same_luminance(
        figures["viewing.base"].value, sheet, np.minimum(reflectance, sheet)
    )
    capped = np.minimum(base * age, figures["viewing.cap"].value)
    made: Floats = np.asarray(capped * case.factor("viewing", "needed"))
    return made


def _light_there(case: Case, needed: Floats) -> tuple[Floats, Evidence, tuple[str, ...]]:
    """Draws of the mean light in opening hours under the measures in force. [lx]

    Where nobody measured it is as likely too little as enough: about the light that is needed.
    """
    figures = case.library.figures
    found = light_at(case, 365.0)
    if found is None:
        figure = figures["viewing.light_unknown"]
        there = drawn_between(
            case.draws,
            f"wall:{case.site.place.id}:lux",
            figure.low or 1.0,
            figure.value,
            figure.high or figure.value,
        ) * (median(needed / case.factor("viewing", "needed")) / figure.value)
        daylight, electric = 0.5 * there, 0.5 * there
        evidence: Evidence = "assumed"
        missing: tuple[str, ...] = (f"How many lux in opening hours reach {place_name(case)}?",)
    else:
        annual = found.annual
        hours = 365.0 * annual.open_h
        daylight = found.daylight * annual.open_daylight_share / hours
        electric = found.electric * annual.open_electric_share / hours
        evidence, missing = found.evidence, found.missing
    whole = (
        daylight * case.factor("viewing", "daylight") + electric * case.factor("viewing", "electric")
    ) * case.factor("viewing", "all")
    added = case.setting("viewing", "added")
    if isinstance(added, int | float):
        whole = whole + float(added)
    return np.asarray(whole), evidence, missing


def _veiled(case: Case, there: Floats, reflectance: Floats) -> Floats:
    """Draws of the share of the picture lost to windows mirrored in its glass or gloss varnish. [1]"""
    figures = case.library.figures
    pane = case.setting("viewing", "pane")
    glazed = case.work.glazing not in (None, "none") if pane is None else pane == "glass"
    facing = geometry_of(case).facing
    if not facing or not (glazed or case.work.varnish == "gloss"):
        return np.zeros(case.draws.count)
    throws = figures["viewing.pane.glass" if glazed else "viewing.pane.varnish"].value
    bright = figures["viewing.pane.window_luminance"]
    window_cd_m2 = drawn_between(
        case.draws,
        "model:viewing:window",
        bright.low or bright.value,
        bright.value,
        bright.high or bright.value,
    ) * case.factor("viewing", "window")
    contrast = contrast_left(reflectance * there / np.pi, np.asarray(window_cd_m2), throws)
    place = hang(case)
    diagonal = float(np.hypot(place.height_m, place.width_m))
    stands = diagonal * np.array([figures["viewing.stand.near"].value, figures["viewing.stand.far"].value])
    if case.work.viewed_from_m is not None:
        stands = np.array([case.work.viewed_from_m])
    eyes = np.array([figures["viewing.eye.low"].value, figures["viewing.eye.high"].value])
    share = 0.0
    for entry in facing:
        length = entry.mirror_m or 0.0
        window = entry.window
        share += veiled_share(
            (place.left_m, place.right_m, place.bottom_m, place.top_m),
            (length - window.right_m, length - window.left_m, window.sill_m, window.head_m),
            entry.plane_m,
            stands,
            eyes,
        )
    lost = np.where(contrast < figures["viewing.glare.contrast"].value, min(share, 1.0), 0.0)
    made: Floats = np.asarray(lost)
    return made

"""Falling: what the work weighs against what the wall can carry, and what tips a bust on its pedestal."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median, quantile
from stillwall.exposure.suspension import (
    fixing_rating_needed,
    fixing_share,
    top_pullout,
    wire_angle,
    wire_inward_force,
    wire_tension,
    wire_tension_sag,
)
from stillwall.exposure.tipping import ballast_needed, rocking_acceleration, tip_angle, tip_energy
from stillwall.load import Load, weakest
from stillwall.phrases import show_energy, show_force
from stillwall.setting.hanging import Hanging, hang
from stillwall.setting.naming import place_name
from stillwall.setting.standing import FALLS, Standing, standing, unmeasured
from stillwall.setting.weighing import Weight, weight
from stillwall.survey.places import Pedestal, Wall
from stillwall.units import Amount, show_length, show_mass

PARTS = {
    "backing": "whether a cleat or a backing board into the studs carries the work",
    "frame": "kind of frame that the work is given",
    "glazing": "glazing that the work is given",
    "points": "fixings besides those that are usual",
    "pedestal": "whether the pedestal is fixed to the floor or the wall",
    "bust": "whether the bust is pinned or clipped to its pedestal",
    "push": "force of those who come near, by a factor",
    "ballast": "mass put low into the pedestal, in kg",
}
LEAST_SAG_M = 0.01
"""No wire is flatter over its rings. [m]"""
WALKING_J = 35.0
"""Energy of a person of 70 kg who walks at 1 m/s. [J]"""
FORBIDDEN = 4.0
"""Load where a wall may turn out to take no fixing at all."""
UNSTABLE = {
    "flaking": "flaking paint",
    "loose_ornament": "loose ornament",
    "cracked_glass": "cracked glass",
    "active_insects": "active insects",
    "active_mould": "active mould",
}
SEATED_USES = frozenset({"dining", "bedroom", "bar", "drawing", "library", "meeting"})
SOLID_WALLS = frozenset({"brick", "stone", "chimney_breast"})
WORDS = {
    "lath_plaster": "lath and plaster, screwed to the studs,",
    "gypsum_stud": "gypsum board, screwed to the studs,",
    "gypsum_metal": "gypsum board on metal studs",
    "chimney_breast": "a chimney breast, clear of the flue,",
    "unknown": "a wall of unknown build",
    "rail": "a picture rail",
    "backed": "a backing board into the studs",
}
DESIGNED = (
    "Weigh it, and have the fixing designed by someone qualified; the figures here only say when to ask."
)
DRILLING = (
    "Before drilling look for pipes and cables, asbestos in boards and textured coats from before 2000, lead "
    "paint, and listed-building consent."
)
EARTHQUAKE = "Where earthquakes are to be expected ask a local engineer."


def load(case: Case) -> Load | None:
    """What would fall over what holds it, one fixing being allowed to fail."""
    place = case.site.place
    if isinstance(place, Wall):
        return _hung(case, place)
    if isinstance(place, Pedestal):
        return _standing(case, place)
    return None


def _weight(case: Case) -> Weight:
    frame, glazing = case.setting("fixing", "frame"), case.setting("fixing", "glazing")
    return weight(
        case.library,
        case.work,
        None if frame is None else str(frame),
        None if glazing is None else str(glazing),
    )


def _hung(case: Case, wall: Wall) -> Load:
    figure, show = case.library.figure, case.survey.head.units
    hanging, heavy = hang(case), _weight(case)
    mass = case.draws.between(f"work:{case.work.id}:mass", heavy.low_kg, heavy.value_kg, heavy.high_kg)
    holder, missing = _holder(case, wall)
    most = _most_points(case, hanging, holder)
    points = _points(case, heavy, holder, most)
    capacity = _draws(case, f"capacity.{holder}", f"wall:{wall.id}:capacity")
    factor = figure("fixing.rating.factor_working")
    needed = fixing_rating_needed(mass, most, factor)
    draws = needed / capacity
    if wall.fixings_allowed is None:
        doubt = case.draws.normal(f"wall:{wall.id}:fixings_allowed")
        share = figure("fixing.allowed.forbidden")
        draws = np.where(doubt > quantile(doubt, 1 - share), np.maximum(draws, FORBIDDEN), draws)
    each, holds = median(needed), median(capacity)
    words = WORDS.get(holder, holder.replace("_", " "))
    barred = wall.fixings_allowed == "none" and case.work.hanging != "ledge"
    reason = (
        "No fixing of any kind is allowed in the wall."
        if barred
        else (
            f"{case.work.name} weighs "
            f"{'about ' if heavy.evidence != 'measured' else ''}{show_mass(heavy.value_kg, show)}; on the "
            f"{most} fixings that it has room for, any one of which may fail, each needs a working load of "
            f"{show_mass(each, show)}, and {words} gives about {show_mass(holds, show)} each."
        )
    )
    questions = (*heavy.missing, *missing, *hanging.size.missing)
    return Load(
        hazard="fixing",
        kind="safety",
        draws=draws,
        barred=barred,
        reason=reason,
        evidence=weakest(heavy.evidence, "assumed" if missing else "surveyed"),
        sources=(
            case.library.figures[f"fixing.capacity.{holder}"].source,
            case.library.figures["fixing.rating.factor_working"].source,
        ),
        missing=tuple(dict.fromkeys(questions)),
        deciding=True,
        exposure=Amount(each, "kg"),
        allowance=Amount(holds, "kg"),
        notes=tuple(
            _hung_notes(
                case,
                wall,
                hanging,
                heavy,
                points,
                median(fixing_rating_needed(mass, points, factor)),
            )
        ),
        cautions=tuple(_hung_cautions(case, wall, heavy)),
    )


def _holder(case: Case, wall: Wall) -> tuple[str, tuple[str, ...]]:
    """What carries the work, and what to ask about it."""
    name, questions = place_name(case), []
    if wall.fixings_allowed is None:
        questions.append(
            f"Which fixings are allowed (new holes, old fixings only, the picture rail only, none) at {name}?"
        )
    if wall.fixings_allowed == "rail_only":
        if wall.picture_rail_m is None:
            questions.append(f"Is there a sound picture rail on {name}, and how high?")
            return "unknown", tuple(questions)
        return "rail", tuple(questions)
    if wall.fixings_allowed == "existing":
        questions.append(f"Which old fixings are there, and for what working load each, at {name}?")
        return "unknown", tuple(questions)
    build = wall.build or "unknown"
    if build == "unknown":
        questions.append(
            f"What is the wall built of (brick, stone, lath and plaster, gypsum board, panelling) at {name}?"
        )
    if case.setting("fixing", "backing") is True and build not in SOLID_WALLS | {"unknown", "partition"}:
        return "backed", tuple(questions)
    return build, tuple(questions)


def _most_points(case: Case, hanging: Hanging, holder: str) -> int:
    """Fixings that the width of a work has room for: by these a wall is judged, whatever the mass."""
    figure = case.library.figure
    most = figure("fixing.points.most_backed" if holder == "backed" else "fixing.points.most")
    spacing = figure("fixing.points.spacing") / (2 if holder == "backed" or holder in SOLID_WALLS else 1)
    wide = min(most, 1 + math.floor(max(hanging.width_m - 0.2, 0.0) / spacing))
    least = int(figure("fixing.points.least"))
    added = case.setting("fixing", "points")
    return max(least, int(wide + (float(added) if added else 0)))


def _points(case: Case, heavy: Weight, holder: str, most: int) -> int:
    """Fixings to buy: the least number that passes, at most as many as there is room for."""
    figure = case.library.figure
    least = int(figure("fixing.points.least"))
    safe = case.library.figures[f"fixing.capacity.{holder}"].low or 0.0
    factor = figure("fixing.rating.factor_working")
    enough = (
        points for points in range(least, most) if fixing_rating_needed(heavy.high_kg, points, factor) <= safe
    )
    return next(enough, most)


def _hung_notes(
    case: Case, wall: Wall, hanging: Hanging, heavy: Weight, points: int, each: float
) -> Iterator[str]:
    figure, show, work = case.library.figure, case.survey.head.units, case.work
    ultimate = figure("fixing.rating.factor_ultimate") / figure("fixing.rating.factor_working")
    yield (
        f"The least that will do is {points} fixings, rated for a working load of {show_mass(each, show)} "
        f"each, or for {show_mass(each * ultimate, show)} where the packet prints the ultimate load."
    )
    if work.hanging == "wire":
        span = 0.67 * hanging.width_m
        angle = (
            figure("fixing.wire.usual")
            if work.wire_sag_m is None
            else wire_angle(span, max(work.wire_sag_m, LEAST_SAG_M))
        )
        pull = wire_inward_force(heavy.value_kg, angle)
        tension = (
            wire_tension(heavy.value_kg, angle)
            if work.wire_sag_m is None
            else wire_tension_sag(heavy.value_kg, span, max(work.wire_sag_m, LEAST_SAG_M))
        )
        yield (
            f"Its wire, {angle:.0f} degrees above the horizontal, pulls with {show_force(tension, show)} at "
            f"each ring and draws the sides of the frame together with {show_force(pull, show)}; hang it "
            "from two plates instead"
            + (", as anything of its weight." if heavy.value_kg > figure("fixing.wire.heaviest") else ".")
        )
    share = fixing_share(heavy.value_kg, max(0.6 * hanging.width_m, 0.1), 0.05 * hanging.width_m)
    out = top_pullout(heavy.value_kg, hanging.projection_m / 2, max(hanging.height_m, 0.1))
    yield (
        f"Of two fixings the nearer takes {show_force(share, show)} where the centre of mass lies a "
        "twentieth of the width off the middle; at the top it pulls away from the wall with "
        f"{show_force(out, show)}."
    )
    if work.rating_kind is None and work.ratings_kg:
        yield (
            "Whether the ratings of its hangers are working or ultimate loads is not recorded; do not count "
            "on them."
        )
    alone = {"lath_plaster": "lath", "gypsum_stud": "board", "gypsum_metal": "board"}.get(wall.build or "")
    if alone is not None:
        most = show_mass(figure(f"fixing.capacity.{alone}_alone"), show)
        yield f"Never rely on the {alone} alone for more than {most} a fixing; find the studs."
    if hanging.bottom_m < figure("fixing.caution.reach"):
        yield (
            "It hangs within reach from the floor: security plates keep a knock from becoming a fall; record "
            "how they are released in a fire or a flood."
        )


def _hung_cautions(case: Case, wall: Wall, heavy: Weight) -> Iterator[str]:
    figure = case.library.figure
    room = case.site.room
    hard = (
        heavy.high_kg > figure("fixing.caution.mass")
        or wall.stair is not None
        or wall.build not in ("brick", "gypsum_stud")
        or (room is not None and room.use in SEATED_USES)
    )
    yield DESIGNED if hard else "Weigh it and use rated fixings; a competent person decides on site."
    yield DRILLING
    yield from _crew(case, heavy)
    if case.work.condition in UNSTABLE:
        yield (
            f"{case.work.name} has {UNSTABLE[case.work.condition]}: do not move it before a conservator has "
            "seen it."
        )


def _crew(case: Case, heavy: Weight) -> Iterator[str]:
    """Who lifts it: by its mass, or by its longer side."""
    figure, hanging = case.library.figure, hang(case)
    side = max(hanging.height_m, hanging.width_m)
    for mass, length, who in (
        ("crew", "crew", "This is a lift for a professional crew"),
        ("two_people", "two", "Two people lift it, with a trolley and a third to spot"),
        ("one_person", "one", "Two people lift it"),
    ):
        if heavy.high_kg > figure(f"fixing.caution.{mass}") or side > figure(f"moves.people.{length}_side"):
            yield f"{who}; never by the ornament or the top rail."
            return


def _standing(case: Case, place: Pedestal) -> Load:
    figure, name, show = case.library.figure, case.work.name, case.survey.head.units
    hanging, heavy = hang(case), _weight(case)
    stood = standing(case, place, hanging, heavy)
    source = case.library.figures["fixing.push.supervised"].source
    if stood is None:
        return Load(
            hazard="fixing",
            kind="safety",
            draws=None,
            reason=f"What tips {name} cannot be said before its pedestal's height and foot are measured.",
            evidence="missing",
            sources=(source,),
            missing=unmeasured(case, place),
            deciding=True,
            cautions=(FALLS,),
        )
    half, centre = stood.half_foot_m, median(stood.centre_m)
    push, held, whole = (median(each) for each in (stood.push_n, stood.held_n, stood.whole_kg))
    return Load(
        hazard="fixing",
        kind="safety",
        draws=stood.draws,
        reason=(
            f"{name} is pushed off its pedestal by {show_force(stood.off_n, show)} at its head, unless "
            f"something holds it; it should withstand {show_force(push, show)}."
            if stood.falls_off
            else f"{name} falls with its pedestal at a push of {show_force(held, show)} at "
            f"{show_length(stood.push_height_m, show)} or at a slope of {tip_angle(half, centre):.0f} "
            f"degrees; it should withstand {show_force(push, show)} and {figure('fixing.push.slope'):.0f} "
            "degrees."
        ),
        evidence="assumed" if stood.missing else heavy.evidence,
        sources=(source,),
        missing=stood.missing,
        deciding=True,
        exposure=Amount(push, "N"),
        allowance=Amount(stood.off_n if stood.falls_off else held, "N"),
        notes=tuple(_standing_notes(case, stood, push, whole, centre)),
        cautions=(FALLS, DESIGNED, EARTHQUAKE),
    )


def _standing_notes(case: Case, stood: Standing, push: float, whole: float, centre: float) -> Iterator[str]:
    figure, show, half = case.library.figure, case.survey.head.units, stood.half_foot_m
    yield (
        f"It takes {show_energy(tip_energy(whole, half, centre), show)} to tip it over; a person who walks "
        f"into it brings {show_energy(WALKING_J, show)}. In an earthquake it begins to rock at "
        f"{rocking_acceleration(half, centre):.2f} g."
    )
    needed = ballast_needed(push, stood.push_height_m, half, whole)
    yield (
        f"To stand such a push by its weight it wants {show_mass(needed, show)} of ballast low down, or a "
        "fixing to the floor or the wall."
        if needed > 0
        else "It needs no ballast against such a push."
    )
    yield (
        "It slides before it tips."
        if figure("fixing.push.friction") < half / stood.push_height_m
        else "It tips before it slides."
    )


def _draws(case: Case, name: str, stream: str | None = None) -> Floats:
    figure = case.library.figures[f"fixing.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream or f"model:fixing:{name}", figure.low, figure.value, figure.high)

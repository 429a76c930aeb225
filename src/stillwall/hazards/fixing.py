"""Falling: what the work weighs against what the wall can carry, and what tips a bust on its pedestal."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats
from stillwall.exposure.suspension import (
    fixing_rating_needed,
    fixing_share,
    top_pullout,
    wire_angle,
    wire_inward_force,
    wire_tension,
    wire_tension_sag,
)
from stillwall.exposure.tipping import (
    ballast_needed,
    combined_centre,
    rocking_acceleration,
    tip_angle,
    tip_energy,
    tip_force,
)
from stillwall.load import Evidence, Load, weakest
from stillwall.setting.hanging import Hanging, hang
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
FORBIDDEN = 4.0
"""Load where a wall may turn out to take no fixing at all."""
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
DESIGNED = "Weigh it, and have the fixing designed by someone qualified; figures here only say when to ask."
DRILLING = (
    "Before drilling look for pipes and cables, asbestos in boards and textured coats from before 2000, lead "
    "paint, and listed-building consent."
)
STANDING = "A free-standing bust that falls hurts people first; keep children from it until it is fixed."
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
        draws = np.where(doubt > np.quantile(doubt, 1 - share), np.maximum(draws, FORBIDDEN), draws)
    each, holds = float(np.median(needed)), float(np.median(capacity))
    words = WORDS.get(holder, holder.replace("_", " "))
    barred = wall.fixings_allowed == "none" and case.work.hanging != "ledge"
    reason = (
        f"No fixing is allowed in {wall.name or wall.id}."
        if barred
        else (
            f"{case.work.name} weighs {'about ' if heavy.evidence != 'measured' else ''}"
            f"{show_mass(heavy.value_kg, show)}; with the {most} fixings that it has room for, any one "
            "of which may fail, each needs a "
            f"working load of {show_mass(each, show)}, and {words} gives about {show_mass(holds, show)}."
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
                float(np.median(fixing_rating_needed(mass, points, factor))),
            )
        ),
        cautions=tuple(_hung_cautions(case, wall, heavy)),
    )


def _holder(case: Case, wall: Wall) -> tuple[str, tuple[str, ...]]:
    """What carries the work, and what to ask about it."""
    name, questions = wall.name or wall.id, []
    if wall.fixings_allowed is None:
        questions.append(f"May holes be made in {name}: any, rail_only, existing or none?")
    if wall.fixings_allowed == "rail_only":
        if wall.picture_rail_m is None:
            questions.append(f"Is there a sound picture rail on {name}, and how high?")
            return "unknown", tuple(questions)
        return "rail", tuple(questions)
    if wall.fixings_allowed == "existing":
        questions.append(f"What fixings are in {name}, and for what working load?")
        return "unknown", tuple(questions)
    build = wall.build or "unknown"
    if build == "unknown":
        questions.append(
            f"How is {name} built: brick, stone, lath and plaster, gypsum board, panelling, partition?"
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
        f"Buy {points} fixings of {show_mass(each, show)} working load each, or "
        f"{show_mass(each * ultimate, show)} "
        "where the packet prints ultimate load."
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
            f"Its wire, {angle:.0f} degrees above the horizontal, pulls with {tension:.0f} N at each ring "
            "and "
            f"draws the sides together with {pull:.0f} N; hang it from two plates instead"
            + (", as anything of its weight." if heavy.value_kg > figure("fixing.wire.heaviest") else ".")
        )
    share = fixing_share(heavy.value_kg, max(0.6 * hanging.width_m, 0.1), 0.05 * hanging.width_m)
    out = top_pullout(heavy.value_kg, hanging.projection_m / 2, max(hanging.height_m, 0.1))
    yield (
        f"Of two fixings the nearer takes {share:.0f} N where the centre of mass lies a twentieth of the "
        "width "
        f"off; at the top it is drawn off the wall with {out:.0f} N."
    )
    if work.rating_kind is None and work.ratings_kg:
        yield (
            "Nobody says whether the ratings on its hangers are working or ultimate loads; do not count on "
            "them."
        )
    alone = {"lath_plaster": "lath", "gypsum_stud": "board", "gypsum_metal": "board"}.get(wall.build or "")
    if alone is not None:
        most = show_mass(figure(f"fixing.capacity.{alone}_alone"), show)
        yield f"Never rely on the {alone} alone for more than {most} a fixing; find the studs."
    if hanging.bottom_m < figure("fixing.caution.reach"):
        yield (
            "Within reach from the floor: security plates stop knocks from turning into falls; record how "
            "they "
            "are released in a fire or a flood."
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
    if heavy.high_kg > figure("fixing.caution.one_person"):
        yield _crew(case, heavy)
    if case.work.condition in (
        "flaking",
        "loose_ornament",
        "cracked_glass",
        "active_insects",
        "active_mould",
    ):
        yield (
            f"{case.work.name} is {case.work.condition.replace('_', ' ')}: do not move it; call a "
            "conservator."
        )


def _crew(case: Case, heavy: Weight) -> str:
    figure = case.library.figure
    if heavy.high_kg > figure("fixing.caution.crew"):
        return "A professional crew lifts it; no lifting by the ornament or the top rail."
    if heavy.high_kg > figure("fixing.caution.two_people"):
        return (
            "Two people and a third who watches lift it, with a trolley; never by the ornament or the top "
            "rail."
        )
    return "Two people lift it; never by the ornament or the top rail."


def _standing(case: Case, place: Pedestal) -> Load:
    figure, name = case.library.figure, place.name or place.id
    hanging, heavy = hang(case), _weight(case)
    asked = [
        (place.height_m, f"Height of pedestal {name}?"),
        (place.base, f"Width and depth of the foot of pedestal {name}?"),
    ]
    unknown = tuple(question for fact, question in asked if fact is None)
    if unknown or place.base is None or place.height_m is None:
        return Load(
            hazard="fixing",
            kind="safety",
            draws=None,
            reason=f"Nobody can say what tips {name}: its foot or its height has not been measured.",
            evidence="missing",
            sources=(case.library.figures["fixing.push.supervised"].source,),
            missing=unknown,
            deciding=True,
            cautions=(STANDING,),
        )
    questions = [*heavy.missing, *hanging.size.missing]
    bust = case.draws.between(f"work:{case.work.id}:mass", heavy.low_kg, heavy.value_kg, heavy.high_kg)
    if place.mass_kg is None:
        questions.append(f"Mass of pedestal {name}?")
        stand = _draws(case, "pedestal.mass", f"wall:{place.id}:mass")
    else:
        stand = np.full(case.draws.count, place.mass_kg)
    ballast = float(case.setting("fixing", "ballast") or 0.0)
    half = min(place.base.height_m, place.base.width_m) / 2
    tall = place.height_m
    centre = combined_centre(
        [bust, stand, np.full(case.draws.count, ballast)],
        [
            np.full(case.draws.count, tall + 0.4 * hanging.height_m),
            np.full(case.draws.count, 0.5 * tall),
            np.full(case.draws.count, 0.1),
        ],
    )
    whole = bust + stand + ballast
    push = _push(case, questions)
    height = min(tall + hanging.height_m, figure("fixing.push.height"))
    held = tip_force(whole, half, height)
    slope = figure("fixing.push.slope") / np.degrees(np.arctan2(half, centre))
    tips = np.maximum(push / held, slope) * _fixed(case, place, questions)
    own = _off_its_pedestal(case, place, hanging, bust, push, questions)
    draws = np.maximum(tips, own)
    middle, force = float(np.median(centre)), float(np.median(held))
    needed = ballast_needed(float(np.median(push)), height, half, float(np.median(whole)))
    return Load(
        hazard="fixing",
        kind="safety",
        draws=draws,
        reason=(
            f"{case.work.name} on {name} tips at a push of {force:.0f} N at "
            f"{show_length(height, case.survey.head.units)} or a slope of {tip_angle(half, middle):.0f} "
            "degrees; "
            f"{float(np.median(push)):.0f} N and {figure('fixing.push.slope'):.0f} degrees are to be "
            "expected."
        ),
        evidence=_evidence(heavy, questions),
        sources=(case.library.figures["fixing.push.supervised"].source,),
        missing=tuple(dict.fromkeys(questions)),
        deciding=True,
        exposure=Amount(float(np.median(push)), "N"),
        allowance=Amount(force, "N"),
        notes=(
            f"It takes {tip_energy(float(np.median(whole)), half, middle):.0f} J to tip; a person walking "
            "into it "
            f"carries 35 J. It begins to rock at {rocking_acceleration(half, middle):.2f} g.",
            f"To hold, it wants {needed:.0f} kg of ballast low down, or a fixing to the floor or the wall."
            if needed > 0
            else "It needs no ballast against such a push.",
            "It slides before it tips."
            if figure("fixing.push.friction") < half / height
            else "It tips before it slides.",
        ),
        cautions=(STANDING, DESIGNED, EARTHQUAKE),
    )


def _evidence(heavy: Weight, questions: list[str]) -> Evidence:
    return "assumed" if questions else heavy.evidence


def _push(case: Case, questions: list[str]) -> Floats:
    """Force of those who come near: a hand in a room that is watched, a crowd elsewhere."""
    room = case.site.room
    supervised = None if room is None else room.supervised_share
    crowd = room is not None and (
        room.use in ("bar", "ballroom") or (room.children_share or 0) > 0.1 or bool(room.events)
    )
    if crowd and (supervised is None or supervised < 0.95):
        kind = "crowd"
    elif supervised is not None:
        kind = "supervised" if supervised >= 0.8 else "crowd"
    else:
        kind = "unknown"
        questions.append("For what share of its open hours is the room supervised?")
    return _draws(case, f"push.{kind}", f"model:fixing:push:{kind}") * case.factor("fixing", "push")


def _fixed(case: Case, place: Pedestal, questions: list[str]) -> Floats | float:
    if place.fixed in ("wall", "floor") or case.setting("fixing", "pedestal") is True:
        return _draws(case, "push.fixed_pedestal")
    if place.fixed is None:
        questions.append(f"Is pedestal {place.name or place.id} fixed: none, pin, wall or floor?")
    return 1.0


def _off_its_pedestal(
    case: Case, place: Pedestal, hanging: Hanging, bust: Floats, push: Floats, questions: list[str]
) -> Floats:
    """The bust itself, pushed at the head, over the edge of its own foot."""
    if place.bust_base is None:
        questions.append(f"Width and depth of the foot of {case.work.name}?")
        half = 0.3 * hanging.width_m
    else:
        half = min(place.bust_base.height_m, place.bust_base.width_m) / 2
    made = push / tip_force(bust, half, max(0.9 * hanging.height_m, 0.05))
    if case.setting("fixing", "bust") is True or place.bust_fixed in ("pin", "clip"):
        return made * _draws(case, "push.fixed_bust")
    if place.bust_fixed == "wax":
        return made * _draws(case, "push.waxed_bust")
    if place.bust_fixed is None:
        questions.append(f"Is {case.work.name} fixed to its pedestal: none, pin, wax or clip?")
    return made


def _draws(case: Case, name: str, stream: str | None = None) -> Floats:
    figure = case.library.figures[f"fixing.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream or f"model:fixing:{name}", figure.low, figure.value, figure.high)

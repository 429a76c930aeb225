"""Doors: the leaf that strikes, and the air, dust and people that come through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats
from stillwall.exposure.contacts import dust_ratio
from stillwall.exposure.draughts import draughts_seen
from stillwall.exposure.readings import temperature_logged
from stillwall.load import Evidence, Load, weakest
from stillwall.setting.door_reach import Leaf, in_line, opening_distance, opens_into, strike
from stillwall.setting.hanging import Hanging, hang
from stillwall.survey.features import DOORS, Opening
from stillwall.survey.places import HoldingPlace, Wall
from stillwall.units import Amount, show_length, show_temperature_difference

PARTS = {
    "bottom": "lowest height of the bottom edge that is asked for, in m",
    "furniture": "height of a console or chest put below, in m",
    "frame": "kind of frame that the work is given",
    "opens_to": "angle at which a stop or a holder keeps a leaf, in degrees",
    "draught": "air that comes through, by a factor",
    "passes": "people and trays that come through, by a factor",
}
STRUCK = 3.0
"""Load where a leaf would strike and nobody has measured how far it opens."""
CLEAR = 0.05
RATE_LOW, RATE_HIGH = 0.9, 1.6
"""Openings for each breath seen: some go unseen, and openings close together show as one."""
OPENS_IN_Z = 0.52
"""Where nobody says which way a door opens: seven in ten come into the room."""
INSECTS_M = 5.0
STOP_CAUTION = "A door stop must not keep a fire door open or narrow a way out; ask the local authority."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Door:
    """What one door does to the work."""

    draws: Floats
    sentence: str
    evidence: Evidence
    source: str
    draught: bool = False
    exposure: Amount | None = None
    allowance: Amount | None = None
    barred: bool = False
    missing: tuple[str, ...] = ()


def load(case: Case) -> Load | None:
    """What leaves, draughts and passers of the room's doors do to the work, over what it may take."""
    room = case.site.room
    if isinstance(case.site.place, HoldingPlace) or room is None:
        return None
    hanging = hang(case)
    doors = [door for door in case.survey.doors_of(room) if door.kind in DOORS]
    if not doors:
        return _no_door(case)
    found = [effect for door in doors for effect in _effects(case, hanging, door)]
    found, logged = _logged(case, doors, found)
    if not found:
        return None
    worst = max(found, key=lambda door: (door.barred, float(np.median(door.draws))))
    return Load(
        hazard="doorway",
        kind="graded",
        draws=np.max([door.draws for door in found], axis=0),
        barred=any(door.barred for door in found),
        reason=worst.sentence,
        evidence=weakest(*(door.evidence for door in found)),
        sources=(case.library.figures[worst.source].source,),
        missing=tuple(dict.fromkeys(question for door in found for question in door.missing)),
        exposure=worst.exposure,
        allowance=worst.allowance,
        notes=(
            *(door.sentence for door in found if door is not worst and door.barred),
            *logged,
            *_notes(case, hanging, doors),
        ),
        cautions=(STOP_CAUTION,),
    )


def _no_door(case: Case) -> Load:
    place = case.site.place
    return Load(
        hazard="doorway",
        kind="graded",
        draws=_draws(case, "spread.no_door", f"room:{place.room}:doors"),
        reason=f"No door of {place.room} is written down, so that nobody can say what swings at {place.id}.",
        evidence="assumed",
        sources=(case.library.figures["doorway.spread.no_door"].source,),
        missing=(f"Which doors has {place.room}: wall, place, width, hinge, and how far each opens?",),
    )


def _logged(case: Case, doors: list[Opening], found: list[_Door]) -> tuple[list[_Door], tuple[str, ...]]:
    """The doors' effects with the log's word in the place of distance rules, bars excepted."""
    if not any(door.kind in ("outside_door", "lobby_door") for door in doors):
        return found, ()
    logged = case.site.exposure(temperature_logged)
    if not (logged.outdoors and logged.here):
        return found, ()
    seen = case.site.exposure(draughts_seen)
    figure, show = case.library.figure, case.survey.head.units
    if seen is None or seen.days < 1:
        return found, ("The log saw no time when draughts could show: outdoors was as warm as indoors.",)
    enough = figure("doorway.felt.openings_that_count")
    share = _felt_share(case)
    swing = seen.step_pct * share * min(1.0, seen.per_day / enough) * case.factor("doorway", "draught")
    size = show_temperature_difference(seen.step_k, show)
    sentence = (
        f"The log shows about {RATE_LOW * seen.per_day:.0f} to {RATE_HIGH * seen.per_day:.0f} breaths of "
        "outdoor "
        f"air a day over {seen.days:.0f} days that could show them, by about {size} and {seen.step_pct:.0f} "
        "%RH for "
        f"{seen.hours_a_day:.1f} hours a day; {float(np.median(swing)):.1f} %RH of it is felt by the "
        "surface, "
        f"{figure('doorway.felt.swing'):.0f} %RH is allowed."
    )
    measured = _Door(
        draws=np.maximum(swing / figure("doorway.felt.swing"), 0.01),
        sentence=sentence,
        evidence="measured",
        source="doorway.felt.swing",
        exposure=Amount(float(np.median(swing)), "%"),
        allowance=Amount(figure("doorway.felt.swing"), "%"),
    )
    if logged.own and seen.days >= figure("doorway.felt.clears_days"):
        kept = [door for door in found if door.barred or not door.draught]
        return [measured, *kept], ()
    return [measured, *found], (f"A log of {seen.days:.0f} such days does not clear the wall.",)


def _felt_share(case: Case) -> Floats:
    """Share of a breath's humidity that reaches the work's surface before the air has mixed again."""
    response = case.medium.moisture
    if response is None:
        return np.full(case.draws.count, 0.01)
    t95 = response.surface_t95
    hours = case.draws.between(
        f"work:{case.work.id}:surface_t95", t95.low or t95.value, t95.value, t95.high or t95.value
    )
    made: Floats = -np.expm1(-3.0 * case.library.figure("doorway.felt.lasts") / hours)
    return made


def _effects(case: Case, hanging: Hanging, door: Opening) -> Iterator[_Door]:
    if isinstance(case.site.place, Wall):
        swing = _swing(case, hanging, door)
        if swing is not None:
            yield swing
    draught = _draught(case, hanging, door)
    if draught is not None:
        yield draught


def _swing(case: Case, hanging: Hanging, door: Opening) -> _Door | None:
    figure, show = case.library.figure, case.survey.head.units
    room = case.site.room
    assert room is not None
    into = opens_into(case.survey, door, room.id)
    if into is False:
        return None
    width = door.leaf_width_m or (door.clear.width_m if door.clear else None)
    tray = figure("doorway.swing.tray") if door.kind == "service_door" else 0.0
    leaf = Leaf(
        width_m=(figure("doorway.swing.leaf") if width is None else width) + tray,
        handle_m=figure("doorway.swing.handle"),
        margin_m=figure("doorway.swing.margin"),
    )
    met = strike(case.survey, case.site, door, hanging, leaf)
    if met.angle_deg is None:
        if not met.missing:
            return None
        return _Door(
            draws=_draws(case, "spread.unplaced", f"door:{door.id}:place"),
            sentence=f"{door.id} may swing at the work; nobody has measured where it is hinged.",
            evidence="assumed",
            source="doorway.spread.unplaced",
            missing=met.missing,
        )
    opens_to, questions = _opens_to(case, door)
    if into is None:
        questions = (*questions, f"Does {door.id} open into {room.name or room.id}: in, out or both?")
    if width is None:
        questions = (*questions, f"Width of the leaf of {door.id}?")
    hits = opens_to >= met.angle_deg
    if into is None:
        hits &= case.draws.normal(f"door:{door.id}:opens") < OPENS_IN_Z
    sure = bool(hits.all()) and not questions
    middle = float(np.median(opens_to))
    verb = "strikes" if sure else "may strike" if hits.any() else "stops short of"
    return _Door(
        draws=np.where(hits, STRUCK, CLEAR),
        sentence=(
            f"The leaf of {door.id}, {show_length(leaf.width_m, show)} wide, {verb} the work at "
            f"{met.angle_deg:.0f} degrees, handle and a hand's room included; it opens to {middle:.0f}."
        ),
        evidence="assumed" if questions or met.missing else "surveyed",
        source="doorway.swing.margin",
        exposure=Amount(middle, "degree"),
        allowance=Amount(met.angle_deg, "degree"),
        barred=sure,
        missing=(*met.missing, *questions),
    )


def _opens_to(case: Case, door: Opening) -> tuple[Floats, tuple[str, ...]]:
    """Angle to which a leaf opens, and what to ask about it."""
    figure = case.library.figure
    stopped = case.setting("doorway", "opens_to")
    if stopped is not None:
        return np.full(case.draws.count, float(stopped)), ()
    if door.opens_to_deg is not None and (door.stop or door.kind != "service_door"):
        return np.full(case.draws.count, door.opens_to_deg), ()
    if door.stop:
        question = f"At how many degrees does the stop hold {door.id}, and is it screwed down?"
        return np.full(case.draws.count, figure("doorway.swing.stopped_at")), (question,)
    if door.kind == "service_door" or door.opens == "both":
        return np.full(case.draws.count, figure("doorway.swing.service_opens_to")), ()
    angle = _draws(case, "swing.unknown_opens_to", f"door:{door.id}:opens_to")
    return angle, (f"To how many degrees does {door.id} open, and does a stop hold it there?",)


def _draught(case: Case, hanging: Hanging, door: Opening) -> _Door | None:
    figure, show = case.library.figure, case.survey.head.units
    rule, questions = _rule(door)
    near = figure(f"doorway.near.{rule}")
    distance = opening_distance(case.survey, case.site, door, hanging)
    if distance is None:
        question = f"Where is {door.id}: its wall, and how far from that wall's left corner?"
        if rule == "inside_busy":
            return None
        draws = _draws(case, "spread.unplaced", f"door:{door.id}:place")
        where, questions = "in one room with", (*questions, question)
    else:
        spread = _draws(case, "spread.distance", f"model:doorway:spread:{rule}")
        draws = spread * near / max(distance, 0.1)
        where = f"{show_length(distance, show)} from"
        if rule != "inside_busy" and not in_line(case.survey, case.site, door):
            draws = draws * np.minimum(_draws(case, "spread.off_line"), 1.0)
    draws = draws * case.factor("doorway", "passes" if rule in ("inside_busy", "service") else "draught")
    if door.opens_per_day is not None:
        enough = figure("doorway.use.busy" if rule == "inside_busy" else "doorway.use.quiet")
        draws = draws * min(1.0, door.opens_per_day / enough)
    barred = (
        rule == "outside"
        and not questions
        and distance is not None
        and distance < figure("doorway.bar.outside")
        and door.opens_per_day != 0
        and _tender(case)
    )
    return _Door(
        draws=draws,
        sentence=(
            f"It would hang {where} {door.id}, {WORDS[rule]}; within {show_length(near, show)} such a door "
            "is taken to be too near unless a log clears it."
        ),
        evidence=weakest(hanging.evidence, "assumed" if questions else "surveyed"),
        source=f"doorway.near.{rule}",
        draught=rule in ("outside", "lobby"),
        exposure=None if distance is None else Amount(near, "m"),
        allowance=None if distance is None else Amount(distance, "m"),
        barred=barred,
        missing=questions,
    )


WORDS = {
    "outside": "an outside door without a lobby",
    "lobby": "an outside door with a lobby",
    "inside_busy": "an inside door",
    "service": "a service door",
}


def _rule(door: Opening) -> tuple[str, tuple[str, ...]]:
    if door.kind == "outside_door":
        if door.vestibule is None:
            return "outside", (f"Has the outside door {door.id} a lobby with a second door?",)
        return ("lobby" if door.vestibule else "outside"), ()
    if door.kind == "lobby_door":
        return "lobby", ()
    return ("service" if door.kind == "service_door" else "inside_busy"), ()


def _tender(case: Case) -> bool:
    """Works that feel every breath: panels, veneer, paper and gilding."""
    work = case.work
    return (
        work.kind in ("panel", "paper", "pastel")
        or case.medium.group in ("paper", "wood")
        or (case.setting("doorway", "frame") or work.frame) in ("gilded_gesso", "composition")
    )


def _notes(case: Case, hanging: Hanging, doors: list[Opening]) -> Iterator[str]:
    halves = case.library.figures["doorway.dust.halves"]
    for door in doors:
        distance = opening_distance(case.survey, case.site, door, hanging)
        if distance is None or door.kind not in ("outside_door", "lobby_door") or distance > INSECTS_M:
            continue
        low, high = (dust_ratio(distance, half) for half in (halves.value, halves.high or halves.value))
        yield (
            f"Dust from {door.id}: {100 * low:.2g} to {100 * high:.2g} % of what falls beside it; set insect "
            "traps and inspect every quarter."
        )


def _draws(case: Case, name: str, stream: str | None = None) -> Floats:
    figure = case.library.figures[f"doorway.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream or f"model:doorway:{name}", figure.low, figure.value, figure.high)

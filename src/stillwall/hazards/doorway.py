"""Doors: the leaf that strikes, and the air, dust and people that come through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median
from stillwall.exposure.contacts import dust_ratio
from stillwall.exposure.draughts import draughts_seen
from stillwall.exposure.readings import temperature_logged
from stillwall.load import Evidence, Load, weakest
from stillwall.phrases import counted, percent, sentence, show_distance
from stillwall.setting.door_reach import Leaf, in_line, opening_distance, opens_into, strike
from stillwall.setting.hanging import Hanging, hang
from stillwall.setting.naming import hangs, names_of, room_name, room_named
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
    worst = max(found, key=lambda door: (door.barred, median(door.draws)))
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
    room = room_name(case.survey, place.room)
    return Load(
        hazard="doorway",
        kind="graded",
        draws=_draws(case, "spread.no_door", f"room:{place.room}:doors"),
        reason=f"The survey lists no door of {room}, so that nobody can say what swings or blows there.",
        evidence="assumed",
        sources=(case.library.figures["doorway.spread.no_door"].source,),
        missing=(
            f"Which doors has {room_named(case.survey, place.room)}: wall, place, width, hinge, and how far "
            "each opens?",
        ),
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
        return found, (
            "While the log ran it was never cold or warm enough outdoors for draughts to show in it.",
        )
    enough = figure("doorway.felt.openings_that_count")
    share = _felt_share(case)
    swing = seen.step_pct * share * min(1.0, seen.per_day / enough) * case.factor("doorway", "draught")
    size = show_temperature_difference(seen.step_k, show)
    felt = f"{median(swing):.1f}"
    breaths = (
        f"The log shows about {_breaths(seen.per_day)} over {counted(seen.days, 'day')} on which they could "
        f"show, each of about {size} and {seen.step_pct:.0f} %RH, {seen.hours_a_day:.1f} hours a day in all; "
        f"the surface feels {'less than 0.1' if felt == '0.0' else felt} %RH of it, where "
        f"{figure('doorway.felt.swing'):.0f} %RH is allowed."
        if seen.per_day * RATE_HIGH >= 0.5
        else f"Over {counted(seen.days, 'day')} on which draughts could show the log shows none."
    )
    measured = _Door(
        draws=np.maximum(swing / figure("doorway.felt.swing"), 0.01),
        sentence=breaths,
        evidence="measured",
        source="doorway.felt.swing",
        exposure=Amount(median(swing), "%"),
        allowance=Amount(figure("doorway.felt.swing"), "%"),
    )
    if logged.own and seen.days >= figure("doorway.felt.clears_days"):
        kept = [door for door in found if door.barred or not door.draught]
        return [measured, *kept], ()
    return [measured, *found], (
        f"A log of {counted(seen.days, 'such day')} is too short to clear the wall."
        if logged.own
        else "The room's logger cannot clear a wall; one at the wall itself could.",
    )


def _breaths(per_day: float) -> str:
    low, high = f"{RATE_LOW * per_day:.0f}", f"{RATE_HIGH * per_day:.0f}"
    return f"{low if low == high else f'{low} to {high}'} breaths of outdoor air a day"


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
            sentence=sentence(
                f"{_here(case, door)} may swing at the work; nobody has measured where it is hinged."
            ),
            evidence="assumed",
            source="doorway.spread.unplaced",
            missing=met.missing,
        )
    opens_to, questions = _opens_to(case, door)
    if into is None:
        questions = (*questions, f"Does {_named(case, door)} open into the room, out of it, or both ways?")
    if width is None:
        questions = (*questions, f"How wide is the leaf of {_named(case, door)}?")
    hits = opens_to >= met.angle_deg
    if into is None:
        hits &= case.draws.normal(f"door:{door.id}:opens") < OPENS_IN_Z
    sure = bool(hits.all()) and not questions
    middle = median(opens_to)
    return _Door(
        draws=np.where(hits, STRUCK, CLEAR),
        sentence=(
            f"The leaf of {_here(case, door)}, {show_length(leaf.width_m - tray, show)} "
            f"wide{' and with room for a tray' if tray else ''}, "
            f"{_meets(sure=sure, may=bool(hits.any()), at_deg=met.angle_deg, to_deg=middle)}."
        ),
        evidence="assumed" if questions or met.missing else "surveyed",
        source="doorway.swing.margin",
        exposure=Amount(middle, "degree"),
        allowance=Amount(met.angle_deg, "degree"),
        barred=sure,
        missing=(*met.missing, *questions),
    )


def _meets(*, sure: bool, may: bool, at_deg: float, to_deg: float) -> str:
    """Whether a leaf meets the work, with its handle and room for a hand."""
    if not may:
        return (
            f"stops at {to_deg:.0f} degrees and would reach the work at {at_deg:.0f}, its handle and room "
            "for a hand included"
        )
    verb = "strikes" if sure else "may strike"
    return (
        f"{verb} the work when it is {at_deg:.0f} degrees open, its handle and room for a hand included; it "
        f"opens to {'about ' if not sure else ''}{to_deg:.0f} degrees"
    )


def _here(case: Case, door: Opening) -> str:
    """A door, for one who stands in its room."""
    return names_of(case.survey).fittings[door.id]


def _named(case: Case, door: Opening) -> str:
    """A door with its room, for a question."""
    return names_of(case.survey).fittings_of[door.id]


def _opens_to(case: Case, door: Opening) -> tuple[Floats, tuple[str, ...]]:
    """Angle to which a leaf opens, and what to ask about it."""
    figure = case.library.figure
    stopped = case.setting("doorway", "opens_to")
    if stopped is not None:
        return np.full(case.draws.count, float(stopped)), ()
    if door.opens_to_deg is not None and (door.stop or door.kind != "service_door"):
        return np.full(case.draws.count, door.opens_to_deg), ()
    if door.stop:
        question = f"At how many degrees does the stop hold {_named(case, door)}, and is it screwed down?"
        return np.full(case.draws.count, figure("doorway.swing.stopped_at")), (question,)
    if door.kind == "service_door" or door.opens == "both":
        return np.full(case.draws.count, figure("doorway.swing.service_opens_to")), ()
    angle = _draws(case, "swing.unknown_opens_to", f"door:{door.id}:opens_to")
    return angle, (f"How far does {_named(case, door)} open, in degrees, and does a stop hold it there?",)


def _draught(case: Case, hanging: Hanging, door: Opening) -> _Door | None:
    figure, show = case.library.figure, case.survey.head.units
    rule, questions = _rule(case, door)
    near = figure(f"doorway.near.{rule}")
    distance = opening_distance(case.survey, case.site, door, hanging)
    if distance is None:
        question = f"Where is {_named(case, door)}: in which wall, and how far from its left corner?"
        if rule == "inside_busy":
            return None
        draws = _draws(case, "spread.unplaced", f"door:{door.id}:place")
        where, questions = "in the same room as", (*questions, question)
    else:
        spread = _draws(case, "spread.distance", f"model:doorway:spread:{rule}")
        draws = spread * near / max(distance, 0.1)
        where = f"{show_distance(distance, show)} from"
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
            f"It would {hangs(case)} {where} {_here(case, door)}{WORDS[rule]}; within "
            f"{show_distance(near, show)} such a door counts as too near{_unless(rule)}."
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
    "outside": ", which has no lobby",
    "lobby": ", which has a lobby",
    "inside_busy": "",
    "service": "",
}


def _unless(rule: str) -> str:
    """Draughts can be cleared by a log; elbows and trays cannot."""
    return " unless a log at the wall clears it" if rule in ("outside", "lobby") else ""


def _rule(case: Case, door: Opening) -> tuple[str, tuple[str, ...]]:
    if door.kind == "outside_door":
        if door.vestibule is None:
            return "outside", (f"Has {_named(case, door)} a lobby with a second door?",)
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
            f"Dust from {_here(case, door)}: {_dust(low, high)} of what falls beside it; set insect traps "
            "and inspect every quarter."
        )


def _dust(low: float, high: float) -> str:
    ends = [percent(share) for share in (low, high)]
    return ends[0] if ends[0] == ends[1] else f"{ends[0].removesuffix(' %')} to {ends[1]}"


def _draws(case: Case, name: str, stream: str | None = None) -> Floats:
    figure = case.library.figures[f"doorway.{name}"]
    if figure.low is None or figure.high is None:
        return np.full(case.draws.count, figure.value)
    return case.draws.between(stream or f"model:doorway:{name}", figure.low, figure.value, figure.high)

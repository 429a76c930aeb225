"""Whether a work can be carried to a place: the tightest point on the best way there, with what it needs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median, quantile
from stillwall.exposure.framed_size import packed_dimension
from stillwall.exposure.passage import opening_max_side_rule
from stillwall.load import Evidence, weakest
from stillwall.phrases import percent
from stillwall.setting.carrying import OUTSIDE, Packet, Passage, Way, ratio, ratio_draws, way
from stillwall.setting.framing import size_draws
from stillwall.setting.hanging import Hanging
from stillwall.setting.naming import node_name, place_name
from stillwall.units import Amount, show_length


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing that has to fit: what it needs, what there is, how sure that is."""

    draws: Floats
    sentence: str
    evidence: Evidence
    exposure: Amount
    allowance: Amount
    source: str
    bars: bool = False
    missing: tuple[str, ...] = ()


def way_in(case: Case, hanging: Hanging) -> list[Part]:
    """The tightest point between where the work is and the room of the place."""
    target = case.site.place.room
    start = _start(case)
    if target is None or start == target:
        return []
    figure = case.library.figure
    hands, clearance = figure("fit.way.hands"), figure("fit.way.clearance")
    packed = case.work.packed
    if packed is not None:
        sides = sorted([packed.height_m, packed.width_m])
        thick = packed.depth_m or packed_dimension(hanging.size.depth_m, hands)
        scale = 1.0
    else:
        sides = sorted(packed_dimension(side, clearance) for side in (hanging.height_m, hanging.width_m))
        thick = packed_dimension(hanging.size.depth_m, hands)
        scale = 0.0
    packet = Packet(sides[0], sides[1], thick)
    found = way(case.survey, case.library, packet, start, target)
    if found.found and not found.passages:
        return []
    passages = found.passages if found.found else (_unsurveyed(case, start, target),)
    return [_passing(case, hanging, packet, passages, found, fixed=scale == 1.0)]


def _start(case: Case) -> str:
    """The room in which the work is now; outside the building where it is not on any place."""
    now = case.work.now_at
    place = None if now is None else case.survey.places.get(now)
    if place is None:
        return OUTSIDE
    if place.room is not None:
        return place.room
    return getattr(place, "building", None) or OUTSIDE


def _unsurveyed(case: Case, start: str, target: str) -> Passage:
    ends = " to ".join(node_name(case.survey, node) for node in (start, target))
    return Passage(id=f"between {start} and {target}", kind="door", name=f"the way from {ends}")


def _passing(
    case: Case, hanging: Hanging, packet: Packet, passages: tuple[Passage, ...], found: Way, *, fixed: bool
) -> Part:
    show = case.survey.head.units
    tightest = max(passages, key=lambda passage: ratio(case.library, passage, packet))
    if fixed:
        short, long = (np.full(case.draws.count, side) for side in (packet.short_m, packet.long_m))
    else:
        clearance = 2 * case.library.figure("fit.way.clearance")
        height, width = size_draws(case, hanging.size)
        short = np.minimum(height, width) + clearance
        long = np.maximum(height, width) + clearance
    draws = np.max(
        [ratio_draws(case.library, case.draws, item, packet, short, long) for item in passages], axis=0
    )
    unmeasured = tuple(item.question for item in passages if not item.known)
    if not found.found:
        unmeasured = (
            f"How is {case.work.name} carried to {place_name(case)}: clear sizes of every door, turn, stair "
            f"and lift on {tightest.name}?",
        )
    middle = median(draws)
    if tightest.known and tightest.height_m is not None and tightest.width_m is not None:
        size = f" ({show_length(tightest.height_m, show)} x {show_length(tightest.width_m, show)} clear)"
    elif tightest.known and tightest.turn_m is not None:
        size = f" ({' into '.join(show_length(leg, show) for leg in tightest.turn_m)})"
    else:
        size = " (not measured)"
    verb = "goes through" if middle <= 1 else "does not go through"
    if tightest.known and tightest.kind == "door" and tightest.height_m and tightest.width_m:
        rule = opening_max_side_rule(tightest.width_m, tightest.height_m, packet.thick_m)
        if tightest.height_m < packet.short_m <= rule:
            verb = "goes only tilted through"
    return Part(
        draws=draws,
        sentence=(
            f"{case.work.name}, {show_length(packet.short_m, show)} on its shorter side and "
            f"{show_length(packet.thick_m, show)} thick as carried, {verb} {tightest.name}{size}, the "
            f"tightest point on the way: it takes {percent(middle)} of the room there."
        ),
        evidence=weakest(hanging.size.evidence, "assumed" if unmeasured else "surveyed"),
        exposure=Amount(packet.short_m, "m"),
        allowance=Amount(packet.short_m / max(middle, 1e-9), "m"),
        source="fit.way.clearance",
        bars=found.found and tightest.known and quantile(draws, 0.05) > 1,
        missing=unmeasured,
    )

"""Whether a work has room on a wall, and whether it can be carried there at all."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from stillwall.case import Case
from stillwall.draws import Floats, median, quantile
from stillwall.exposure.egress import corridor_min_width, decoration_area_limit, protrusion_limit
from stillwall.exposure.placing import span_load, stair_corner_clearance, viewing_distance
from stillwall.load import Load, weakest
from stillwall.phrases import listed, percent, show_distance, show_inches
from stillwall.setting.field import height_question, span_question
from stillwall.setting.framing import size_draws
from stillwall.setting.hanging import Hanging, hang
from stillwall.setting.way_in import Part, way_in
from stillwall.survey.places import HoldingPlace, Pedestal, Wall
from stillwall.units import INCH_M, Amount, show_length

PARTS = {
    "bottom": "lowest height of the bottom edge that is asked for, in m",
    "frame": "kind of frame that the work is given",
    "furniture": "height of a console or chest put below, in m",
    "barrier": "distance of a barrier from the wall, in m",
}
SIZE_NODES = np.linspace(-2.6, 2.6, 9)
HANDRAIL_M = 0.9652
"""Top of the handrail band, 38 in. [m]"""
NOT_A_SURVEY = (
    "This is a screening of stated facts, not a survey of structure, fire, electrics or condition; a "
    "competent person decides on site."
)


def load(case: Case) -> Load | None:
    """Needed over clear: across the wall, up the wall, and through everything on the way there."""
    hanging = hang(case)
    unknown = _unknown(case, hanging)
    if unknown:
        return Load(
            hazard="fit",
            kind="constraint",
            draws=None,
            reason=f"Whether {case.work.name} fits cannot be said before it is measured.",
            evidence="missing",
            sources=(case.library.figures["fit.margin.side"].source,),
            missing=unknown,
            deciding=True,
        )
    parts = [*_on_the_wall(case, hanging), *way_in(case, hanging)]
    if not parts:
        return None
    draws = np.max([part.draws for part in parts], axis=0)
    worst = max(parts, key=lambda part: (part.bars, median(part.draws)))
    others = [part.sentence for part in parts if part is not worst and median(part.draws) > 0.8]
    missing = tuple(dict.fromkeys(hanging.missing + tuple(q for part in parts for q in part.missing)))
    return Load(
        hazard="fit",
        kind="constraint",
        draws=draws,
        barred=any(part.bars for part in parts),
        reason=worst.sentence,
        evidence=weakest(*(part.evidence for part in parts)),
        sources=(case.library.figures[worst.source].source,),
        missing=missing,
        deciding=True,
        exposure=worst.exposure,
        allowance=worst.allowance,
        notes=(*others, *_notes(case, hanging)),
        cautions=_cautions(case, hanging),
    )


def _unknown(case: Case, hanging: Hanging) -> tuple[str, ...]:
    work, place = case.work, case.site.place
    questions: list[str] = []
    if work.framed is None and work.image is None:
        questions += list(hanging.size.missing)
    if isinstance(place, Wall) and hanging.field is not None:
        if place.span_m is None and hanging.field.span_evidence == "assumed":
            questions.append(span_question(case))
        if hanging.field.height_evidence == "assumed":
            questions.append(height_question(case))
    return tuple(dict.fromkeys(questions))


def _on_the_wall(case: Case, hanging: Hanging) -> list[Part]:
    place = case.site.place
    if isinstance(place, HoldingPlace):
        return _in_store(case, hanging, place)
    if isinstance(place, Pedestal):
        return _on_top(case, hanging, place)
    return [*_field_parts(case, hanging), *_egress(case, hanging, place)]


def _field_parts(case: Case, hanging: Hanging) -> list[Part]:
    field, work, place = hanging.field, case.work, case.site.place
    assert field is not None
    show = case.survey.head.units
    row = hanging.needed_span_m - 2 * field.margin_m - hanging.width_m
    tape = 1 + case.library.figure("fit.way.tape") * case.draws.normal(f"wall:{place.id}:span") / 2
    across = _over_sizes(case, hanging, lambda h, w: field.span_ratio(h, w + row)) * tape
    up = _over_sizes(case, hanging, lambda h, _: field.height_ratio(h)) * tape
    ceiling = max(field.top_most_m, _ceiling(case))
    too_tall = quantile(up, 0.05) * (field.top_most_m - field.bottom_least_m) > (
        ceiling - field.bottom_least_m
    )
    evidence = weakest(hanging.evidence, "surveyed")
    needed, clear = hanging.needed_span_m, hanging.needed_span_m / median(across)
    row_mates = [case.survey.works[name].name for name in hanging.partners]
    with_it = f", in a row with {listed(row_mates)}," if row_mates else ""
    span = Part(
        draws=across,
        sentence=(
            f"{work.name}{with_it} needs {show_length(needed, show)} across, margins included; the wall has "
            f"{show_length(clear, show)} clear."
        ),
        evidence=evidence,
        exposure=Amount(needed, "m"),
        allowance=Amount(clear, "m"),
        source="fit.margin.side",
    )
    room = field.top_most_m - field.bottom_least_m
    height = Part(
        draws=up,
        sentence=(
            f"{work.name} is {show_length(hanging.height_m, show)} high; the wall has "
            f"{show_length(room, show)} between {field.bottom_rule} and {field.top_rule}."
        ),
        evidence=evidence,
        exposure=Amount(hanging.height_m, "m"),
        allowance=Amount(room, "m"),
        source="fit.margin.cornice",
        bars=too_tall,
    )
    return [span, height]


def _over_sizes(case: Case, hanging: Hanging, compute: Callable[[float, float], float]) -> Floats:
    """Draws of a ratio that depends on the framed size; computed at a few sizes and interpolated."""
    size = hanging.size
    if size.height_span_m[0] == size.height_span_m[1] and size.width_span_m[0] == size.width_span_m[1]:
        draws = np.full(case.draws.count, compute(size.height_m, size.width_m))
        turned = compute(size.width_m, size.height_m)
    else:
        ratios = [compute(*size.at(node)) for node in SIZE_NODES]
        draws = np.interp(case.draws.normal(f"work:{case.work.id}:face"), SIZE_NODES, ratios)
        turned = compute(size.width_m, size.height_m)
    if _contradicts(case, hanging):
        return np.where(case.draws.normal(f"work:{case.work.id}:order") > 0, turned, draws)
    return draws


def _contradicts(case: Case, hanging: Hanging) -> bool:
    """Whether the sizes, height first, contradict how the picture is said to stand."""
    height, width = hanging.height_m, hanging.width_m
    if case.work.orientation == "upright":
        return height < width * 0.98
    return case.work.orientation == "landscape" and width < height * 0.98


def _ceiling(case: Case) -> float:
    wall, room = case.wall, case.site.room
    if wall is not None and wall.height_m is not None:
        return wall.height_m
    return 0.0 if room is None or room.size is None else room.size.height_m


def _egress(case: Case, hanging: Hanging, wall: Wall) -> list[Part]:
    """The width that a way out must keep, in front of the work or of its barrier."""
    if wall.circulation != "required_egress" or wall.clear_width_m is None:
        return []
    show, figure = case.survey.head.units, case.library.figure
    barrier = case.setting("fit", "barrier")
    taken = hanging.projection_m
    if barrier is not None or wall.barrier_m is not None:
        taken = max(taken, wall.barrier_m or 0.0, 0.0 if barrier is None else float(barrier))
    people = case.site.room.people_peak_hour if case.site.room is not None else None
    least = corridor_min_width(
        figure("fit.code.corridor_few") if people is None else people,
        figure("fit.code.corridor_width") * INCH_M,
        figure("fit.code.corridor_width_few") * INCH_M,
        figure("fit.code.corridor_few"),
    )
    left = wall.clear_width_m - taken
    return [
        Part(
            draws=np.full(case.draws.count, span_load(least, left)),
            sentence=(
                f"The way out past the wall keeps {show_length(left, show)} clear, where codes commonly ask "
                f"for {show_length(least, show)}; the local authority decides."
            ),
            evidence="surveyed",
            exposure=Amount(least, "m"),
            allowance=Amount(left, "m"),
            source="fit.code.corridor_width",
        )
    ]


def _in_store(case: Case, hanging: Hanging, place: HoldingPlace) -> list[Part]:
    show = case.survey.head.units
    height, width = size_draws(case, hanging.size)
    parts = []
    for side, room, what in (
        (width, place.span_m, "wide"),
        (height, place.height_m, "high"),
    ):
        if room is not None:
            parts.append(
                Part(
                    draws=side / room,
                    sentence=(
                        f"{case.work.name} is {show_length(median(side), show)} {what}; the holding place "
                        f"has {show_length(room, show)}."
                    ),
                    evidence=hanging.size.evidence,
                    exposure=Amount(median(side), "m"),
                    allowance=Amount(room, "m"),
                    source="fit.margin.side",
                )
            )
    return parts


def _on_top(case: Case, hanging: Hanging, place: Pedestal) -> list[Part]:
    """The foot of a bust on the top of its pedestal."""
    if place.top is None or place.bust_base is None:
        return []
    show = case.survey.head.units
    foot, top = place.bust_base, place.top
    share = max(
        foot.height_m / top.height_m,
        foot.width_m / top.width_m,
    )
    return [
        Part(
            draws=np.full(case.draws.count, share),
            sentence=(
                f"The foot of {case.work.name} is {show_length(foot.height_m, show)} x "
                f"{show_length(foot.width_m, show)}; the pedestal's top is {show_length(top.height_m, show)} "
                f"x {show_length(top.width_m, show)}."
            ),
            evidence="surveyed",
            exposure=Amount(share * top.width_m, "m"),
            allowance=Amount(top.width_m, "m"),
            source="fit.margin.side",
        )
    ]


def _notes(case: Case, hanging: Hanging) -> tuple[str, ...]:
    wall, show = case.wall, case.survey.head.units
    if wall is None or hanging.field is None:
        return ()
    notes = [
        f"It would hang with its bottom edge at {show_length(hanging.bottom_m, show)}, its centre at "
        f"{show_length(hanging.centre_m, show)} and its hook at {show_length(hanging.hook_m, show)} above "
        f"the floor, its left edge {show_length(hanging.left_m, show)} from the left corner."
    ]
    if _contradicts(case, hanging):
        notes.append(
            f"{case.work.name} is entered as {case.work.orientation}, but its size, height first, says the "
            "opposite; was the width written first?"
        )
    if not hanging.free:
        blockers = sorted({f"the {obstacle.what}" for obstacle in hanging.field.obstacles}) or ["the corners"]
        notes.append(f"Nowhere on the wall would it keep clear of {listed(blockers)}.")
    elif hanging.tight:
        notes.append(
            f"It fits only with margins narrower than the usual {show_length(hanging.field.margin_m, show)}."
        )
    there = [
        work for work in case.survey.works.values() if work.now_at == wall.id and work.id != case.work.id
    ]
    others = [work.name for work in there if work.id not in hanging.partners]
    if others:
        hang_there = (
            "hangs there now and counts as taken down"
            if len(others) == 1
            else ("hang there now and count as taken down")
        )
        notes.append(f"{listed(others)} {hang_there}.")
    return (*notes, *_code_notes(case, hanging, wall), *_custom_notes(case, hanging, wall))


def _custom_notes(case: Case, hanging: Hanging, wall: Wall) -> list[str]:
    show, figure = case.survey.head.units, case.library.figure
    notes = []
    if wall.stair is not None:
        clearance = stair_corner_clearance(
            hanging.centre_m, hanging.height_m, hanging.width_m, wall.stair.riser_m, wall.stair.tread_m
        )
        notes.append(
            f"Its lower corner on the uphill side stands {show_length(clearance, show)} above the line of "
            "the nosings" + (", as low as a handrail." if clearance < HANDRAIL_M else ".")
        )
    back = viewing_distance(hanging.height_m, figure("fit.viewing.angle"))
    if wall.clear_width_m is not None and wall.clear_width_m < back / 2:
        notes.append(
            f"It is seen whole from {show_distance(back, show)}; one can step back only "
            f"{show_distance(wall.clear_width_m, show)}."
        )
    return notes


def _code_notes(case: Case, hanging: Hanging, wall: Wall) -> list[str]:
    show, figure = case.survey.head.units, case.library.figure
    notes = []
    most, lowest, highest = (
        figure(f"fit.code.projection_{name}") * INCH_M for name in ("limit", "from", "to")
    )
    limit = protrusion_limit(hanging.bottom_m, most, lowest, highest)
    if wall.circulation in ("passing", "required_egress") and hanging.projection_m > limit:
        notes.append(
            f"It stands out {show_length(hanging.projection_m, show)}; between {show_inches(lowest, show)} "
            f"and {show_inches(highest, show)} above the floor accessibility codes allow "
            f"{show_length(limit, show)} into a way, unless a console or a barrier below is found by a cane."
        )
    if wall.circulation == "required_egress" and wall.height_m and wall.span_m:
        whole, covered = wall.height_m * wall.span_m, hanging.height_m * hanging.width_m
        allowed = decoration_area_limit(whole, figure("fit.code.decoration_share"))
        notes.append(
            f"It covers {percent(covered / whole)} of the wall; on a way out fire codes commonly let "
            f"decoration cover {percent(allowed / whole)}. Ask the fire marshal."
        )
    room = case.site.room
    if room is not None and room.sprinklers:
        notes.append(
            f"Sprinklers: keep its face {show_length(figure('fit.code.sprinkler_face'), show)} from any "
            "head, and unless it lies flat on the wall its top "
            f"{show_length(figure('fit.code.sprinkler_clear'), show)} below one."
        )
    return notes


def _cautions(case: Case, hanging: Hanging) -> tuple[str, ...]:
    cautions = [NOT_A_SURVEY]
    wall = case.wall
    if wall is not None and wall.circulation == "required_egress":
        cautions.append(
            "Ways out, sprinklers, alarms and access: codes differ by place and edition; the local authority "
            "decides."
        )
    if max(hanging.height_m, hanging.width_m) > 1.5:
        cautions.append(
            "Walk the route with the packed size first, and stop if any step differs from the survey."
        )
    if wall is not None and wall.stair is not None:
        cautions.append("Work over a stair needs a proper platform, not a ladder on the treads.")
    return tuple(cautions)

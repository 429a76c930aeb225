"""The chain of moves in words, as it is drawn, and as the crew carries it."""

from __future__ import annotations

from dataclasses import replace

from stillwall.answers import MovesAnswer
from stillwall.assess import Assessment
from stillwall.charts.moves import MoveView, moves_drawing
from stillwall.judgement.moves.climates import acclimatise, place_climate
from stillwall.judgement.moves.crew import carry_words
from stillwall.judgement.moves.from_survey import fixing_words, note_words
from stillwall.judgement.moves.model import Plan, Step
from stillwall.phrases import date_words
from stillwall.report.context import Moves, Trip, TripStep
from stillwall.report.words import full_stop, place_name, sentence_case


def spot_words(answer: MovesAnswer, place: str | None, otherwise: str) -> str:
    """A place of the plan in words."""
    survey = answer.opened.survey
    return otherwise if place is None else place_name(survey, survey.places[place])


def work_words(answer: MovesAnswer, work: str) -> str:
    """A work of the plan in words."""
    return answer.opened.survey.works[work].name


def plan_sentence(answer: MovesAnswer) -> str:
    """What the plan does, in two or three sentences."""
    plan = answer.plan
    if plan.conflicts:
        reasons = " ".join(full_stop(each[:1].upper() + each[1:]) for each in plan.conflicts)
        return f"There is no plan that meets every condition. {reasons}"
    if not plan.steps:
        return "Nothing has to move: every work is where it does best."
    objective = plan.objective
    count = len(plan.steps)
    parts = [
        f"{count} {'move' if count == 1 else 'moves'}, in this order; no work is without a place in between."
    ]
    if objective is not None:
        over = objective.over
        parts.append(
            "No work that may be moved ends over its allowance"
            if over == 0
            else f"{over} {'work ends' if over == 1 else 'works end'} over an allowance whatever is moved"
        )
        parts[-1] += f"; the largest load among them is {objective.worst:.2f}."
    parts.append("Proven best." if plan.optimal else f"Not proven best: within {plan.gap * 100:.0f} % of it.")
    other = plan.runner_up
    if other is not None and other.objective is not None:
        moves = len(other.steps)
        also = f" and {other.objective.over} over an allowance" if other.objective.over else ""
        word = "move" if moves == 1 else "moves"
        parts.append(f"With {moves} {word} the largest load would be {_other_worst(plan, other)}{also}.")
    return " ".join(parts)


def _other_worst(plan: Plan, other: Plan) -> str:
    """The largest load of the runner-up: in figures, or as the same where the figures say no more."""
    assert other.objective is not None
    shown = f"{other.objective.worst:.2f}"
    same = plan.objective is not None and f"{plan.objective.worst:.2f}" == shown
    return f"{shown} as well" if same else shown


def move_views(answer: MovesAnswer, plan: Plan) -> list[MoveView]:
    """The steps as they are drawn."""
    return [
        MoveView(
            number=step.n,
            work=work_words(answer, step.work),
            start=spot_words(answer, step.start, "incoming"),
            end=spot_words(answer, step.end, "out of the house"),
            when=when_words(step),
        )
        for step in plan.steps
    ]


def when_words(step: Step) -> str:
    """The days on which a step may be done."""
    if step.earliest is None and step.latest is None:
        return "any day"
    if step.latest is None:
        return f"from {date_words(step.earliest)}" if step.earliest is not None else "any day"
    if step.earliest is None or step.earliest == step.latest:
        return f"on {date_words(step.latest)}"
    return f"{date_words(step.earliest)} to {date_words(step.latest)}"


def way_words(answer: MovesAnswer, step: Step) -> str:
    """From where to where, and on which days."""
    start = "It comes in" if step.start is None else f"From {spot_words(answer, step.start, '')}"
    if step.end is None:
        return f"{start}, out of the house, {when_words(step)}"
    return f"{start} to {spot_words(answer, step.end, '')}, {when_words(step)}"


def step_lines(answer: MovesAnswer, step: Step) -> list[str]:
    """What the crew has to know of one step: the work, its way, how it is carried, what to watch."""
    lines = [
        f"{step.n}. {work_words(answer, step.work)}",
        way_words(answer, step),
        f"As packed {step.carry}; {step.crew}",
    ]
    lines += [sentence_case(text) for text in (step.fixings, step.acclimatise) if text]
    if step.until is not None:
        lines.append(f"Only until {date_words(step.until)}: {step.until_reason}")
    return [lines[0], *map(full_stop, [*lines[1:], sentence_case(step.reason)])]


def trip_title(answer: MovesAnswer, number: int) -> str:
    """``Trip 1 of 2, 12 January 2027: Orangery to Seed Hall``."""
    trip = answer.plan.trips[number - 1]
    buildings = answer.opened.survey.buildings
    names = [
        (buildings[name].name or name) if name in buildings else name
        for name in dict.fromkeys((trip.from_building, trip.to_building))
        if name
    ]
    way = f": {' to '.join(names)}" if names else ""
    return f"Trip {trip.n} of {len(answer.plan.trips)}, {date_words(trip.date_from)}{way}"


def moves_section(answer: MovesAnswer, shown: Assessment | None = None) -> Moves:
    """The chain of moves as a section of the report: a drawing, then each trip in words.

    ``shown`` is the survey in the units that the section is to be read in; those of the answer by default.
    """
    answer = answer if shown is None else _said_in(answer, shown)
    plan = answer.plan
    views = move_views(answer, plan)
    said = [caution for trip in plan.trips for caution in trip.cautions]
    return Moves(
        sentence=plan_sentence(answer),
        drawing=moves_drawing(views, prefix="moves") if views else None,
        caption="Top to bottom in the order of the work; each row is one work carried once.",
        trips=tuple(
            Trip(
                title=trip_title(answer, trip.n),
                bring=f"{people_words(trip.people)}. To bring: {'; '.join(trip.equipment)}.",
                steps=tuple(
                    TripStep(
                        title=f"{step.n}. {work_words(answer, step.work)}",
                        lines=tuple(step_lines(answer, step)[1:]),
                    )
                    for step in trip.steps
                ),
            )
            for trip in plan.trips
        ),
        cautions=tuple(dict.fromkeys(said)),
    )


def _said_in(answer: MovesAnswer, shown: Assessment) -> MovesAnswer:
    """The same plan with its quantities said in other units: nothing is planned again."""
    if shown.system == answer.opened.system:
        return answer
    works = {work.id: work for work in answer.problem.works}
    starts = [step.start for step in answer.plan.steps if step.start is not None]
    climates = {place: shown.site(place).exposure(place_climate) for place in shown.survey.places}
    rests = acclimatise(shown.survey, shown.library, starts, climates)

    def said(step: Step) -> Step:
        rest = rests.get((step.start or "", step.end or ""), "")
        carried = replace(step, carry=carry_words(works[step.work].carry, shown.system), acclimatise=rest)
        if step.end is None:
            return carried
        subject = shown.work(step.work)
        first = max(answer.problem.start, subject.arrives or answer.problem.start)
        stay = shown.stay(subject, first, None)
        judged = shown.placed(subject, shown.place(step.end), stay).judged
        note = answer.problem.notes.get((step.work, step.end), "")
        there = note_words(judged, shown.library, shown.system)
        reason = step.reason.removesuffix(note) + there if note and there else step.reason
        return replace(carried, reason=reason, fixings=fixing_words(judged) if step.fixings else "")

    plan = answer.plan
    trips = tuple(replace(trip, steps=tuple(map(said, trip.steps))) for trip in plan.trips)
    return replace(answer, plan=replace(plan, trips=trips), opened=shown)


def people_words(people: int) -> str:
    """``1 person``, ``3 people``."""
    return "1 person" if people == 1 else f"{people} people"

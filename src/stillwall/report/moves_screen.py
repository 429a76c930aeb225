"""The chain of moves on a terminal, and the crew's sheet on paper: one page a trip."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined, Template

from stillwall.answers import MovesAnswer
from stillwall.judgement.moves.crew import HEADINGS, crew_sheet
from stillwall.phrases import date_words
from stillwall.report.moves_view import (
    move_views,
    people_words,
    plan_sentence,
    spot_words,
    step_lines,
    trip_title,
    work_words,
)
from stillwall.report.screens import wrap
from stillwall.report.words import SCREENING


def moves_screen(answer: MovesAnswer) -> str:
    """The chain as arrows, then each trip with what the crew has to know."""
    lines = [*wrap(plan_sentence(answer)), ""]
    for view in move_views(answer, answer.plan):
        lines += wrap(f"{view.number}  {view.work}: {view.start} -> {view.end}", rest="     ")
    for trip in answer.plan.trips:
        lines += [
            "",
            *wrap(trip_title(answer, trip.n)),
            *wrap(f"{people_words(trip.people)}. To bring: {'; '.join(trip.equipment)}."),
        ]
        for step in trip.steps:
            first, *rest = step_lines(answer, step)
            lines += wrap(first, rest="   ")
            lines += [line for text in rest for line in wrap(text, first="   ", rest="   ")]
        lines += [line for caution in trip.cautions for line in wrap(caution, first="! ", rest="  ")]
    stays = [
        f"{work_words(answer, work)}: {spot_words(answer, place, '')}"
        for work, place in sorted(answer.plan.places.items())
    ]
    if stays:
        lines += ["", "In the end"]
        lines += [line for text in stays for line in wrap(text, first="- ", rest="  ")]
    return "\n".join([*lines, "", *wrap(SCREENING)])


def moves_sheet(answer: MovesAnswer) -> str:
    """The crew's sheet as one HTML file, one page a trip."""
    names = {place: spot_words(answer, place, "") for place in answer.opened.survey.places}
    pages = [
        {
            "title": trip_title(answer, number),
            "people": people_words(page.people),
            "equipment": page.equipment,
            "cautions": page.cautions,
            "rows": [[names.get(cell, cell) for cell in row] for row in page.rows],
            "to": "" if page.date_to is None else date_words(page.date_to),
        }
        for number, page in enumerate(crew_sheet(answer.plan, answer.problem), start=1)
    ]
    return _template().render(
        society=answer.opened.survey.head.name, pages=pages, headings=HEADINGS, screening=SCREENING
    )


@lru_cache(maxsize=1)
def _template() -> Template:
    environment = Environment(autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True)
    return environment.from_string((files("stillwall.report") / "sheet.html.j2").read_text(encoding="utf-8"))

"""Answers on a terminal: plain words, no colour, 80 columns unless there is room for more."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Iterable, Sequence

from stillwall.answers import Matrix, Placed, Vetting, WallRanking, WorkRanking
from stillwall.charts.figures import (
    against,
    hazard_words,
    severity,
    show_chance,
    show_interval,
    show_ratio,
)
from stillwall.judgement.ranking import Ranked
from stillwall.load import Load
from stillwall.opened import ON_PEDESTALS, OpenSurvey
from stillwall.phrases import date_words
from stillwall.report.words import (
    SCREENING,
    answer,
    choice_words,
    full_stop,
    governed_words,
    governing_is_bar,
    load_words,
    place_name,
    ranking_words,
    said_once,
    shown_until,
    until_words,
    verdict_sentence,
)

NARROW, WIDEST = 80, 120


def screen_width() -> int:
    """Columns to fill: 80 when piped."""
    if not sys.stdout.isatty():
        return NARROW
    return max(NARROW, min(WIDEST, shutil.get_terminal_size().columns))


def rank_screen(ranking: WorkRanking) -> str:
    """Every place for one work."""
    opened = ranking.opened
    verb = "stand" if ranking.work.kind in ON_PEDESTALS else "hang"
    lines = [
        *wrap(f"Where may {ranking.work.name} {verb}?"),
        _stay_words(ranking),
        "",
        *wrap(answer(ranking)),
        "",
    ]
    for ranked in ranking.places:
        placed = ranking.by_place[ranked.id]
        lines += _entry(ranked, placed, place_name(opened.survey, placed.place))
    lines += [
        "",
        *wrap(ranking_words(ranking.by_place.values())),
        *wrap(_ties(ranking)),
        *_problems(ranking.by_place.values()),
    ]
    return "\n".join([*lines, "", *wrap(SCREENING)])


def rank_wall_screen(ranking: WallRanking) -> str:
    """Every work for one place."""
    lines = [*wrap(f"What would suit {place_name(ranking.opened.survey, ranking.place)}?"), ""]
    for ranked in ranking.works:
        placed = ranking.by_work[ranked.id]
        lines += _entry(ranked, placed, placed.work.name)
    return "\n".join([*lines, "", *wrap(ranking_words(ranking.by_work.values())), "", *wrap(SCREENING)])


def _entry(ranked: Ranked, placed: Placed, name: str) -> list[str]:
    """A line with the name and the chance of being best, and below it the verdict with what governs."""
    best = "" if governing_is_bar(placed) else f"best {show_chance(ranked.chance_best)}"
    width = screen_width() - 4 - len(best) - 1
    facts = [placed.judged.verdict, f"{governed_words(placed)} {load_words(placed)}"]
    day = shown_until(placed)
    if day is not None:
        facts.append(until_words(placed, day))
    return [
        f"{ranked.rank:>2}  {cut(name, width).ljust(width)} {best}".rstrip(),
        *wrap("; ".join(facts), first="    ", rest="    "),
    ]


def vet_screen(vetting: Vetting) -> str:
    """One work at one place: verdict, loads, measures, what would decide, cautions."""
    placed, opened = vetting.placed, vetting.opened
    name = place_name(opened.survey, placed.place)
    until = "" if vetting.stay.end is None else f" to {date_words(vetting.stay.end)}"
    lines = [*wrap(f"{placed.work.name} at {name}, from {date_words(vetting.stay.start)}{until}"), ""]
    lines += [*wrap(verdict_sentence(vetting.ranked, placed, opened)), ""]
    loads = sorted(placed.judged.loads, key=lambda each: -severity(each))
    rows = [_load_row(load, opened) for load in loads]
    lines += table(("hazard", "load", "90 %", "exposure against allowance", "known by"), rows, right=(1,))
    for heading, texts in (
        ("Reasons", [f"{hazard_words(load.hazard)}: {full_stop(load.reason)}" for load in loads]),
        ("Would make it do", _choices(placed, opened)),
        ("Would decide it", placed.judged.would_decide),
        ("Cautions", said_once(placed.judged.cautions)),
    ):
        if texts:
            lines += ["", heading]
            for text in texts:
                lines += wrap(text, first="- ", rest="  ")
    problems = _problems([placed])
    if problems:
        lines += ["", *problems]
    if not any(SCREENING.lower() in caution.lower() for caution in placed.judged.cautions):
        lines += ["", *wrap(SCREENING)]
    return "\n".join(lines)


def _choices(placed: Placed, opened: OpenSurvey) -> list[str]:
    """Sets of measures of which one would do; what they share is said first."""
    shared, each = choice_words(opened, placed.judged.measures)
    return [f"in each case: {shared}; and one of these:", *each] if shared else list(each)


def matrix_screen(matrix: Matrix) -> str:
    """Works by places; one letter a cell and the governing load."""
    signs = {"suitable": "s", "suitable with measures": "m", "undecided": "?", "unsuitable": "x"}
    blocks = []
    for work in matrix.works:
        rows = []
        for place in matrix.places:
            cell = matrix.cells.get((work.id, place.id))
            if cell is not None:
                rows.append(
                    (
                        signs[cell.judged.verdict],
                        place_name(matrix.opened.survey, place),
                        governed_words(cell),
                        load_words(cell),
                    )
                )
        blocks += [work.name, *table(("", "place", "governed by", "load"), rows, right=(3,)), ""]
    key = "s suitable, m suitable with measures, ? undecided, x unsuitable"
    return "\n".join([*blocks, key, "", *wrap(SCREENING)])


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> list[str]:
    """Aligned columns that fit the screen; the widest give way first."""
    if not rows:
        return ["(none)"]
    widths = [max(len(row[column]) for row in [heads, *rows]) for column in range(len(heads))]
    excess = sum(widths) + 2 * (len(widths) - 1) - screen_width()
    for column in sorted(range(len(widths)), key=lambda column: -widths[column]):
        if excess > 0:
            taken = min(excess, max(0, widths[column] - 14))
            widths[column] -= taken
            excess -= taken

    def line(row: Sequence[str]) -> str:
        cells = [
            cut(cell, width).rjust(width) if column in right else cut(cell, width).ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        return "  ".join(cells).rstrip()

    return [line(heads), line(["-" * width for width in widths]), *(line(row) for row in rows)]


def cut(text: str, width: int) -> str:
    """A text in so many columns, without what cannot be printed."""
    clean = printable(text)
    return clean if len(clean) <= width else clean[: max(0, width - 1)] + "…"


def _load_row(load: Load, opened: OpenSurvey) -> tuple[str, str, str, str, str]:
    if load.ratio is None or load.low is None or load.high is None:
        ratio, interval = ("barred" if load.barred else "—"), "—"
    else:
        ratio = "barred" if load.barred else show_ratio(load.ratio)
        interval = show_interval(load.low, load.high)
    return hazard_words(load.hazard), ratio, interval, against(load, opened.system), load.evidence


def _stay_words(ranking: WorkRanking) -> str:
    stay = ranking.stay
    return f"From {date_words(stay.start)}, " + (
        "for good" if stay.end is None else f"to {date_words(stay.end)}"
    )


def _ties(ranking: WorkRanking) -> str:
    survey = ranking.opened.survey
    for ranked in ranking.places:
        if ranked.ties:
            alike = [place_name(survey, survey.places[name]) for name in (ranked.id, *ranked.ties)]
            return f"Too close to call: {'; '.join(alike)}."
    return ""


def _problems(placed: Iterable[Placed]) -> list[str]:
    told = dict.fromkeys(each.problem for each in placed if each.problem)
    return [line for problem in told for line in wrap(f"Not used: {problem}")]


def wrap(text: str, first: str = "", rest: str = "") -> list[str]:
    """Lines of a text that fit the screen, without what cannot be printed."""
    return textwrap.wrap(
        printable(text), screen_width(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def printable(text: str) -> str:
    """A text with blanks in place of what moves the cursor or turns the writing round."""
    return "".join(letter if letter.isprintable() else " " for letter in text)

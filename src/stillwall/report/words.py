"""The answer in sentences, the same on the screen and on the page."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from stillwall.answers import Placed, WorkRanking
from stillwall.charts.figures import hazard_words, show_chance, show_ratio
from stillwall.judgement.ranking import Ranked, likeliest
from stillwall.opened import OpenSurvey
from stillwall.phrases import date_words, lowered
from stillwall.reference.library import Library
from stillwall.reference.measures import said_together
from stillwall.reference.sources import CHECKED_WORDS, Citation, Source
from stillwall.survey.survey import Place, Survey

MOST_BARRED = 4
UNPUBLISHED = ("judgement", "common-practice")
"""Keys of sources that are no document."""
LOAD_IN_WORDS = (
    "A load is what the place would do to the work over the stay, divided by what the work may take: "
    "1 is the limit, and the largest governs."
)
SCREENING = (
    "A screening of stated facts, not a survey of structure, fire, electrics or condition; "
    "a competent person decides on site."
)
BEST_IN_WORDS = "The chance of being the best is that of each with the first of its measures taken."

SCREENED = "a screening of stated facts"
"""By this a caution is known that says the same; it is said once a page."""


def ranking_words(placed: Iterable[Placed]) -> str:
    """How loads and chances of a ranking are to be read."""
    measured = any(each.judged.measures for each in placed)
    return f"{LOAD_IN_WORDS} {BEST_IN_WORDS}" if measured else LOAD_IN_WORDS


def place_name(survey: Survey, place: Place) -> str:
    """A place with its building: ``Seed Hall, dais``."""
    own = place.name or place.id
    building = survey.building_of(place)
    if building is None:
        return own
    name = building.name or building.id
    return own if own.casefold().startswith(name.casefold()) else f"{name}, {own}"


def governed_words(placed: Placed) -> str:
    """The hazard that governs, or that nothing is known."""
    return "nothing known" if placed.judged.governing is None else hazard_words(placed.judged.governing)


def load_words(placed: Placed) -> str:
    """The governing load as a short word."""
    if governing_is_bar(placed):
        return "barred"
    return "—" if placed.judged.worst is None else show_ratio(placed.judged.worst)


def shown_until(placed: Placed) -> dt.date | None:
    """The day by which the work should go, where it may come at all: not where it is unsuitable anyhow."""
    judged = placed.judged
    return None if judged.verdict == "unsuitable" or governing_is_bar(placed) else judged.until


def until_words(placed: Placed, day: dt.date) -> str:
    """``until 12 January 2026``; where nothing is decided yet, that it could not be for longer."""
    return (
        f"until {date_words(day)}" if "suitable" in placed.judged.verdict else f"to {date_words(day)} at most"
    )


def governing_is_bar(placed: Placed) -> bool:
    """Whether what governs is a bar and not a number."""
    return any(load.barred and load.hazard == placed.judged.governing for load in placed.judged.loads)


def governing_reason(placed: Placed) -> str:
    """Why: the reason of the load that governs."""
    for load in placed.judged.loads:
        if load.hazard == placed.judged.governing:
            return full_stop(load.reason)
    return placed.problem or "Nothing is logged or surveyed that could tell."


def chance_words(chance: float | None) -> str:
    """A chance inside a sentence."""
    shown = "not known" if chance is None else show_chance(chance)
    return shown.replace("< ", "less than ").replace("> ", "more than ")


def full_stop(text: str) -> str:
    """A sentence that ends."""
    return text if text.endswith((".", "?", "!")) else f"{text}."


def sentence_case(text: str) -> str:
    """A text that begins with a capital."""
    return f"{text[:1].upper()}{text[1:]}"


def said_once(cautions: Iterable[str]) -> tuple[str, ...]:
    """Cautions without those that another one says in passing."""
    told = {caution.rstrip(".").lower(): caution for caution in cautions}
    return tuple(
        caution
        for plain, caution in told.items()
        if not any(plain in other and plain != other for other in told)
    )


def source_words(citation: Citation, library: Library) -> str:
    """A source as a reader would look for it, with the place in it and how it was checked."""
    checked = CHECKED_WORDS[citation.checked]
    if citation.key in UNPUBLISHED:
        return f"{checked}: {citation.locator}" if citation.locator else checked
    source = library.sources.get(citation.key)
    name = citation.key if source is None else _short_title(source)
    place = f", {citation.locator}" if citation.locator else ""
    return f"{name}{place} ({checked})"


def _short_title(source: Source) -> str:
    """``Hyland and Wexler 1983``; the title where nobody is named."""
    if not source.authors:
        dated = source.year is None or str(source.year) in source.title
        return source.title if dated else f"{source.title}, {source.year}"
    names = [_surname(author) for author in source.authors.split(",")]
    listed = {1: names[0], 2: " and ".join(names)}.get(len(names), f"{names[0]} and others")
    return listed if source.year is None else f"{listed} {source.year}"


def _surname(author: str) -> str:
    """The name without its initials."""
    words = [word for word in author.split() if not word.endswith(".")]
    return " ".join(words) or author.strip()


def measure_words(opened: OpenSurvey, chosen: tuple[str, ...]) -> str:
    """A set of measures in words."""
    return said_together([opened.library.measures[name] for name in chosen], opened.system)


def choice_words(opened: OpenSurvey, sets: Sequence[tuple[str, ...]]) -> tuple[str, tuple[str, ...]]:
    """Sets of measures of which one would do: what all of them ask for, then what each asks for besides.

    The first is empty where they share nothing, or where there is one set only.
    """
    shared = tuple(name for name in sets[0] if all(name in each for each in sets)) if len(sets) > 1 else ()
    rests = [tuple(name for name in each if name not in shared) for each in sets]
    if not shared or not all(rests):
        return "", tuple(measure_words(opened, each) for each in sets)
    return measure_words(opened, shared), tuple(measure_words(opened, each) for each in rests)


def answer(ranking: WorkRanking) -> str:
    """Where may it hang: two or three sentences."""
    opened = ranking.opened
    by_verdict: dict[str, list[tuple[Ranked, Placed]]] = {}
    for ranked in ranking.places:
        placed = ranking.by_place[ranked.id]
        by_verdict.setdefault(placed.judged.verdict, []).append((ranked, placed))
    suitable, measured = by_verdict.get("suitable", []), by_verdict.get("suitable with measures", [])
    rival = likeliest(ranking.places)
    parts = []
    if suitable:
        ranked, placed = suitable[0]
        chance = f", and it is the best place with a chance of {chance_words(ranked.chance_best)}"
        parts.append(
            f"{_name(placed)}: every load is within its allowance{'' if rival is not None else chance}."
        )
        parts += _order_words(ranking)
        if len(suitable) > 1:
            parts.append(f"{_list([_name(each) for _, each in suitable[1:3]])} would do as well.")
        others = [each for ranked, each in measured if rival is None or ranked.id != rival.id]
        parts += [f"{_name(placed)} would do with measures." for placed in others[:1]]
    elif measured:
        _, placed = measured[0]
        parts.append(
            f"No place will do as it stands. {_name(placed)} would do with this done first: "
            f"{_first_measures(opened, placed)}."
        )
        parts += _order_words(ranking)
    if not suitable and not measured:
        parts.append(_nothing(by_verdict.get("undecided", []), len(ranking.places)))
    elif barred := [each for _, each in by_verdict.get("unsuitable", []) if governing_is_bar(each)]:
        parts.append(f"Barred: {'; '.join(_name(each) for each in barred[:MOST_BARRED])}.")
    return " ".join(parts)


def _order_words(ranking: WorkRanking) -> list[str]:
    """Why the first place is not the one that is likeliest to be the best, where it is not."""
    rival = likeliest(ranking.places)
    if rival is None:
        return []
    first = ranking.by_place[ranking.places[0].id]
    placed = ranking.by_place[rival.id]
    if placed.judged.verdict != first.judged.verdict:
        why = (
            "it needs nothing done"
            if first.judged.verdict == "suitable"
            else f"that is {rival.judged.verdict}"
        )
    else:
        why = "its load is the smaller one before anything is done"
    under = " once its measures are taken" if placed.judged.measures else ""
    return [
        f"It comes first because {why}; {_name(placed)} is likelier to be the best, "
        f"with a chance of {chance_words(rival.chance_best)}{under}."
    ]


def _first_measures(opened: OpenSurvey, placed: Placed) -> str:
    return measure_words(opened, placed.judged.measures[0]) if placed.judged.measures else "measures"


def _nothing(undecided: list[tuple[Ranked, Placed]], count: int) -> str:
    if not count:
        return "The survey has no place where a work of this kind could be."
    if not undecided:
        return "No place of the survey will do, with whatever measures."
    _, placed = undecided[0]
    first = placed.judged.would_decide[0] if placed.judged.would_decide else "more evidence"
    return (
        f"Nothing can be decided yet. Nearest to an answer is {_name(placed)}; what would decide: "
        f"{full_stop(lowered(first))}"
    )


def verdict_sentence(ranked: Ranked | None, placed: Placed, opened: OpenSurvey) -> str:
    """The verdict on one place with its reason, and until when."""
    judged = placed.judged
    parts = [f"{judged.wording[0].upper()}{judged.wording[1:]}."]
    if judged.governing is not None:
        load = load_words(placed)
        size = "which bars it" if load == "barred" else f"load {load}"
        parts.append(f"Governed by {hazard_words(judged.governing)} ({size}): {governing_reason(placed)}")
    else:
        parts.append(governing_reason(placed))
    if judged.verdict == "suitable with measures" and judged.measures:
        parts.append(f"It would do with this done first: {_first_measures(opened, placed)}.")
    day = shown_until(placed)
    if day is not None:
        parts.append(f"{sentence_case(until_words(placed, day))}: {full_stop(judged.until_reason)}")
    parts.append(f"The chance that some load passes its allowance is {chance_words(judged.chance_any)}.")
    if ranked is not None and ranked.against_present is not None:
        parts.append(against_present(ranked))
    return " ".join(parts)


def against_present(ranked: Ranked) -> str:
    """Better or worse than where it is now."""
    hazard = ranked.against_present_on
    on = "" if hazard is None else f", on {hazard_words(hazard)}"
    word = {"same": "About as good as", "better": "Better than", "worse": "Worse than"}[
        str(ranked.against_present)
    ]
    under = f", {ranked.against_present_under}" if ranked.against_present_under else ""
    return f"{word} where it is now{on}{under}."


def _name(placed: Placed) -> str:
    return place_name(placed.case.survey, placed.place)


def _list(names: list[str]) -> str:
    return " or ".join(names)

"""Everything that the report says, before it is set: one context for the page and for the PDF."""

from __future__ import annotations

import hashlib
import importlib.metadata
from dataclasses import dataclass, replace

from stillwall.answers import WorkRanking
from stillwall.charts.figures import hazard_words, show_chance
from stillwall.charts.theme import Drawing, wash
from stillwall.opened import ON_PEDESTALS, OpenSurvey
from stillwall.phrases import date_words
from stillwall.record import Channel
from stillwall.reference.sources import CHECKED_WORDS
from stillwall.report.sections import Section, place_section
from stillwall.report.words import (
    SCREENING,
    UNPUBLISHED,
    answer,
    governed_words,
    governing_is_bar,
    load_words,
    place_name,
    ranking_words,
    sentence_case,
    shown_until,
    until_words,
)
from stillwall.survey.survey import Survey
from stillwall.units import System

BARRED = 1e6
DRAWN_FIRST = 5
"""Places that are drawn without being asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RankRow:
    """One line of the ranking."""

    rank: int
    name: str
    anchor: str
    verdict: str
    until: str
    governed: str
    load: str
    size: float
    """By which rows are sorted: the load, beyond all of them for a bar, below all where it is not known."""
    bar: float | None
    wash: str
    best: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceRow:
    """A source, how it was checked, and which limits come from which place in it."""

    title: str
    checked: str
    limits: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InputRow:
    """Files that were read together, each with the hash of its content."""

    summary: str
    files: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceptedRow:
    """A risk that somebody has accepted."""

    what: str
    risk: str
    who: str
    until: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TripStep:
    """One work carried on a trip."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """One trip of the crew."""

    title: str
    bring: str
    steps: tuple[TripStep, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """The chain of moves."""

    sentence: str
    drawing: Drawing | None
    caption: str
    trips: tuple[Trip, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """The report."""

    title: str
    above: str
    title_before: str
    title_name: str
    title_after: str
    answer: str
    ranking: tuple[RankRow, ...]
    ranking_caption: str
    ranking_note: str
    verdicts: tuple[str, ...]
    sections: tuple[Section, ...]
    moves: Moves | None
    accepted: tuple[AcceptedRow, ...]
    method: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[SourceRow, ...]
    inputs: tuple[InputRow, ...]
    particulars: tuple[tuple[str, str], ...]
    version: str
    system: System
    switched: bool = False
    """Whether its texts carry the other system of units too."""


def make_page(
    ranking: WorkRanking,
    *,
    extra: tuple[str, ...] = (),
    moves: Moves | None = None,
    command: str,
    drawn: dict[str, Drawing] | None = None,
) -> Page:
    """The context of the report for one work.

    Parameters
    ----------
    ranking
        Every place for the work.
    extra
        Ids of places to draw besides the first five.
    command
        The command that makes this report again.
    drawn
        Drawings that show the same in all units, remembered from one page to the other.
    """
    opened = ranking.opened
    survey = opened.survey
    kept = {} if drawn is None else drawn
    wanted = [ranked.id for ranked in ranking.places[:DRAWN_FIRST]]
    wanted += [name for name in extra if name in ranking.by_place and name not in wanted]
    by_id = {ranked.id: ranked for ranked in ranking.places}
    anchors = {name: f"place-{by_id[name].rank}" for name in wanted}
    sections = tuple(
        place_section(by_id[name], ranking.by_place[name], opened, anchor=anchors[name], drawn=kept)
        for name in wanted
    )
    shared = _shared_cautions(sections)
    sections = tuple(
        replace(section, cautions=tuple(each for each in section.cautions if each not in shared))
        for section in sections
    )
    rows = tuple(_row(ranking, name, anchors.get(name, "")) for name in by_id)
    return Page(
        title=f"A place for {ranking.work.name}. {survey.head.name}",
        above=_above(opened),
        title_before="Where may ",
        title_name=ranking.work.name,
        title_after=" stand?" if ranking.work.kind in ON_PEDESTALS else " hang?",
        answer=answer(ranking),
        ranking=rows,
        ranking_caption=f"{len(rows)} places, best first",
        ranking_note=ranking_words(ranking.by_place.values()),
        verdicts=tuple(dict.fromkeys(row.verdict for row in rows)),
        sections=sections,
        moves=moves,
        accepted=tuple(_accepted(survey)),
        method=_method(ranking),
        cautions=_cautions(ranking, shared),
        sources=_sources(ranking),
        inputs=_inputs(opened),
        particulars=_particulars(ranking, command),
        version=version(),
        system=opened.system,
    )


def version() -> str:
    """The version of this package."""
    return importlib.metadata.version("stillwall")


def _above(opened: OpenSurvey) -> str:
    return f"{opened.survey.head.name} · judged from {date_words(opened.as_of)}"


def _row(ranking: WorkRanking, name: str, anchor: str) -> RankRow:
    placed = ranking.by_place[name]
    ranked = next(each for each in ranking.places if each.id == name)
    worst = placed.judged.worst
    shown = load_words(placed)
    number = worst if shown not in ("barred", "—") else None
    return RankRow(
        rank=ranked.rank,
        name=place_name(ranking.opened.survey, placed.place),
        anchor=anchor,
        verdict=placed.judged.verdict,
        until="" if (day := shown_until(placed)) is None else until_words(placed, day),
        governed=governed_words(placed),
        load=shown,
        size=BARRED if shown == "barred" else -1.0 if number is None else round(number, 4),
        bar=100.0 if shown == "barred" else _bar(number),
        wash=wash(10.0 if shown == "barred" or number is None else number),
        best=show_chance(ranked.chance_best) if not governing_is_bar(placed) else "—",
    )


def _bar(ratio: float | None) -> float | None:
    """Length of the bar beside a load, as a share of its track: a tenth to ten times, logarithmic. [%]"""
    if ratio is None:
        return None
    from math import log10

    return round(50 * (1 + log10(min(max(ratio, 0.1), 10.0))), 1)


def _accepted(survey: Survey) -> list[AcceptedRow]:
    return [
        AcceptedRow(
            what=f"{survey.works[risk.work].name}, {place_name(survey, survey.places[risk.wall])}",
            risk=f"{hazard_words(risk.hazard)}{': ' + risk.text if risk.text else ''}",
            who=f"{risk.by}, {date_words(risk.on)}",
            until="" if risk.until is None else date_words(risk.until),
        )
        for risk in survey.accepted
        if risk.work in survey.works and risk.wall in survey.places
    ]


def _method(ranking: WorkRanking) -> tuple[str, ...]:
    opened = ranking.opened
    guideline = opened.library.guidelines[ranking.work.guideline or opened.survey.head.guideline]
    stay = ranking.stay
    span = "without an end, judged by the year" if stay.end is None else f"to {date_words(stay.end)}"
    return (
        f"The stay runs from {date_words(stay.start)} {span}. The house's guideline is {guideline.title} "
        f"({guideline.source}).",
        "Each hazard gives one load, exposure over allowance, from joint draws of what is not known "
        "exactly: places that share a logger share its error. A bar shows the central 90 % of the draws. "
        "The largest graded load governs; nothing makes up for anything else. Fit and fixing pass or fail; "
        "falling and fire pass only with the upper end of their interval.",
        "A place is unsuitable where a bar stands or a load passes 1 with a chance of 80 % or more "
        "whatever is done; undecided where deciding evidence is missing; suitable where no load passes 1 "
        "with a chance over 20 %. A short record is never read as a good one: seasons that nobody saw "
        "widen the interval.",
    )


def _shared_cautions(sections: tuple[Section, ...]) -> tuple[str, ...]:
    """Cautions that hold for every place that is drawn, to be said once."""
    if len(sections) < 2:
        return ()
    first, *rest = sections
    return tuple(each for each in first.cautions if all(each in section.cautions for section in rest))


def _cautions(ranking: WorkRanking, shared: tuple[str, ...]) -> tuple[str, ...]:
    problems = [placed.problem for placed in ranking.by_place.values() if placed.problem]
    said = [SCREENING, *shared, *(f"A log could not be used: {problem}" for problem in problems)]
    return tuple(dict.fromkeys(said))


def _sources(ranking: WorkRanking) -> tuple[SourceRow, ...]:
    """Every source of a limit once, those without a document last."""
    library = ranking.opened.library
    cited = {
        (citation, load.hazard)
        for placed in ranking.by_place.values()
        for load in placed.judged.loads
        for citation in load.sources
    }
    found: dict[tuple[bool, str, str], set[str]] = {}
    for citation, hazard in cited:
        source = library.sources.get(citation.key)
        title, checked = source.title if source else citation.key, CHECKED_WORDS[citation.checked]
        limit = f"{hazard_words(hazard)}: {citation.locator}" if citation.locator else hazard_words(hazard)
        found.setdefault((citation.key in UNPUBLISHED, title, checked), set()).add(limit)
    return tuple(
        SourceRow(title=title, checked="" if unpublished else checked, limits=tuple(sorted(limits)))
        for (unpublished, title, checked), limits in sorted(found.items())
    )


def _inputs(opened: OpenSurvey) -> tuple[InputRow, ...]:
    survey = opened.survey
    channels: dict[str, list[Channel]] = {}
    for name in survey.places:
        for channel in opened.site(name).record.channels.values():
            for file in channel.files:
                channels.setdefault(file, []).append(channel)
    together: dict[str, list[str]] = {"The survey": ["survey.toml"]}
    for file in sorted(channels):
        together.setdefault(_summary(channels[file]), []).append(file)
    return tuple(
        InputRow(summary=summary, files=tuple((file, _sha256(survey, file)) for file in files))
        for summary, files in together.items()
    )


def _sha256(survey: Survey, file: str) -> str:
    try:
        return hashlib.sha256((survey.folder / file).read_bytes()).hexdigest()
    except OSError:
        return "could not be read"


def _summary(channels: list[Channel]) -> str:
    roles = sorted({channel.role.replace("_", " ") for channel in channels})
    first = min(channel.times[0] for channel in channels if len(channel.times))
    last = max(channel.times[-1] for channel in channels if len(channel.times))
    days = [date_words(moment.astype("datetime64[D]").item()) for moment in (first, last)]
    return f"{sentence_case(', '.join(roles))}, {' to '.join(days)}"


def _particulars(ranking: WorkRanking, command: str) -> tuple[tuple[str, str], ...]:
    opened = ranking.opened
    head = opened.survey.head
    surveyed = " ".join(
        part
        for part in (
            "" if head.surveyed_on is None else date_words(head.surveyed_on),
            f"by {head.surveyed_by}" if head.surveyed_by else "",
        )
        if part
    )
    pairs = [
        (
            "Work",
            f"{ranking.work.name} ({ranking.work.id}), {opened.library.media[ranking.work.medium].title}",
        ),
        ("Surveyed", surveyed or "not said"),
        ("Judged from", date_words(opened.as_of)),
        ("Seed of the draws", f"{opened.draws.seed}, {opened.draws.count} draws"),
        ("Made by", f"stillwall {version()}"),
        ("To repeat", command),
    ]
    return tuple(pairs)

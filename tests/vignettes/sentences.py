"""What is wrong with a sentence that a person is to read: the rules, and all sentences of an answer."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from stillwall.load import Load
from stillwall.survey.survey import Survey

FIGURES = ("no number", "a power of ten", "blanks", "plain letters for a unit")
"""What may be wrong with a figure that stands in no sentence."""
OTHER_UNITS = {
    "us": re.compile(r"\d (?:mm|cm|m|kg|N|J|K|°C|mm/s)(?![\w/²])"),
    "si": re.compile(r"\d (?:ft|in|lb|lbf|ft-lb|°F|in/s)\b"),
}
"""A figure in a unit that readers of the other system use."""
ONE_OF_MANY = re.compile(
    r"(?<![\d.,])1 (?:[a-z-]+ )?(?:years|months|weeks|days|hours|evenings|times|marks|contacts|fixings|fires|"
    r"readings|knocks|breaths|degrees)\b"
)
FAULTS = {
    "no number": re.compile(r"\b(?:nan|inf|None|True|False)\b|-0(?:\.0+)?(?![\d.])"),
    "a power of ten": re.compile(r"\d[eE][+-]?\d"),
    "blanks": re.compile(r"  |^ | $| [.,;:?]|\( | \)"),
    "stops": re.compile(r"\.\.|\?\.|;\.|,\.|\.;"),
    "a percent sign without a blank": re.compile(r"\d%"),
    "plain letters for a unit": re.compile(r"uW|W/m2|\bm2\b"),
    "a word of the survey's file": re.compile(r"(?!\bwindowless\b)\b[a-z]+_[a-z_]+\b"),
    "an amount of nothing": re.compile(
        r"\b(?<![\d.,])0 (?:times|hours|days|marks|contacts|evenings|fires)\b"
    ),
}


def sentences(loads: Iterable[Load]) -> Iterator[tuple[str, str]]:
    """Every sentence of some loads, with where it stands."""
    for load in loads:
        yield f"{load.hazard}: reason", load.reason
        for kind in ("missing", "notes", "cautions"):
            for text in getattr(load, kind):
                yield f"{load.hazard}: {kind}", text


def told_ids(survey: Survey) -> re.Pattern[str]:
    """The ids of a survey that are no names: what nobody should read in a sentence."""
    named = [*survey.buildings.values(), *survey.rooms.values(), *survey.places.values()]
    ids = {item.id for item in named if (item.name or item.id) != item.id}
    ids |= {work.id for work in survey.works.values() if work.name != work.id}
    ids |= {*survey.openings, *survey.heat_sources, *survey.lamps, *survey.routes}
    names = " ".join([*(item.name for item in named), *(work.name for work in survey.works.values())])
    spoken = {name for name in ids if re.search(rf"\b{re.escape(name)}\b", names, re.IGNORECASE)}
    return re.compile(
        "|".join(rf"(?<![\w-]){re.escape(name)}(?![\w-])" for name in sorted(ids - spoken)) or "$^"
    )


def faults_of_figures(text: str, system: str) -> list[str]:
    """What is wrong with the figures of a table's cell."""
    found = [what for what in FIGURES if FAULTS[what].search(text)]
    return [*found, "a unit of the other system"] if OTHER_UNITS[system].search(text) else found


def faults_of(text: str, system: str, ids: re.Pattern[str]) -> list[str]:
    """What is wrong with a sentence, in a few words each."""
    found = [what for what, pattern in FAULTS.items() if pattern.search(text)]
    if OTHER_UNITS[system].search(text):
        found.append("a unit of the other system")
    if ONE_OF_MANY.search(text):
        found.append("one of many")
    if ids.search(text):
        found.append("an id")
    if not (text[:1].isupper() or text[:1].isdigit()):
        found.append("no capital")
    if not text.endswith((".", "?")):
        found.append("no stop")
    return found

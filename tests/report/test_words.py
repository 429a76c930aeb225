"""Words of the report: what is shared is said once."""

from __future__ import annotations

from pathlib import Path

from stillwall.assess import open_survey
from stillwall.phrases import lowered
from stillwall.report.words import choice_words, said_once

SAMPLE = Path(__file__).parents[2] / "sample_logs"


def test_a_caution_within_another_is_not_said_again() -> None:
    told = (
        "Weigh it, and have the fixing designed by someone qualified; figures only say when to ask.",
        "Have the fixing designed by someone qualified.",
        "Nobody lifts it by its ornament.",
        "Nobody lifts it by its ornament",
    )
    assert said_once(told) == (told[0], told[3])


def test_what_every_set_of_measures_asks_for_is_said_once() -> None:
    opened = open_survey(SAMPLE, remember=False)
    first, second, third = sorted(opened.library.measures)[:3]
    words = {name: opened.library.measures[name].words("us") for name in (first, second, third)}
    shared, each = choice_words(opened, [(first, second), (first, third)])
    assert (shared, each) == (words[first], (words[second], words[third]))
    alone = choice_words(opened, [(first, second)])
    assert alone == ("", (f"{words[first]} and {words[second]}",))
    nothing = choice_words(opened, [(first,), (second,)])
    assert nothing == ("", (words[first], words[second]))
    within = choice_words(opened, [(first,), (first, second)])
    assert within[0] == "", "no set may be left without a measure"
    assert choice_words(opened, []) == ("", ())


def test_measures_are_said_in_the_readers_units() -> None:
    measures = open_survey(SAMPLE, remember=False).library.measures.values()
    edge = next(measure for measure in measures if "bottom edge at" in measure.title)
    assert edge.words("si").endswith("bottom edge at 1.30 m")
    # 1.30 m = 51.18 in, by the international yard of 0.9144 m.
    assert edge.words("us").endswith("bottom edge at 4 ft 3 in")
    assert lowered("LEDs in the lamps") == "LEDs in the lamps"
    assert lowered("A rope") == "a rope"

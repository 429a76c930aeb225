from stillwall.judgement.sensitivity import flips, turns
from stillwall.judgement.verdict import judge
from stillwall.reference.sources import Figure
from tests.judgement.synthetic import CITATION, World, library, load


def turned(loads):
    world = World({"north": tuple(loads)})
    case = world.case("north")
    return turns(case, judge(case, tuple(loads), evaluate=world.evaluate), evaluate=world.evaluate)


def test_a_class_that_might_be_stricter_is_named():
    (turn,) = turned([load("light_dose", 0.6, 1.1, span=(0.2, 1.9)), load("humidity", 0.4)])
    assert (turn.hazard, turn.ratio, turn.verdict) == ("light_dose", 1.9, "unsuitable")
    assert "light dose" in turn.line
    assert "'unsuitable'" in turn.line


def test_an_assumed_fact_that_straddles_the_limit_turns_the_answer_both_ways():
    found = turned([load("bump", 1.0, 2.0, evidence="assumed", missing=("how many people a day?",))])
    assert [turn.verdict for turn in found] == ["suitable", "unsuitable"]
    assert all("how many people a day" in turn.line for turn in found)


def test_what_cannot_turn_the_answer_is_not_listed():
    assert turned([load("humidity", 0.3, span=(0.2, 0.5)), load("bump", 0.2, 2.0, evidence="assumed")]) == ()


def test_a_fact_that_is_drowned_by_another_load_turns_nothing():
    assert turned([load("light_dose", 0.6, 1.1, span=(0.2, 1.9)), load("humidity", 4.0)]) == ()


def test_a_judged_figure_that_would_put_another_wall_first_is_named():
    figure = Figure(value=1.0, low=0.5, high=2.0, unit="1", source=CITATION)

    class Scaled(World):
        def evaluate(self, case, hazard):
            stated = super().evaluate(case, hazard)
            scale = case.library.figures["bump.rate"].value if hazard == "bump" else 1.0
            return load(hazard, draws=stated.draws * scale)

    walls = {"a": (load("bump", 0.5, 1.01),), "b": (load("humidity", 0.7, 1.01),)}
    world = Scaled(walls, library(more={"bump.rate": figure}))
    cases = {name: world.case(name) for name in walls}
    judged = {name: judge(cases[name], walls[name], evaluate=world.evaluate) for name in walls}
    (flip,) = flips(
        cases,
        judged,
        first="a",
        order=lambda each: min(each, key=lambda name: each[name].worst),
        evaluate=world.evaluate,
    )
    assert (flip.figure, flip.value, flip.first) == ("bump.rate", 2.0, "b")
    assert flip.line == "with bump.rate at 2, b would come first"

"""What documents say of a place: until when, and the chance of being best."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from stillwall.answers import Placed, Vetting
from stillwall.documents import vet_document
from stillwall.judgement.ranking import rank
from stillwall.judgement.verdict import judge
from tests.judgement.synthetic import COUNT, World, library, load

DAY = date(2026, 9, 1)


def vetted(*loads):
    """The document of a place whose light runs out on a day."""
    world = World({"north": loads}, library())
    case = world.case("north")
    judged = replace(judge(case, loads, evaluate=world.evaluate), until=DAY, until_reason="light runs out")
    (ranked,) = rank({"north": judged}, world.library)
    placed = Placed(case.work, case.site.place, case, judged)
    return vet_document(Vetting(placed, ranked, case.stay, None, None))


def sure(hazard, ratio, **facts):
    return load(hazard, draws=np.full(COUNT, ratio), **facts)


@pytest.mark.parametrize(
    ("loads", "verdict", "until"),
    [
        ((sure("light_dose", 0.9),), "suitable", "2026-09-01"),
        ((load("light_dose", 1.0, 2.0),), "undecided", "2026-09-01"),
        # A work that should not come in the first place need not go by a day.
        ((sure("light_dose", 3.0),), "unsuitable", None),
        ((sure("light_dose", 0.9), sure("doorway", 0.1, barred=True)), "unsuitable", None),
    ],
)
def test_until_is_told_where_the_work_may_come(loads, verdict, until):
    made = vetted(*loads)
    assert (made["verdict"], made["until"]) == (verdict, until)


def test_figures_are_finite_or_null():
    made = vetted(sure("light_dose", 0.5), load("humidity", None, deciding=True))
    by_hazard = {each["hazard"]: each for each in made["loads"]}
    assert (by_hazard["humidity"]["ratio"], by_hazard["humidity"]["chance_over"]) == (None, None)
    assert by_hazard["light_dose"]["ratio"] == 0.5
    assert made["chance_best"] == 0.0

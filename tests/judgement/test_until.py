from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from stillwall.case import Stay
from stillwall.judgement.until import until
from stillwall.survey.places import Wall
from stillwall.survey.works import LenderLimits, Work
from stillwall.units import Amount
from tests.judgement.synthetic import COUNT, World, load

START = date(2026, 3, 1)


class Dosed(World):
    """A work that takes ``per_day`` units of light a day, of an allowance of 365 a year."""

    per_day = 1.0

    def evaluate(self, case, hazard):
        days = case.stay.days
        allowance = 365.0 if days <= 366 else 365.0 * days / 365.25
        dose = self.per_day * days
        return load(
            hazard,
            draws=np.full(COUNT, dose / allowance),
            accrues=True,
            exposure=Amount(dose, "lx h"),
            allowance=Amount(allowance, "lx h"),
        )


def ends(per_day, stay, **facts):
    world = Dosed({"north": ()}, stay=stay, **facts)
    world.per_day = per_day
    case = world.case("north")
    return until(case, (world.evaluate(case, "light_dose"),), world.evaluate)


def test_what_adds_up_runs_out_when_it_reaches_the_allowance():
    end = ends(2.0, Stay(START))
    assert end.day == START + timedelta(days=182)
    assert "light dose" in end.reason


def test_what_stays_within_the_year_never_runs_out():
    assert ends(0.9, Stay(START)) is None


@pytest.mark.parametrize("days", [60, 120, 300])
def test_a_short_stay_may_go_on_until_the_year_s_allowance_is_taken(days):
    # Three a day reach 365 on the 122nd day, whatever stay was asked for.
    assert ends(3.0, Stay(START, START + timedelta(days=days))).day == START + timedelta(days=121)


def test_pro_rata_allowance_is_that_of_the_stated_stay():
    # Contacts: allowance and exposure both grow with the stay, at a rate twice too high.
    class Knocked(World):
        def evaluate(self, case, hazard):
            years = case.stay.days / 365.0
            return load(
                hazard,
                draws=np.full(COUNT, 2.0),
                accrues=True,
                exposure=Amount(0.1 * years, "contacts"),
                allowance=Amount(0.05 * years, "contacts"),
            )

    world = Knocked({"north": ()}, stay=Stay(START, START + timedelta(days=100)))
    case = world.case("north")
    end = until(case, (world.evaluate(case, "bump"),), world.evaluate)
    assert end.day == START + timedelta(days=50)


def test_a_load_that_does_not_add_up_has_no_end():
    world = World({"north": (load("humidity", 3.0),)})
    case = world.case("north")
    assert until(case, world.loads["north"], world.evaluate) is None


@pytest.mark.parametrize(
    ("facts", "day", "word"),
    [
        ({"lender": LenderLimits(weeks=10)}, START + timedelta(days=70), "lender"),
        ({"on_show_months": 4, "rest_months": 20}, START + timedelta(days=121), "rests for 20 months"),
        ({"leaves": date(2026, 9, 1)}, date(2026, 9, 1), "leaves"),
    ],
)
def test_facts_of_the_work_set_an_end(facts, day, word):
    work = replace(Work(id="ferns", kind="painting_canvas", medium="oil"), **facts)
    end = ends(0.5, Stay(START), work=work)
    assert end.day == day
    assert word in end.reason


def test_a_wall_that_is_free_for_a_time_sets_an_end_and_the_earliest_counts():
    wall = Wall(id="north", room="hall", free_until=date(2026, 6, 1))
    assert ends(0.5, Stay(START), walls={"north": wall}).day == date(2026, 6, 1)
    assert ends(20.0, Stay(START), walls={"north": wall}).day < date(2026, 6, 1)
    assert ends(0.5, Stay(START, date(2026, 5, 1)), walls={"north": wall}) is None

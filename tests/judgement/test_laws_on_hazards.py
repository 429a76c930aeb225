"""Laws that hold whatever the figures are, on every hazard that there is."""

from datetime import date
from functools import lru_cache, partial

import numpy as np
import pytest

from stillwall.case import Stay
from stillwall.hazards import loads
from stillwall.judgement.ranking import rank
from stillwall.judgement.verdict import VERDICTS, judge
from tests.judgement import larkmoor

WORKS = ("lime-avenue", "pressed-ferns", "seed-merchant")
PLACES = ("over-mantel", "dining-west", "passage-south", "passage-end")
CELLS = [(work, place) for work in WORKS for place in PLACES]
DECIDED_FOR = ("suitable", "suitable with measures")


@lru_cache
def house():
    return larkmoor.survey()


def loads_of(surveyed, work, place, **options):
    return {load.hazard: load for load in loads(larkmoor.case(surveyed, work, place, **options))}


@lru_cache
def ordinary(work, place):
    return loads_of(house(), work, place)


def assert_same(one, other, *, rel=0.0):
    assert one.keys() == other.keys()
    for hazard, load in one.items():
        theirs = other[hazard]
        assert (load.barred, load.evidence, load.deciding) == (
            theirs.barred,
            theirs.evidence,
            theirs.deciding,
        )
        assert (load.draws is None) == (theirs.draws is None), hazard
        if load.draws is not None:
            np.testing.assert_allclose(load.draws, theirs.draws, rtol=rel, atol=0.0, err_msg=hazard)


@pytest.mark.parametrize(("work", "place"), CELLS)
def test_draws_are_numbers_and_reasons_are_given(work, place):
    for hazard, load in ordinary(work, place).items():
        assert load.reason.strip(), hazard
        if load.draws is not None:
            assert load.draws.shape == (larkmoor.COUNT,)
            assert np.all(load.draws >= 0), hazard
            assert np.all(np.isfinite(load.draws)), hazard


# -- raising an exposure -------------------------------------------------------------------------


def heavier(written):
    # To what hangs from as many fixings: practice gives a work of more than 12 kg another.
    for mass, more in (("3 kg", "5 kg"), ("9 kg", "12 kg")):
        written = written.replace(f'mass = "{mass}"', f'mass = "{more}"')
    return written


def larger(written):
    for size in ("0.9 m x 1.1 m", "0.5 m x 0.4 m", "0.8 m x 0.6 m"):
        more = " x ".join(f"{float(side.split()[0]) * 1.3:.3f} m" for side in size.split(" x "))
        written = written.replace(f'framed = "{size}"', f'framed = "{more}"')
    return written


RAISED_FACTS = {
    "more people": (
        lambda text: text.replace("people_per_day = 60", "people_per_day = 180").replace(
            "people_per_day = 150", "people_per_day = 450"
        ),
        ("bump",),
    ),
    "a heavier work": (heavier, ("fixing",)),
    "a larger work": (larger, ("fit",)),
    "more fires": (lambda text: text.replace("fires_per_year = 60", "fires_per_year = 150"), ("hearth",)),
    "a narrower passage": (
        lambda text: text.replace('clear_width = "1.6 m"', 'clear_width = "1.2 m"'),
        ("bump",),
    ),
    "more marks seen": (lambda text: text.replace("marks_last_year = 1", "marks_last_year = 6"), ("bump",)),
    "lamps that burn longer": (
        lambda text: text.replace('hours_per_day = "10 h"', 'hours_per_day = "16 h"'),
        ("ultraviolet",),
    ),
}


@pytest.mark.parametrize("name", RAISED_FACTS)
def test_raising_an_exposure_by_a_fact_never_lowers_its_load(name):
    change, raised = RAISED_FACTS[name]
    changed = larkmoor.survey(change(larkmoor.text()))
    for work, place in CELLS:
        before, after = ordinary(work, place), loads_of(changed, work, place)
        for hazard in raised:
            if hazard in before and before[hazard].draws is not None:
                assert after[hazard].ratio >= before[hazard].ratio - 1e-9, (work, place, hazard)
                assert after[hazard].high >= before[hazard].high - 1e-9, (work, place, hazard)
                assert after[hazard].barred >= before[hazard].barred


RAISED_RECORDS = {
    "brighter": ({"light": 1.6}, ("light_dose",)),
    "wider swings": ({"swing": 1.6}, ("humidity", "humidity_swing", "temperature")),
    "damper": ({"damp": 22.0}, ("mould", "wall_climate")),
}


@pytest.mark.parametrize("name", RAISED_RECORDS)
def test_raising_an_exposure_in_the_log_never_lowers_its_load(name):
    change, raised = RAISED_RECORDS[name]
    for work, place in CELLS:
        home = larkmoor.survey().works[work].now_at

        def records(where, place=place, home=home):
            # The history stays as it was; only the candidate place is another.
            changes = {} if where == home and place != home else change
            return larkmoor.record(where, **changes)

        before, after = ordinary(work, place), loads_of(house(), work, place, records=records)
        for hazard in raised:
            if hazard in before and place != home:
                assert after[hazard].ratio >= before[hazard].ratio - 1e-9, (work, place, hazard)


# -- what must not matter ------------------------------------------------------------------------


def test_adding_a_wall_changes_no_digit_of_the_others():
    another = larkmoor.WALLS[3].replace('"passage-end"', '"passage-north"').replace('"east"', '"north"')
    more = larkmoor.survey(larkmoor.text(walls=[another, *larkmoor.WALLS]))
    for work, place in CELLS:
        assert_same(ordinary(work, place), loads_of(more, work, place))


def test_adding_a_work_that_hangs_elsewhere_changes_no_digit_of_the_others():
    another = larkmoor.WORKS[2].replace('"seed-merchant"', '"two-gardeners"')
    more = larkmoor.survey(larkmoor.text(works=[another, *larkmoor.WORKS]))
    for work, place in CELLS:
        assert_same(ordinary(work, place), loads_of(more, work, place))


def test_the_order_of_rows_never_matters():
    turned = larkmoor.survey(
        larkmoor.text(
            larkmoor.ROOMS[::-1], larkmoor.WALLS[::-1], larkmoor.FEATURES[::-1], larkmoor.WORKS[::-1]
        )
    )
    for work, place in CELLS:
        assert_same(ordinary(work, place), loads_of(turned, work, place), rel=1e-12)


def test_units_never_matter():
    written = larkmoor.text()
    for si, us in (
        ('"3.4 m x 8 m x 6 m"', '"3.4 m x 800 cm x 6000 mm"'),
        ('clear_width = "1.6 m"', 'clear_width = "62.992125984251963 in"'),
        ('span = "3 m"', 'span = "9.842519685039370 ft"'),
        ('mass = "12 kg"', 'mass = "26.455471462185308 lb"'),
        ('power = "6 kW"', 'power = "6000 W"'),
    ):
        assert si in written
        written = written.replace(si, us)
    other = larkmoor.survey(written)
    for work, place in CELLS:
        assert_same(ordinary(work, place), loads_of(other, work, place), rel=1e-9)


# -- leaving out facts ---------------------------------------------------------------------------

FIXED = (
    "id",
    "room",
    "building",
    "kind",
    "medium",
    "name",
    "used",
    "wall",
    "side",
    "now_at",
    "latitude",
    "longitude",
)


def facts_that_may_be_missing():
    lines = larkmoor.text().splitlines()
    for number, line in enumerate(lines):
        key = line.split(" = ")[0]
        if " = " in line and key not in FIXED:
            yield number, line


OMISSIONS = list(facts_that_may_be_missing())


@pytest.mark.parametrize(
    ("number", "line"), OMISSIONS, ids=[f"{n}-{line.split(' =')[0]}" for n, line in OMISSIONS]
)
def test_leaving_out_a_fact_never_improves_a_verdict(number, line):
    lines = larkmoor.text().splitlines()
    without = larkmoor.survey("\n".join([*lines[:number], *lines[number + 1 :]]))
    for work, place in (
        ("lime-avenue", "passage-south"),
        ("seed-merchant", "dining-west"),
        ("pressed-ferns", "over-mantel"),
    ):
        before, after = verdict_of(house(), work, place), verdict_of(without, work, place)
        if after in DECIDED_FOR:
            assert VERDICTS.index(after) >= VERDICTS.index(before), (work, place)


def verdict_of(surveyed, work, place, **options):
    case = larkmoor.case(surveyed, work, place, **options)
    return judge(case, loads(case), only_verdict=True).verdict


@pytest.mark.parametrize("role", ["temperature", "humidity", "light"])
def test_leaving_out_a_log_never_improves_a_verdict(role):
    def records(where, role=role):
        whole = larkmoor.record(where)
        kept = {name: channel for name, channel in whole.channels.items() if name != role}
        return type(whole)(place=where, channels=kept, zone=whole.zone)

    for work, place in CELLS:
        before, after = verdict_of(house(), work, place), verdict_of(house(), work, place, records=records)
        if after in DECIDED_FOR:
            assert VERDICTS.index(after) >= VERDICTS.index(before), (work, place)


# -- time and evidence ---------------------------------------------------------------------------


def test_a_longer_stay_never_lowers_what_adds_up():
    ends = [date(2026, 2, 1), date(2026, 4, 15), date(2026, 9, 1), date(2027, 1, 1), date(2028, 6, 1)]
    for work, place in CELLS:
        before = {}
        for end in ends:
            found = loads_of(house(), work, place, stay=Stay(larkmoor.START, end))
            for hazard, load in found.items():
                if load.accrues and load.exposure is not None:
                    assert load.exposure.value >= before.get(hazard, 0.0) - 1e-9, (work, place, hazard, end)
                    before[hazard] = load.exposure.value


LOGGED = ["humidity", "humidity_swing", "temperature", "light_dose", "ageing"]


@pytest.mark.parametrize("hazard", LOGGED)
@pytest.mark.parametrize("years", [0.2, 0.5])
def test_a_year_never_leaves_more_open_than_a_part_of_it(hazard, years):
    for work, place in CELLS:
        part = loads_of(house(), work, place, records=partial(larkmoor.record, years=years)).get(hazard)
        whole = ordinary(work, place).get(hazard)
        if whole is not None and part is not None and part.draws is not None:
            # A dose is known to a share of itself, a level to so many points.
            scale = whole.ratio / part.ratio if hazard == "light_dose" else 1.0
            assert whole.high - whole.low <= (part.high - part.low) * scale, (work, place)


FED_BY_LOGS = [*LOGGED, "ultraviolet", "viewing", "sunlight"]


@pytest.mark.parametrize("hazard", FED_BY_LOGS)
def test_a_second_year_in_agreement_never_widens_an_interval(hazard):
    # Relative to the ratio, and to 2 %: a second year of 8,760 h is not the same to the hour.
    tried = 0
    for work, place in CELLS:
        one = ordinary(work, place).get(hazard)
        if one is not None and one.draws is not None and one.ratio > 0:
            two = loads_of(house(), work, place, records=partial(larkmoor.record, years=2.0))[hazard]
            assert (two.high - two.low) / two.ratio <= (one.high - one.low) / one.ratio * 1.02, (work, place)
            tried += 1
    assert tried > 0


# -- the whole -----------------------------------------------------------------------------------


def test_a_real_ranking_is_complete_and_in_order():
    judged = {}
    for place in PLACES:
        case = larkmoor.case(house(), "lime-avenue", place)
        judged[place] = judge(case, loads(case))
    ranked = rank(judged, larkmoor.library(), present=dict.fromkeys(PLACES, judged["dining-west"]))
    assert [each.rank for each in ranked] == [1, 2, 3, 4]
    assert next(each for each in ranked if each.id == "dining-west").against_present == "same"

"""Laws of measures, on every hazard that there is."""

from functools import lru_cache
from itertools import combinations

import numpy as np
import pytest

from stillwall.hazards import hazards, loads
from stillwall.judgement.chance import Thresholds, chance_over, passes
from stillwall.judgement.facts import NEEDS
from stillwall.judgement.measures import Responses, admissible
from stillwall.judgement.verdict import judge, one_hazard
from tests.judgement import larkmoor
from tests.judgement.test_laws_on_hazards import CELLS, assert_same, house


def test_every_need_of_a_measure_is_a_fact_that_can_be_read():
    needs = {need for measure in larkmoor.library().measures.values() for need in measure.needs}
    assert needs <= set(NEEDS)


def test_every_effect_of_a_measure_is_on_a_hazard_that_there_is():
    named = {effect.hazard for each in larkmoor.library().measures.values() for effect in each.effects}
    assert named <= set(hazards())


@lru_cache
def responses(work, place):
    case = larkmoor.case(house(), work, place)
    return Responses.of(case, loads(case), one_hazard)


def test_a_measure_never_raises_the_load_that_it_is_for():
    """A graded load that a measure lowers for some work at some place, it raises for none."""
    ways = {}
    for cell in CELLS:
        seen = responses(*cell)
        for hazard, names in seen.relevant.items():
            for name in names:
                before, after = seen.load(hazard, frozenset()), seen.load(hazard, frozenset({name}))
                if before.kind != "graded" or before.draws is None:
                    continue
                if after is not None and after.draws is not None:
                    step = after.draws - before.draws
                    way = "helps" if np.all(step <= 1e-9) else "hurts" if np.all(step >= -1e-9) else "either"
                    if np.any(np.abs(step) > 1e-9) or way == "either":
                        ways.setdefault((hazard, name), set()).add(way)
    assert {key: way for key, way in ways.items() if "helps" in way and way != {"helps"}} == {}
    helpful = {name for (_, name), way in ways.items() if "helps" in way}
    assert len(helpful) > 20


@pytest.mark.parametrize(("work", "place"), CELLS)
def test_a_hazard_answers_to_its_own_measures_only(work, place):
    seen = responses(work, place)
    case = seen.case
    for load in seen.loads:
        others = frozenset(seen.measures) - seen.relevant[load.hazard]
        again = one_hazard(case.with_measures(others), load.hazard)
        assert_same({load.hazard: load}, {load.hazard: again})


@pytest.mark.parametrize(("work", "place"), CELLS)
def test_what_lowers_a_load_never_makes_it_likelier_to_be_too_much_beside_another_measure(work, place):
    """What the search for sets of measures rests on."""
    seen = responses(work, place)
    for hazard, names in seen.relevant.items():
        for name in sorted(names):
            direction = seen.direction(hazard, name)
            for other in sorted(names - {name} - seen.conflicts[name]):
                alone, both = (
                    seen.load(hazard, frozenset({other})),
                    seen.load(hazard, frozenset({name, other})),
                )
                if direction != "unclear" and alone is not None and both is not None:
                    step = chance_over(both) - chance_over(alone)
                    assert (step if direction == "helps" else -step) <= 0.0, (hazard, name, other)


@pytest.mark.parametrize(("work", "place"), CELLS)
def test_sets_of_up_to_two_measures_are_those_found_by_trying_all(work, place):
    seen = responses(work, place)
    thresholds = Thresholds.of(larkmoor.library())
    stated = judge(seen.case, seen.loads)
    good = []
    for size in (1, 2):
        for chosen in combinations(sorted(seen.measures), size):
            if any(set(smaller) <= set(chosen) for smaller in good):
                continue
            if seen.consistent(frozenset(chosen)) and all(
                passes(load, thresholds) for load in seen.under(frozenset(chosen))
            ):
                good.append(chosen)
    if stated.blocked or stated.verdict == "suitable":
        assert stated.measures == ()
    elif good:
        assert set(stated.measures) <= set(good) or len(good) < 5
        assert stated.measures[0] in good
    else:
        assert all(len(chosen) > 2 for chosen in stated.measures)


@pytest.mark.parametrize(("work", "place"), CELLS)
def test_what_effects_tell_of_a_measure_is_what_it_does_alone_and_beside_others(work, place):
    """More light for seeing helps although its factor is above 1; a factor of either side tells nothing."""
    seen = responses(work, place)
    tried = 0
    for hazard, names in seen.relevant.items():
        for name in sorted(names):
            told = seen.known.get((hazard, name), "unclear")
            if told == "unclear":
                continue
            for other in [None, *sorted(names - {name} - seen.conflicts[name])]:
                beside = frozenset(() if other is None else (other,))
                without, under = seen.load(hazard, beside), seen.load(hazard, beside | {name})
                if without is None or under is None or without.draws is None or under.draws is None:
                    continue
                step = under.draws - without.draws
                assert np.all((step if told == "helps" else -step) <= 1e-9), (hazard, name, other, told)
                tried += 1
    assert tried > 20


def test_less_light_never_helps_seeing():
    seen = responses("lime-avenue", "dining-west")
    assert seen.expected("viewing", "dim-lamps") == "hurts"
    assert seen.expected("light_dose", "dim-lamps") == "helps"
    assert seen.expected("viewing", "add-picture-light") == "helps"
    assert seen.expected("temperature", "lower-heating") == "unclear"


def test_measures_that_a_wall_rules_out_are_not_offered():
    ruled = larkmoor.WALLS[1] + 'measures_ruled_out = ["uv-film", "shorter-lamp-hours"]\n'
    walls = [larkmoor.WALLS[0], ruled, *larkmoor.WALLS[2:]]
    case = larkmoor.case(larkmoor.survey(larkmoor.text(walls=walls)), "lime-avenue", "dining-west")
    offered = set(admissible(case))
    everything = set(admissible(larkmoor.case(house(), "lime-avenue", "dining-west")))
    assert everything - offered == {"uv-film", "shorter-lamp-hours"}


def test_full_and_quick_verdicts_agree_and_measures_do_what_they_promise():
    directions = {}
    for work, place in CELLS:
        case = larkmoor.case(house(), work, place)
        found = loads(case)
        full, quick = judge(case, found), judge(case, found, only_verdict=True, directions=directions)
        assert (full.verdict, full.governing, full.barred) == (quick.verdict, quick.governing, quick.barred)
        for chosen in full.measures:
            under = case.with_measures(frozenset(chosen))
            assert judge(under, loads(under), only_verdict=True).verdict == "suitable"

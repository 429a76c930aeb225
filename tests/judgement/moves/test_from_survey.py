from dataclasses import replace
from datetime import date
from functools import lru_cache

import numpy as np
import pytest

from stillwall.case import Stay
from stillwall.errors import SurveyError
from stillwall.judgement.moves.climates import place_climate
from stillwall.judgement.moves.crew import CrewRules, crew_sheet
from stillwall.judgement.moves.from_survey import moves_problem
from stillwall.judgement.moves.plan import plan
from stillwall.judgement.verdict import Judged
from stillwall.record import Channel, Record
from stillwall.reference.library import load_library
from stillwall.survey.read import read_survey
from tests.judgement.moves.houses import simulate
from tests.judgement.synthetic import load

START = date(2026, 3, 2)

SURVEY = """
[survey]
name = "Larkmoor Botanical Society"

[[building]]
id = "orangery"
closed_on = ["mon"]
[[building]]
id = "reading-house"
[[building]]
id = "seed-hall"

[[room]]
id = "gallery"
building = "orangery"
floor = 0
[[room]]
id = "stair"
building = "reading-house"
floor = 1
[[room]]
id = "hall"
building = "seed-hall"
floor = 0
[[room]]
id = "attic"
building = "seed-hall"
floor = 2

[[wall]]
id = "end-wall"
room = "gallery"
span = "1.60 m"
[[wall]]
id = "landing"
room = "stair"
span = "1.30 m"
[[wall]]
id = "dais"
room = "hall"
span = "1.30 m"
[[wall]]
id = "lobby"
room = "hall"
span = "1.10 m"

[[place]]
id = "store"
building = "seed-hall"
span = "4 m"
height = "2.5 m"

[[work]]
id = "ferns"
title = "Ferns at Dusk"
kind = "painting_canvas"
medium = "oil-on-canvas"
framed = "1.8 m x 1.5 m"
mass = "45 kg"
frame = "composition"
arrives = 2026-03-04
[[work]]
id = "lime-avenue"
kind = "painting_canvas"
medium = "oil-on-canvas"
framed = "0.9 m x 1.2 m"
mass = "18 kg"
frame = "plain_wood"
now_at = "end-wall"
[[work]]
id = "seed-merchant"
kind = "painting_canvas"
medium = "oil-on-canvas"
framed = "0.7 m x 0.9 m"
mass = "8 kg"
mass_known = "weighed"
frame = "plain_wood"
now_at = "dais"
[[work]]
id = "two-gardeners"
kind = "painting_canvas"
medium = "oil-on-canvas"
framed = "0.8 m x 1.0 m"
mass = "14 kg"
frame = "gilded_gesso"
now_at = "lobby"
"""

LOADS = {
    "ferns": {"end-wall": 0.6, "dais": None, "landing": None, "lobby": None},
    "lime-avenue": {"end-wall": 0.5, "landing": 1.2, "dais": 0.4, "lobby": None},
    "seed-merchant": {"end-wall": 0.4, "landing": 0.9, "dais": 0.5, "lobby": 0.6},
    "two-gardeners": {"end-wall": 0.7, "landing": 1.4, "dais": 0.9, "lobby": 0.8},
}


@lru_cache
def library():
    return load_library()


def survey(tmp_path, text=SURVEY):
    (tmp_path / "survey.toml").write_text(text, "utf-8")
    return read_survey(tmp_path)


def verdict(work, place, ratio=0.5, verdict="suitable", **facts):
    loads = facts.pop("loads", (load("humidity", ratio, 1.2),))
    return Judged(
        **{
            "work": work,
            "place": place,
            "stay": Stay(START),
            "verdict": verdict,
            "governing": "humidity",
            "worst": ratio,
            "chance_any": 0.1,
            "measures": (),
            "would_decide": (),
            "cautions": (),
            "until": None,
            "until_reason": "",
            "barred": False,
            "blocked": False,
            "loads": loads,
            "loads_with_measures": loads,
            **facts,
        }
    )


def judged(changes=None):
    cells = {}
    for work, row in LOADS.items():
        for place, ratio in row.items():
            if ratio is None:
                cells[work, place] = verdict(work, place, 2.0, "unsuitable", barred=True)
            else:
                cells[work, place] = verdict(work, place, ratio, "unsuitable" if ratio > 1 else "suitable")
    return {**cells, **(changes or {})}


def stated(tmp_path, changes=None, text=SURVEY, **options):
    return moves_problem(survey(tmp_path, text), library(), judged(changes), start=START, **options)


def test_the_worked_chain_from_a_survey(tmp_path):
    problem = stated(tmp_path, tolerance=0.0)
    made = plan(problem, CrewRules.of(library()))
    assert made.objective.worst == pytest.approx(0.9)
    assert [(step.work, step.end) for step in made.steps] == [
        ("seed-merchant", "landing"),
        ("lime-avenue", "dais"),
        ("ferns", "end-wall"),
    ]
    simulate(problem, made)


def test_a_wall_that_is_free_for_a_time_is_used_and_left_again(tmp_path):
    text = SURVEY.replace('id = "dais"', 'id = "dais"\nfree_until = 2026-11-01')
    problem = stated(tmp_path, text=text, tolerance=0.0)
    made = plan(problem, CrewRules.of(library()))
    simulate(problem, made)
    onto = [step for step in made.steps if step.end == "dais"]
    off = [step for step in made.steps if step.start == "dais" and step.latest == date(2026, 11, 1)]
    assert made.places["lime-avenue"] == "store" or not onto
    assert all(step.until == date(2026, 11, 1) for step in onto)
    assert {step.work for step in onto} == {step.work for step in off if step.work in {s.work for s in onto}}


def test_the_sheet_of_the_chain_is_complete(tmp_path):
    problem = stated(tmp_path, tolerance=0.0)
    made = plan(problem, CrewRules.of(library()), system="us")
    pages = crew_sheet(made, problem)
    assert [page.title for page in pages] == [
        f"Trip {number} of {len(pages)}: {way}"
        for number, way in enumerate(["seed-hall to reading-house", "orangery to seed-hall"], start=1)
    ]
    rows = [row for page in pages for row in page.rows]
    assert rows[-1][1] == "Ferns at Dusk"
    assert "ft" in rows[-1][4]
    # 2 March 2026 is a Monday, when the Orangery is closed.
    assert all(page.date_from != START for page in pages if "orangery" in page.title)


def test_a_store_is_better_than_too_much_and_worse_than_any_wall_that_suits(tmp_path):
    problem = stated(tmp_path)
    assert problem.loads["lime-avenue", "store"] == 0.95
    assert problem.loads["ferns", "store"] == 0.95


def test_a_store_that_is_refused_or_too_small_takes_nothing(tmp_path):
    for line in ('span = "4 m"\nclimate_ok = false', 'span = "0.5 m"'):
        text = SURVEY.replace('span = "4 m"', line)
        assert not [key for key in stated(tmp_path, text=text).loads if key[1] == "store"]


def test_what_may_not_be_moved_to_and_what_may(tmp_path):
    unsafe = load("fixing", 2.0, 1.2, kind="safety")
    changes = {
        ("lime-avenue", "landing"): verdict("lime-avenue", "landing", 2.0, "unsuitable", loads=(unsafe,)),
        ("seed-merchant", "lobby"): verdict("seed-merchant", "lobby", 0.6, "undecided", blocked=True),
        ("two-gardeners", "lobby"): verdict("two-gardeners", "lobby", None, "undecided", blocked=True),
    }
    problem = stated(tmp_path, changes)
    # A fixing that does not hold is never a place to move to; too much light is, if nothing else is left.
    assert ("lime-avenue", "landing") not in problem.loads
    assert problem.loads["two-gardeners", "landing"] == 1.4
    # What is not decided is taken only if asked for; what hangs there now may stay.
    assert ("seed-merchant", "lobby") not in problem.loads
    assert problem.loads["two-gardeners", "lobby"] == 1.0
    assert stated(tmp_path, changes, undecided=True).loads["seed-merchant", "lobby"] == 1.0


def test_measures_to_take_first_are_told_and_their_load_counts(tmp_path):
    taken = (load("light_dose", 0.7, 1.1),)
    name = next(iter(library().measures))

    def again(work, place):
        return verdict(
            work,
            place,
            3.0,
            "suitable with measures",
            measures=((name,),),
            loads=(load("light_dose", 3.0),),
            loads_with_measures=taken,
        )

    changes = {("ferns", "end-wall"): verdict("ferns", "end-wall", 3.0, "suitable with measures")}
    problem = stated(tmp_path, changes, again=again)
    assert problem.loads["ferns", "end-wall"] == pytest.approx(0.7)
    title = library().measures[name].title
    assert problem.notes["ferns", "end-wall"] == f"to be done first: {title[:1].lower()}{title[1:]}"


def test_a_work_that_is_barred_where_it_is_must_go_or_else_stays_and_fixes_nothing(tmp_path):
    barred = verdict("two-gardeners", "lobby", 2.0, "unsuitable", barred=True)
    problem = stated(tmp_path, {("two-gardeners", "lobby"): barred})
    assert ("two-gardeners", "lobby") not in problem.loads
    changes = {("two-gardeners", place): replace(barred, place=place) for place in LOADS["ferns"]}
    text = SURVEY.replace('span = "4 m"', 'span = "0.5 m"')
    stuck = stated(tmp_path, changes, text=text)
    (work,) = (work for work in stuck.works if work.id == "two-gardeners")
    assert work.immovable


def test_pinned_works_and_walls_stay_and_only_what_is_named_moves(tmp_path):
    text = SURVEY.replace('now_at = "lobby"', 'now_at = "lobby"\npinned = true')
    text = text.replace('id = "dais"', 'id = "dais"\npinned_by = "the donor"')
    problem = stated(tmp_path, text=text)
    fixed = {work.id for work in problem.works if work.immovable}
    assert fixed == {"two-gardeners", "seed-merchant"}
    assert {place.id for place in problem.places if place.closed} == {"dais"}
    named = stated(tmp_path, movable=frozenset({"lime-avenue"}))
    assert {work.id for work in named.works if not work.immovable} == {"ferns", "lime-avenue"}


def test_handling_by_size_frame_condition_building_and_floor(tmp_path):
    text = SURVEY.replace('now_at = "lobby"', 'now_at = "lobby"\ncondition = "flaking"')
    text += '\n[[wall]]\nid = "attic-east"\nroom = "attic"\nspan = "2 m"\n'
    cells = {(work, "attic-east"): verdict(work, "attic-east") for work in LOADS}
    problem = stated(tmp_path, cells, text=text)
    works = {work.id: work for work in problem.works}
    # Judgement: 1 light, 2 for two people, 3 large or composition; twice where paint flakes; 1 more for
    # another building; half as much again for each floor without a lift.
    assert {name: work.handling for name, work in works.items()} == {
        "ferns": 3.0,
        "lime-avenue": 2.0,
        "seed-merchant": 1.0,
        "two-gardeners": 4.0,
    }
    assert problem.handling["lime-avenue", "dais"] == 3.0
    assert problem.handling["seed-merchant", "attic-east"] == pytest.approx(1.5**2)
    assert works["two-gardeners"].carry.stop == "its paint flakes"


def test_a_work_leaves_what_it_cannot_be_carried_out_of(tmp_path):
    text = SURVEY + (
        '\n[[route]]\nid = "van"\nfrom = "gallery"\nto = "hall"\n'
        'steps = [{ kind = "door", clear = "0.5 m x 0.4 m" }]\n'
    )
    problem = stated(tmp_path, text=text)
    assert ("lime-avenue", "end-wall", "dais") in problem.no_way
    assert ("lime-avenue", "end-wall", "landing") not in problem.no_way


def test_themes_pairs_and_groups(tmp_path):
    text = SURVEY.replace(
        'now_at = "end-wall"', 'now_at = "end-wall"\npair_with = "seed-merchant"\ngroup = "g"'
    )
    text = text.replace('now_at = "lobby"', 'now_at = "lobby"\ngroup = "g"\nthemes = ["people"]')
    text = text.replace('id = "landing"', 'id = "landing"\nthemes = ["people"]')
    problem = stated(tmp_path, text=text)
    assert problem.pairs == (("lime-avenue", "seed-merchant"),)
    assert problem.groups == (("lime-avenue", "two-gardeners"),)
    assert {work for work, place in problem.loads if place == "landing"} == {"two-gardeners"}


def test_loads_differ_only_beyond_half_the_width_of_their_intervals(tmp_path):
    wide = {key: verdict(*key, 1.0, loads=(load("humidity", 1.0, 2.0),)) for key in judged()}
    assert stated(tmp_path, wide).tolerance == pytest.approx((2.0 - 0.5) / 2, rel=0.02)
    assert stated(tmp_path, wide, tolerance=0.2).tolerance == 0.2


def test_climates_that_differ_ask_for_rest_and_those_that_do_not_ask_for_none(tmp_path):
    climates = {"end-wall": (20.0, 45.0), "dais": (16.0, 58.0), "landing": (20.5, 46.0)}
    problem = stated(tmp_path, climates=climates)
    assert problem.acclimatise["end-wall", "dais"] == (
        "leave packed for 24 h before it is opened, since it comes from 20 °C and 45 %RH to 16 °C and 58 %RH"
    )
    assert ("end-wall", "landing") not in problem.acclimatise
    # Where nothing is logged, another building is another climate.
    assert problem.acclimatise["end-wall", "lobby"] == "leave packed for 24 h before it is opened"


def test_climate_of_a_record_is_the_mean_of_what_is_kept():
    times = np.arange(4).astype("datetime64[h]").astype("datetime64[s]")
    channel = Channel(
        role="temperature",
        sensor=None,
        unit="degC",
        unit_in_file="degC",
        times=times,
        values=np.array([18.0, 20.0, 22.0, 99.0]),
        excluded=np.array([False, False, False, True]),
        flags=(),
        utc=True,
        logger="one",
        accuracy=0.5,
    )
    assert place_climate(Record(place="north", channels={"temperature": channel})) == (20.0, None)


def test_a_pedestal_says_where_its_bust_is_and_two_places_are_refused_in_words(tmp_path):
    bust = (
        '\n[[pedestal]]\nid = "plinth"\nroom = "hall"\nwork = "botanist"\n'
        '[[work]]\nid = "botanist"\nkind = "bust"\nmedium = "marble"\n'
    )
    problem = moves_problem(survey(tmp_path, SURVEY + bust), library(), judged(), start=START)
    assert {work.id: work.now for work in problem.works}["botanist"] == "plinth"
    with pytest.raises(SurveyError, match=r"'botanist' stands here and is at 'lobby'"):
        survey(tmp_path, SURVEY + bust + 'now_at = "lobby"\n')
    twice = bust.replace(
        "[[work]]", '[[pedestal]]\nid = "plinth-2"\nroom = "hall"\nwork = "botanist"\n[[work]]'
    )
    with pytest.raises(SurveyError, match="botanist"):
        survey(tmp_path, SURVEY + twice)

"""Knocks worked out by hand, number by number, with every figure at its middle.

The model is the project's own judgement, as ``contacts.py`` and ``bump.toml`` state it; the chances are those of
scipy's normal, gamma and Poisson distributions.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from stillwall.case import Stay
from stillwall.hazards import bump
from stillwall.setting.hanging import hang
from stillwall.survey.places import Event, Furniture, Tables
from stillwall.units import Size
from tests.hazards.certain import certain, with_measure
from tests.hazards.wall_cases import case

LIBRARY = certain("bump", spans=("bump.allowance.damaging_contacts",))
PASSING = {"circulation": "passing", "clear_width_m": 2.4, "centre_m": 1.1}
ROOM = {
    "people_per_day": 300.0,
    "people_peak_hour": 60.0,
    "bags_share": 0.1,
    "children_share": 0.2,
    "wheelchair_share": 0.05,
    "trolley_trips_per_day": 4.0,
}
OPEN_DAYS = 300.0
BODY = {"adult": 0.60, "crowd": 0.65, "bags": 0.80, "child": 0.45, "trolley": 0.70, "wheelchair": 0.70}
LAPSE = {"adult": 0.01, "crowd": 0.1, "bags": 0.03, "child": 0.2, "trolley": 0.1, "wheelchair": 0.05}
BAND = {
    "adult": (0.7, 1.5),
    "crowd": (0.7, 1.6),
    "bags": (0.9, 1.45),
    "child": (0.3, 1.2),
    "trolley": (0.15, 1.1),
    "wheelchair": (0.2032, 0.9144),
}
STAFF = 12 * 0.001
DAMAGE = {"plain_wood": 0.02, "composition": 0.25, "none": 0.15, None: 0.10}


def built(**facts):
    facts = {"wall": PASSING, "room": ROOM, "library": LIBRARY} | facts
    return case(**facts)


def per_pass(stream, clear, per_hour, setback=0.0):
    """lane x lapse x the chance of a path that touches, alone or while two give way."""
    meets = 1 - np.exp(-per_hour / 2 / 3600 * 2 * 2.0 / 1.2)
    body, kept = BODY[stream], 0.25
    alone = min(kept, (clear - body) / 2) + setback
    meeting = min(kept, (clear - 2 * body) / 2) + setback
    touched = (1 - meets) * stats.norm.cdf(-alone / 0.1) + meets * stats.norm.cdf(-meeting / 0.1)
    return min(0.5, (body + kept) / clear) * LAPSE[stream] * touched


def overlap(made, low, high, from_m=0.0):
    """Share of the band that the work covers above what stands below it."""
    hung = hang(made)
    return max(0.0, min(hung.top_m, high) - max(hung.bottom_m, low, from_m)) / (high - low)


def flows(per_day=300.0, peak=60.0, past=1.0):
    """Passes a year by stream, and people an hour where a person on an average passes."""
    share = peak / max(per_day, peak)
    busy = per_day * share
    per_hour = (share * busy + (1 - share) * (per_day - busy) / 9.0) * past
    passes = per_day * past * OPEN_DAYS
    return {
        "adult": passes,
        "bags": 0.1 * passes,
        "child": 0.2 * passes,
        "wheelchair": 0.05 * passes,
        "trolley": 4.0 * past * OPEN_DAYS,
    }, per_hour


def contacts(made, clear, *, setback=0.0, from_m=0.0, guests=None, past=1.0):
    passes, per_hour = flows(past=past)
    hours = dict.fromkeys(passes, per_hour)
    if guests is not None:
        passes["crowd"], hours["crowd"] = guests
    return sum(
        count * per_pass(stream, clear, hours[stream], setback) * overlap(made, *BAND[stream], from_m)
        for stream, count in passes.items()
    )


def front(made):
    return hang(made).projection_m


def damaging(load):
    return load.exposure.value


@pytest.mark.parametrize("frame", ["plain_wood", "composition", "none", None])
@pytest.mark.parametrize("clear", [1.3, 2.4])
def test_people_who_pass(frame, clear):
    made = built(work={"frame": frame}, wall=PASSING | {"clear_width_m": clear})
    load = bump.load(made)
    expected = (contacts(made, clear - front(made)) + STAFF) * DAMAGE[frame]
    assert damaging(load) == pytest.approx(expected)
    assert load.draws == pytest.approx(np.full(1000, expected / 0.05))
    # Two to ten such knocks in a hundred years are believable allowances.
    assert load.span == pytest.approx((expected / 0.10, expected / 0.02))
    assert load.kind == "graded"
    assert load.accrues
    assert load.deciding


def test_guests_of_occasions():
    events = (Event(name="ball", per_year=30, guests=150), Event(name="talk", per_year=6))
    made = built(room=ROOM | {"events": events})
    guests = (150 * 6 * 30 + 60 * 6 * 6, 150 * 6 / 4)
    expected = contacts(made, 2.4 - front(made), guests=guests) + STAFF
    assert damaging(bump.load(made)) == pytest.approx(expected * 0.02)
    # Taken down for them: they touch nothing, and each handling may harm it, twice an occasion.
    down = with_measure(LIBRARY, "down", ("bump", "events", False))
    for work, harm in (({}, 0.001), ({"frame": "composition"}, 0.01), ({"condition": "flaking"}, 0.01)):
        taken = built(room=ROOM | {"events": events}, library=down, measures=["down"], work=work)
        quiet = contacts(taken, 2.4 - front(taken)) + STAFF + 2 * 36 * harm
        assert damaging(bump.load(taken)) == pytest.approx(quiet * DAMAGE[work.get("frame", "plain_wood")])


def test_a_wall_that_is_no_way_through_sees_a_tenth_and_one_of_which_nobody_knows_two_fifths():
    for kind, past in (("none", 0.1), (None, 0.4)):
        made = built(wall=PASSING | {"circulation": kind})
        expected = contacts(made, 2.4 - front(made), past=past) + STAFF
        load = bump.load(made)
        assert damaging(load) == pytest.approx(expected * 0.02)
        assert not load.deciding


def test_an_unmeasured_width_is_narrow_on_a_way_and_wide_in_a_room():
    for kind, clear, past in (("passing", 1.6, 1.0), ("required_egress", 1.6, 1.0), ("none", 2.5, 0.1)):
        made = built(wall=PASSING | {"circulation": kind, "clear_width_m": None})
        expected = contacts(made, clear - front(made), past=past) + STAFF
        load = bump.load(made)
        assert damaging(load) == pytest.approx(expected * 0.02)
        assert load.evidence == "assumed"
        assert len(load.missing) == 1


def test_chairs_pushed_back_and_tables_moved():
    tables = Tables(edge_to_wall_m=0.9, seatings_per_year=1560)
    reach = 0.75 + 0.06 * case().draws.normal("model:bump:chairs.reach")
    for chair_back, high in ((None, 1.10), (0.95, 0.95), (0.5, 0.76)):
        made = built(wall=PASSING | {"tables": replace(tables, chair_back_m=chair_back)})
        hit = 1560 * stats.norm.cdf((reach - (0.9 - front(made))) / 0.1) * overlap(made, 0.75, high)
        expected = (contacts(made, 2.4 - front(made)) + STAFF + hit) * 0.02 / 0.05
        assert bump.load(made).draws == pytest.approx(expected)
    for moved, gap in ((1.2, 1.2), (0.6, 0.9)):
        library = with_measure(LIBRARY, "move", ("bump", "tables", moved))
        made = built(wall=PASSING | {"tables": tables}, library=library, measures=["move"])
        hit = 1560 * stats.norm.cdf((reach - (gap - front(made))) / 0.1) * overlap(made, 0.75, 1.10)
        expected = (contacts(made, 2.4 - front(made)) + STAFF + hit) * 0.02 / 0.05
        assert bump.load(made).draws == pytest.approx(expected)


@pytest.mark.parametrize("use", ["bar", "lobby", "hall"])
def test_people_who_wait(use):
    made = built(room=ROOM | {"use": use})
    waiting = 300 * OPEN_DAYS * 0.003 * 0.1 * overlap(made, 0.8, 1.5) if use != "hall" else 0.0
    expected = contacts(made, 2.4 - front(made)) + STAFF + waiting
    assert damaging(bump.load(made)) == pytest.approx(expected * 0.02)


def test_a_chest_keeps_people_back_and_covers_what_is_low():
    chest = Furniture(what="chest", height_m=0.8, depth_m=0.5, width_m=1.2)
    made = built(wall=PASSING | {"furniture_below": chest, "centre_m": 1.5})
    hung = hang(made)
    passes, per_hour = flows()
    expected = STAFF
    for stream, count in passes.items():
        low, high = BAND[stream]
        # What stands under the work covers the band up to its top.
        share = max(0.0, min(hung.top_m, high) - max(hung.bottom_m, low, 0.8)) / (high - low)
        expected += count * per_pass(stream, 2.4 - 0.5, per_hour, 0.5 - front(made)) * share
    assert damaging(bump.load(made)) == pytest.approx(expected * 0.02)
    console = with_measure(LIBRARY, "console", ("bump", "furniture", 0.5), ("bump", "furniture_top", 0.8))
    bare = built(wall=PASSING | {"centre_m": 1.5}, library=console, measures=["console"])
    assert damaging(bump.load(bare)) == pytest.approx(damaging(bump.load(made)), rel=1e-6)


@pytest.mark.parametrize("given", [True, False])
def test_a_barrier_narrows_the_way_and_one_in_twenty_comes_past_it(given):
    if given:
        made = built(wall=PASSING | {"barrier_m": 0.6})
    else:
        library = with_measure(LIBRARY, "rope", ("bump", "barrier", 0.6))
        made = built(library=library, measures=["rope"])
    clear = 2.4 - front(made)
    open_way = contacts(made, clear)
    passes, per_hour = flows()
    expected = STAFF
    for stream, count in passes.items():
        share = overlap(made, *BAND[stream])
        free = count * per_pass(stream, clear, per_hour) * share
        behind = count * per_pass(stream, 2.4 - 0.6, per_hour, 0.6 - front(made)) * share
        expected += min(free, behind + 0.05 * free)
    assert damaging(bump.load(made)) == pytest.approx(expected * 0.02)
    assert expected < 0.2 * open_way


def test_a_barrier_nearer_than_the_work_stands_out_does_nothing():
    plain, behind = built(), built(wall=PASSING | {"barrier_m": front(built())})
    assert damaging(bump.load(behind)) == pytest.approx(damaging(bump.load(plain)))


def test_of_two_barriers_the_farther_counts():
    library = with_measure(LIBRARY, "rope", ("bump", "barrier", 0.5))
    both = built(wall=PASSING | {"barrier_m": 0.8}, library=library, measures=["rope"])
    assert damaging(bump.load(both)) == pytest.approx(
        damaging(bump.load(built(wall=PASSING | {"barrier_m": 0.8})))
    )


@pytest.mark.parametrize(("marks", "years"), [(0.0, None), (3.0, None), (3.0, 2.0)])
def test_marks_seen_update_a_gamma_prior(marks, years):
    made = built(wall=PASSING | {"marks_last_year": marks, "marks_years": years})
    base = contacts(made, 2.4 - front(made)) + STAFF
    posterior = stats.gamma(1 + marks, scale=1 / (1 / base + (years or 1.0)))
    draws = bump.load(made).draws * 0.05 / 0.02
    for chance in (0.1, 0.5, 0.9):
        assert np.quantile(draws, chance) == pytest.approx(posterior.ppf(chance), rel=0.02)


def test_marks_were_made_without_the_measures():
    library = with_measure(LIBRARY, "rope", ("bump", "barrier", 0.6))
    bare = built(wall=PASSING | {"marks_last_year": 4.0})
    kept = built(wall=PASSING | {"marks_last_year": 4.0}, library=library, measures=["rope"])
    lowered = damaging(bump.load(built(library=library, measures=["rope"]))) / damaging(bump.load(built()))
    assert bump.load(kept).draws == pytest.approx(bump.load(bare).draws * lowered)


def test_a_factor_on_all_contacts():
    library = with_measure(LIBRARY, "guard", ("bump", "contacts", (0.3, 0.3, 0.3)))
    made = built(library=library, measures=["guard"])
    assert damaging(bump.load(made)) == pytest.approx(0.3 * damaging(bump.load(built())))


@pytest.mark.parametrize(
    ("work", "chance"),
    [
        ({"frame": "none", "glazing": "acrylic"}, 0.15 * 0.1 + 0.002),
        ({"frame": "none", "glazing": None}, 0.15),
        ({"frame": "none", "condition": "flaking"}, 0.15 * 2),
        ({"frame": "none", "surface": "fragile"}, 0.15 * 2),
        ({"frame": "none", "surface": "flaking"}, 0.15 * 2),
        ({"frame": "none", "condition": "flaking", "glazing": "acrylic"}, 0.15 * 0.1 + 0.002),
        ({"frame": "composition", "ornament_loose": True}, 0.5),
        ({"frame": "composition", "condition": "loose_ornament"}, 0.5),
        ({"frame": "composition", "glazing": "acrylic"}, 0.25),
        ({"frame": "composition", "condition": "flaking"}, 0.25),
    ],
)
def test_what_a_knock_does(work, chance):
    made = built(work=work)
    expected = contacts(made, 2.4 - front(made)) + STAFF
    assert damaging(bump.load(made)) == pytest.approx(expected * chance)


def test_another_frame_and_a_glazing_as_measures():
    library = with_measure(LIBRARY, "frame", ("bump", "frame", "plain_wood"))
    made = built(work={"frame": "composition", "ornament_loose": True}, library=library, measures=["frame"])
    assert damaging(bump.load(made)) == pytest.approx((contacts(made, 2.4 - front(made)) + STAFF) * 0.02)
    library = with_measure(LIBRARY, "glaze", ("bump", "glazing", True))
    made = built(work={"frame": "none"}, library=library, measures=["glaze"])
    assert damaging(bump.load(made)) == pytest.approx((contacts(made, 2.4 - front(made)) + STAFF) * 0.017)


def test_a_bust_on_its_pedestal():
    work = {"kind": "bust", "medium": "marble", "image": Size(0.6, 0.4, 0.3), "framed": None}
    pedestal = {"height_m": 1.0, "base": Size(0.4, 0.4), "circulation": "passing", "clear_width_m": 2.0}
    fixed = with_measure(LIBRARY, "pin", ("bump", "bust", True))
    known = built(work=work, wall=None, pedestal=pedestal | {"bust_fixed": "wax"})
    for kind, measures, chance in (
        ("none", [], 0.05),
        (None, [], 0.05),
        ("pin", [], 0.01),
        ("none", ["pin"], 0.01),
    ):
        made = built(
            work=work, wall=None, pedestal=pedestal | {"bust_fixed": kind}, library=fixed, measures=measures
        )
        expected = contacts(made, 2.0 - front(made)) + STAFF
        load = bump.load(made)
        assert damaging(load) == pytest.approx(expected * chance)
        assert len(load.missing) == len(bump.load(known).missing) + (kind is None)


@pytest.mark.parametrize(("days", "allowed"), [(73, 0.05), (365.25 * 4, 0.2)])
def test_a_stay_has_at_least_a_year_s_allowance(days, allowed):
    made = built(stay=Stay(dt.date(2026, 1, 1), dt.date(2026, 1, 1) + dt.timedelta(days=int(days))))
    load = bump.load(made)
    yearly = contacts(made, 2.4 - front(made)) + STAFF
    years = made.stay.years
    assert load.allowance.value == pytest.approx(0.05 * max(1.0, years))
    assert load.allowance.value == pytest.approx(allowed, rel=0.01)
    assert damaging(load) == pytest.approx(yearly * years * 0.02)


def test_the_reason_tells_rates_and_chances():
    made = built(work={"frame": "composition"})
    yearly = contacts(made, 2.4 - front(made)) + STAFF
    load = bump.load(made)
    chance = 100 * stats.poisson(yearly * 0.25 * made.stay.days / 365.25).sf(0)
    assert f"{yearly:.2g} contacts a year" in load.reason
    assert f"{chance:.0f} %" in load.reason
    assert "children" in load.reason
    # One in twenty years: until the chance is 5 %.
    days = -np.log(0.95) / (yearly * 0.25) * 365.25
    assert any(f"{days:.0f} days" in note for note in load.notes)
    loss = yearly * 0.25 * 0.005
    assert any(f"{15 + np.log10(loss):.1f}" in note for note in load.notes)
    # Ten years and more are not worth a remark.
    safe = bump.load(built(wall=PASSING | {"circulation": "none", "clear_width_m": 9.0}))
    assert not any(" days" in note for note in safe.notes)


def test_what_is_asked_and_what_blocks():
    known = bump.load(built())
    assert known.evidence == "surveyed"
    assert known.missing == ()
    uncounted = ROOM | {"people_per_day": None}
    for wall, evidence, questions in (
        (PASSING, "missing", 2),
        (PASSING | {"circulation": "required_egress"}, "missing", 2),
        (PASSING | {"circulation": "none"}, "assumed", 2),
        (PASSING | {"circulation": None}, "assumed", 3),
        (PASSING | {"marks_last_year": 1.0}, "assumed", 1),
        (PASSING | {"people_per_day": 50.0}, "surveyed", 0),
    ):
        load = bump.load(built(wall=wall, room=uncounted))
        assert load.evidence == evidence
        assert len(load.missing) == questions
    assert len(bump.load(built(building={"open_days": None})).missing) == 1
    assert len(bump.load(built(work={"frame": None})).missing) == 1
    framed = with_measure(LIBRARY, "frame", ("bump", "frame", "plain_wood"))
    told = built(work={"frame": None}, library=framed, measures=["frame"])
    assert bump.load(told).missing == ()

"""Heat: distance rules, plumes and radiation by hand, and the log against the survey."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from stillwall.hazards import hearth
from stillwall.record import Record
from tests.detectors.logged import channel
from tests.hazards.wall_cases import case

FIRE = {"id": "fire", "kind": "hearth", "wall": "wall", "at_m": 1.4, "width_m": 1.2, "top_m": 0.9}
MANTEL = {"mantel_shelf_m": 1.2}
STEP_S = 600


def log(
    fires=(), *, days=120, start="2025-11-01", rise_k=5.0, place="wall", from_room=(), room=None
) -> Record:
    """A plain room at 20 degC by day, with four hours of dry heat on the evenings of ``fires``."""
    rng = np.random.default_rng(3)
    times = np.datetime64(start, "s") + np.arange(days * 144) * np.timedelta64(STEP_S, "s")
    hours = (times - times[0]).astype(float) / 3600
    temperature = 20 + 0.6 * np.sin(2 * np.pi * (hours - 9) / 24) + 0.05 * rng.normal(size=len(times))
    for day in fires:
        since = np.clip(hours - (24 * day + 18.0), -1.0, 24.0)
        up = rise_k * (1 - np.exp(-since / 0.5))
        down = rise_k * np.exp(-(since - 4) / 1.2)
        temperature += np.where(since < 0, 0, np.where(since < 4, up, down))
    humidity = 50 * np.exp(-0.06 * (temperature - 20))
    channels = {
        "temperature": channel("temperature", times, temperature, f"log-{place}"),
        "humidity": channel("humidity", times, humidity, f"log-{place}"),
    }
    return Record(place=place, channels=channels, from_room=frozenset(from_room), room=room)


def heat(**facts):
    return [FIRE | facts]


def test_nothing_warm_in_the_room_is_left_out():
    assert hearth.load(case()) is None


def test_over_a_working_fire_fails_for_any_medium():
    load = hearth.load(case(wall=MANTEL, heat=heat(used="seasonal")))
    assert load.chance_over > 0.9
    assert load.deciding
    assert any("dummy board" in caution for caution in load.cautions)


@pytest.mark.parametrize(
    "work",
    [
        {"lined_with": "wax"},
        {"kind": "paper", "medium": "watercolour"},
        {"kind": "pastel", "medium": "pastel"},
        {"kind": "panel", "medium": "oil-on-panel"},
        {"medium": "acrylic-painting"},
        {"frame": "composition"},
    ],
)
def test_wax_paper_panel_acrylic_and_gilding_are_barred_over_a_fire(work):
    load = hearth.load(case(work=work, wall={"mantel_shelf_m": 1.5}, heat=heat(used="daily")))
    assert load.barred
    assert not hearth.load(
        case(work=work, wall={"mantel_shelf_m": 1.5}, heat=heat(used="daily"), measures=["close-flue"])
    ).barred


def test_within_a_foot_of_the_opening_bars_anything():
    close = hearth.load(case(heat=heat(used="daily", at_m=2.55, width_m=1.0, top_m=1.6)))
    assert close.barred


def test_the_facing_wall_takes_the_radiation():
    # 3 kW radiated, 3 m away: 106 W/m2, which warms a dark surface by 9.5 K at 10 W/m2K.
    source = {
        "id": "fire",
        "kind": "hearth",
        "side": "south",
        "facing_wall": "wall",
        "facing_distance_m": 3.0,
        "used": "daily",
        "power_w": 10_000.0,
    }
    load = hearth.load(case(heat=[source]))
    assert load.exposure.value == pytest.approx(9.5, rel=0.1)
    far = hearth.load(case(heat=[source | {"facing_distance_m": 6.0}]))
    assert load.ratio / far.ratio == pytest.approx(4.0, rel=0.01)


def test_the_screen_takes_off_radiation():
    source = {
        "id": "fire",
        "kind": "hearth",
        "facing_wall": "wall",
        "facing_distance_m": 3.0,
        "used": "daily",
    }
    bare, screened = (hearth.load(case(heat=[source], measures=m)) for m in ((), ("fire-screen",)))
    assert screened.ratio == pytest.approx(0.5 * bare.ratio, rel=0.1)


def test_a_decorative_hearth_is_not_trusted():
    load = hearth.load(case(wall=MANTEL, heat=heat(used="never")))
    assert load.chance_over > 0.2
    assert any("Christmas" in question for question in load.missing)
    closed = hearth.load(case(wall=MANTEL, heat=heat(used="never", fires_per_year=0.0, flue="closed")))
    assert closed.high < 0.1
    assert not closed.missing


def test_nobody_saying_whether_it_is_lit_is_doubted():
    load = hearth.load(case(wall=MANTEL, heat=heat()))
    assert load.chance_over > 0.2
    assert load.evidence == "assumed"
    assert not load.barred


def test_a_radiator_warms_as_its_plume_does():
    # 500 W/m against a wall: 4.7 K at 1.5 m as an upper bound; practice takes 0.7 of it.
    source = {
        "id": "radiator",
        "kind": "radiator",
        "used": "seasonal",
        "below_wall": "wall",
        "rise_m": 1.4,
        "width_m": 1.4,
        "power_w": 1000.0,
    }
    load = hearth.load(case(heat=[source]))
    assert load.exposure.value == pytest.approx(0.7 * 4.7466, rel=0.05)
    assert "1.40 m above" in load.reason
    near = hearth.load(case(heat=[source | {"rise_m": 0.2}]))
    assert near.barred
    shelf = hearth.load(case(heat=[source], measures=["radiator-shelf"]))
    assert shelf.ratio < 0.6 * load.ratio


def test_a_candle_beside_and_above():
    source = {
        "id": "sconce",
        "kind": "sconce",
        "wall": "wall",
        "at_m": 2.6,
        "width_m": 0.1,
        "top_m": 1.5,
        "used": "events",
    }
    assert hearth.load(case(heat=[source])).barred
    assert hearth.load(case(heat=[source], measures=["electric-candles"])) is None
    assert not hearth.load(case(heat=[source | {"at_m": 3.9}])).barred


def test_a_halogen_spot_warms_by_its_light():
    # 200 lx of halogen light: 1.06 K.
    made = case()
    from stillwall.survey.features import Lamp

    lamp = Lamp(id="spot", kind="halogen", wall="wall", lux_at_wall=200.0)
    lit = replace(made, survey=replace(made.survey, lamps={"spot": lamp}))
    assert hearth.load(lit).exposure.value == pytest.approx(1.0588, rel=0.05)


def test_a_log_of_a_whole_season_without_fires_clears_the_distance_rule():
    surveyed = hearth.load(case(wall={"mantel_shelf_m": 1.5}, heat=heat(used="never")))
    logged = hearth.load(case(wall={"mantel_shelf_m": 1.5}, heat=heat(used="never"), record=log()))
    assert logged.evidence == "measured"
    assert logged.ratio < surveyed.ratio
    assert logged.chance_over < 0.2
    assert "The log shows no dry heat on 120 evenings of the heating season." in logged.notes


def test_a_log_with_fires_contradicts_never():
    evenings = range(10, 115, 8)
    load = hearth.load(
        case(
            wall={"mantel_shelf_m": 1.5},
            heat=heat(used="never"),
            record=log(evenings),
            work={"frame": "composition"},
        )
    )
    assert load.barred
    assert load.chance_over == 1.0
    assert any(
        f"dry heat on {len(evenings)} of 120 evenings" in note and "never lit" in note for note in load.notes
    )


def test_a_log_cannot_clear_a_season_that_it_has_not_seen():
    summer = log(days=60, start="2026-06-01")
    plain, logged = (
        hearth.load(case(wall=MANTEL, heat=heat(used="never"), record=record)) for record in (None, summer)
    )
    assert np.array_equal(plain.draws, logged.draws)
    assert any("no heating season" in note for note in logged.notes)


def test_a_room_log_can_fail_a_wall_and_cannot_clear_it():
    quiet = log(from_room=("temperature", "humidity"))
    plain, logged = (
        hearth.load(case(wall=MANTEL, heat=heat(used="never"), record=record)) for record in (None, quiet)
    )
    assert np.array_equal(plain.draws, logged.draws)
    busy = log(range(5, 115, 4), from_room=("temperature", "humidity"))
    assert hearth.load(case(wall=MANTEL, heat=heat(used="never"), record=busy)).chance_over == 1.0


def test_bars_stay_whatever_the_log_says():
    load = hearth.load(
        case(work={"lined_with": "wax"}, wall={"mantel_shelf_m": 1.5}, heat=heat(used="daily"), record=log())
    )
    assert load.barred
    assert any("They differ" in note for note in load.notes)


def test_two_loggers_measure_what_the_wall_has_over_the_room():
    room = log(place="room")
    wall = replace(log(range(2, 118, 3), rise_k=4.0), room=room)
    load = hearth.load(case(wall={"mantel_shelf_m": 1.5}, heat=heat(used="daily"), record=wall))
    assert "own logger" in " ".join((load.reason, *load.notes))
    assert not any("differ" in note for note in load.notes)
    assert load.exposure is not None
    assert load.chance_over > 0.5


def test_a_few_fires_that_one_hour_in_twenty_hides_still_count():
    room = log(place="room")
    wall = replace(log((20, 44, 60, 85), rise_k=5.0), room=room)
    load = hearth.load(
        case(
            wall={"mantel_shelf_m": 1.5},
            heat=heat(used="never", fires_per_year=0.0),
            record=wall,
            work={"frame": "composition"},
        )
    )
    assert load.ratio > 0.8
    assert load.barred
    assert any("never lit" in note and "differ" in note for note in load.notes)


def test_two_loggers_bear_out_fires_that_one_would_not_show():
    rare = replace(log((60,), rise_k=5.0), room=log(place="room"))
    load = hearth.load(case(wall={"mantel_shelf_m": 1.5}, heat=heat(used="seasonal"), record=rare))
    assert any("bear it out" in note for note in load.notes)
    assert not any("differ" in note for note in load.notes)


def test_fewer_than_five_fires_count_in_proportion():
    many, few = (
        hearth.load(case(wall={"mantel_shelf_m": 1.5}, heat=heat(used="events", fires_per_year=count)))
        for count in (10.0, 2.0)
    )
    assert few.ratio == pytest.approx(0.4 * many.ratio, rel=0.05)
    assert math.isfinite(many.ratio)

"""Dose over allowance: limits, budgets, partial records, readings, measures, laws."""

from __future__ import annotations

import datetime as dt
import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.case import Stay
from stillwall.hazards.light_dose import load
from stillwall.setting.lighting import dose_fan, light_at
from stillwall.survey.works import DoseSpent, LenderLimits

from .light_cases import LAMP, NORTH_WINDOW, ROOM, WALL, WORK, case_of, lit, reading, survey_of


def test_ratio_is_dose_over_the_class_limit():
    record = lit(365, level=60.0)
    loaded = load(case_of(record))
    channel = record.channels["light"]
    dose = float(channel.values.sum()) * 0.25
    assert loaded.ratio == pytest.approx(dose / 150_000.0, rel=0.03)
    assert loaded.exposure.unit == "lx h"
    assert loaded.allowance.value == 150_000.0
    assert loaded.evidence == "measured"
    assert loaded.deciding
    assert loaded.accrues
    assert loaded.kind == "graded"
    assert "150 klx h" in loaded.reason


@pytest.mark.parametrize(("sensitivity", "limit"), [("R1", 600_000.0), ("R2", 150_000.0), ("R3", 15_000.0)])
def test_a_declared_class_overrides_the_medium(sensitivity, limit):
    loaded = load(case_of(lit(), work=replace(WORK, sensitivity=sensitivity)))
    assert loaded.allowance.value == limit
    assert loaded.span is None


def test_the_span_of_the_class_is_shown_as_sensitivity():
    loaded = load(case_of(lit()))
    # A watercolour is R2, believable from R1 to R3: a quarter to ten times the load.
    assert loaded.span[0] == pytest.approx(loaded.ratio / 4.0, rel=0.02)
    assert loaded.span[1] == pytest.approx(loaded.ratio * 10.0, rel=0.02)


def test_stone_has_no_dose():
    assert load(case_of(lit(), work=replace(WORK, medium="marble"))) is None


def test_what_is_never_shown_in_the_original_is_barred():
    loaded = load(case_of(lit(), work=replace(WORK, medium="autochrome")))
    assert loaded.barred


def test_a_lender_sets_limit_and_counts_pro_rata():
    work = replace(WORK, lender=LenderLimits(dose_lux_h=50_000.0, illuminance_lux=50.0))
    stay = Stay(dt.date(2026, 5, 1), dt.date(2026, 7, 31))
    loaded = load(case_of(lit(), work=work, stay=stay))
    assert loaded.allowance.value == pytest.approx(50_000.0 * 91 / 365.25)
    assert loaded.sources[0].key == "lender"
    assert loaded.span is None
    assert any("the lender's limit is 50 lx" in note for note in loaded.notes)


def test_a_short_stay_has_the_whole_year_less_what_was_spent():
    stay = Stay(dt.date(2026, 6, 1), dt.date(2026, 8, 30))
    free = load(case_of(lit(), stay=stay))
    assert free.allowance.value == 150_000.0
    spent = DoseSpent(dose_lux_h=60_000.0, since=dt.date(2025, 6, 1), to=dt.date(2026, 6, 1))
    after = load(case_of(lit(), work=replace(WORK, dose_spent=spent), stay=stay))
    assert after.allowance.value == pytest.approx(90_000.0, rel=0.01)
    assert after.ratio > free.ratio
    long_ago = DoseSpent(dose_lux_h=60_000.0, since=dt.date(2020, 6, 1), to=dt.date(2021, 6, 1))
    assert load(case_of(lit(), work=replace(WORK, dose_spent=long_ago), stay=stay)).ratio == free.ratio


def test_a_longer_stay_is_pro_rata():
    one = load(case_of(lit()))
    three = load(case_of(lit(), stay=Stay(dt.date(2026, 1, 1), dt.date(2029, 1, 1))))
    assert three.ratio == pytest.approx(one.ratio, rel=0.01)
    assert three.exposure.value == pytest.approx(3.0 * one.exposure.value, rel=0.01)


def test_winter_stays_take_less_than_summer_ones():
    winter = load(case_of(lit(), stay=Stay(dt.date(2026, 11, 15), dt.date(2027, 1, 15))))
    summer = load(case_of(lit(), stay=Stay(dt.date(2026, 5, 15), dt.date(2026, 7, 15))))
    assert summer.exposure.value > 4.0 * winter.exposure.value


def test_without_light_evidence_nothing_is_said():
    loaded = load(case_of())
    assert loaded.draws is None
    assert loaded.blocks
    assert "six weeks" in loaded.missing[0]


def test_a_partial_record_cannot_clear_a_wall_for_seasons_nobody_saw():
    loaded = load(case_of(lit(28, level=10.0, start=10)))
    assert loaded.high < 1.0
    assert loaded.blocks
    assert "June" in loaded.missing[0] or "April" in loaded.missing[0]


def test_a_partial_record_can_condemn_a_wall():
    loaded = load(case_of(lit(28, level=2000.0, start=150)))
    assert loaded.chance_over > 0.95
    assert not loaded.blocks


def test_a_stay_within_seen_weeks_can_be_cleared():
    stay = Stay(dt.date(2026, 6, 10), dt.date(2026, 7, 5))
    loaded = load(case_of(lit(56, level=20.0, start=150), stay=stay))
    assert not loaded.blocks
    assert loaded.high < 1.0


def test_a_room_logger_is_not_the_wall():
    own, room = load(case_of(lit())), load(case_of(lit(from_room=True)))
    assert room.evidence == "assumed"
    assert room.missing
    assert room.high / room.low > 3.0 * own.high / own.low


def test_a_reading_at_the_wall_pairs_the_room_logger():
    record = lit(365, level=400.0, from_room=True)
    wall = replace(WALL, light_readings=(reading("2025-06-15 13:00", 35.0, "overcast"),))
    paired = load(case_of(record, wall=wall))
    unpaired = load(case_of(record))
    # The log shows some 350 lx at that hour: the wall gets a tenth.
    assert paired.ratio == pytest.approx(0.1 * unpaired.ratio, rel=0.3)
    assert paired.high / paired.low < unpaired.high / unpaired.low
    assert "by readings at the place itself" in " ".join(paired.notes)


def test_hand_held_readings_give_a_wide_answer():
    readings = (
        reading("2026-03-04 11:10", 60.0, "overcast"),
        reading("2026-03-20 14:10", 75.0, "overcast"),
        reading("2026-05-11 10:00", 90.0, "mixed"),
        reading("2026-01-20 20:00", 40.0, "night", "on"),
    )
    loaded = load(case_of(wall=replace(WALL, light_readings=readings)))
    assert loaded.evidence == "assumed"
    assert loaded.high / loaded.low > 2.5
    assert loaded.low < loaded.ratio < loaded.high
    fewer = load(case_of(wall=replace(WALL, light_readings=readings[:1])))
    assert fewer.high / fewer.low > loaded.high / loaded.low
    assert any("after dark" in question for question in fewer.missing)


def test_room_readings_are_wider_than_those_at_the_wall():
    readings = tuple(reading(f"2026-0{month}-04 11:10", 60.0, "overcast") for month in (3, 5, 7))
    at_wall = load(case_of(wall=replace(WALL, light_readings=readings)))
    in_room = load(case_of(room=replace(ROOM, light_readings=readings)))
    assert in_room.high / in_room.low > at_wall.high / at_wall.low
    assert any("fern-north itself" in question for question in in_room.missing)


def test_lamps_of_the_survey_close_what_summer_hides():
    record = lit(56, level=60.0, start=140)
    unknown = load(case_of(record))
    told = load(case_of(record, lamps=(LAMP,)))
    assert any("lamps" in question for question in unknown.missing)
    assert not any("lamps" in question for question in told.missing)


def test_peak_is_a_note_and_no_load():
    loaded = load(case_of(lit(365, level=60.0)))
    assert any(note.startswith("The brightest reading") for note in loaded.notes)
    assert loaded.ratio < 1.6


def test_years_to_a_step_are_a_range():
    note = next(note for note in load(case_of(lit())).notes if "just noticeable" in note)
    span = note.split("noticeable in ")[1].split(" years")[0]
    low, high = (float(word.replace(",", "")) for word in span.split(" to "))
    assert high > 5.0 * low


def test_rotation_and_rest_are_told():
    work = replace(WORK, on_show_months=4.0, rest_months=20.0)
    assert any("rested for 20" in note for note in load(case_of(lit(level=600.0), work=work)).notes)
    assert any("% of the time" in note for note in load(case_of(lit(level=600.0))).notes)


@pytest.mark.parametrize(
    "measure", ["neutral-film", "uv-film", "shutters-outside-hours", "work-curtain", "dim-lamps"]
)
def test_measures_lower_every_draw(measure):
    record = lit(lamp=40.0)
    case = case_of(record, lamps=(LAMP,))
    plain, measured = load(case), load(case.with_measures(frozenset({measure})))
    assert (measured.draws < plain.draws).all()


def test_film_leaves_lamps_alone():
    only_lamps = lit(level=0.0, lamp=60.0)
    plain = load(case_of(only_lamps))
    filmed = load(case_of(only_lamps, measures=("neutral-film",)))
    assert filmed.ratio == pytest.approx(plain.ratio, rel=1e-6)


def test_a_new_picture_light_counts_as_dose():
    plain, lit_up = load(case_of(lit())), load(case_of(lit(), measures=("add-picture-light",)))
    # 150 lx for 4 h a day.
    assert lit_up.exposure.value - plain.exposure.value == pytest.approx(150 * 4 * 365.25, rel=0.01)


@settings(max_examples=20)
@given(st.floats(1.0, 30.0), st.integers(2, 40), st.integers(0, 300))
def test_raising_the_light_never_lowers_the_load(factor, weeks, start):
    less = load(case_of(lit(7 * weeks, 40.0, start=start, step_s=1800)))
    more = load(case_of(lit(7 * weeks, 40.0 * factor, start=start, step_s=1800)))
    assert (more.draws >= less.draws - 1e-9).all()


def test_walls_that_share_a_logger_share_its_error():
    first, second = load(case_of(lit(), wall=WALL)), load(case_of(lit(), wall=replace(WALL, id="fern-east")))
    assert np.corrcoef(first.draws, second.draws)[0, 1] > 0.7


def test_the_seed_alone_moves_the_draws():
    again = load(case_of(lit(30, start=100)))
    assert (load(case_of(lit(30, start=100))).draws == again.draws).all()
    assert (load(case_of(lit(30, start=100), seed=5)).draws != again.draws).any()


def test_fan_ends_at_the_load():
    case = case_of(lit(60, start=80))
    fan, loaded = dose_fan(case), load(case)
    assert fan.median[-1] == pytest.approx(loaded.exposure.value, rel=0.01)
    assert fan.low[0] == fan.high[0] == 0.0
    assert (np.diff(fan.median) >= -1e-6).all()
    assert dose_fan(case_of()) is None


def test_light_of_a_case_is_remembered():
    case = case_of(lit())
    assert light_at(case, 365.0) is light_at(case, 365.0)


def test_windows_enter_the_method():
    assert any("windows" in note for note in load(case_of(lit(28))).notes)
    blind_survey = survey_of(windows=(replace(NORTH_WINDOW, bearing_deg=None, side=None, room="fern-room"),))
    assert any("latitude" in note for note in load(case_of(lit(28), survey=blind_survey)).notes)


def test_a_load_is_cheap_once_the_exposure_is_known():
    case = case_of(lit(60))
    load(case)
    start = time.process_time()
    for _ in range(50):
        load(case)
    assert (time.process_time() - start) / 50 < 0.005

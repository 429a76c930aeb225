"""Mould, the wall's cold face, corrosion and salts on plain records, and their laws."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.case import Stay
from stillwall.hazards import corrosion, mould, salts, wall_climate
from stillwall.judgement.chance import Thresholds, hopeless
from stillwall.record import Record
from tests.hazards.climate_cases import YEAR_H, case, hours, outdoor, record

H = np.arange(YEAR_H)
COLD = 2 - 6 * np.cos(2 * np.pi * H / YEAR_H)
EMPTY = Record(place="north-wall", channels={})
OUTSIDE = {"outside": True, "u_value_w_m2k": 1.0}


def test_a_dry_inside_wall_has_no_mould_and_does_not_decide():
    load = mould.load(case(record(20.0, 50.0, accuracy=(0.5, 3.0))))
    assert load.high == 0.0
    assert not load.deciding
    assert not load.cautions


def test_a_damp_inside_wall_decides_and_warns_of_peoples_health():
    load = mould.load(case(record(20.0, 90.0)))
    # 20 degC and 90 % on a sensitive surface: the index ends at 3.045.
    assert load.ratio == pytest.approx(3.045, rel=0.02)
    assert load.deciding
    assert "health" in load.cautions[0]


def test_above_65_per_cent_in_any_month_mould_decides():
    july = hours().astype("datetime64[M]") == np.datetime64("2025-07")
    load = mould.load(case(record(20.0, np.where(july, 68.0, 50.0))))
    assert load.deciding
    assert load.ratio == 0.0


def test_the_room_is_dry_and_the_cold_wall_behind_the_work_is_not():
    made = record(20.0, 50.0, outdoors=outdoor(COLD))
    inside = mould.load(case(made))
    # U 2.1 and 0.18 m2K/W behind the picture: 91.8 % at 0 degC outside, by hand.
    outside = mould.load(case(made, wall={"outside": True, "u_value_w_m2k": 2.1}))
    assert inside.ratio == 0.0
    assert outside.ratio > 0.3
    assert outside.deciding
    assert outside.evidence == "measured"


def test_an_error_of_the_hygrometer_reaches_the_index():
    near = mould.load(case(record(20.0, 79.0, accuracy=(0.5, 3.0))))
    assert near.low == 0.0
    assert near.high > 0.2


def test_bronze_on_a_dry_wall_and_unlogged_places():
    assert mould.load(case(EMPTY)).blocks
    assert not mould.load(case(EMPTY, medium="bronze", kind="bust")).blocks
    assert mould.load(case(EMPTY, condition="active_mould")).cautions


def test_the_frame_counts_where_it_is_more_sensitive():
    made = record(20.0, 88.0)
    plain = mould.load(case(made, medium="bronze", kind="relief"))
    framed = mould.load(case(made, medium="bronze", kind="relief", frame="gilded_gesso"))
    assert framed.ratio > plain.ratio


def test_surface_humidity_of_the_worst_month_by_hand():
    # U 1.0, 0.18 m2K/W behind, outside 0 degC all year: 14.7 degC and 69.7 %RH, against 75 for canvas.
    made = record(20.0, 50.0, outdoors=outdoor(0.0))
    load = wall_climate.load(case(made, wall=OUTSIDE))
    assert load.exposure.value == pytest.approx(69.7, abs=0.5)
    assert load.ratio == pytest.approx(69.7 / 75, abs=0.01)
    assert load.evidence == "surveyed"
    assert load.deciding


def test_a_logged_surface_is_used_as_it_is():
    made = record(20.0, 50.0, outdoors=outdoor(0.0), surface_temperature=12.0)
    load = wall_climate.load(case(made, wall=OUTSIDE))
    assert load.exposure.value == pytest.approx(83.4, abs=0.1)
    assert load.evidence == "measured"
    assert "logged at the surface" in load.reason


def test_outdoors_is_assumed_from_the_latitude_and_said_so():
    load = wall_climate.load(case(record(20.0, 50.0), wall=OUTSIDE))
    assert load.evidence == "assumed"
    assert "latitude" in load.reason
    assert load.high - load.low > 0.05


def test_an_inside_wall_has_no_cold_face_and_an_unknown_one_is_asked_about():
    assert wall_climate.load(case(record(), wall={"outside": False})) is None
    unknown = wall_climate.load(case(record(), wall={"outside": None}))
    assert any("outside wall" in question for question in unknown.missing)
    assert 0.1 < unknown.chance_over < 0.8


def test_a_record_of_july_cannot_clear_a_cold_wall():
    july = hours(31 * 24, start=np.datetime64("2025-07-01T00:00:00", "s"))
    load = wall_climate.load(case(record(24.0, 45.0, july), wall=OUTSIDE))
    assert load.blocks
    assert any("at least six weeks in each season" in question for question in load.missing)
    summer = Stay(dt.date(2026, 7, 1), dt.date(2026, 7, 28))
    assert wall_climate.load(case(record(24.0, 45.0, july), wall=OUTSIDE, stay=summer)).exposure is not None


def test_a_stand_off_warms_the_wall_behind():
    made = record(20.0, 50.0, outdoors=outdoor(0.0))
    flat = case(made, wall=OUTSIDE)
    off = flat.with_measures(frozenset({"stand-off"}))
    assert wall_climate.load(off).ratio < wall_climate.load(flat).ratio
    assert mould.load(off).ratio <= mould.load(flat).ratio


def test_no_record_at_an_outside_wall_blocks():
    assert wall_climate.load(case(EMPTY, wall=OUTSIDE)).blocks


def test_bronze_disease_counts_hours_and_not_means():
    # 3 h in 10 at 45 %RH, the rest at 20: 2 630 h a year above 35, where 88 are allowed; the mean is 27.5.
    made = record(20.0, np.where(H % 10 < 3, 45.0, 20.0))
    load = corrosion.load(case(made, medium="bronze-active-corrosion", kind="bust"))
    assert load.exposure.value == pytest.approx(0.3 * 8766, rel=0.01)
    assert load.ratio == pytest.approx(0.3 * 8766 / 88, rel=0.01)
    assert "876 times" in load.reason
    assert load.deciding


def test_crizzled_glass_is_harmed_on_both_sides():
    ratios = [
        corrosion.load(case(record(20.0, level), medium="crizzled-glass", kind="object")).ratio
        for level in (30.0, 42.0, 55.0)
    ]
    assert ratios[1] == 0.0
    assert ratios[0] == pytest.approx(ratios[2])
    assert ratios[0] > 10


def test_water_gilding_of_a_frame_is_judged_beside_the_picture():
    wet = record(20.0, np.where(H < 240, 80.0, 50.0))
    load = corrosion.load(case(wet, frame="gilded_gesso"))
    assert "water gilding" in load.reason
    assert load.ratio > 1
    assert corrosion.load(case(wet)) is None


def test_salts_count_crossings_both_ways_round():
    # Ten days damp, ten days dry: 18.25 crossings a year of sodium chloride's 75 %.
    made = record(20.0, np.where(H // 240 % 2 == 0, 60.0, 85.0))
    load = salts.load(case(made, medium="plaster", kind="bust"))
    assert load.exposure.value == pytest.approx(18.25, rel=0.06)
    steady = salts.load(case(record(20.0, 85.0), medium="plaster", kind="bust"))
    assert steady.ratio == 0.0


def test_salts_that_nobody_has_seen_leave_a_place_open_and_condemn_none():
    made = record(20.0, np.where(H // 12 % 2 == 0, 60.0, 85.0))
    found = case(made, medium="plaster", kind="bust")
    load = salts.load(found)
    assert load.chance_over == 1.0
    assert load.evidence == "assumed"
    assert "Are there salts" in load.missing[-1]
    assert not hopeless(load, Thresholds.of(found.library))


def test_salts_that_were_looked_for_condemn_a_place_or_are_no_load():
    made = record(20.0, np.where(H // 12 % 2 == 0, 60.0, 85.0))
    found = case(made, medium="plaster", kind="bust", salts_seen=True)
    load = salts.load(found)
    assert load.evidence == "measured"
    assert load.missing == ()
    assert hopeless(load, Thresholds.of(found.library))
    assert salts.load(case(made, medium="plaster", kind="bust", salts_seen=False)) is None


def test_metals_and_stone_without_a_record_block():
    assert corrosion.load(case(EMPTY, medium="bronze", kind="bust")).blocks
    assert salts.load(case(EMPTY, medium="marble", kind="bust")).blocks
    assert salts.load(case(record())) is None


def test_a_spring_record_does_not_clear_the_year():
    spring = hours(24 * 60, start=np.datetime64("2025-03-01T00:00:00", "s"))
    made = record(20.0, 50.0, spring)
    assert corrosion.load(case(made, medium="bronze", kind="bust")).blocks
    assert salts.load(case(made, medium="marble", kind="bust")).blocks
    assert mould.load(case(made)).blocks
    assert corrosion.load(case(made, medium="bronze", kind="bust")).high > 0.5


@settings(max_examples=15)
@given(st.floats(30, 95), st.floats(0, 10), st.sampled_from([0, 200, 2000]))
def test_damper_never_lowers_mould_wall_or_bronze(level, more, period):
    wave = 5 * np.sin(2 * np.pi * H / period) if period else 0.0
    for hazard, facts in (
        (mould, {}),
        (mould, {"wall": OUTSIDE}),
        (wall_climate, {"wall": OUTSIDE}),
        (corrosion, {"medium": "bronze", "kind": "bust"}),
    ):
        low = hazard.load(case(record(18.0, np.minimum(level + wave, 100)), count=64, **facts))
        high = hazard.load(case(record(18.0, np.minimum(level + wave + more, 100)), count=64, **facts))
        assert np.median(high.draws) >= np.median(low.draws) - 0.02

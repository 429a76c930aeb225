"""The load of felt humidity: hand figures on plain records, and the laws that it must keep."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.case import Stay
from stillwall.hazards import humidity, humidity_swing
from stillwall.record import Record
from stillwall.survey.works import LenderLimits
from tests.hazards.climate_cases import YEAR_H, case, channel, hours, record

H = np.arange(YEAR_H)
YEARLY = np.sin(2 * np.pi * H / YEAR_H)
DAILY = np.sin(2 * np.pi * H / 24)


def test_steady_air_at_the_centre_is_no_load_at_all_but_for_the_unknown_history():
    load = humidity.load(case(record(humidity=50.0)))
    assert load.exposure.value == pytest.approx(0.0, abs=0.01)
    assert load.allowance.value == 10.0
    assert load.evidence == "assumed"
    assert "has been living" in load.missing[0]


def test_a_lived_in_level_moves_the_band_and_the_report_says_so():
    lived = record(humidity=58.0, place="old-place")
    assert humidity.load(case(record(humidity=58.0))).ratio == pytest.approx(0.8, abs=0.01)
    known = humidity.load(case(record(humidity=58.0), lived=lived))
    assert known.ratio == pytest.approx(0.0, abs=1e-9)
    assert known.evidence == "measured"
    assert "where the work has been living" in known.reason


def test_the_candidates_own_record_never_centres_the_band():
    steady_and_dry = humidity.load(case(record(humidity=30.0)))
    assert steady_and_dry.ratio == pytest.approx(2.0, abs=0.01)


def test_what_the_work_has_lived_with_is_at_most_a_full_load_on_its_own_wall():
    own = record(humidity=50 + 14 * YEARLY, accuracy=(0.5, 3.0))
    home = humidity.load(case(own, lived=own))
    assert home.high <= 1.0 + 1e-9
    assert any("lived with; a repair" in note for note in home.notes)
    flaking = humidity.load(case(own, lived=own, condition="flaking"))
    assert flaking.ratio > 1.3
    assert any("flaking" in note for note in flaking.notes)


def test_a_lenders_band_replaces_all_others_and_has_no_span():
    limits = LenderLimits(humidity_low_pct=45.0, humidity_high_pct=55.0)
    load = humidity.load(case(record(humidity=54.0), lender=limits, lived=record(humidity=60.0, place="old")))
    assert load.ratio == pytest.approx(0.8, abs=0.01)
    assert load.span is None
    assert load.evidence == "measured"
    assert load.sources[0].key == "lender"


def test_a_mediums_own_band_governs_until_a_history_is_logged():
    at = record(humidity=56.0)
    paper = {"medium": "rag-paper", "kind": "paper"}
    # 35 to 55 for paper: 11 of 10 above its centre; used to 55 %RH it is 1 of 10.
    own = humidity.load(case(at, **paper))
    assert own.ratio == pytest.approx(1.1, abs=0.01)
    assert any("own band governs" in note for note in own.notes)
    used_to_it = humidity.load(case(at, lived=record(humidity=55.0, place="old"), **paper))
    assert used_to_it.ratio == pytest.approx(0.1, abs=0.01)
    assert any("has lived with counts" in note for note in used_to_it.notes)


def test_a_partial_record_can_fail_and_cannot_clear():
    winter = hours(24 * 80)
    good = humidity.load(case(record(humidity=50.0, times=winter)))
    assert good.blocks
    assert good.chance_over < 0.8
    assert "June to August" in good.missing[0]
    bad = humidity.load(case(record(humidity=80.0, times=winter)))
    assert bad.blocks
    assert bad.chance_over > 0.95


def test_a_stay_inside_one_season_needs_only_that_season():
    winter = hours(24 * 80)
    stay = Stay(dt.date(2026, 1, 10), dt.date(2026, 2, 20))
    load = humidity.load(case(record(humidity=50.0, times=winter), stay=stay))
    assert not load.blocks
    assert load.chance_over < 0.2


def test_no_record_decides_nothing():
    load = humidity.load(case(Record(place="north-wall", channels={})))
    assert load.draws is None
    assert load.blocks
    assert load.missing


def test_bronze_feels_no_humidity():
    assert humidity.load(case(record(), medium="bronze", kind="bust")) is None


def test_plaster_is_judged_by_its_own_band_and_not_by_one_for_works_that_take_up_moisture():
    # The Bizot protocol is for "objects containing hygroscopic material"; plaster is none.
    load = humidity.load(
        case(record(humidity=38.0), medium="plaster", kind="bust", lived=record(humidity=45.0))
    )
    assert "the band of plaster" in load.reason
    assert "Bizot" not in load.reason
    assert humidity_swing.load(case(record(), medium="plaster", kind="bust")) is None


def test_the_frame_is_judged_beside_the_picture_and_named_when_it_governs():
    # A picture behind glass with a sealed back follows in twenty days, its frame in fifteen.
    at = record(humidity=50 + 14 * np.sin(2 * np.pi * H / (24 * 60)))
    load = humidity.load(case(at, frame="gilded_gesso", glazing="glass", backing="sealed"))
    assert load.reason.startswith("The frame feels")
    assert any(note.startswith("The picture by itself") for note in load.notes)


def test_walls_that_share_a_logger_share_its_error():
    at = record(humidity=56.0, accuracy=(0.5, 3.0))
    first = humidity.load(
        case(at, lived=record(humidity=50.0, place="old", logger="hall", accuracy=(0.5, 3.0)))
    )
    assert np.ptp(first.draws) < 1e-9
    other = humidity.load(
        case(at, lived=record(humidity=50.0, place="old", logger="attic", accuracy=(0.5, 3.0)))
    )
    assert np.ptp(other.draws) > 0.1


@settings(max_examples=25, deadline=None)
@given(
    level=st.floats(20, 80),
    seasonal=st.floats(0, 15),
    daily=st.floats(0, 15),
    more=st.floats(0, 10),
)
def test_more_of_the_same_departure_never_lowers_the_load(level, seasonal, daily, more):
    signal = seasonal * YEARLY + daily * DAILY
    away = 1.0 if level >= 50 else -1.0
    low = humidity.load(case(record(humidity=level + signal), count=100))
    high = humidity.load(case(record(humidity=level + away * more + signal), count=100))
    assert np.median(high.draws) >= np.median(low.draws) - 1e-9


@settings(max_examples=15, deadline=None)
@given(st.integers(24 * 20, YEAR_H), st.integers(0, 1000))
def test_a_shorter_record_never_looks_better_and_never_clears(length, seed):
    noise = np.random.default_rng(seed).normal(0, 2, YEAR_H)
    values = 50 + 5 * YEARLY + noise
    whole = humidity.load(case(record(humidity=values), count=200))
    part = humidity.load(case(record(humidity=values[:length], times=hours()[:length]), count=200))
    assert part.blocks or whole.evidence == part.evidence
    if part.blocks:
        assert part.high >= whole.high - 1e-9


def test_readings_that_are_no_numbers_count_for_nothing():
    values = np.full(YEAR_H, 50.0)
    values[4000:4100] = np.nan
    load = humidity.load(case(record(humidity=values)))
    assert load.exposure.value == pytest.approx(0.0, abs=0.01)


def test_excluded_readings_count_for_nothing():
    times = hours()
    values = np.full(YEAR_H, 50.0)
    values[4000:4100] = 99.0
    excluded = values > 90
    made = channel("humidity", times, values, excluded=excluded)
    load = humidity.load(case(Record(place="north-wall", channels={"humidity": made})))
    assert load.exposure.value == pytest.approx(0.0, abs=0.01)

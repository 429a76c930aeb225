"""The load of daily swings: closed forms, strain, and what the work has lived with."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.exposure.felt import sine_response
from stillwall.hazards import humidity_swing
from stillwall.record import Record
from stillwall.survey.works import LenderLimits
from tests.hazards.climate_cases import YEAR_H, case, hours, record

H = np.arange(YEAR_H)
PANEL = {"medium": "oil-on-panel", "kind": "panel"}
DAILY = np.sin(2 * np.pi * H / 24)


def test_a_daily_sine_is_felt_by_its_closed_form():
    fine = hours(YEAR_H, 600)
    wave = 50 + 12 * np.sin(2 * np.pi * np.arange(len(fine)) / 144)
    load = humidity_swing.load(case(record(humidity=wave, times=fine)))
    share, _ = sine_response(24.0, 24.0)
    assert load.exposure.value == pytest.approx(12 * share, rel=0.01)
    assert load.allowance.value == 10.0
    assert load.ratio == pytest.approx(1.2 * share, rel=0.01)


def test_backing_and_glazing_slow_the_air_behind():
    at = record(humidity=50 + 12 * DAILY)
    bare, sealed, glazed = (
        humidity_swing.load(case(at, **facts)).ratio
        for facts in ({}, {"backing": "sealed"}, {"backing": "sealed", "glazing": "glass"})
    )
    assert bare > 3 * sealed > 3 * glazed


def test_an_unknown_back_counts_as_open():
    at = record(humidity=50 + 12 * DAILY)
    assert humidity_swing.load(case(at)).ratio == humidity_swing.load(case(at, backing="open")).ratio


def test_strain_of_a_named_wood_by_hand():
    # Oak, tangential: 10.2 % over 30 % of moisture at 0.161 % per %RH: 0.004 is reached by 7.3 %RH at 50 %.
    slow = 50 + 12 * np.sin(2 * np.pi * H / (24 * 20))
    load = humidity_swing.load(case(record(humidity=slow), species="oak", cut="tangential", **PANEL))
    assert "strain that wood bears" in load.reason
    assert load.allowance.value == pytest.approx(0.004 / (10.2 / 100 / 30 * 0.161), rel=0.01)
    radial = humidity_swing.load(case(record(humidity=slow), species="oak", cut="radial", **PANEL))
    assert radial.ratio < load.ratio


def test_a_wood_that_nobody_named_is_spread_over_the_table():
    slow = 50 + 12 * np.sin(2 * np.pi * H / (24 * 20))
    named = humidity_swing.load(case(record(humidity=slow), species="lime", cut="tangential", **PANEL))
    unnamed = humidity_swing.load(case(record(humidity=slow), **PANEL))
    assert unnamed.low < named.ratio < unnamed.high
    assert any("which wood" in question for question in unnamed.missing)
    assert not any("which wood" in question for question in named.missing)
    assert unnamed.high - unnamed.low > 5 * (named.high - named.low)


def test_what_the_work_has_lived_with_widens_the_allowance_and_is_told():
    lively = record(humidity=50 + 25 * DAILY, place="old")
    at = record(humidity=50 + 25 * DAILY)
    stranger, native = humidity_swing.load(case(at)), humidity_swing.load(case(at, lived=lively))
    assert stranger.ratio > 1
    assert native.ratio == pytest.approx(1.0, abs=1e-6)
    assert any("lived with" in note for note in native.notes)
    flaking = humidity_swing.load(case(at, lived=lively, surface="flaking", condition="flaking"))
    assert flaking.ratio == stranger.ratio


def test_a_lenders_swing_replaces_the_guidelines():
    limit = LenderLimits(humidity_low_pct=40.0, humidity_high_pct=60.0, humidity_swing_pct=3.0)
    load = humidity_swing.load(case(record(humidity=50 + 12 * DAILY), lender=limit))
    assert load.allowance.value == 3.0
    assert load.span is None


def test_a_gilded_frame_is_named_where_it_governs():
    slow = 50 + 14 * np.sin(2 * np.pi * H / (24 * 10))
    load = humidity_swing.load(case(record(humidity=slow), frame="gilded_gesso"))
    assert "frame" in load.reason
    assert "gesso" in load.reason
    assert any(note.startswith("Daily swing of the picture") for note in load.notes)


def test_no_record_and_part_of_one():
    assert humidity_swing.load(case(Record(place="north-wall", channels={}))).blocks
    spring = hours(24 * 60)
    part = humidity_swing.load(case(record(humidity=50 + 5 * DAILY[: len(spring)], times=spring)))
    assert part.blocks
    assert part.draws is not None


def test_an_offset_of_the_sensor_is_no_swing():
    at = record(humidity=50 + 12 * DAILY, accuracy=(0.5, 3.0))
    load = humidity_swing.load(case(at))
    # Only the error of gain, 3 in 50 either way, is left.
    assert (load.high - load.low) / load.ratio == pytest.approx(0.12, abs=0.01)


@settings(max_examples=20)
@given(st.floats(0, 20), st.floats(1.0, 2.0), st.integers(1, 40))
def test_a_larger_swing_of_the_same_shape_never_lowers_the_load(amplitude, more, days):
    wave = np.sin(2 * np.pi * H / (24 * days))
    small, large = (
        humidity_swing.load(case(record(humidity=50 + size * wave), count=64, frame="composition"))
        for size in (amplitude, amplitude * more)
    )
    assert np.median(large.draws) >= np.median(small.draws) - 1e-9

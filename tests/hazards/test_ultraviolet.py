"""Ultraviolet: measured, read by hand, or by windows and lamps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.ultraviolet import irradiance_mw_m2, logged_ultraviolet, mixed_proportion
from stillwall.hazards.ultraviolet import load
from stillwall.record import Record
from stillwall.survey.works import LenderLimits
from tests.exposure.light_records import clock, record_of

from .light_cases import FIRST_DAY, LAMP, SOUTH_WINDOW, WALL, WORK, case_of, lit, reading


def _with_uv(uv=60.0, unit="uW/lm", lux=100.0):
    seconds = clock(FIRST_DAY, 30, 900)
    light = np.where((seconds // 3600) % 24 < 12, lux, 0.0)
    values = np.full(len(seconds), uv) if unit == "uW/lm" else uv * light / 1000.0
    return record_of(seconds, light, uv=values, uv_unit=unit)


def test_proportion_and_irradiance_from_a_log():
    found = logged_ultraviolet(_with_uv(60.0))
    assert found.proportion_uw_lm == pytest.approx(60.0)
    # 60 uW/lm at 100 lx.
    assert found.irradiance_mw_m2 == pytest.approx(irradiance_mw_m2(60.0, 100.0))
    assert logged_ultraviolet(_with_uv(60.0, "mW/m2")).proportion_uw_lm == pytest.approx(60.0)
    assert logged_ultraviolet(Record("wall", {})) is None
    assert logged_ultraviolet(_with_uv(60.0, "mW/m2", lux=5.0)) is None
    assert logged_ultraviolet(_with_uv(60.0, lux=5.0)) is None


def test_proportion_is_that_of_the_doses():
    mixed = mixed_proportion((np.array([400.0]), np.array([0.0])), (np.array([100.0]), np.array([300.0])))
    assert mixed[0] == pytest.approx(100.0)


def test_a_log_decides():
    loaded = load(case_of(_with_uv(150.0)))
    assert loaded.evidence == "measured"
    assert loaded.ratio == pytest.approx(2.0, rel=0.1)
    assert not loaded.deciding
    assert loaded.missing == ()


def test_readings_by_hand_come_before_kinds():
    wall = replace(WALL, light_readings=(reading("2026-05-04 12:00", 90.0, "mixed", uv=30.0),))
    loaded = load(case_of(wall=wall))
    assert loaded.evidence == "surveyed"
    assert loaded.exposure.value == pytest.approx(30.0, rel=0.1)


def test_windows_and_lamps_by_kind():
    plain = load(case_of(lit()))
    filmed = load(case_of(lit(), windows=(replace(SOUTH_WINDOW, film="uv"),)))
    assert plain.evidence == filmed.evidence == "assumed"
    assert plain.ratio > 3.0
    assert filmed.ratio < 1.0
    assert any("µW/lm" in question for question in plain.missing)
    unknown = load(case_of(lit(), windows=(replace(SOUTH_WINDOW, glass=None, film=None),)))
    assert unknown.high >= 0.9 * plain.high


def test_lamps_weigh_by_their_dose():
    only_led = load(case_of(lit(level=0.0, lamp=60.0), lamps=(LAMP,)))
    assert only_led.high < 0.5
    stated = load(case_of(lit(level=0.0, lamp=60.0), lamps=(replace(LAMP, uv_uw_lm=90.0),)))
    assert stated.exposure.value == pytest.approx(90.0, rel=0.1)


def test_glazing_of_the_work_stops_it():
    plain = load(case_of(lit()))
    glazed = load(case_of(lit(), work=replace(WORK, glazing="uv_acrylic")))
    assert glazed.ratio < 0.1 * plain.ratio
    assert load(case_of(lit(), measures=("uv-glazing",))).ratio < 0.1 * plain.ratio


def test_limits_of_house_and_lender():
    assert load(case_of(_with_uv(20.0), uv_limit=10)).ratio == pytest.approx(2.0, rel=0.1)
    lent = replace(WORK, lender=LenderLimits(uv_uw_lm=5.0))
    loaded = load(case_of(_with_uv(20.0), work=lent))
    assert loaded.ratio == pytest.approx(4.0, rel=0.1)
    assert loaded.sources[0].key == "lender"


def test_bright_light_counts_by_irradiance():
    loaded = load(case_of(_with_uv(70.0, lux=3000.0)))
    assert loaded.ratio > 2.0


def test_stone_is_left_out_and_nothing_known_is_wide():
    assert load(case_of(work=replace(WORK, medium="marble"))) is None
    loaded = load(case_of())
    assert loaded.evidence == "assumed"
    assert loaded.high / loaded.low > 5.0


@pytest.mark.parametrize("measure", ["uv-film", "neutral-film", "uv-glazing", "work-curtain"])
def test_measures_lower_it(measure):
    case = case_of(lit())
    assert (load(case.with_measures(frozenset({measure}))).draws < load(case).draws).all()


def test_unknown_glass_neither_governs_nor_clears():
    plain = load(case_of(lit(), windows=(replace(SOUTH_WINDOW, glass="single", film=None),)))
    unknown = load(case_of(lit(), windows=(replace(SOUTH_WINDOW, glass=None, film=None),)))
    assert unknown.ratio < plain.ratio
    assert plain.chance_over > 0.2
    assert unknown.chance_over > 0.2

"""The load of air temperature: hand figures and laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.hazards import temperature
from stillwall.record import Record
from stillwall.survey.works import LenderLimits
from tests.hazards.climate_cases import YEAR_H, case, hours, record

H = np.arange(YEAR_H)


def test_reach_over_half_width_by_hand():
    # Bizot: 16 to 25, so 4.5 K about 20.5. Half the hours of every season at 18, half at 24.
    load = temperature.load(case(record(np.where(H % 24 < 12, 18.0, 24.0))))
    assert load.ratio == pytest.approx(3.5 / 4.5)
    assert (load.exposure.value, load.allowance.value) == pytest.approx((3.5, 4.5))
    assert load.evidence == "measured"


def test_the_worst_season_counts_and_is_not_diluted_by_the_others():
    # 29 degC through June to August only, a quarter of the year; a yearly mean would be 22.
    summer = (hours().astype("datetime64[M]").astype(int) % 12 // 1) // 1
    hot = np.isin(summer, (5, 6, 7))
    load = temperature.load(case(record(np.where(hot, 29.0, 20.5))))
    assert load.ratio == pytest.approx(8.5 / 4.5)


def test_a_mediums_own_band_governs_where_it_leaves_no_more_room():
    load = temperature.load(case(record(22.0), medium="silver-gelatin-fibre", kind="photograph"))
    own = case(record(22.0)).library.media["silver-gelatin-fibre"].temperature
    if own is not None:
        assert load.sources[0] == own.source
    acrylic = temperature.load(case(record(8.0), medium="acrylic-painting"))
    assert acrylic.ratio > 1


def test_a_lender_replaces_the_band():
    strict = LenderLimits(temperature_low_c=19.0, temperature_high_c=21.0)
    load = temperature.load(case(record(20.9), lender=strict))
    assert load.ratio == pytest.approx(0.9)
    assert load.sources[0].key == "lender"


def test_a_band_that_follows_history_is_centred_on_it():
    lived = record(18.0, place="old")
    known = temperature.load(case(record(20.0), guideline="ashrae-2019-aa", lived=lived))
    assert known.exposure.value == pytest.approx(2.0)
    unknown = temperature.load(case(record(20.0), guideline="ashrae-2019-aa"))
    assert unknown.exposure.value == pytest.approx(1.0)
    assert unknown.evidence == "assumed"


def test_an_unlogged_temperature_is_never_as_if_safe():
    empty = Record(place="north-wall", channels={})
    load = temperature.load(case(empty))
    assert load.evidence == "assumed"
    assert 0.2 < load.chance_over < 0.8
    deciding = temperature.load(case(empty, medium="wax", kind="relief"))
    assert deciding.blocks


def test_the_error_of_the_sensor_widens_the_interval():
    exact = temperature.load(case(record(24.0)))
    rough = temperature.load(case(record(24.0, accuracy=(1.0, 3.0))))
    assert exact.high - exact.low < 1e-9
    # One kelvin either way, 90 %.
    assert (rough.high - rough.low) * 4.5 == pytest.approx(2.0, rel=0.02)


@given(st.floats(-10, 45), st.floats(0, 10))
def test_farther_from_the_centre_never_lowers_the_load(level, more):
    away = more if level >= 20.5 else -more
    near, far = (
        temperature.load(case(record(value, accuracy=(0.0, 3.0)), count=64))
        for value in (level, level + away)
    )
    assert (far.draws >= near.draws - 1e-9).all()


@pytest.mark.parametrize("medium", ["bronze", "marble", "plaster", "ceramic"])
def test_metal_and_stone_feel_no_warmth(medium):
    # The Bizot protocol is for "objects containing hygroscopic material"; these neither swell, soften nor age.
    assert temperature.load(case(record(29.0), medium=medium, kind="bust")) is None
    lender = LenderLimits(temperature_low_c=18.0, temperature_high_c=24.0)
    assert temperature.load(case(record(29.0), medium=medium, kind="bust", lender=lender)).ratio > 1

"""The carpet of light by day and hour, against readings put into its cells by hand."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.exposure.light_carpet import light_carpet
from stillwall.record import Record
from tests.exposure.light_records import DAY_S, record_of

MARCH = 20_148
"""1 March 2025."""


def test_each_cell_holds_its_greatest_reading():
    # Day 0: 00:00, 00:10 and 23:59; day 2: 12:00. Slots of an hour.
    seconds = MARCH * DAY_S + np.array([0, 600, 86_399, 2 * DAY_S + 12 * 3600])
    carpet = light_carpet(record_of(seconds, [7.0, 3.0, 11.0, 5.0]), slots=24)
    assert carpet.first_day == np.datetime64("2025-03-01")
    expected = np.full((3, 24), np.nan)
    expected[0, 0], expected[0, 23], expected[2, 12] = 7.0, 11.0, 5.0
    assert carpet.lux == pytest.approx(expected, nan_ok=True)


def test_slots_are_quarters_of_an_hour():
    seconds = MARCH * DAY_S + np.array([0, 899, 900, 86_399])
    carpet = light_carpet(record_of(seconds, [1.0, 2.0, 3.0, 4.0]))
    assert carpet.lux.shape == (1, 96)
    assert carpet.lux[0, [0, 1, 95]].tolist() == [2.0, 3.0, 4.0]


@pytest.mark.parametrize(
    ("utc", "zone", "slot"), [(True, "Asia/Tokyo", 9), (True, None, 0), (False, "Asia/Tokyo", 0)]
)
def test_the_clock_is_local_where_it_is_known_to_be_utc(utc, zone, slot):
    # Japan is nine hours ahead of UTC all year.
    carpet = light_carpet(record_of([MARCH * DAY_S], [80.0], utc=utc, zone=zone), slots=24)
    assert np.flatnonzero(np.isfinite(carpet.lux[0])).tolist() == [slot]


def test_a_long_record_keeps_its_last_1100_days():
    days = np.array([0, 900, 901, 2000])
    carpet = light_carpet(record_of((MARCH + days) * DAY_S, [1.0, 2.0, 3.0, 4.0]), slots=1)
    assert carpet.lux.shape == (1100, 1)
    assert carpet.first_day == np.datetime64(MARCH + 901, "D")
    assert np.flatnonzero(np.isfinite(carpet.lux[:, 0])).tolist() == [0, 1099]
    assert carpet.lux[[0, 1099], 0].tolist() == [3.0, 4.0]


def test_without_a_reading_there_is_no_carpet():
    assert light_carpet(Record("wall", {})) is None
    assert light_carpet(record_of([0, 600], [np.nan, np.nan])) is None

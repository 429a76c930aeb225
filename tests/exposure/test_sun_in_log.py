"""Sun on a sensor, planted in made half-hours: what is marked, what is not, and how it is summed."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.exposure.daylight_reference import Outdoors
from stillwall.exposure.dose import HalfHours
from stillwall.exposure.lamps import LampSchedule
from stillwall.exposure.sun_in_log import find_sun

DAYS, SLOTS = 20, 48
FIRST = 20_000
NO_LAMPS = LampSchedule(np.zeros((7, SLOTS)), np.zeros((7, SLOTS)), np.zeros(SLOTS, bool), from_survey=False)
RATIO = 0.01


def sky(**facts):
    """Days on which the sun goes from 62 to 298 degrees at an even pace, and stands at 42 degrees in slot 24."""
    slot = np.arange(SLOTS)
    height = 42.0 - 3.5 * np.abs(slot - 24)
    whole = np.ones((DAYS, 1))
    made = {
        "first_day": FIRST,
        "elevation_deg": whole * height,
        "azimuth_deg": whole * (62.0 + 5.0 * slot),
        "reference_lux": whole * np.where(height > 0, 50_000.0, 0.0),
        "dark": whole * height < -6.0,
        "deep_night": whole * height < -12.0,
        "local_slot": np.broadcast_to((slot + 2) % SLOTS, (DAYS, SLOTS)),
        "weekday": np.broadcast_to(((FIRST + 3 + np.arange(DAYS)) % 7)[:, None], (DAYS, SLOTS)),
    }
    return Outdoors(**(made | facts))


def cells(sun, covered=0.5):
    """A room at a hundredth of the light outdoors, with ``sun[(day, slot)]`` lux in its stead."""
    lux = RATIO * sky().reference_lux
    for place, level in sun.items():
        lux[place] = level
    hours = np.full((DAYS, SLOTS), covered)
    return HalfHours(FIRST, lux * hours, hours)


def patch(days, level=5000.0, slot=28):
    return {(day, slot): level for day in days}


def test_sun_on_three_days_is_found_and_summed_above_ordinary_daylight():
    found = find_sun(cells(patch([2, 5, 9]) | {(9, 29): 8000.0}), sky(), NO_LAMPS)
    # Slot 28: the sun at 202 degrees and 28 high; slot 29, at 207 and 24.5, is another place, on one day only.
    assert found.found
    assert found.days.tolist() == [FIRST + 2, FIRST + 5, FIRST + 9]
    assert found.daily_lux_h[[2, 5, 9]] == pytest.approx([(5000.0 - 500.0) * 0.5] * 3)
    assert found.daily_lux_h.sum() == pytest.approx(3 * 2250.0)
    assert (found.hours, found.peak_lux) == (1.5, 5000.0)
    assert found.places == ((205.0, 27.5),)
    # On the local clock, two half-hours on: 15:00 to 15:30.
    assert (found.from_h, found.to_h) == (15.25, 15.25)


@pytest.mark.parametrize(("days", "told"), [([1, 2], False), ([1, 2, 3], True)])
def test_two_days_are_no_sun(days, told):
    assert find_sun(cells(patch(days)), sky(), NO_LAMPS).found is told


@pytest.mark.parametrize(("seen", "told"), [(20, True), (21, False)])
def test_the_sun_comes_on_three_in_twenty_days(seen, told):
    # 3 of 20 days are 15 %; of 21 fewer.
    days = np.arange(seen)
    whole = sky()
    made = Outdoors(
        FIRST,
        *(
            np.resize(getattr(whole, name), (seen, SLOTS))
            for name in (
                "elevation_deg",
                "azimuth_deg",
                "reference_lux",
                "dark",
                "deep_night",
                "local_slot",
                "weekday",
            )
        ),
    )
    lux = RATIO * made.reference_lux
    lux[[1, 2, 3], 28] = 5000.0
    hours = np.full(lux.shape, 0.5)
    assert len(days) == seen
    assert find_sun(HalfHours(FIRST, lux * hours, hours), made, NO_LAMPS).found is told


@pytest.mark.parametrize(("level", "told"), [(1999.0, False), (2001.0, True)])
def test_sun_is_four_times_ordinary_daylight(level, told):
    assert find_sun(cells(patch([2, 5, 9], level)), sky(), NO_LAMPS).found is told


@pytest.mark.parametrize(("level", "told"), [(1499.0, False), (1501.0, True)])
def test_sun_is_brighter_than_1500_lux_in_a_dim_room(level, told):
    dim = cells(patch([2, 5, 9], level))
    dim = HalfHours(FIRST, np.where(dim.mean_lux == 500.0, 5.0, dim.mean_lux) * 0.5, dim.covered_h)
    assert find_sun(dim, sky(), NO_LAMPS).found is told


def test_a_lamp_is_taken_off_first():
    level = np.zeros((7, SLOTS))
    level[:, 30] = 3100.0
    lit = LampSchedule(level, np.zeros((7, SLOTS)), np.zeros(SLOTS, bool), from_survey=True)
    assert find_sun(cells(patch([2, 5, 9])), sky(), NO_LAMPS).found
    assert not find_sun(cells(patch([2, 5, 9])), sky(), lit).found


def test_low_sun_and_dull_skies_are_left_out():
    # Slot 13 has the sun at 3.5 degrees, slot 12 at 0.
    assert find_sun(cells(patch([2, 5, 9], slot=13)), sky(), NO_LAMPS).found
    assert not find_sun(cells(patch([2, 5, 9], slot=12)), sky(), NO_LAMPS).found
    dull = sky().reference_lux.copy()
    dull[:, 28] = 500.0
    assert not find_sun(cells(patch([2, 5, 9])), sky(reference_lux=dull), NO_LAMPS).found


def test_of_many_half_hours_nine_tenths_give_the_hours():
    slots = range(20, 30)
    sun = {place: level for slot in slots for place, level in patch(range(10), slot=slot).items()}
    found = find_sun(cells(sun), sky(), NO_LAMPS)
    clock = np.repeat([(slot + 2) / 2 + 0.25 for slot in slots], 10)
    assert (found.from_h, found.to_h) == pytest.approx(tuple(np.quantile(clock, [0.05, 0.95])))
    assert len(found.places) == len({((62 + 5 * s) // 10, (42 - 3.5 * abs(s - 24)) // 5) for s in slots})


def test_too_few_half_hours_say_nothing():
    lux = np.full((DAYS, SLOTS), np.nan)
    hours = np.zeros((DAYS, SLOTS))
    hours[:9, 28] = 0.5
    lux = np.where(hours > 0, 5000.0, 0.0) * hours
    found = find_sun(HalfHours(FIRST, lux, hours), sky(), NO_LAMPS)
    assert not found.found
    assert found.daily_lux_h.shape == (DAYS,)

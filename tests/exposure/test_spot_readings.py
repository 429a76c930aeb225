"""A year from hand-held readings: level, spread, lamps, and simulated rooms of which the year is known."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.exposure.daylight_reference import Location
from stillwall.exposure.dose_draws import dose_draws
from stillwall.exposure.lamps import LampFacts
from stillwall.exposure.light_year import LightSite
from stillwall.exposure.spot_readings import SpotReading, paired_ratio, spot_dose
from stillwall.record import Record
from tests.light_coverage.rooms import simulate
from tests.light_coverage.study import believed_site
from tests.light_coverage.weather import VERDICT, sky

from .light_records import DAY_S, clock, record_of

AMSTERDAM = LightSite(Location(52.37, 4.9, "Europe/Amsterdam"))
MARCH = 20_515
NOTHING = Record("wall", {})


def _at(day, hour, lux, state=None, lamps="off"):
    return SpotReading(day * float(DAY_S) + 3600.0 * hour, lux, state, lamps)


def _daylight(found):
    whole = dose_draws(found.annual.parts, coming=False)[0].sum(axis=1)
    low, median, high = np.quantile(whole, [0.05, 0.5, 0.95])
    return median, low, high


def test_no_readings_no_answer():
    assert spot_dose(NOTHING, (), AMSTERDAM) is None


def test_brighter_readings_give_more_and_more_readings_a_narrower_answer():
    days = [MARCH + 30 * number for number in range(6)]
    few = spot_dose(NOTHING, (_at(MARCH, 12, 100.0, "overcast"),), AMSTERDAM)
    many = spot_dose(NOTHING, tuple(_at(day, 12, 100.0, "overcast") for day in days), AMSTERDAM)
    bright = spot_dose(NOTHING, (_at(MARCH, 12, 300.0, "overcast"),), AMSTERDAM)
    assert _daylight(bright)[0] == pytest.approx(3.0 * _daylight(few)[0], rel=0.01)
    assert _daylight(many)[2] / _daylight(many)[1] < _daylight(few)[2] / _daylight(few)[1]


def test_the_word_for_the_sky_counts():
    clear, dull = (
        _daylight(spot_dose(NOTHING, (_at(MARCH, 12, 100.0, state),), AMSTERDAM))[0]
        for state in ("clear", "overcast")
    )
    # 100 lx under cloud is a better lit wall than 100 lx in sunshine.
    assert dull > 2.0 * clear


def test_a_reading_after_dark_gives_the_lamps():
    lamps = spot_dose(NOTHING, (_at(MARCH, 21, 80.0, "night", "on"),), AMSTERDAM).lamps
    guess = spot_dose(NOTHING, (_at(MARCH, 12, 80.0, "overcast"),), AMSTERDAM).lamps
    assert lamps.high_lux_h / lamps.low_lux_h < guess.high_lux_h / guess.low_lux_h
    site = LightSite(AMSTERDAM.location, lamps=(LampFacts(hours_per_day=4.0),))
    told = spot_dose(NOTHING, (_at(MARCH, 21, 80.0, "night", "on"),), site).lamps
    # 80 lx for 4 h on 7 days.
    assert told.mid_lux_h == pytest.approx(2240.0)


def test_lamps_are_taken_off_a_reading_by_day():
    both = (_at(MARCH, 12, 150.0, "overcast", "on"), _at(MARCH, 21, 50.0, "night", "on"))
    without = (_at(MARCH, 12, 100.0, "overcast", "off"), _at(MARCH, 21, 50.0, "night", "on"))
    first, second = (spot_dose(NOTHING, readings, AMSTERDAM) for readings in (both, without))
    assert _daylight(first)[0] == pytest.approx(_daylight(second)[0], rel=0.01)


def test_only_night_readings_leave_daylight_wide_open():
    found = spot_dose(NOTHING, (_at(MARCH, 21, 50.0, "night", "on"),), AMSTERDAM)
    _, low, high = _daylight(found)
    assert found.day_readings == 0
    assert high / low > 50.0


def test_readings_pair_with_a_log_of_the_room():
    seconds = clock(MARCH, 2)
    record = record_of(seconds, np.full(len(seconds), 200.0))
    near = _at(MARCH, 12, 50.0)
    assert paired_ratio(record, (near,), "Europe/Amsterdam") == pytest.approx(0.25)
    assert paired_ratio(record, (_at(MARCH + 9, 12, 50.0),), "Europe/Amsterdam") is None
    assert paired_ratio(NOTHING, (near,), None) is None
    dark = record_of(seconds, np.full(len(seconds), 1.0))
    assert paired_ratio(dark, (near,), None) is None


def test_six_readings_hold_the_year_of_simulated_rooms():
    """Rooms of another generator; the sky is named from the beam's share, as a person would see it."""
    held = []
    for number in range(120):
        place = sky(VERDICT[number % len(VERDICT)])
        room = simulate(place, 555_000 + number)
        draw = np.random.default_rng(number)
        up = np.flatnonzero(place.elevation > 8.0)
        taken = draw.choice(up, 6, replace=False)
        readings = []
        for index in taken:
            share = place.beam[index] / 900.0
            state = "clear" if share > 0.6 else ("mixed" if share > 0.15 else "overcast")
            level = room.daylight[index] * np.exp(0.1 * draw.standard_normal())
            readings.append(SpotReading(place.seconds[index], float(level), state, "off"))
        known = believed_site(room, basis="windows")
        # Readings are given on UTC, which a zone of +00:00 leaves as it is.
        site = LightSite(Location(place.latitude, place.longitude, "+00:00"), known.windows)
        found = spot_dose(NOTHING, tuple(readings), site)
        _, low, high = (value * 365.0 / 364.0 for value in _daylight(found))
        held.append(low <= room.daylight.sum() * 0.5 <= high)
    assert 0.84 <= np.mean(held) <= 0.99

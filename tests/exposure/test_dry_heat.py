"""Evenings of dry heat in logs without noise, on either side of each threshold that ``fires.py`` states.

The thresholds are the project's own judgement; sunsets are pvlib's.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pvlib
import pytest

from stillwall.exposure.fires import heat_seen
from stillwall.exposure.moist_air import saturation_pressure
from stillwall.record import Record
from tests.detectors.logged import channel, record

DAYS, SLOTS = 30, 96
START = np.datetime64("2025-11-01", "s")
EVENT = 14
THREE = 60
"""The slot of 15:00; slots are quarters of an hour, and evenings run to 02:00."""


def times(days=DAYS, start=START):
    return start + np.arange(days * SLOTS) * np.timedelta64(900, "s")


def curve(shape, *, days=DAYS, on=(EVENT,), usual=None):
    """20 degC, and from the slot of 15:00 on ``shape`` on some days and ``usual`` on the others."""
    made = np.full(days * SLOTS + SLOTS, 20.0)
    for day in range(days):
        added = shape if day in on else usual
        if added is not None:
            first = day * SLOTS + THREE
            made[first : first + len(added)] += added
    return made[: days * SLOTS]


def plateau(height, first=20, slots=8):
    return np.concatenate([np.zeros(first), np.full(slots, height)])


def seen(temperature, humidity=None, *, start=START, keep=None, **facts):
    at = times(len(temperature) // SLOTS, start)
    keep = np.ones(len(at), bool) if keep is None else keep
    rows = None if humidity is None else humidity[keep]
    return heat_seen(record("wall", at[keep], temperature[keep], rows), **facts)


def dates(found, start=START):
    return [int((day - start.astype("datetime64[D]")).astype(int)) for day in found.evenings]


@pytest.mark.parametrize(("height", "told"), [(1.69, False), (1.71, True), (5.0, True)])
def test_a_rise_of_1_7_kelvin_over_the_usual_evening(height, told):
    found = seen(curve(plateau(height)))
    assert dates(found) == ([EVENT] if told else [])
    assert found.rises_k == (pytest.approx((height,)) if told else ())


@pytest.mark.parametrize(("slots", "told"), [(13, True), (14, False)])
def test_0_9_kelvin_come_within_an_hour_and_a_half(slots, told):
    # An even climb to 2 K: 6 of its slots bring 0.92 or 0.86 K.
    climb = np.concatenate([np.zeros(20), 2.0 * np.arange(1, slots + 1) / slots, np.full(6, 2.0)])
    assert bool(dates(seen(curve(climb)))) is told


@pytest.mark.parametrize(("slots", "told"), [(3, False), (4, True)])
def test_a_fire_warms_for_an_hour(slots, told):
    assert bool(dates(seen(curve(plateau(3.0, slots=slots))))) is told


@pytest.mark.parametrize(("rest", "told"), [(0.59, False), (0.61, True)])
def test_warm_is_six_tenths_of_the_rise(rest, told):
    shape = np.concatenate([np.zeros(20), [3.0, 3.0, 3.0], np.full(3, 3.0 * rest)])
    assert bool(dates(seen(curve(shape)))) is told


@pytest.mark.parametrize(("climbs", "told"), [(1.18, False), (1.20, True)])
def test_the_air_itself_climbs_and_does_not_merely_cool_less(climbs, told):
    # Usual evenings fall by 3 K at 20:00; this one climbs a little. 0.7 of 1.7 K are 1.19 K.
    shape = plateau(climbs)
    assert bool(dates(seen(curve(shape, usual=plateau(-3.0))))) is told


def test_it_climbs_within_three_hours_and_not_after_the_peak():
    # Up by 1.5 K in twelve slots or in sixteen, while usual evenings fall at once.
    for slots, told in ((12, True), (16, False)):
        climb = np.concatenate([np.zeros(20), 1.5 * np.arange(1, slots + 1) / slots, np.full(4, 1.5)])
        assert bool(dates(seen(curve(climb, usual=plateau(-3.0, slots=24))))) is told
    # The peak over the usual evening first, the climb afterwards.
    late = np.concatenate([np.zeros(32), np.full(8, 1.5)])
    usual = np.concatenate([np.zeros(18), np.full(12, -3.0), np.full(10, 0.0)])
    assert not dates(seen(curve(late, usual=usual)))


@pytest.mark.parametrize(("first", "told"), [(16, False), (17, True)])
def test_without_a_latitude_it_is_dark_from_a_quarter_past_seven(first, told):
    # Slot 16 is 19:00 to 19:15, its middle before 19:15.
    assert bool(dates(seen(curve(plateau(3.0, first=first))))) is told


@pytest.mark.parametrize("latitude", [35.0, 52.0, 60.0])
@pytest.mark.parametrize("start", ["2025-10-05", "2026-01-10", "2026-03-20"])
def test_with_a_latitude_it_is_dark_three_quarters_of_an_hour_after_sunset(latitude, start):
    begin = np.datetime64(start, "s")
    day = pd.DatetimeIndex([pd.Timestamp(begin) + pd.Timedelta(days=EVENT)]).tz_localize("UTC")
    sun = pvlib.solarposition.sun_rise_set_transit_spa(day, latitude, 0.0)
    # By the sun's own clock: from noon to sunset, less the four minutes that refraction and the disc add.
    half_day_h = (sun["sunset"].iloc[0] - sun["transit"].iloc[0]).total_seconds() / 3600.0
    lift_h = 0.833 / 15.0 / np.cos(np.radians(latitude))
    dark_h = 12.0 + half_day_h - lift_h + 0.75
    for hour, told in ((dark_h - 0.3, False), (dark_h + 0.3, True)):
        first = round((hour - 15.0) * 4 - 0.5)
        if first < 2:
            continue
        found = seen(curve(plateau(3.0, first=first)), start=begin, latitude_deg=latitude)
        assert bool(found.evenings) is told


@pytest.mark.parametrize(("gain", "told"), [(0.050, True), (0.054, False)])
def test_warmed_walls_give_off_some_water_and_people_give_off_more(gain, told):
    temperature = curve(plateau(3.0))
    vapour = 0.45 * saturation_pressure(20.0) * np.exp(gain * (temperature - 20.0))
    assert bool(dates(seen(temperature, 100.0 * vapour / saturation_pressure(temperature)))) is told


def test_dryness_is_counted_from_where_the_evening_stood_under_a_fifth_of_its_rise():
    # 0.5 of 3 K come early, dry; the rest later, with the water of people. From the start of the later part the
    # gain is 0.06 a kelvin; from 15:00 on it would be 0.05.
    temperature = curve(np.concatenate([np.zeros(10), np.full(12, 0.5), np.full(8, 3.0)]))
    later = np.where(temperature > 22.0, 0.06 * 2.5, 0.0)
    vapour = 0.45 * saturation_pressure(20.0) * np.exp(later)
    assert not dates(seen(temperature, 100.0 * vapour / saturation_pressure(temperature)))
    vapour = 0.45 * saturation_pressure(20.0) * np.exp(later * 0.05 / 0.06)
    assert dates(seen(temperature, 100.0 * vapour / saturation_pressure(temperature))) == [EVENT]


@pytest.mark.parametrize(("fires", "told"), [(12, True), (14, False)])
def test_the_usual_evening_is_a_low_one_of_the_twenty_around(fires, told):
    # Of the twenty around the middle evening one less than ``fires`` have one; a share of 0.35 of them is the
    # seventh and a bit in order.
    on = range(15 - fires // 2, 15 - fires // 2 + fires)
    found = dates(seen(curve(plateau(4.0), on=on)))
    assert (15 in found) is told


def test_the_evenings_compared_are_ten_on_either_side():
    # All evenings from day 25 on are warm: for day 14 the ten after it, 15 to 24, are not.
    assert EVENT in dates(seen(curve(plateau(4.0), days=40, on=(EVENT, *range(25, 40)))))
    # With day 24 too, eleven of the twenty around it are; with days 21 to 24, fourteen.
    assert EVENT in dates(seen(curve(plateau(4.0), days=40, on=(EVENT, 24, *range(4, 14)))))
    assert EVENT not in dates(seen(curve(plateau(4.0), days=40, on=(EVENT, *range(21, 25), *range(4, 14)))))


@pytest.mark.parametrize(
    ("start", "event", "told"),
    [
        ("2025-09-17", 13, False),
        ("2025-09-17", 14, True),
        ("2026-04-16", 14, True),
        ("2026-04-16", 15, False),
    ],
)
def test_the_heating_season_runs_from_october_to_april(start, event, told):
    begin = np.datetime64(start, "s")
    assert bool(seen(curve(plateau(3.0, first=26), on=(event,)), start=begin).evenings) is told


def test_days_of_the_season_are_counted_either_way_round_the_year():
    still = curve(None)
    begin = np.datetime64("2025-09-17", "s")
    # 1 October is its day 14; of the last day the hours after midnight are wanting, and it is judged all the same.
    assert seen(still, start=begin).season_days == 16
    summer = ((9, 20), (9, 25))
    assert seen(still, start=begin, season=summer).season_days == 6


@pytest.mark.parametrize(("lost", "days"), [(13, 30), (14, 29)])
def test_an_evening_is_judged_on_seven_tenths_of_it(lost, days):
    still = curve(None)
    keep = np.ones(len(still), bool)
    first = EVENT * SLOTS + THREE + 28
    keep[first : first + lost] = False
    assert seen(still, keep=keep).season_days == days


def test_a_level_before_the_evening_is_needed():
    still = curve(None)
    for first, slots, days in ((THREE - 6, 6, 29), (THREE - 6, 5, 30)):
        keep = np.ones(len(still), bool)
        # Three readings and more are a hole; before it and after it nothing is joined.
        keep[EVENT * SLOTS + first - 3 : EVENT * SLOTS + first + slots] = False
        assert seen(still, keep=keep).season_days == days


def test_one_or_two_empty_quarters_are_joined_and_three_are_not():
    still = curve(None)
    slot = np.arange(len(still)) - EVENT * SLOTS - THREE
    for empty, days in ((2, 30), (3, 29)):
        keep = ~((slot >= 0) & (slot < 44) & (slot % (empty + 1) != 0))
        assert seen(still, keep=keep).season_days == days


@pytest.mark.parametrize(("days", "told"), [(5, False), (7, True)])
def test_an_evening_is_compared_with_six_others(days, told):
    assert (seen(curve(None, days=days)).season_days > 0) is told


def two_loggers(difference, start=START, *, room_days=DAYS):
    at = times(len(difference) // SLOTS, start)
    room = record("room", at[: room_days * SLOTS], np.full(len(at), 20.0)[: room_days * SLOTS])
    return record("wall", at, 20.0 + difference, room=room)


def test_wall_less_room_is_counted_by_the_hour_and_by_the_year():
    night = 0.8
    added = curve(np.full(8, 4.0), on=range(DAYS)) - 20.0
    added[SLOTS * 3 + 4 : SLOTS * 3 + 8] = 2.5
    found = heat_seen(two_loggers(night + added))
    assert found.two_loggers
    # October to April are 31 + 30 + 31 + 31 + 28 + 31 + 30 days.
    seasons = DAYS / 212.0
    assert found.hours_over_2k == pytest.approx((DAYS * 2.0 + 1.0) / seasons)
    assert found.cycles_over_3k == pytest.approx(DAYS / seasons)
    assert found.difference_median_k == pytest.approx(0.0)
    assert found.difference_p95_k == pytest.approx(4.0)


def test_a_first_reading_that_is_hot_begins_a_cycle():
    added = np.zeros(DAYS * SLOTS)
    added[:4] = 4.0
    assert heat_seen(two_loggers(added)).cycles_over_3k == pytest.approx(212.0 / DAYS)


def test_two_loggers_need_a_hundred_pairs_in_the_season():
    begin = np.datetime64("2025-09-01", "s")
    for hours, told in ((24, False), (25, True)):
        added = np.zeros(40 * SLOTS)
        made = two_loggers(added, begin, room_days=30)
        at = times(32, begin)[: 30 * SLOTS + hours * 4]
        room = record("room", at, np.full(len(at), 20.0))
        found = heat_seen(Record("wall", made.channels, room=room))
        # The room's log ends so many hours into 1 October; the last reading reaches half a step on.
        assert found.two_loggers is told


def test_the_wall_is_compared_with_another_logger_only():
    at = times()
    warm = channel("temperature", at, np.full(len(at), 21.0), "one")
    room = Record("room", {"temperature": warm})
    assert not heat_seen(Record("wall", {"temperature": warm}, room=room)).two_loggers
    other = channel("temperature", at, np.full(len(at), 20.0), "two")
    assert heat_seen(Record("wall", {"temperature": other}, room=room)).two_loggers
    shared = Record("wall", {"temperature": other}, frozenset({"temperature"}), room=room)
    assert not heat_seen(shared).two_loggers


def test_the_usual_difference_is_that_of_the_small_hours():
    # Warm by 1 K for most of the day, by 0.2 K from three to seven.
    hour = np.arange(DAYS * SLOTS) % SLOTS / 4.0
    found = heat_seen(two_loggers(np.where((hour >= 3.0) & (hour < 7.0), 0.2, 1.0)))
    assert found.difference_median_k == pytest.approx(0.8)
    assert found.difference_p95_k == pytest.approx(0.8)


def test_nothing_logged_is_nothing_seen():
    nothing = heat_seen(Record("wall", {}))
    assert (nothing.evenings, nothing.rises_k, nothing.season_days) == ((), (), 0.0)
    assert (nothing.hours_over_2k, nothing.cycles_over_3k, nothing.two_loggers) == (0.0, 0.0, False)
    assert (nothing.difference_p95_k, nothing.difference_median_k) == (0.0, 0.0)

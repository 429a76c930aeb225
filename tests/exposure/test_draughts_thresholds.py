"""Breaths of outdoor air in logs without noise, on either side of each threshold that ``draughts.py`` states.

The thresholds are the project's own judgement; mixtures follow from the balance of heat and water.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from stillwall.exposure.draughts import Draughts, draughts_seen, outdoor_fraction, sensor_peak_fraction
from stillwall.exposure.moist_air import humidity_from_vapour, vapour_pressure
from stillwall.record import Record
from tests.detectors.logged import channel, record

START = np.datetime64("2026-01-10T00:00:00", "s")
INSIDE_C, INSIDE_PCT, OUTSIDE_C, OUTSIDE_PCT = 20.0, 40.0, 0.0, 80.0
MINUTES = 2880
NOON = 720


def air(
    pulses, *, outside_c=OUTSIDE_C, moist=1.0, humid=True, step=1, drift=None, keep=None, inside_c=INSIDE_C
):
    """Two days by the minute in which a share of outdoor air comes and goes: ``pulses`` maps minutes to shares.

    ``moist`` is how much of the vapour's part in the mixture is really taken.
    """
    share = np.zeros(MINUTES)
    for minute, value in pulses.items():
        share[minute] = value
    minutes = np.arange(0, MINUTES, step)
    share = share[minutes]
    times = START + minutes * np.timedelta64(60, "s")
    temperature = inside_c + share * (outside_c - inside_c)
    if drift is not None:
        temperature = temperature + drift[minutes]
    inner, outer = vapour_pressure(inside_c, INSIDE_PCT), vapour_pressure(outside_c, OUTSIDE_PCT)
    humidity = humidity_from_vapour(temperature, inner + moist * share * (outer - inner))
    out = record(
        "out", times, np.full(len(times), outside_c), np.full(len(times), OUTSIDE_PCT) if humid else None
    )
    rows = np.ones(len(times), bool) if keep is None else keep[minutes]
    return record("wall", times[rows], temperature[rows], humidity[rows] if humid else None, outdoors=out)


def door(at=NOON, share=0.1, rise=4, hold=6, fade=10):
    """Comes evenly, stays and goes evenly; minutes."""
    made = {at + n: share * (n + 1) / rise for n in range(rise)}
    made |= {at + rise + n: share for n in range(hold)}
    return made | {at + rise + hold + n: share * (1 - (n + 1) / (fade + 1)) for n in range(fade)}


def test_a_door_is_seen_dated_and_measured():
    seen = draughts_seen(air(door()))
    assert seen.count == 1
    assert abs((seen.times[0] - START).astype(int) / 60 - (NOON + 6)) <= 5
    # A tenth of air 20 K colder; three minutes of smoothing leave the flat middle alone.
    assert seen.step_k == pytest.approx(2.0, abs=1e-6)
    assert seen.days == pytest.approx(2.0)
    assert seen.per_day == pytest.approx(0.5)
    assert seen.step_s == 60.0
    humidity = air(door()).channels["humidity"].values
    near = humidity[NOON - 15 : NOON + 30]
    assert seen.step_pct == pytest.approx(np.ptp(near))
    # Under way while it is more than 0.2 K: a tenth of the pulse.
    shown = np.convolve([door().get(m, 0.0) * 20.0 for m in range(MINUTES)], np.ones(3) / 3, "same")
    assert seen.hours_a_day == pytest.approx((shown > 0.2).sum() / 60 / 2.0, abs=0.01)


@pytest.mark.parametrize(("share", "told"), [(0.0199, False), (0.0201, True)])
def test_the_least_fall_is_four_tenths_of_a_kelvin(share, told):
    # Of air 20 K colder, 2 %.
    assert draughts_seen(air(door(share=share))).count == int(told)


@pytest.mark.parametrize(("outside", "told"), [(15.1, 0), (14.4, 1)])
def test_five_kelvin_between_indoors_and_outdoors_are_needed(outside, told):
    # Of the air, nine in a hundred: half a kelvin, which the contrast loses while it lasts.
    seen = draughts_seen(air(door(share=0.09), outside_c=outside, humid=False))
    assert seen.count == told
    assert (seen.days > 1.0) is bool(told)


def test_warm_air_from_outdoors_counts_as_cold_does():
    seen = draughts_seen(air(door(share=0.1), outside_c=35.0, inside_c=22.0, humid=False))
    assert seen.count == 1
    assert seen.step_k == pytest.approx(1.3)


@pytest.mark.parametrize(("share", "told"), [(0.69, 1), (0.71, 0)])
def test_no_more_than_seven_tenths_of_the_air_are_believed(share, told):
    # At the peak, contrast and fall together are what the air stood away from outdoors before.
    assert draughts_seen(air(door(share=share), humid=False)).count == told


@pytest.mark.parametrize(("share", "told"), [(0.0149, 0), (0.0151, 1)])
def test_no_less_than_one_and_a_half_in_a_hundred_are_believed(share, told):
    assert draughts_seen(air(door(share=share), outside_c=-20.0, humid=False)).count == told


@pytest.mark.parametrize(("rise", "told"), [(20, 1), (40, 0)])
def test_it_comes_within_ten_minutes(rise, told):
    # Ten minutes of an even climb over 20 bring 0.5, over 40 only 0.25 of it; 0.4 are asked.
    assert draughts_seen(air(door(rise=rise, hold=2, fade=8), humid=False)).count == told


@pytest.mark.parametrize(("left", "told"), [(0.68, 1), (0.74, 0)])
def test_it_passes_within_three_quarters_of_an_hour(left, told):
    # Three tenths are made good in 45 minutes, the rest at the end of the hour.
    pulse = {NOON + n: 0.1 for n in range(4)} | {NOON + 4 + n: 0.1 * left for n in range(50)}
    assert draughts_seen(air(pulse, humid=False)).count == told


def test_what_stays_longer_than_an_hour_is_weather():
    # Strongest at once, and by a third weaker after 45 minutes.
    for minutes, told in ((30, 1), (55, 1), (300, 0)):
        pulse = {NOON + n: 0.1 * (1.0 - n / 135.0) if minutes < 60 else 0.1 for n in range(minutes)}
        assert draughts_seen(air(pulse, humid=False)).count == told


def test_openings_soon_after_one_another_are_one():
    apart = {**door(share=0.1, hold=2, fade=5)}
    for minutes, count in ((30, 2), (60, 2)):
        assert draughts_seen(air(apart | door(NOON + minutes, hold=2, fade=5), humid=False)).count == count
    # A second push from three quarters of the first one stands out by less than half of the least fall.
    shoulder = {
        NOON + n: s for n, s in enumerate([0.03, 0.03, 0.03, 0.03, 0.024, 0.024, 0.024, 0.03, 0.03, 0.03])
    }
    assert draughts_seen(air(shoulder, humid=False)).count == 1


@pytest.mark.parametrize(("moist", "told"), [(1.0, 1), (0.3, 1), (-0.2, 1), (-0.3, 0), (-1.0, 0)])
def test_heat_and_water_go_along_one_line(moist, told):
    # With a share of 0.2 by heat the share by water may lie under it by 0.75 of 0.2 and 0.1: down to -0.05.
    assert draughts_seen(air(door(share=0.2), moist=moist)).count == told


def test_the_water_is_compared_with_the_air_before():
    # The breath's water stays when its cold has gone: afterwards nothing would be left to compare.
    made = air(door(share=0.2))
    humid = made.channels["humidity"]
    after = np.arange(MINUTES) > NOON + 9
    inner, outer = vapour_pressure(INSIDE_C, INSIDE_PCT), vapour_pressure(OUTSIDE_C, OUTSIDE_PCT)
    temperature = made.channels["temperature"].values
    stayed = humidity_from_vapour(temperature, inner + 0.2 * (outer - inner))
    values = np.where(after, stayed, humid.values)
    kept = Record(
        "wall",
        {
            "temperature": made.channels["temperature"],
            "humidity": channel("humidity", humid.times, values, "wall"),
        },
        outdoors=made.outdoors,
    )
    assert draughts_seen(kept).count == 1


def test_water_may_exceed_heat_by_three_quarters_of_itself_and_a_tenth():
    # By heat 0.05: water at 0.55 is over 0.05 by 0.5, under 0.75 x 0.55 + 0.1; water at 0.65 by 0.6, over 0.5875.
    for moist, told in ((11.0, 1), (13.0, 0)):
        made = air(door(share=0.05), moist=moist)
        assert draughts_seen(made).count == told


def test_vapour_says_nothing_where_it_hardly_differs():
    # Outdoors of the same vapour pressure as indoors: whatever water does, heat alone decides.
    made = air(door(share=0.2), moist=-1.0)
    same = float(humidity_from_vapour(OUTSIDE_C, vapour_pressure(INSIDE_C, INSIDE_PCT) - 140.0))
    out = made.outdoors.channels["temperature"]
    for pct, told in ((same, 1), (OUTSIDE_PCT, 0)):
        damp = channel("humidity", out.times, np.full(len(out.times), min(pct, 100.0)), "out")
        outdoors = Record("out", {"temperature": out, "humidity": damp})
        assert draughts_seen(Record("wall", made.channels, outdoors=outdoors)).count == (
            told if pct <= 100.0 else 0
        )


def test_unrest_of_the_sensor_raises_the_least_fall():
    # Alternately 0.1 K up and down: the median step is 0.2 K, and six times 1.4826 x 0.2 / sqrt 2 are 1.26 K.
    unrest = np.where(np.arange(MINUTES) % 2 == 0, 0.1, -0.1)
    for share, told in ((0.055, False), (0.072, True)):
        assert bool(draughts_seen(air(door(share=share), drift=unrest, humid=False)).count) is told


@pytest.mark.parametrize(("step", "told"), [(30, True), (31, False)])
def test_a_log_slower_than_half_an_hour_shows_no_doors(step, told):
    assert (draughts_seen(air(door(), step=step)) is not None) is told


def test_by_five_minutes_a_door_is_seen_as_well():
    seen = draughts_seen(air(door(hold=8), step=5))
    assert (seen.count, seen.step_s) == (1, 300.0)


@pytest.mark.parametrize(("before", "told"), [(20, 0), (45, 1)])
def test_beside_a_gap_nothing_is_told(before, told):
    # A hole of half an hour that ends so many minutes before the door opens.
    keep = np.ones(MINUTES, bool)
    keep[NOON - before - 30 : NOON - before] = False
    assert draughts_seen(air(door(), keep=keep)).count == told
    # A few minutes are no hole.
    keep = np.ones(MINUTES, bool)
    keep[NOON - before - 15 : NOON - before] = False
    assert draughts_seen(air(door(), keep=keep)).count == 1


def test_at_the_ends_of_the_log_nothing_is_told():
    assert draughts_seen(air(door(at=10))).count == 0
    assert draughts_seen(air(door(at=MINUTES - 25))).count == 0
    assert draughts_seen(air(door(at=45))).count == 1


def test_of_several_breaths_the_ordinary_one_is_the_75th_hundredth():
    pulses = {}
    for number, share in enumerate((0.05, 0.1, 0.15, 0.2, 0.25)):
        pulses |= door(at=200 + 400 * number, share=share)
    seen = draughts_seen(air(pulses))
    assert seen.count == 5
    assert seen.step_k == pytest.approx(np.quantile([1.0, 2.0, 3.0, 4.0, 5.0], 0.75), abs=1e-6)
    humidity = air(pulses).channels["humidity"].values
    changes = [np.ptp(humidity[200 + 400 * n - 15 : 200 + 400 * n + 30]) for n in range(5)]
    assert seen.step_pct == pytest.approx(np.quantile(changes, 0.75), rel=0.01)
    assert draughts_seen(air(pulses, humid=False)).step_pct == 0.0


def test_without_a_day_there_is_no_rate():
    assert Draughts(count=3).per_day == 0.0
    assert Draughts(count=3, days=2.0).per_day == 1.5
    mild = draughts_seen(air(door(), outside_c=18.0))
    assert (mild.count, mild.days, mild.step_s) == (0, 0.0, 60.0)


def test_mixtures_and_slow_sensors():
    # A mixture of one part in eight; a sensor of first order shows 1 - 1/e of a pulse as long as its time constant.
    assert outdoor_fraction(20.0, 17.5, 0.0) == pytest.approx(0.125)
    assert sensor_peak_fraction(3.0, 3.0) == pytest.approx(1.0 - 1.0 / math.e)
    assert sensor_peak_fraction(6.0, 3.0) == pytest.approx(1.0 - math.exp(-2.0))

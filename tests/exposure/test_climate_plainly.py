"""Figures of climate logs against plain loops over the same readings, with gaps, uneven steps and clock changes.

The loops follow the definitions in the docstrings and nothing else; calendars and zones are those of
the standard library.
"""

from __future__ import annotations

import datetime as dt
import math
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from stillwall.exposure import felt_climate, readings, seasons
from stillwall.exposure.exceedance import OFFSETS_PCT, deliquescence, exceedance, hours_above, share_at
from stillwall.exposure.felt import felt
from stillwall.exposure.moist_air import humidity_from_vapour, saturation_pressure
from stillwall.record import Channel, Record
from tests.exposure.light_records import DAY_S

ZONE = "Europe/Amsterdam"
START = 20_089 * DAY_S
"""1 January 2025, UTC."""


def channel(role, seconds, values, accuracy=3.0, logger="hall"):
    times = np.asarray(seconds, np.int64).astype("datetime64[s]")
    nothing = np.zeros(len(times), bool)
    return Channel(
        role, None, "%", "%", times, np.asarray(values, float), nothing, (), True, logger, accuracy
    )


def uneven(seed, days=400, step_s=3600, gaps=6, start=START):
    """Seconds of a log with a few rows lost, some late, and gaps of up to two weeks."""
    chance = np.random.default_rng(seed)
    seconds = start + np.arange(0, days * DAY_S, step_s)
    seconds = seconds + np.where(
        chance.random(len(seconds)) < 0.1, chance.integers(0, step_s // 2, len(seconds)), 0
    )
    keep = chance.random(len(seconds)) > 0.03
    for begin in chance.integers(0, len(seconds), gaps):
        keep[begin : begin + int(chance.integers(4, 14 * 24))] = False
    return seconds[keep]


def wandering(seconds, seed):
    chance = np.random.default_rng(seed + 100)
    day = np.asarray(seconds) / DAY_S
    noise = np.convolve(chance.standard_normal(len(day)), np.ones(9) / 3.0, "same")
    return 52.0 + 9.0 * np.sin(2 * np.pi * day / 365.25) + 4.0 * np.sin(2 * np.pi * day) + 4.0 * noise


def local(second):
    return dt.datetime.fromtimestamp(int(second), dt.UTC).astimezone(ZoneInfo(ZONE))


def season_of(day):
    return {12: 0, 1: 0, 2: 0, 3: 1, 4: 1, 5: 1, 6: 2, 7: 2, 8: 2}.get(day.month, 3)


def by_day(seconds):
    """Indices of the readings of each local day."""
    found = {}
    for at, second in enumerate(seconds):
        found.setdefault(local(second).date(), []).append(at)
    return found


@pytest.fixture(scope="module", params=[1, 2])
def record(request):
    seconds = uneven(request.param)
    return Record(
        "wall", {"humidity": channel("humidity", seconds, wandering(seconds, request.param))}, zone=ZONE
    )


def test_hours_that_a_reading_stands_for(record):
    taken = readings.readings(record, "humidity")
    steps = [b - a for a, b in zip(taken.seconds[:-1], taken.seconds[1:], strict=True)]
    usual = float(np.median(steps))
    assert taken.gap_s == 3 * 3600
    halves = [usual if step > 3 * 3600 else float(step) for step in steps]
    expected = [
        ((halves[at - 1] if at else usual) + (halves[at] if at < len(halves) else usual)) / 7200.0
        for at in range(len(taken.seconds))
    ]
    assert taken.hours == pytest.approx(expected)
    assert taken.total_hours == pytest.approx(sum(expected))
    assert [local(s).hour for s in taken.seconds[:3000]] == [
        s // 3600 % 24 for s in taken.local_seconds[:3000]
    ]


@pytest.mark.parametrize(
    ("step_s", "gap_h"), [(600, 3.0), (3600, 3.0), (5400, 3.0), (7200, 4.0), (21_600, 12.0)]
)
def test_a_gap_is_three_hours_or_two_usual_steps(step_s, gap_h):
    hours, gap_s = readings.steps_hours(np.arange(10) * step_s)
    assert gap_s == gap_h * 3600
    assert hours == pytest.approx(np.full(10, step_s / 3600))


def test_even_logs_are_told_from_uneven_ones():
    seconds = START + np.arange(0, 40 * DAY_S, 3600)
    one_gap = np.delete(seconds, slice(100, 140))
    changed = np.concatenate([seconds[:400], np.arange(seconds[400], seconds[-1], 900)])
    for times, even in ((seconds, True), (one_gap, True), (changed, False)):
        made = Record("wall", {"humidity": channel("humidity", times, np.full(len(times), 50.0))})
        assert readings.readings(made, "humidity").even is even


def test_hourly_means_are_weighted_by_time():
    seconds = START + np.array([0, 600, 1800, 3600, 7199, 20 * 3600, 20 * 3600 + 60])
    made = Record("wall", {"humidity": channel("humidity", seconds, [40.0, 50, 60, 70, 30, 20, 80])})
    taken = readings.readings(made, "humidity")
    hourly = readings.by_hour(taken)
    assert ((hourly.seconds - START) // 3600).tolist() == [0, 1, 20]
    for hour, rows in ((0, [0, 1, 2]), (1, [3, 4]), (2, [5, 6])):
        weights = taken.hours[rows]
        assert hourly.hours[hour] == pytest.approx(weights.sum())
        assert hourly.values[hour] == pytest.approx((taken.values[rows] * weights).sum() / weights.sum())
    assert hourly.total_hours == pytest.approx(taken.total_hours)
    assert (hourly.gap_s, hourly.logger, hourly.accuracy) == (taken.gap_s, "hall", 3.0)


def test_values_at_other_times_are_known_inside_steps_and_beside_readings():
    seconds = START + np.array([0, 3600, 7200, 10 * 3600, 11 * 3600])
    made = Record("wall", {"humidity": channel("humidity", seconds, [40.0, 50.0, 60.0, 90.0, 80.0])})
    taken = readings.readings(made, "humidity")
    asked = START + np.array(
        [-1801, -1800, 0, 900, 7200 + 1800, 7200 + 1801, 10 * 3600 - 1800, 39_600 + 1800, 39_600 + 1801]
    )
    found, known = readings.at_times(taken, asked)
    assert known.tolist() == [False, True, True, True, True, False, True, True, False]
    assert found[[2, 3]] == pytest.approx([40.0, 42.5])


def test_quantiles_by_time_are_those_of_repeated_values():
    # Whole numbers of minutes: a reading of three minutes is three readings of one, but for the ends of the line
    # between readings, which run through the middles.
    values, minutes = np.array([30.0, 10.0, 20.0, 40.0]), np.array([3.0, 1.0, 4.0, 2.0])
    order = np.argsort(values)
    middles = np.cumsum(minutes[order]) - minutes[order] / 2
    places = (middles - middles[0]) / (middles[-1] - middles[0])
    shares = (0.0, 0.1, 0.5, 0.77, 1.0)
    found = readings.quantiles(values, minutes, shares)
    assert found == pytest.approx(np.interp(shares, places, values[order]))
    assert readings.quantiles(values, np.full(4, 7.0), shares) == pytest.approx(np.quantile(values, shares))
    assert readings.quantiles(values[:1], minutes[:1], (0.3,)) == pytest.approx([30.0])


def test_humidity_of_a_logged_dew_point_carries_its_accuracy():
    seconds = START + np.arange(0, DAY_S, 3600)
    made = Record(
        "wall",
        {
            "temperature": channel("temperature", seconds, np.full(24, 20.0), 0.5),
            "dew_point": channel("dew_point", seconds, np.full(24, 9.3), 1.0, "dew"),
        },
    )
    taken = readings.readings(made, "humidity")
    # Psychrometric tables: a dew point of 9.3 degC at 20 degC is 50 %RH, and a kelvin of it 3.2 to 3.4 %RH.
    assert taken.values == pytest.approx(np.full(24, 50.0), abs=0.3)
    assert taken.logger == "dew"
    # Half a kelvin more less half a kelvin less; the figure is a round one.
    kelvin = humidity_from_vapour(20.0, saturation_pressure(9.8)) - humidity_from_vapour(
        20.0, saturation_pressure(8.8)
    )
    assert taken.accuracy == pytest.approx(float(kelvin), rel=0.06)


def test_pairs_of_temperature_and_humidity_are_those_of_one_time():
    seconds = START + np.arange(0, DAY_S, 3600)
    warm = channel("temperature", seconds[4:12] + 600, np.arange(8.0), 0.5, "warm")
    wet = channel("humidity", seconds, np.arange(24.0))
    both = readings.air(Record("wall", {"temperature": warm, "humidity": wet}))
    # A reading within half an hour counts at the ends.
    assert both.humidity.values.tolist() == list(range(4, 12))
    assert both.temperature.values == pytest.approx([0.0, *(np.arange(1.0, 8.0) - 600 / 3600)])
    assert (both.temperature.logger, both.temperature.accuracy, both.humidity.logger) == ("warm", 0.5, "hall")
    assert both.temperature.hours.tolist() == both.humidity.hours.tolist()
    late = channel("temperature", seconds + 40 * DAY_S, np.arange(24.0))
    assert readings.air(Record("wall", {"temperature": late, "humidity": wet})) is None


def test_seasons_by_plain_loops(record):
    taken = readings.readings(record, "humidity")
    found = seasons.seasonal(taken)
    days = by_day(taken.seconds)
    assert found.days == len(days)
    for season in range(4):
        rows = [at for day, here in days.items() for at in here if season_of(day) == season]
        expected = readings.quantiles(
            taken.values[rows], None if taken.even else taken.hours[rows], (0.02, 0.98)
        )
        assert (found.low[season], found.high[season]) == pytest.approx(tuple(expected))
        if taken.even:
            assert tuple(expected) == pytest.approx(tuple(np.quantile(taken.values[rows], [0.02, 0.98])))
        # All years together: a day of the calendar counts once.
        whole = {
            (d.month, d.day)
            for d, here in days.items()
            if taken.hours[here].sum() >= 18 and season_of(d) == season
        }
        length = [90.25, 92, 92, 91][season]
        assert found.coverage[season] == pytest.approx(min(1.0, len(whole) / length))
    lengths = [31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    means = []
    for month, length in enumerate(lengths, 1):
        rows = [at for day, here in days.items() for at in here if day.month == month]
        hours = taken.hours[rows].sum()
        if hours >= 0.75 * 24 * length:
            means.append((length, (taken.values[rows] * taken.hours[rows]).sum() / hours))
    assert found.months == len(means)
    assert found.mean == pytest.approx(sum(n * m for n, m in means) / sum(n for n, _ in means))
    assert (found.first, found.last) == (taken.seconds[0], taken.seconds[-1])


@pytest.mark.parametrize("window_h", [24.0, 30 * 24.0])
def test_swings_by_plain_loops(record, window_h):
    taken = readings.readings(record, "humidity")
    surface, bulk = felt(taken, 4.0), felt(taken, 60.0)
    found = felt_climate.humidity_swings(record, 4.0, 60.0, window_h)
    half = window_h * 1800
    usable, departure = np.zeros(len(taken.seconds), bool), np.zeros(len(taken.seconds))
    for at, second in enumerate(taken.seconds):
        near = np.abs(taken.seconds - second) <= half
        inside = second - half >= taken.seconds[0] and second + half <= taken.seconds[-1]
        usable[at] = surface.counted[at] and inside and taken.hours[near].sum() >= 0.9 * window_h
        departure[at] = abs(surface.values[at] - np.average(surface.values[near], weights=taken.hours[near]))
    largest, ranges, gradients = ([[] for _ in range(4)] for _ in range(3))
    kept, counted_days = [], []
    for day, rows in by_day(taken.seconds).items():
        here = [at for at in rows if usable[at]]
        kept += here
        if taken.hours[here].sum() < 0.9 * 24:
            continue
        season = season_of(day)
        counted_days.append((day, taken.hours[here].sum()))
        largest[season].append(departure[here].max())
        ranges[season].append(np.ptp(surface.values[here]) / 2)
        known = [at for at in here if bulk.counted[at]]
        if known:
            gradients[season].append(np.abs(surface.values[known] - bulk.values[known]).max())

    def outer(daily):
        return [np.quantile(each, 0.95) if each else math.nan for each in daily]

    assert found.half_swing == pytest.approx(outer(largest), nan_ok=True)
    assert found.half_range == pytest.approx(outer(ranges), nan_ok=True)
    assert found.gradient == pytest.approx(outer(gradients), nan_ok=True)
    assert found.mean_pct == pytest.approx(np.average(surface.values[kept], weights=taken.hours[kept]))
    assert found.bulk_range == pytest.approx(np.ptp(bulk.values[bulk.counted]))
    assert (found.days, found.window_h) == (len(counted_days), window_h)
    assert found.coverage == seasons.coverage_by_season(
        np.array([(day - dt.date(1970, 1, 1)).days for day, _ in counted_days]),
        np.array([h for _, h in counted_days]),
    )


@pytest.mark.parametrize("window_h", [5.0, 6.0, 24.0, 25.0])
@pytest.mark.parametrize("lost", [(), (50, 51, 52), tuple(range(60, 95))])
def test_a_centred_mean_on_a_grid_is_that_of_its_slots(window_h, lost):
    # Readings of an hour each; one on the edge of the window has half of its hour inside.
    values = wandering(START + np.arange(0, 10 * DAY_S, 3600), 7)
    keep = np.setdiff1d(np.arange(240), lost)
    made = Record("wall", {"humidity": channel("humidity", START + keep * 3600, values[keep])})
    taken = readings.readings(made, "humidity")
    mean, whole = felt_climate.centred_mean(taken, taken.values, window_h)
    half = window_h / 2
    for place, hour in enumerate(keep):
        overlap = {
            other: min(hour + half, other + 0.5) - max(hour - half, other - 0.5)
            for other in range(int(hour - half) - 1, int(hour + half) + 2)
        }
        overlap = {other: part for other, part in overlap.items() if part > 0}
        inside = hour - half // 1 >= 0 and hour + half // 1 <= 239
        kept = {other: part for other, part in overlap.items() if other in keep}
        assert whole[place] == (inside and sum(kept.values()) >= 0.9 * window_h), hour
        if whole[place]:
            assert mean[place] == pytest.approx(np.average(values[list(kept)], weights=list(kept.values())))


@pytest.mark.parametrize("above", [True, False])
def test_time_beyond_a_threshold_by_plain_loops(record, above):
    taken = felt(readings.readings(record, "humidity"), 10.0).readings
    found = exceedance(record, 55.0, above, 10.0, 2.0)
    season = np.array([season_of(local(second)) for second in taken.seconds])
    for index in range(4):
        here = season == index
        for offset in (-40.0, -7.0, 0.0, 13.0, 40.0):
            moved = taken.values[here] + (offset if above else -offset)
            beyond = moved > 55.0 if above else moved < 55.0
            share = taken.hours[here][beyond].sum() / taken.hours[here].sum()
            assert found.share[index][OFFSETS_PCT.index(offset)] == pytest.approx(share)
            assert share_at(found.share[index], offset) == pytest.approx(share)
    side, crossed = 0, [0] * 4
    for value, index in zip(taken.values, season, strict=True):
        distance = value - 55.0 if above else 55.0 - value
        if distance > 2.0:
            crossed[index] += side < 0
            side = 1
        elif distance < -2.0:
            side = -1
    days = by_day(taken.seconds)
    for index in range(4):
        logged = sum(taken.hours[here].sum() for day, here in days.items() if season_of(day) == index)
        # A season of a quarter of 365.25 days, at the record's rate.
        assert found.crossings[index] == pytest.approx(crossed[index] / (logged / 24.0 / 91.3125))


def test_offsets_reach_forty_per_cent_either_way_by_ones():
    assert tuple(float(n) for n in range(-40, 41)) == OFFSETS_PCT


def test_hours_above_a_threshold_are_above_it():
    seconds = START + np.arange(0, 6 * 3600, 3600)
    made = Record("wall", {"humidity": channel("humidity", seconds, [60.0, 65.0, 65.1, 70.0, 64.9, 80.0])})
    assert hours_above(readings.readings(made, "humidity"), 65.0) == pytest.approx(3.0)


def test_a_salt_dissolves_by_the_temperature_beside_it_or_at_20():
    # CRC Handbook of Chemistry and Physics 15-33: sodium chloride, 69.20 exp(25.0 / T): 75.4 % at 20 degC.
    seconds = START + np.arange(0, 20 * DAY_S, 3600)
    wet = channel("humidity", seconds, np.where(np.arange(len(seconds)) % 4 < 2, 75.0, 76.0))
    alone = deliquescence(Record("wall", {"humidity": wet}), 69.20, 25.0, 0.1)
    assert share_at(alone.share[0], 0.0) == pytest.approx(0.5, abs=0.01)
    # Magnesium nitrate falls with warmth: 25.28 exp(220.23 / T) is 54.9 % at 10, 53.6 % at 20, 52.2 % at 30 degC.
    swing = channel("humidity", seconds, np.full(len(seconds), 53.0))
    for warm, share in ((10.0, 0.0), (30.0, 1.0)):
        beside = channel("temperature", seconds, np.full(len(seconds), warm))
        found = deliquescence(Record("wall", {"humidity": swing, "temperature": beside}), 25.28, 220.23, 0.1)
        assert share_at(found.share[0], 0.0) == share
        assert found.share[2] == ()
        assert np.isnan(found.crossings[2])
    assert deliquescence(Record("wall", {}), 69.20, 25.0, 0.1) is None


@pytest.mark.parametrize(
    ("first", "last", "touched"),
    [
        ((2026, 1, 1), (2026, 1, 1), (0,)),
        ((2026, 2, 28), (2026, 3, 1), (0, 1)),
        ((2026, 5, 31), (2026, 12, 1), (0, 1, 2, 3)),
        ((2026, 6, 1), (2026, 8, 31), (2,)),
        ((2026, 3, 1), (2027, 2, 27), (0, 1, 2, 3)),
        ((2026, 9, 1), None, (0, 1, 2, 3)),
    ],
)
def test_seasons_that_a_stay_touches(first, last, touched):
    end = None if last is None else dt.date(*last)
    assert seasons.seasons_of_stay(dt.date(*first), end) == touched


def test_a_season_is_seen_after_six_weeks():
    nothing = seasons.coverage_by_season(np.zeros(0, np.int64), np.zeros(0))
    assert nothing == (0.0, 0.0, 0.0, 0.0)
    june = (dt.date(2026, 6, 1) - dt.date(1970, 1, 1)).days
    for days, hours, seen in ((42, 24.0, False), (43, 18.0, True), (43, 17.9, False)):
        share = seasons.coverage_by_season(june + np.arange(days), np.full(days, hours))
        assert share[2] == pytest.approx(days / 92 if hours >= 18 else 0.0)
        assert (share[2] >= seasons.SEEN_SHARE) is seen


def test_small_swings_are_small():
    seconds = START + np.arange(0, 40 * DAY_S, 3600)
    values = 50.0 + 0.3 * np.sin(2 * np.pi * np.arange(len(seconds)) / 24.0)
    made = Record("wall", {"humidity": channel("humidity", seconds, values)})
    found = felt_climate.humidity_swings(made, 0.0, 24.0)
    # A sine of 0.3; through a day's response hardly anything is left of it inside.
    assert found.half_swing[0] == pytest.approx(0.3, rel=0.02)
    assert found.half_range[0] == pytest.approx(0.3, rel=0.02)
    assert 0.2 < found.gradient[0] < 0.3

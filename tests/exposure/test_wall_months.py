"""Months and mould at the face of a wall against plain loops over the same readings; saturation is psychrolib's."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import psychrolib
import pytest

from stillwall.exposure.mould import MouldClass
from stillwall.exposure.readings import air
from stillwall.exposure.wall_surface import OutdoorClimate, months, outdoor_temperature, surface_mould
from stillwall.record import Record
from tests.exposure.light_records import DAY_S
from tests.exposure.test_climate_plainly import START, channel

psychrolib.SetUnitSystem(psychrolib.SI)
STATED = OutdoorClimate(9.0, 8.0, southern=False)
SENSITIVE = MouldClass(0.578, 0.386, 0.3, 6.0, 1.0, 80.0, 0.5)


def saturated(celsius):
    return psychrolib.GetSatVapPres(float(celsius))


def hourly(days, first=0):
    return START + first * DAY_S + np.arange(0, days * DAY_S, 3600)


def wandering(seconds, middle, swing):
    day = (seconds - START) / DAY_S
    return middle + swing * np.sin(2 * np.pi * day / 365.25) + 0.3 * swing * np.sin(2 * np.pi * day)


def made_record(seconds, *, outdoors=None, surface=None, humidity=60.0, temperature=19.0):
    channels = {
        "temperature": channel("temperature", seconds, wandering(seconds, temperature, 2.0), 0.5),
        "humidity": channel("humidity", seconds, wandering(seconds, humidity, 10.0)),
    }
    if surface is not None:
        channels["surface_temperature"] = channel(
            "surface_temperature", surface, wandering(surface, 14.0, 3.0)
        )
    out = None
    if outdoors is not None:
        out = Record(
            "out",
            {"temperature": channel("temperature", outdoors, wandering(outdoors, 8.0, -7.0))},
            zone="UTC",
        )
    return Record("wall", channels, zone="UTC", outdoors=out)


def month_of(second):
    return dt.datetime.fromtimestamp(int(second), dt.UTC).month


def test_means_of_whole_months_of_vapour_and_never_of_relative_humidity():
    # January whole; February for three weeks; March for 22 days, under three quarters of 30.44 days; April whole.
    seconds = np.concatenate([hourly(31), hourly(23, 31), hourly(22, 59), hourly(30, 90)])
    record = made_record(seconds, outdoors=hourly(125), surface=hourly(31))
    found = months(record, STATED)
    assert found.month == (1, 2, 4)
    both = air(record)
    for at, month in enumerate(found.month):
        rows = [n for n, second in enumerate(both.humidity.seconds) if month_of(second) == month]
        hours = both.humidity.hours[rows]
        warm, damp = both.temperature.values[rows], both.humidity.values[rows]
        vapour = [pct / 100.0 * saturated(celsius) for pct, celsius in zip(damp, warm, strict=True)]
        assert found.inside_c[at] == pytest.approx(np.average(warm, weights=hours))
        assert found.vapour_pa[at] == pytest.approx(np.average(vapour, weights=hours), rel=1e-3)
        outside = wandering(both.humidity.seconds[rows], 8.0, -7.0)
        assert found.outside_c[at] == pytest.approx(np.average(outside, weights=hours))
        if month == 1:
            surface = wandering(both.humidity.seconds[rows], 14.0, 3.0)
            assert found.surface_c[at] == pytest.approx(np.average(surface, weights=hours))
        else:
            assert math.isnan(found.surface_c[at])
    assert found.outdoors_logged == 1.0


def test_three_quarters_of_a_month_are_asked_for():
    # 0.75 x 30.44 days are 22.83.
    assert months(made_record(hourly(22)), STATED) is None
    assert months(made_record(hourly(23)), STATED).month == (1,)
    assert months(Record("wall", {}), STATED) is None


def test_outdoors_is_stated_where_it_is_not_logged():
    seconds = hourly(60)
    bare = made_record(seconds)
    celsius, share = outdoor_temperature(bare, air(bare).humidity, STATED)
    day = seconds / DAY_S
    expected = 9.0 - 8.0 * np.cos(2 * np.pi * (day - 15.0) / 365.25)
    assert celsius == pytest.approx(expected)
    assert share == 0.0
    half = made_record(seconds, outdoors=hourly(30))
    celsius, share = outdoor_temperature(half, air(half).humidity, STATED)
    known = seconds <= hourly(30)[-1] + 1800
    assert share == pytest.approx(known.mean())
    assert celsius[~known] == pytest.approx(expected[~known])
    assert celsius[:600] == pytest.approx(wandering(seconds[:600], 8.0, -7.0))


def peak_at(record, factor, offset, surface=None):
    """The index by the difference equation, hour by hour, in the air at a face (Hukka and Viitanen 1999)."""
    both = air(record)
    outside = outdoor_temperature(record, both.humidity, STATED)[0]
    inside, damp = both.temperature.values, both.humidity.values
    face = outside + factor * (inside - outside) if surface is None else surface
    ratio = np.array([saturated(a) / saturated(b) for a, b in zip(inside, face, strict=True)])
    return both, face, (damp + offset) * ratio


def test_mould_at_a_face_is_that_of_air_as_cold_and_as_damp_as_the_face():
    record = made_record(hourly(200), outdoors=hourly(200), humidity=72.0)
    factors = (0.4, 0.7, 1.0)
    found = surface_mould(record, SENSITIVE, factors, STATED, (0.0,))
    assert found.offsets_pct[0] == 0.0
    assert len(found.peak) == 3
    assert found.peak[0][0] > found.peak[1][0] >= found.peak[2][0]
    for row, factor in zip(found.peak, factors, strict=True):
        both, face, damp = peak_at(record, factor, 0.0)
        there = Record(
            "face",
            {
                "temperature": channel("temperature", both.humidity.seconds, face),
                "humidity": channel("humidity", both.humidity.seconds, damp, accuracy=0.0),
            },
            zone="UTC",
        )
        alone = surface_mould(there, SENSITIVE, (1.0,), None, (0.0,))
        assert row[0] == pytest.approx(alone.peak[0][0], rel=5e-3, abs=1e-6)
    middle = surface_mould(record, SENSITIVE, (0.7,), STATED, (0.0,))
    assert found.growing_hours == pytest.approx(middle.growing_hours)
    assert found.total_hours == pytest.approx(200 * 24)


def test_offsets_are_those_of_the_logger_and_of_seasons_that_nobody_saw():
    short = surface_mould(made_record(hourly(200)), SENSITIVE, (1.0,), None, (-1.0, 0.0, 1.0, 2.0))
    # The channel's accuracy is 3 %.
    assert short.offsets_pct == (-3.0, 0.0, 3.0, 6.0, 12.0, 18.0)
    whole = surface_mould(made_record(hourly(366)), SENSITIVE, (1.0,), None, (-1.0, 0.0, 2.0))
    assert whole.offsets_pct == (-3.0, 0.0, 6.0)
    assert whole.outdoors_logged == 1.0
    assert list(short.peak[0]) == sorted(short.peak[0])
    assert surface_mould(Record("wall", {}), SENSITIVE, (1.0,), None, (0.0,)) is None


def test_a_logged_face_takes_the_place_of_a_reckoned_one():
    seconds = hourly(200)
    record = made_record(seconds, outdoors=seconds, surface=seconds, humidity=70.0)
    found = surface_mould(record, SENSITIVE, (0.4, 0.9), STATED, (0.0,))
    both, face, damp = peak_at(record, 0.0, 0.0, wandering(seconds, 14.0, 3.0))
    there = Record(
        "face",
        {
            "temperature": channel("temperature", seconds, face),
            "humidity": channel("humidity", seconds, damp, accuracy=0.0),
        },
        zone="UTC",
    )
    alone = surface_mould(there, SENSITIVE, (1.0,), None, (0.0,))
    assert len(both.humidity.values) == len(seconds)
    for row in found.peak:
        assert row[0] == pytest.approx(alone.peak[0][0], rel=5e-3, abs=1e-6)

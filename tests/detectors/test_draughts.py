"""Breaths of outdoor air in plain made-up logs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.draughts import draughts_seen
from stillwall.record import Record
from tests.detectors.logged import record


def log(openings=(), *, days=4, step_s=60, outside_c=2.0, share=0.12, along=True):
    """Air at 20 degC and 40 %; at each opening, in minutes, a share of outdoor air that fades away."""
    times = np.datetime64("2026-01-10T00:00:00", "s") + np.arange(days * 86_400 // step_s) * np.timedelta64(
        step_s, "s"
    )
    minutes = np.arange(len(times)) * step_s / 60
    rng = np.random.default_rng(2)
    taken = np.zeros(len(times))
    for start in openings:
        since = np.clip(minutes - start, -1, 1e4)
        taken = np.maximum(taken, np.where(since >= 0, share * np.exp(-since / 9.0), 0))
    temperature = 20 + taken * (outside_c - 20)
    vapour = 0.40 * 2339.0 + (taken if along else -taken) * (0.8 * 706.0 - 0.40 * 2339.0)
    humidity = 100 * vapour / (611.2 * np.exp(17.62 * temperature / (243.12 + temperature)))
    temperature = temperature + 0.03 * rng.normal(size=len(times))
    outdoors = record("out", times, np.full(len(times), outside_c), np.full(len(times), 80.0))
    return record("wall", times, temperature, humidity, outdoors=outdoors)


OPENINGS = (500, 560, 1700, 2000, 3500, 4400, 4900)


@pytest.mark.parametrize("step_s", [60, 120, 300])
def test_each_opening_is_seen_once_and_dated(step_s):
    seen = draughts_seen(log(OPENINGS, step_s=step_s))
    at = [
        (time - np.datetime64("2026-01-10T00:00:00")).astype("timedelta64[s]").astype(int) / 60
        for time in seen.times
    ]
    assert len(at) == len(OPENINGS)
    assert all(abs(found - true) <= 10 for found, true in zip(at, OPENINGS, strict=True))
    assert seen.days == pytest.approx(4, rel=0.01)
    assert seen.per_day == pytest.approx(len(OPENINGS) / 4, rel=0.01)


def test_a_still_room_shows_none():
    seen = draughts_seen(log())
    assert seen.count == 0
    assert seen.days == pytest.approx(4, rel=0.01)


def test_cold_that_is_not_outdoor_air_is_none():
    # Vapour moves away from outdoors while temperature moves towards it: not on the mixing line.
    assert draughts_seen(log(OPENINGS, along=False)).count == 0


def test_mild_weather_hides_doors_and_clears_nothing():
    seen = draughts_seen(log(OPENINGS, outside_c=17.0))
    assert seen.days == 0
    assert seen.count == 0


def test_without_outdoors_or_with_hourly_readings_nothing_is_said():
    made = log(OPENINGS)
    assert draughts_seen(replace(made, outdoors=None)) is None
    assert draughts_seen(log(OPENINGS, step_s=3600)) is None
    assert draughts_seen(Record(place="wall", channels={})) is None


def test_the_edge_of_a_gap_is_no_draught():
    made = log(())
    hole = {}
    for role, channel in made.channels.items():
        keep = np.ones(len(channel.times), bool)
        keep[2000:2600] = False
        values = channel.values.copy()
        if role == "temperature":
            values[2600:2640] -= 2.0
        hole[role] = replace(
            channel, times=channel.times[keep], values=values[keep], excluded=channel.excluded[keep]
        )
    assert draughts_seen(Record(place="wall", channels=hole, outdoors=made.outdoors)).count == 0

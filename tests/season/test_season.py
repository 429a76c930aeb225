"""Seasons: quiet without a change in the building, found with one, quiet again once somebody has seen it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.season_change import Daily, compare, drift
from stillwall.record import Record
from stillwall.reference.library import load_library
from stillwall.season import Logged, Season, Spot, look, season_of, tell_sensors
from stillwall.survey.loggers import LoggerSettings
from stillwall.survey.survey import Acknowledgement, Note, Survey

from .power import SEASONS, record, survey, tally
from .worlds import Worlds, make

WINTER = SEASONS[0]


@pytest.fixture(scope="module")
def unchanged() -> Worlds:
    return make(20261101, 300)


@pytest.fixture(scope="module")
def damper() -> Worlds:
    return make(20261103, 100, damper_pct=5.0)


def at(worlds: Worlds, house: Survey, season: Season = WINTER, index: int = 0) -> Spot:
    return look(house, load_library(), Logged("room", None, record(worlds, index, outdoors=True)), season)


def test_pairs_of_years_without_a_change_stay_quiet(unchanged: Worlds) -> None:
    assert tally(unchanged, outdoors=True).any_alert <= 0.05 * 300


def test_small_changes_of_humidity_are_found(damper: Worlds) -> None:
    assert tally(damper, outdoors=True).by_kind.get("humidity", 0) >= 90


def test_small_changes_of_temperature_and_light_are_found() -> None:
    found = tally(make(20261104, 100, warmer_k=1.5, brighter=2.0), outdoors=True)
    assert found.by_kind.get("temperature", 0) >= 90
    assert found.by_kind.get("light", 0) >= 90


def test_without_outdoor_readings_a_small_change_is_not_called_one(damper: Worlds) -> None:
    spot = look(survey(), load_library(), Logged("room", None, record(damper, 0, outdoors=False)), WINTER)
    humidity = next(channel for channel in spot.channels if channel.role == "humidity")
    assert humidity.against_last_year is not None
    assert not humidity.against_last_year.adjusted
    assert humidity.against_last_year.low < 0 < humidity.against_last_year.high
    assert not [alert for alert in spot.alerts if alert.kind == "humidity"]


def test_an_acknowledged_alert_is_marked_until_its_day_has_passed(damper: Worlds) -> None:
    (alert,) = (each for each in at(damper, survey()).alerts if each.kind == "humidity")
    assert alert.acknowledged is None
    seen = Acknowledgement(alert=alert.id, by="A. Fern", on=dt.date(2026, 1, 5), until=dt.date(2026, 3, 1))
    (told,) = (
        each for each in at(damper, replace(survey(), acknowledged=(seen,))).alerts if each.kind == "humidity"
    )
    assert told.acknowledged == "A. Fern, 5 January 2026"
    late = replace(seen, until=dt.date(2026, 1, 31))
    (told,) = (
        each for each in at(damper, replace(survey(), acknowledged=(late,))).alerts if each.kind == "humidity"
    )
    assert told.acknowledged is None


def test_a_silent_logger_and_a_calibration_that_is_due_are_told(unchanged: Worlds) -> None:
    late = Season("winter", dt.date(2026, 12, 1), dt.date(2026, 12, 20))
    house = replace(survey(), loggers={"hall.csv": LoggerSettings(calibration_due=dt.date(2026, 11, 1))})
    whole = record(unchanged, 0, outdoors=True)
    files = {role: replace(each, files=("logs/hall.csv",)) for role, each in whole.channels.items()}
    spot = look(house, load_library(), Logged("room", None, replace(whole, channels=files)), late)
    assert {alert.kind for alert in spot.alerts} == {"silent", "calibration"}
    assert all(channel.median is None and channel.coverage == 0.0 for channel in spot.channels)


def test_older_downloads_and_ended_campaigns_wait_for_nothing(unchanged: Worlds) -> None:
    late = Season("winter", dt.date(2026, 12, 1), dt.date(2026, 12, 20))
    past = LoggerSettings(calibration_due=dt.date(2026, 11, 1), battery_due=dt.date(2026, 11, 1))
    house = replace(survey(), loggers={"old.csv": past, "weeks.csv": past, "new.csv": past})
    whole = record(unchanged, 0, outdoors=True)
    climate = {
        role: replace(each, files=("logs/old.csv", "logs/new.csv")) for role, each in whole.channels.items()
    }
    weeks = replace(
        climate["humidity"],
        role="light",
        files=("logs/weeks.csv",),
        times=climate["humidity"].times[:1000],
        values=climate["humidity"].values[:1000],
        excluded=climate["humidity"].excluded[:1000],
    )
    logged = Logged("room", None, replace(whole, channels={**climate, "light": weeks}))
    alerts = look(house, load_library(), logged, late).alerts
    about = {(alert.kind, alert.reason.split()[5]) for alert in alerts if alert.kind != "silent"}
    assert about == {("calibration", "new.csv"), ("battery", "new.csv")}


def test_days_of_a_works_week_are_left_out_and_the_note_is_shown(unchanged: Worlds) -> None:
    note = Note(date=dt.date(2026, 1, 10), to=dt.date(2026, 1, 16), text="floor sanded", room="room")
    house = replace(survey(), notes=(note,))
    spot = at(unchanged, house)
    assert spot.notes == ("10 January 2026: floor sanded",)
    with_note = next(each for each in spot.channels if each.role == "humidity").against_last_year
    without = next(
        each for each in at(unchanged, survey()).channels if each.role == "humidity"
    ).against_last_year
    assert with_note is not None
    assert without is not None
    assert with_note.days_now == without.days_now - 7


@pytest.mark.parametrize(
    ("day", "name", "start"),
    [
        (dt.date(2026, 1, 15), "winter", dt.date(2025, 12, 1)),
        (dt.date(2025, 12, 1), "winter", dt.date(2025, 12, 1)),
        (dt.date(2024, 2, 29), "winter", dt.date(2023, 12, 1)),
        (dt.date(2026, 8, 31), "summer", dt.date(2026, 6, 1)),
        (dt.date(2026, 10, 31), "autumn", dt.date(2026, 9, 1)),
    ],
)
def test_meteorological_seasons(day: dt.date, name: str, start: dt.date) -> None:
    # Seasons of the World Meteorological Organization: whole months, winter from December.
    season = season_of(day)
    assert (season.name, season.start, season.end) == (name, start, day)
    assert season.year_before().end.year == day.year - 1


def test_autocorrelated_days_tell_less_than_independent_ones() -> None:
    rng = np.random.default_rng(7)
    days = np.arange(90)
    noise = rng.normal(0, 1, 180)
    slow = np.convolve(rng.normal(0, 1, 200), np.ones(20) / np.sqrt(20), "valid")[:180]
    errors = []
    for values in (noise, slow):
        made = compare(Daily(days, values[:90]), Daily(days + 365, values[90:]), spread=0.0)
        assert made is not None
        errors.append(made.sd)
    assert errors[1] > 2 * errors[0]


def test_the_interval_holds_the_truth_for_autoregressive_days() -> None:
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(400):
        series = np.zeros(240)
        for step in range(1, 240):
            series[step] = 0.6 * series[step - 1] + rng.normal()
        made = compare(
            Daily(np.arange(90), series[30:120]),
            Daily(np.arange(90) + 365, series[150:240] + 1.0),
            spread=0.0,
        )
        assert made is not None
        held += made.low <= 1.0 <= made.high
    assert 0.85 <= held / 400 <= 0.96


def test_a_step_inside_the_season_is_dated() -> None:
    rng = np.random.default_rng(3)
    now = rng.normal(0, 0.3, 90)
    now[40:] += 4.0
    made = compare(Daily(np.arange(90), rng.normal(0, 0.3, 90)), Daily(np.arange(90) + 365, now), spread=0.1)
    assert made is not None
    assert made.since_day is not None
    assert abs(made.since_day - (365 + 40)) <= 1


def test_two_loggers_drifting_apart_are_told_from_a_room_that_changes() -> None:
    rng = np.random.default_rng(5)
    days = np.arange(365)
    room = 50 + 10 * np.sin(2 * np.pi * days / 365) + 3.0 * (days > 200)
    steady = Daily(days, room + rng.normal(0, 0.3, 365))
    drifting = Daily(days, room + 4.0 * days / 365.25 + rng.normal(0, 0.3, 365))
    slope = drift(drifting, steady)
    assert slope is not None
    assert slope[0] == pytest.approx(4.0, abs=3 * slope[1] + 0.1)
    same = drift(Daily(days, room + rng.normal(0, 0.3, 365)), steady)
    assert same is not None
    assert abs(same[0]) < 4 * same[1] + 0.05


def test_a_change_that_one_of_two_loggers_shows_is_the_sensors(damper: Worlds) -> None:
    library = load_library()
    whole = record(damper, 0, outdoors=True)
    days = np.arange(len(damper.times)) / 24
    humidity = whole.channels["humidity"]
    drifting = replace(humidity, values=humidity.values + 6.0 * days / 365.25, logger="drifting.csv")
    one = Logged("room", "wall", replace(whole, channels={**whole.channels, "humidity": drifting}))
    other = Logged("room", None, whole)
    spots = [look(survey(), library, each, WINTER) for each in (one, other)]
    told = tell_sensors(spots, [one, other], library)
    kinds = [[alert.kind for alert in spot.alerts if "umidity" in alert.reason] for spot in told]
    assert kinds[0] == ["sensor"]
    steady = [replace(each, record=whole) for each in (one, other)]
    same = tell_sensors([look(survey(), library, each, WINTER) for each in steady], steady, library)
    assert all(alert.kind != "sensor" for spot in same for alert in spot.alerts)


def test_too_few_days_are_no_comparison() -> None:
    few = Daily(np.arange(10), np.zeros(10))
    assert compare(few, few, spread=0.1) is None


def test_no_log_is_no_channel() -> None:
    spot = look(survey(), load_library(), Logged("room", None, Record("room", {})), WINTER)
    assert spot.channels == ()
    assert spot.alerts == ()

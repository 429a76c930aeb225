"""Daylight saving in the survey's zone, against ``zoneinfo`` instant by instant."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from stillwall.errors import LogError
from stillwall.logs.read import LogFile, read_log
from stillwall.survey.loggers import LoggerSettings

CHANGES = {
    "Europe/London": ("2026-03-27T00:00", "2026-10-23T00:00"),
    "America/New_York": ("2026-03-06T00:00", "2026-10-30T00:00"),
    "Australia/Sydney": ("2026-10-02T00:00", "2026-04-03T00:00"),
    "America/Santiago": ("2026-09-04T00:00", "2026-04-03T00:00"),
    "Australia/Lord_Howe": ("2026-10-02T00:00", "2026-04-03T00:00"),
}
"""Zones of both hemispheres: three days before the clock goes forward, and before it goes back."""


def _instants(start: str, days: int, step_min: int) -> list[dt.datetime]:
    begin = dt.datetime.fromisoformat(start).replace(tzinfo=dt.UTC)
    return [begin + dt.timedelta(minutes=step_min * row) for row in range(days * 1440 // step_min)]


def _read(
    folder: Path, stamps: list[str], zone: str | None, settings: LoggerSettings | None = None
) -> LogFile:
    path = folder / "hall.csv"
    rows = (f"{stamp},{18 + row % 50 / 10:.1f}\n" for row, stamp in enumerate(stamps))
    path.write_text("Time,Temperature (°C)\n" + "".join(rows), encoding="utf-8")
    return read_log(path, name="hall.csv", zone=zone, settings=settings)


def _utc(instants: list[dt.datetime]) -> np.ndarray:
    return np.array([int(instant.timestamp()) for instant in instants]).astype("datetime64[s]")


@pytest.mark.parametrize(
    ("zone", "step_min"),
    [(zone, step) for zone in CHANGES for step in (5, 30, 60) if (zone, step) != ("Australia/Lord_Howe", 60)],
)
@pytest.mark.parametrize("which", [0, 1])
@pytest.mark.parametrize("newest_first", [False, True])
def test_a_clock_that_is_changed(
    zone: str, which: int, step_min: int, newest_first: bool, tmp_path: Path
) -> None:
    instants = _instants(CHANGES[zone][which], 6, step_min)
    stamps = [f"{instant.astimezone(ZoneInfo(zone)):%Y-%m-%d %H:%M:%S}" for instant in instants]
    log = _read(tmp_path, stamps[::-1] if newest_first else stamps, zone)
    channel = log.channels[0]
    assert channel.utc
    assert len(channel.times) == len(instants)
    assert (channel.times == _utc(instants)).all()
    values = [
        18 + (len(instants) - 1 - row if newest_first else row) % 50 / 10 for row in range(len(instants))
    ]
    assert channel.values == pytest.approx(np.array(values))
    flags = {flag.name for flag in channel.flags}
    assert ("hour_twice" in flags) == (which == 1)
    assert not flags & {"gap", "conflicting", "repeated", "hour_that_never_was"}


@pytest.mark.parametrize("zone", ["Europe/London", "Australia/Sydney"])
@pytest.mark.parametrize("which", [0, 1])
def test_a_clock_that_nobody_changed(zone: str, which: int, tmp_path: Path) -> None:
    instants = _instants(CHANGES[zone][which], 6, 30)
    offset = instants[0].astimezone(ZoneInfo(zone)).utcoffset()
    assert offset is not None
    log = _read(tmp_path, [f"{instant + offset:%Y-%m-%d %H:%M:%S}" for instant in instants], zone)
    assert (log.channels[0].times == _utc(instants)).all()
    assert any("was not changed" in note for note in log.notes)
    if which == 0:
        assert "hour_that_never_was" in {flag.name for flag in log.channels[0].flags}


def test_a_whole_year_over_both_changes(tmp_path: Path) -> None:
    instants = _instants("2025-06-01T00:00", 365, 60)
    stamps = [f"{instant.astimezone(ZoneInfo('Europe/Dublin')):%d.%m.%Y %H:%M}" for instant in instants]
    assert (_read(tmp_path, stamps, "Europe/Dublin").channels[0].times == _utc(instants)).all()


def test_without_a_zone_times_stay_local(tmp_path: Path) -> None:
    log = _read(tmp_path, ["2026-07-01 10:00:00", "2026-07-01 10:30:00"], None)
    assert not log.channels[0].utc
    assert log.channels[0].times[0] == np.datetime64("2026-07-01T10:00:00")


def test_a_file_that_names_its_offset_needs_no_zone(tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    path.write_text("Time GMT+02:00,Temp (°C)\n2026-07-01 10:00,18\n2026-07-01 10:30,19\n", encoding="utf-8")
    log = read_log(path, name="hall.csv", zone="America/New_York")
    assert log.channels[0].times[0] == np.datetime64("2026-07-01T08:00:00")


@pytest.mark.parametrize(
    ("zone", "hour"), [("+05:30", "04:30"), ("Europe/Paris", "08:00"), ("-03:00", "13:00")]
)
def test_a_zone_that_is_set_overrides(zone: str, hour: str, tmp_path: Path) -> None:
    stamps = ["2026-07-01 10:00:00", "2026-07-01 10:30:00"]
    log = _read(tmp_path, stamps, "America/New_York", LoggerSettings(zone=zone))
    assert log.channels[0].times[0] == np.datetime64(f"2026-07-01T{hour}:00")


def test_a_zone_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LogError) as refused:
        _read(tmp_path, ["2026-07-01 10:00:00", "2026-07-01 10:30:00"], "Europe/Larkmoor")
    assert "no time zone" in refused.value.faults[0].found


def test_words_for_a_zone_are_not_turned_into_an_offset(tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    path.write_text(
        "Time (Mountain Standard Time),Temp (°C)\n2026-07-01 10:00,18\n2026-07-01 10:30,19\n",
        encoding="utf-8",
    )
    log = read_log(path, name="hall.csv")
    assert not log.channels[0].utc
    assert any("in words only" in note for note in log.notes)

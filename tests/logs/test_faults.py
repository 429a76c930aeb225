"""Faults planted in months of invented rooms, and what must not be called one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from stillwall.logs.gaps import coverage_by_hour, coverage_by_month
from stillwall.logs.read import read_log
from stillwall.record import Channel, Flag
from stillwall.survey.loggers import LoggerSettings
from tests.logs.planted import PLANTED, flags_of, measure, room

RECALL, FALSE_ALARMS = 0.95, 0.02
QUICK = 20


def test_planted_faults_are_found_and_clean_months_are_not_accused() -> None:
    """The whole table, of 200 series, comes from ``python -m tests.logs.planted``."""
    rows = measure(QUICK, seed=5)
    assert len(rows) == len(PLANTED) + 1
    for name, recall, false_alarms, _ in rows:
        assert false_alarms <= FALSE_ALARMS, name
        assert np.isnan(recall) or recall >= RECALL, name


def test_doors_and_sun_leave_no_fault(tmp_path: Path) -> None:
    for seed in range(30, 40):
        flags = flags_of(room(np.random.default_rng(seed)), tmp_path / "room.csv")
        assert not set().union(*flags.values()) & {"spike", "stuck", "out_of_range", "handling"}


def _channels(
    tmp_path: Path, rows: list[tuple[float | str, ...]], head: str, step_min: int = 10, **set_: object
) -> list[Channel]:
    start = np.datetime64("2026-02-01T00:00")
    stamps = np.datetime_as_string(start + np.arange(len(rows)) * np.timedelta64(step_min, "m"))
    path = tmp_path / "hall.csv"
    lines = (f"{stamp},{','.join(map(str, row))}\n" for stamp, row in zip(stamps.tolist(), rows, strict=True))
    path.write_text(f"Time,{head}\n" + "".join(lines), encoding="utf-8")
    return list(read_log(path, name="hall.csv", settings=LoggerSettings(**set_)).channels)  # type: ignore[arg-type]


def _flags(channel: Channel) -> dict[str, Flag]:
    return {flag.name: flag for flag in channel.flags}


def test_a_spike_is_left_out_and_a_door_is_kept(tmp_path: Path) -> None:
    rows = [(round(20 + 0.1 * (row % 3), 1), round(50 + 0.2 * (row % 4), 1)) for row in range(300)]
    rows[100] = (31.0, rows[100][1])
    rows[200] = (12.0, 40.0)
    temperature, humidity = _channels(tmp_path, rows, "Temp (°C),RH (%)")
    flags = _flags(temperature)
    assert flags["spike"].excludes
    assert flags["spike"].where.tolist() == [100]
    assert not flags["transient"].excludes
    assert flags["transient"].where.tolist() == [200]
    assert temperature.excluded.sum() == 1
    assert "spike" not in _flags(humidity)
    assert temperature.values[100] == 31.0


def test_sun_on_the_logger_is_kept(tmp_path: Path) -> None:
    rows = [(round(20 + 0.1 * (row % 3), 1), 30.0 + row % 5) for row in range(300)]
    rows[150] = (29.0, 24_000.0)
    temperature, _ = _channels(tmp_path, rows, "Temp (°C),Light (lx)")
    assert not temperature.excluded.any()
    assert _flags(temperature)["sun_patch"].where.tolist() == [150]


def test_light_at_a_stated_full_scale_is_a_lower_bound(tmp_path: Path) -> None:
    rows = [(float(min(1_000, row * 10)),) for row in range(200)]
    (light,) = _channels(tmp_path, rows, "Light (lx)", full_scale_lux=1_000.0)
    assert _flags(light)["saturated"].count == 100
    assert not light.excluded.any()


def test_a_quiet_store_is_not_stuck(tmp_path: Path) -> None:
    random = np.random.default_rng(4)
    drift = np.repeat(np.cumsum(random.choice([-0.1, 0.1], 60)), 60)
    rows = [(round(16 + air, 1), round(52 + random.normal(0, 0.05), 1)) for air in drift]
    temperature, humidity = _channels(tmp_path, rows, "Temp (°C),RH (%)")
    assert "stuck" not in _flags(temperature)
    assert "stuck" not in _flags(humidity)


def test_marks_for_no_reading_are_counted(tmp_path: Path) -> None:
    rows: list[tuple[float | str, ...]] = [(20.0 + row % 3, 50.0 + row % 4) for row in range(100)]
    for row, mark in ((5, -999), (6, "OL"), (7, ""), (8, 9999), (9, -200)):
        rows[row] = (mark, 50)
    temperature, humidity = _channels(tmp_path, rows, "Temp (°C),RH (%)")
    assert len(temperature.values) == 95
    assert len(humidity.values) == 100
    assert _flags(temperature)["no_reading"].count == 3


def test_a_reading_written_twice_is_kept_once_and_two_that_differ_are_left_out(tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    rows = [f"2026-02-01 {hour:02d}:00,{18 + hour % 5}.5" for hour in range(24)]
    rows[10:10] = [rows[10]]
    rows[15:15] = ["2026-02-01 14:00,33.0"]
    path.write_text("Time,Temp (°C)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    (channel,) = read_log(path, name="hall.csv").channels
    assert len(channel.values) == 24
    flags = _flags(channel)
    assert (flags["repeated"].count, flags["repeated"].excludes) == (1, False)
    assert (flags["conflicting"].count, flags["conflicting"].excludes) == (1, True)
    assert channel.excluded.sum() == 1


def test_a_clock_that_was_not_set_is_left_out(tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    lost = [f"2000-01-01 00:{minute:02d},19.{minute:02d}" for minute in range(0, 50, 10)]
    rows = [f"2026-02-{day:02d} {hour:02d}:00,18.{hour:02d}" for day in range(1, 28) for hour in range(24)]
    path.write_text("Time,Temp (°C)\n" + "\n".join(lost + rows) + "\n", encoding="utf-8")
    (channel,) = read_log(path, name="hall.csv").channels
    assert _flags(channel)["clock_reset"].count == 5
    assert channel.excluded[:5].all()
    assert not channel.excluded[5:].any()


def test_offset_and_gain_of_a_logger(tmp_path: Path) -> None:
    rows = [(20.0, 50.0)] * 3 + [(21.0, 51.0)]
    temperature, humidity = _channels(
        tmp_path,
        rows,
        "Temp (°C),RH (%)",
        offset={"temperature": "-0.5 K", "humidity": "2 %"},
        gain={"humidity": 1.1},
    )
    assert temperature.values[0] == pytest.approx(19.5)
    assert humidity.values[0] == pytest.approx(57.0)


def test_coverage_shows_the_hours_that_are_lacking(tmp_path: Path) -> None:
    path = tmp_path / "hall.csv"
    rows = [f"2026-02-{day:02d} {hour:02d}:00,18.{hour:02d}" for day in range(1, 28) for hour in range(8, 20)]
    path.write_text("Time,Temp (°C)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    (channel,) = read_log(path, name="hall.csv").channels
    share = coverage_by_hour(channel)
    assert (share[8:20] == 1).all()
    assert (share[:8] == 0).all()
    assert coverage_by_month(channel)["2026-02"] == pytest.approx(0.5, abs=0.02)


def test_light_that_the_sunshine_beside_it_contradicts_is_left_out(tmp_path: Path) -> None:
    rows = [(round(100 + 5 * row, 1), round(1.1 * (100 + 5 * row), 1)) for row in range(100)]
    (light,) = _channels(tmp_path, rows, "Global radiation (W/m2),Daylight (lx)")
    assert light.excluded.all()
    (again,) = _channels(tmp_path, rows, "Global radiation (W/m2),Daylight (lx)", units={"light": "hlx"})
    assert again.values[0] == pytest.approx(11_000)
    assert not again.excluded.any()

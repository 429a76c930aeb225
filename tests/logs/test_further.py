"""What comes further down in a file: other tables, other loggers, other units, dates that do not exist."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from stillwall.errors import LogError
from stillwall.logs.read import LogFile, read_log

FIRST = "Time,Temp (°C),RH (%)\n2026-03-14 14:15,18.5,50.5\n2026-03-14 14:30,18.6,51.5\n"


def _read(text: str, folder: Path, zone: str | None = None) -> LogFile:
    path = folder / "hall.csv"
    path.write_text(text, encoding="utf-8")
    return read_log(path, name="hall.csv", zone=zone)


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        (f"{FIRST}\nTime,RH (%)\n2026-03-14 14:15,50.5\n2026-03-14 14:30,51.5\n", 5, "second table"),
        (f"{FIRST}\nTime,RH (%),Temp (°C)\n2026-03-14 15:15,60.5,16.5\n", 5, "second table"),
        (f"{FIRST}Time,Temp (°F),RH (%)\n2026-03-14 15:15,65.5,60.5\n", 4, "second table"),
        (f"Logger: Hall\n{FIRST}\nLogger: Stair\n{FIRST.replace('03-14', '03-15')}", 6, "another logger"),
        ("Time,Temp\n2026-03-14 14:15,21.3 °C\n2026-03-14 14:30,70.4 °F\n2026-03-14 14:45,21.4 °C\n", 3, "70.4"),
        (FIRST.replace("18.6", "<10"), 3, "<10"),
        (FIRST.replace("18.6", "18.6*"), 3, "18.6*"),
    ],
)  # fmt: skip
def test_what_cannot_be_mixed_in_is_refused_by_its_line(
    text: str, line: int, said: str, tmp_path: Path
) -> None:
    with pytest.raises(LogError) as refused:
        _read(text, tmp_path)
    assert refused.value.faults[0].where == f"hall.csv:{line}"
    assert said in refused.value.faults[0].found


def test_a_cell_whose_unit_is_not_the_headers_is_asked_about(tmp_path: Path) -> None:
    with pytest.raises(LogError) as refused:
        _read(FIRST.replace("18.6", "1.2k"), tmp_path)
    (fault,) = refused.value.faults
    assert "says degC and its cells say K" in fault.found
    assert 'units = { "Temp (°C)" = ' in fault.fix


@pytest.mark.parametrize(
    "between", ["", "Logger: Hall\nMade 2026-04-01 10:00\n", "\ufeff", "Logger: Hall\n\n\n"]
)
def test_monthly_exports_one_after_another_are_one_record(between: str, tmp_path: Path) -> None:
    log = _read(f"Logger: Hall\n{FIRST}{between}{FIRST.replace('03-14', '04-14')}", tmp_path)
    assert [len(channel.values) for channel in log.channels] == [4, 4]
    assert log.channels[0].times[-1] == np.datetime64("2026-04-14T14:30", "s")


def test_a_header_and_cells_of_different_units_are_a_question(tmp_path: Path) -> None:
    with pytest.raises(LogError) as refused:
        _read("Time,Temp (°C)\n2026-03-14 14:15,30.1 °F\n2026-03-14 14:30,30.4 °F\n", tmp_path)
    assert 'units = { "Temp (°C)" = "degF" }' in refused.value.faults[0].fix


def test_rows_of_a_date_that_does_not_exist_are_left_out_whole(tmp_path: Path) -> None:
    stamps = [f"{day:02d}.02.2026 {hour:02d}:00" for day in range(20, 29) for hour in range(24)]
    stamps.insert(0, "31.02.2026 09:00")
    stamps.insert(50, "30.02.2026 09:00")
    log = _read(
        "Zeit;Temp (°C)\n" + "".join(f"{stamp};18,5\n" for stamp in stamps), tmp_path, "Europe/Dublin"
    )
    channel = log.channels[0]
    assert len(channel.values) == 9 * 24
    assert not {"conflicting", "repeated", "out_of_order"} & {flag.name for flag in channel.flags}
    assert any("2 rows left out" in note for note in log.notes)


def test_the_first_mark_for_no_reading_is_where_it_stands(tmp_path: Path) -> None:
    rows = [f"2026-03-14 {hour:02d}:00,{-999 if hour == 7 else 18.5 + hour / 10}" for hour in range(24)]
    log = _read("Time,Temp (°C)\n" + "\n".join(rows) + "\n", tmp_path)
    flag = next(flag for flag in log.channels[0].flags if flag.name == "no_reading")
    assert flag.count == 1
    assert flag.first == np.datetime64("2026-03-14T07:00", "s")


def test_hourly_readings_over_a_change_of_half_an_hour(tmp_path: Path) -> None:
    # Lord Howe Island went back from +11:00 to +10:30 on 5 April 2026 at 02:00 (IANA time zones).
    real = np.arange("2026-04-04T06:00", "2026-04-05T06:00", np.timedelta64(1, "h"), dtype="datetime64[m]")
    changed = np.datetime64("2026-04-04T15:00", "m")
    local = [moment + np.timedelta64(660 if moment < changed else 630, "m") for moment in real]
    text = "".join(f"{str(stamp).replace('T', ' ')},18.{at % 10}\n" for at, stamp in enumerate(local))
    channel = _read("Time,Temp (°C)\n" + text, tmp_path, "Australia/Lord_Howe").channels[0]
    assert (channel.times == real.astype("datetime64[s]")).all()


@pytest.mark.parametrize(
    "text",
    [
        "Day\n2026-01-05 10:30;18.5;1770000000\n" * 3,
        "Time,Temp (C)\n" + "0001-01-01 00:00,18.5\n" * 4 + "9999-12-31 23:00,18.5\n",
        "Time,Temp (C)\n" + "".join(f"{at}e30,18.5\n" for at in range(1, 9)),
        "ts,temp\n1770000000,18.5\n" + "9e99,18.5\n" * 3,
    ],
)
def test_times_of_no_age_are_refused(text: str, tmp_path: Path) -> None:
    with pytest.raises(LogError) as refused:
        _read(text, tmp_path, "Australia/Sydney")
    assert refused.value.faults[0].where.startswith("hall.csv")


@pytest.mark.parametrize("seed", range(3))
def test_sensors_called_by_a_number_and_rf(seed: int, tmp_path: Path) -> None:
    rows = "".join(
        f"2026-01-08 {hour:02d}:00;19,{seed};5{hour % 10},0;20,1;4{hour % 10},0\n" for hour in range(12)
    )
    log = _read("Messzeitpunkt;Z1 Temperatur;Z1 rF;Z2 Temperatur;Z2 rF\n" + rows, tmp_path)
    assert [channel.role for channel in log.channels] == ["temperature", "humidity"] * 2

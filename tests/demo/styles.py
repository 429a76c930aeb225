"""How loggers write their files: a dozen export styles, their titles, serials and event words invented.

Each style turns readings on the file's own clock into bytes. Resolution is that of the style's display.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

import numpy as np

from .clock import Floats, Times
from .faults import Readings

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def _stamps(times: Times) -> list[dt.datetime]:
    return list(times.astype("datetime64[s]").tolist())


def _fixed(values: Floats, digits: int) -> list[str]:
    rounded = np.round(values, digits) + 0.0
    return [f"{value:.{digits}f}" for value in rounded.tolist()]


def _fahrenheit(celsius: Floats) -> Floats:
    return celsius * 1.8 + 32


def _joined(lines: Iterable[str], end: str = "\n") -> str:
    return end.join(lines) + end


def _columns(readings: Readings, digits: tuple[int, ...]) -> Iterator[tuple[dt.datetime, tuple[str, ...]]]:
    texts = [_fixed(column, places) for column, places in zip(readings.columns, digits, strict=True)]
    return zip(_stamps(readings.times), zip(*texts, strict=True), strict=True)


def iso_zulu(readings: Readings, title: str) -> bytes:
    """ISO stamps with Z, comma, hash comments."""
    lines = [
        f"# {title}",
        "# screen in the walled garden, 1.5 m over grass",
        "time,air temperature (degC),relative humidity (%)",
    ]
    lines += [f"{at:%Y-%m-%dT%H:%M}Z,{a},{b}" for at, (a, b) in _columns(readings, (1, 0))]
    return _joined(lines).encode()


def continental(readings: Readings, title: str, serial: str) -> bytes:
    """Semicolons, decimal commas, day first with dots, preamble, a row of units, Windows-1252."""
    lines = [
        title,
        f"Box no.;{serial}",
        "Interval;60 min",
        "",
        "Date and time;Temperature;Relative humidity",
        ";°C;%",
    ]
    for at, cells in _columns(readings, (1, 1)):
        lines.append(f"{at:%d.%m.%y %H:%M};" + ";".join(cells).replace(".", ","))
    return _joined(lines, "\r\n").encode("cp1252")


def split_month_first(readings: Readings, names: tuple[str, ...]) -> bytes:
    """Date and time in two columns, month first, two digits for the year, degF, several sensors."""
    head = ["Date", "Time"]
    for name in names:
        head += [f"{name} temperature (°F)", f"{name} humidity (%RH)"]
    converted = tuple(
        _fahrenheit(column) if place % 2 == 0 else column for place, column in enumerate(readings.columns)
    )
    rows = _columns(Readings(readings.times, converted), (1, 1) * len(names))
    lines = [",".join(head)] + [f"{at:%m/%d/%y,%H:%M}," + ",".join(cells) for at, cells in rows]
    return _joined(lines).encode()


def tabbed_lux(readings: Readings, title: str, serial: str) -> bytes:
    """Tabs, a preamble, whole lux, winter time all year."""
    lines = [
        title,
        f"Cell {serial}, range 0 to 10000 lx",
        "Clock: UTC+00:00 all year",
        "Date/time\tIlluminance (lx)",
    ]
    lines += [f"{at:%Y-%m-%d %H:%M}\t{a}" for at, (a,) in _columns(readings, (0,))]
    return _joined(lines).encode()


def epoch(readings: Readings) -> bytes:
    """Unix seconds."""
    seconds = readings.times.astype("datetime64[s]").astype(np.int64).tolist()
    temperature, humidity = _fixed(readings.columns[0], 1), _fixed(readings.columns[1], 0)
    lines = ["unix_time,temp_C,RH_%"]
    lines += [f"{at},{a},{b}" for at, a, b in zip(seconds, temperature, humidity, strict=True)]
    return _joined(lines).encode()


def many_sensors(readings: Readings, names: tuple[str, ...]) -> bytes:
    """Semicolons, year first with slashes, several sensors side by side."""
    head = ["Time"]
    for name in names:
        head += [f"{name} temperature (°C)", f"{name} humidity (%)"]
    rows = _columns(readings, (1, 0) * len(names))
    lines = [";".join(head)] + [f"{at:%Y/%m/%d %H:%M};" + ";".join(cells) for at, cells in rows]
    return _joined(lines).encode()


def twelve_hour(readings: Readings, title: str, serial: str, battery: str) -> bytes:
    """Byte order mark, quoted header, month first, AM and PM, degF, a column of events with its own rows."""
    rows = list(
        _columns(Readings(readings.times, (_fahrenheit(readings.columns[0]), readings.columns[1])), (1, 1))
    )

    def stamp(at: dt.datetime) -> str:
        return f"{at:%m/%d/%Y} {at.hour % 12 or 12}:{at:%M} {'PM' if at.hour >= 12 else 'AM'}"

    lines = [f'"{title}","unit {serial}"', '"Date Time","Temp, °F","RH, %","Remark"']
    lines += [f"{stamp(at)},{a},{b}," for at, (a, b) in rows[:-1]]
    last, (a, b) = rows[-1]
    lines += [
        f"{stamp(last)},{a},{b},",
        f"{stamp(last + dt.timedelta(minutes=7))},,,read out; cell at {battery} V",
    ]
    return b"\xef\xbb\xbf" + _joined(lines, "\r\n").encode()


def with_dew_point(readings: Readings, title: str, repeat_at: int) -> bytes:
    """Day first with slashes, a dew point and a battery column; the header comes once more in the midst."""
    header = "Date Time,Temperature [°C],Humidity [%RH],Dew point [°C],Battery [V]"
    rows = [f"{at:%d/%m/%Y %H:%M},{','.join(cells)}" for at, cells in _columns(readings, (1, 1, 1, 2))]
    return _joined([title, header, *rows[:repeat_at], header, *rows[repeat_at:]]).encode()


def sixteen_bit(readings: Readings, title: str) -> bytes:
    """UTF-16 with its mark, tabs, day first with dots and seconds."""
    lines = [title, "Zeitpunkt / Time\tBeleuchtung / Light [lx]"]
    lines += [f"{at:%d.%m.%Y %H:%M:%S}\t{a}" for at, (a,) in _columns(readings, (0,))]
    return b"\xff\xfe" + _joined(lines, "\r\n").encode("utf-16-le")


def foot_candles(readings: Readings, title: str) -> bytes:
    """Quoted cells, month first, foot-candles."""
    lines = [f'"{title}"', '"Date and Time","Light (fc)"']
    converted = Readings(readings.times, (readings.columns[0] / 10.763910417,))
    lines += [f'"{at:%m/%d/%Y %H:%M}","{a}"' for at, (a,) in _columns(converted, (2,))]
    return _joined(lines).encode()


def long_form(readings: Readings, sensor: str, quantities: tuple[tuple[str, str, int], ...]) -> bytes:
    """One value a row: stamp, sensor, quantity, value, unit."""
    lines = ["time,sensor,quantity,value,unit"]
    digits = tuple(places for _, _, places in quantities)
    for at, cells in _columns(readings, digits):
        for (quantity, unit, _), cell in zip(quantities, cells, strict=True):
            lines.append(f"{at:%Y-%m-%d %H:%M},{sensor},{quantity},{cell},{unit}")
    return _joined(lines).encode()


def plain(readings: Readings) -> bytes:
    """Local stamps with a blank, comma, a last line that counts the readings."""
    lines = ["Date Time,Temperature (°C),Relative humidity (%)"]
    lines += [f"{at:%Y-%m-%d %H:%M},{a},{b}" for at, (a, b) in _columns(readings, (1, 1))]
    return _joined([*lines, f"End of readings ({len(readings.times)})"]).encode()


def month_names(readings: Readings, names: tuple[str, ...]) -> bytes:
    """English month names, two sensors."""
    head = ["When"]
    for name in names:
        head += [f"{name} temp (°C)", f"{name} RH (%)"]
    rows = _columns(readings, (1, 1) * len(names))
    lines = [",".join(head)]
    lines += [
        f"{at.day:02d}-{MONTHS[at.month - 1]}-{at.year} {at:%H:%M}," + ",".join(cells) for at, cells in rows
    ]
    return _joined(lines).encode()

"""The clock of a file: what its stamps mean in UTC, where that can be known.

Times of a file that names no offset stay local unless the survey names a zone. The two hours of daylight
saving are told by the readings themselves: an hour that comes twice, or readings in an hour that never
was, which show that the clock was not changed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.logs.columns import Columns
from stillwall.logs.dates import DAY_S, NO_OFFSET, Stamps, days, days_of
from stillwall.logs.daylight import offset_text, zone_info
from stillwall.logs.encoding import refuse
from stillwall.logs.orders import Choice, choose_order
from stillwall.logs.parse import Rows
from stillwall.logs.questions import ask
from stillwall.logs.stamps import offset_in, offset_minutes, order_in
from stillwall.logs.table import Table, split
from stillwall.logs.words import plain
from stillwall.survey.loggers import LoggerSettings

Ints = NDArray[np.int64]
_NEVER_S = 1e12
SERIAL_ZERO_DAYS = -25_569
"""1899-12-30, where the serial days of spreadsheets begin, in days from 1970."""
_ZONE_WORDS = re.compile(r"zone|fuseau|huso|fuso|pasmo|utc|gmt|offset", re.I)


@dataclass(frozen=True, slots=True)
class Moments:
    """Seconds since 1970 of every row, by the file's clock or in UTC; which rows are good."""

    seconds: Ints
    good: NDArray[np.bool_]
    utc: bool
    notes: tuple[str, ...]


def moments(rows: Rows, columns: Columns, table: Table, settings: LoggerSettings, name: str) -> Moments:
    """Turn what was read of the times into seconds.

    Raises
    ------
    LogError
        Where the order of day and month is open, where a half-day clock has no AM or PM, or where dates
        do not exist.
    """
    if rows.seconds is not None:
        if (np.diff(rows.seconds) < 0).any():
            _half_day_is_told(rows.seconds % DAY_S // 3600, rows.seconds // DAY_S, name)
        return Moments(rows.seconds, np.ones(rows.count, bool), rows.utc, ())
    kind = columns.time.kind
    if kind in ("epoch_s", "epoch_ms"):
        scale = 1000.0 if kind == "epoch_ms" else 1.0
        seconds = np.floor(np.clip(rows.numbers[0] / scale, -_NEVER_S, _NEVER_S) + 0.5).astype(np.int64)
        return Moments(seconds, np.ones(rows.count, bool), True, ("Unix time counts in UTC",))
    if kind == "serial":
        seconds = np.round((rows.numbers[0] + SERIAL_ZERO_DAYS) * DAY_S).astype(np.int64)
        return Moments(
            seconds, np.ones(rows.count, bool), False, ("days of a spreadsheet, counted from 1899-12-30",)
        )
    if kind in ("ordinal", "fields"):
        return _from_numbers(rows, kind, name)
    return _from_stamps(rows, columns, table, settings, name)


def _from_numbers(rows: Rows, kind: str, name: str) -> Moments:
    whole = [numbers.astype(np.int64) for numbers in rows.numbers]
    second = np.zeros(rows.count, np.int64)
    if kind == "ordinal":
        start, good = days_of(whole[0], np.ones_like(whole[0]), np.ones_like(whole[0]))
        day = start + whole[1] - 1
        good &= (whole[1] >= 1) & (whole[1] <= 366)
        if rows.stamps:
            second = rows.stamps[0].second
        else:
            second = np.round((rows.numbers[1] - whole[1]) * DAY_S).astype(np.int64)
    else:
        day, good = days_of(whole[0], whole[1], whole[2])
        for number, size in zip(whole[3:], (3600, 60, 1), strict=False):
            second = second + number * size
    if not good.all():
        raise refuse(name, "some rows hold a date that does not exist", "dates that exist", "export it again")
    return Moments(day * DAY_S + second, good, False, ())


def _from_stamps(rows: Rows, columns: Columns, table: Table, settings: LoggerSettings, name: str) -> Moments:
    dates = rows.stamps[0]
    clock = rows.stamps[-1]
    second = clock.second
    if clock.has_time and not clock.half_day and clock.top_hour == 12:
        code = dates.by_row(dates.parts.astype(np.int64) @ np.array([1, 100, 100_000]))
        _half_day_is_told(clock.second[clock.read] // 3600, code[clock.read], name)
    notes: list[str] = []
    order = None
    if dates.order_is_open:
        order, why = _order(dates, second, columns, table, settings, name)
        if why == "step":
            notes.append(f"dates read as {order}, as the steps between readings show")
    seconds, good = days(dates, order)
    good &= dates.read
    seconds *= DAY_S
    seconds += second
    bad = int((~good).sum())
    if bad > min(50, max(1, rows.count // 100)):
        row = int(np.argmin(good))
        line = int(rows.lines[row]) if rows.lines is not None else table.first_line + row
        raise refuse(name, "a date that does not exist", f"dates that exist, {order or 'year-first'}",
                     "correct the date in a copy of the file", line)  # fmt: skip
    if bad:
        notes.append(f"{bad} rows left out: their date does not exist")
    if not (clock.offset_min != NO_OFFSET).any():
        return Moments(seconds, good, False, tuple(notes))
    offsets = clock.by_row(clock.offset_min)
    told = offsets != NO_OFFSET
    if not told[good].all():
        raise refuse(
            name, "some stamps name an offset from UTC and some do not", "one kind of stamp throughout",
            "export the file again, or part it where the stamps change",
        )  # fmt: skip
    return Moments(seconds - offsets.astype(np.int64) * 60, good, True, tuple(notes))


def _half_day_is_told(hours: Ints, day: Ints, name: str) -> None:
    if len(hours) < 12 or hours.max() != 12 or hours.min() < 1:
        return
    turns = int((np.diff(hours) < 0).sum())
    days_seen = int((np.diff(day) != 0).sum()) + 1
    if turns > days_seen:
        raise refuse(
            name, "hours run from 1 to 12 twice a day without AM or PM", "hours to 24, or AM and PM",
            "export the file with a clock of 24 hours",
        )  # fmt: skip


def _order(
    dates: Stamps, second: Ints, columns: Columns, table: Table, settings: LoggerSettings, name: str
) -> tuple[str, str]:
    told = order_in(columns.time.header) or next(filter(None, map(order_in, table.units)), None)
    if settings.date_order is not None:
        return settings.date_order, "setting"
    choice: Choice = choose_order(dates, second, told)
    if choice.order is not None:
        return choice.order, choice.why
    if not choice.fits:
        best = max(
            ("day-first", "month-first", "year-first"), key=lambda order: int(days(dates, order)[1].sum())
        )
        if days(dates, best)[1].mean() >= 0.99:
            return best, "values"
        raise refuse(
            name,
            "dates are written in no one order",
            "day, month and year in one order throughout",
            "export the file again, or part it where the order changes",
            table.first_line,
        )
    row = int(np.argmax(dates.open_rows))
    written = table.sample[0][columns.time.places[0]].strip()
    readings = []
    for order in choice.fits:
        day = int(days(dates, order)[0][row])
        readings.append(f"{np.datetime64(day, 'D')} ({order})")
    raise ask(
        name, f"{written!r} may be {' or '.join(readings)}, and nothing in the file tells which",
        "the order of day, month and year", line=table.first_line, date_order=choice.fits[0],
        instead="or " + " or ".join(f'"{order}"' for order in choice.fits[1:]),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Zone:
    """How a file's clock stands to UTC: a fixed offset, a named zone, or unknown (both None)."""

    offset_min: int | None = None
    name: str | None = None
    note: str = ""


def zone_of(
    columns: Columns, table: Table, settings: LoggerSettings, survey_zone: str | None, name: str
) -> Zone:
    """The zone of a file whose stamps write none: the setting's, else the header's, else the survey's."""
    if settings.zone is not None:
        return _named(settings.zone, "zone", name)
    texts = [(columns.names[place], True) for place in columns.time.places if place < len(columns.names)]
    texts += [(line, False) for line in table.preamble if _ZONE_WORDS.search(line)]
    for text, whole in texts:
        found = offset_in(text, whole=whole)
        if found is not None:
            return Zone(
                found[0],
                None,
                f"clock {offset_text(found[0])} the year round, from {found[1]!r} in the file",
            )
    station = _station_offset(table)
    if station is not None:
        return station
    worded = next(
        (
            text
            for text, _ in texts
            if re.search(r"standard time|daylight|sommerzeit|\btime zone\b", plain(text))
        ),
        "",
    )
    note = (
        f"the file names its clock in words only ({worded.strip()!r}); not turned into an offset"
        if worded
        else ""
    )
    if survey_zone is not None:
        return Zone(None, _named(survey_zone, "timezone", name).name, note)
    return Zone(note=note)


def _station_offset(table: Table) -> Zone | None:
    """An offset in hours that stands before a latitude and a longitude which it fits, in a line above."""
    for line in table.preamble:
        cells = split(line, table.delimiter)
        for hours, latitude, longitude in zip(cells, cells[1:], cells[2:], strict=False):
            if not all(
                re.fullmatch(r"\s*[+-]?\d{1,3}\.\d+\s*", cell) for cell in (hours, latitude, longitude)
            ):
                continue
            offset, north, east = float(hours), float(latitude), float(longitude)
            fits = abs(offset) <= 14 and offset * 4 % 1 == 0 and abs(north) <= 90 and abs(east) <= 180
            if fits and abs(offset - east / 15) <= 1.0:
                minutes = round(offset * 60)
                return Zone(
                    minutes, None, f"clock {offset_text(minutes)} the year round, from the station's line"
                )
    return None


def _named(text: str, what: str, name: str) -> Zone:
    minutes = offset_minutes(text)
    if minutes is not None:
        return Zone(minutes, None, f"clock {offset_text(minutes)} the year round, as set")
    if zone_info(text) is None:
        raise ask(
            name,
            f"{text!r} is no time zone that is known ({what})",
            "a zone such as Europe/Dublin, or an offset",
            zone="Europe/Dublin",
        )
    return Zone(None, text)

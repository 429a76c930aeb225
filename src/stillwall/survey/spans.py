"""Times of the day and of the year as people say them."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator

from stillwall.survey.quantities import UnusableError

_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_LENGTHS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_CLOCK = re.compile(r"(\d{1,2})[:.](\d\d)\s*(?:to|until|-|–)\s*(\d{1,2})[:.](\d\d)")
_DAYS = re.compile(r"(\d{1,2})\s+([a-z]+)\.?\s*(?:to|until|-|–)\s*(\d{1,2})\s+([a-z]+)\.?")
CLOSED_HOURS = "closed hours"
WHEN_SUNNY = "when sunny"


def daily_hours(text: str) -> tuple[float, float]:
    """Start and end of ``"09:00 to 18:00"``. [h of the day, local clock]

    Where the end is not after the start it is on the next day. Raises :class:`UnusableError`.
    """
    match = _CLOCK.fullmatch(text.strip().lower())
    wanted = "times of the 24-hour clock, such as '09:00 to 18:00'"
    if match is None:
        raise UnusableError(f"{text[:60]!r} is no time of day", wanted, "write it as '09:00 to 18:00'")
    hours = [int(match[1]) + int(match[2]) / 60, int(match[3]) + int(match[4]) / 60]
    if max(hours) > 24 or int(match[2]) > 59 or int(match[4]) > 59:
        raise UnusableError(
            f"{text[:60]!r} is a time that does not exist", wanted, "check the hours and minutes"
        )
    return hours[0], hours[1]


def year_span(text: str) -> tuple[tuple[int, int], tuple[int, int]]:
    """First and last day of ``"1 Oct to 30 Apr"`` as (month, day); it may run over the new year.

    Raises :class:`UnusableError`.
    """
    match = _DAYS.fullmatch(text.strip().lower())
    wanted = "days of the year, such as '1 Oct to 30 Apr'"
    if match is None:
        raise UnusableError(f"{text[:60]!r} is no part of a year", wanted, "write it as '1 Oct to 30 Apr'")
    ends = [(month_number(match[2]), int(match[1])), (month_number(match[4]), int(match[3]))]
    for month, day in ends:
        if month == 0 or not 1 <= day <= _LENGTHS[month - 1]:
            raise UnusableError(
                f"{text[:60]!r} has a day that does not exist", wanted, "check the days and months"
            )
    return ends[0], ends[1]


def month_number(word: str) -> int:
    """1 to 12 for the name of a month or its first three letters, 0 for another word."""
    short = word.strip().lower().rstrip(".")
    months = [number for number, name in enumerate(_MONTHS, 1) if name.startswith(short) and len(short) > 2]
    return months[0] if months else 0


def _checked(value: str) -> str:
    daily_hours(value)
    return value


def _drawn(value: str) -> str:
    if value.strip().lower() in (CLOSED_HOURS, WHEN_SUNNY):
        return value.strip().lower()
    try:
        return _checked(value)
    except UnusableError as error:
        wanted = f"'17:00 to 09:00', {CLOSED_HOURS!r} or {WHEN_SUNNY!r}"
        raise UnusableError(error.found, wanted, f"write {wanted}") from error


def _season(value: str) -> str:
    year_span(value)
    return value


def _month(value: Any) -> Any:
    number = month_number(value) if isinstance(value, str) else value
    if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= 12:
        raise UnusableError(
            f"{str(value)[:60]!r} is no month", "1 to 12, or a name such as 'Oct'", "correct the month"
        )
    return number


def weekday(value: Any) -> Any:
    """``"mon"`` for ``"Mon"`` or ``"Monday"``. Raises :class:`UnusableError` for another word."""
    short = value.strip().lower().rstrip(".") if isinstance(value, str) else ""
    named = [day[:3] for day in _WEEKDAYS if len(short) > 2 and day.startswith(short)]
    if not named:
        raise UnusableError(f"{str(value)[:60]!r} is no day of the week", "such as 'Mon'", "correct the day")
    return named[0]


DailyHours = Annotated[str, AfterValidator(_checked)]
"""Text that :func:`daily_hours` reads."""
DrawnHours = Annotated[str, AfterValidator(_drawn)]
"""Text that :func:`daily_hours` reads, or ``"closed hours"``, or ``"when sunny"``."""
YearSpan = Annotated[str, AfterValidator(_season)]
"""Text that :func:`year_span` reads."""
Month = Annotated[int, BeforeValidator(_month)]

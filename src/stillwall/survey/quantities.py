"""Field types of the survey: text with a unit on the page, SI floats once read."""

from __future__ import annotations

import datetime as dt
import math
import re
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field

from stillwall.units import EXAMPLE, QuantityError, Size, parse_footprint, parse_quantity, parse_size

_HIGHEST = {
    "length": 1e3,
    "mass": 1e5,
    "power": 1e6,
    "time": 24.0 * 366,
    "temperature": 100.0,
    "humidity": 100.0,
    "illuminance": 2e5,
    "light_dose": 1e12,
    "angle": 360.0,
    "conductance": 20.0,
    "uv_proportion": 1e4,
}
"""Above these a figure about a room or a work is a slip of the pen."""
_COMPASS = {
    name: step * 45.0
    for step, names in enumerate(
        [
            ("north", "n"),
            ("north-east", "northeast", "ne"),
            ("east", "e"),
            ("south-east", "southeast", "se"),
            ("south", "s"),
            ("south-west", "southwest", "sw"),
            ("west", "w"),
            ("north-west", "northwest", "nw"),
        ]
    )
    for name in names
}
_YES_NO = {"yes": True, "no": False, "true": True, "false": False}


class UnusableError(ValueError):
    """A value that cannot be used, with what could be and how to mend it."""

    def __init__(self, found: str, expected: str, fix: str) -> None:
        super().__init__(found)
        self.found, self.expected, self.fix = found, expected, fix


def _shown(value: Any) -> str:
    try:
        text = repr(value)
    except (ValueError, RecursionError):
        return "this value"
    return text if len(text) <= 60 else text[:57] + "..."


def _quantity(value: Any, kind: str, *, lowest: float, above: bool = False) -> Any:
    if not isinstance(value, str):
        raise UnusableError(
            f"{_shown(value)} has no unit",
            f"text such as {EXAMPLE[kind]!r}",
            "write it in quotes, with its unit",
        )
    try:
        number = parse_quantity(value, kind)
    except QuantityError as error:
        raise UnusableError(error.found, error.expected, error.fix) from error
    if number < lowest or (above and number == lowest):
        what = "not above zero" if above else "negative" if lowest == 0 else "too low to be true"
        raise UnusableError(
            f"{value!r} is {what}", f"such as {EXAMPLE[kind]!r}", "measure it again, or leave it out"
        )
    if number > _HIGHEST.get(kind, math.inf):
        raise UnusableError(
            f"{value!r} is too much to be true", f"such as {EXAMPLE[kind]!r}", "check the unit"
        )
    return number


def _reader(kind: str, *, lowest: float = 0.0, above: bool = False) -> BeforeValidator:
    return BeforeValidator(lambda value: _quantity(value, kind, lowest=lowest, above=above))


def _angle(value: Any) -> Any:
    if isinstance(value, int | float) and not isinstance(value, bool):
        value = f"{value} deg"
    if isinstance(value, str) and value.strip().lower() in _COMPASS:
        return _COMPASS[value.strip().lower()]
    return _quantity(value, "angle", lowest=0.0)


def _size(value: Any) -> Any:
    return _sides(value, "height x width, such as '6 ft x 8 ft'", parse_size)


def _footprint(value: Any) -> Any:
    return _sides(value, "width x depth, such as '14 in x 12 in'", parse_footprint)


def _sides(value: Any, wanted: str, parse: Any) -> Any:
    if not isinstance(value, str):
        raise UnusableError(f"{_shown(value)} is not text", wanted, f"write {wanted}")
    try:
        size = parse(value)
    except QuantityError as error:
        raise UnusableError(error.found, error.expected, error.fix) from error
    if max(size.height_m, size.width_m, size.depth_m or 0.0) > _HIGHEST["length"]:
        raise UnusableError(f"{value!r} is too much to be true", wanted, "check the unit")
    return size


def _of_our_time(value: dt.date) -> dt.date:
    if not 1800 <= value.year < 2200:
        raise UnusableError(f"{value} is far from our time", "1800 to 2199", "check the year")
    return value


def _date(value: Any) -> Any:
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return _of_our_time(value)
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value.strip()):
        try:
            return _of_our_time(dt.date.fromisoformat(value.strip()))
        except UnusableError:
            raise
        except ValueError as error:
            raise UnusableError(
                f"{value!r} is a date that does not exist",
                "a date of the calendar",
                "check the day and the month",
            ) from error
    raise UnusableError(
        f"{_shown(value)} is not a date", "year-month-day, such as '2026-03-31'", "write it as 2026-03-31"
    )


def _moment(value: Any) -> Any:
    if isinstance(value, dt.datetime):
        return _of_our_time(value)
    wanted = "date and time, such as '2026-03-04 14:10'"
    if isinstance(value, str) and re.fullmatch(
        r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d)?(Z|[+-]\d\d:\d\d)?", value.strip()
    ):
        try:
            return _of_our_time(dt.datetime.fromisoformat(value.strip()))
        except UnusableError:
            raise
        except ValueError as error:
            raise UnusableError(
                f"{value!r} is a moment that does not exist", wanted, "check the day, the month and the time"
            ) from error
    if isinstance(value, dt.date) or (
        isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value.strip())
    ):
        raise UnusableError(f"{str(value)!r} has no time of day", wanted, "add the time at which it was read")
    raise UnusableError(
        f"{_shown(value)} is not a date with a time", wanted, "write it as '2026-03-04 14:10'"
    )


def _yes_no(value: Any) -> Any:
    if isinstance(value, bool):
        return value
    if isinstance(value, str) and value.strip().lower() in _YES_NO:
        return _YES_NO[value.strip().lower()]
    raise UnusableError(
        f"{_shown(value)} is neither yes nor no", "true or false", "write true or false, or leave it out"
    )


def _figure(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnusableError(
            f"{_shown(value)} is not a number", "a plain number, such as 40", "write a number without quotes"
        )
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise UnusableError(
            f"{_shown(value)} is not a finite number", "a number, such as 40", "leave out what is not known"
        )
    return number


def _share(value: Any) -> Any:
    if isinstance(value, str):
        return _quantity(value, "humidity", lowest=0.0) / 100
    number = _figure(value)
    if not 0 <= number <= 1:
        fix = f"write {number / 100:g} or '{number:g} %'" if 1 < number <= 100 else "count it again"
        raise UnusableError(f"{_shown(value)} is no part of a whole", "0 to 1, or a percentage", fix)
    return number


def _whole(value: Any) -> Any:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    raise UnusableError(
        f"{_shown(value)} is not a whole number", "a whole number, such as 2", "write it without quotes"
    )


def _plain_or(kind: str, unit: str) -> BeforeValidator:
    """A plain number where the key names the unit, else text."""

    def read(value: Any) -> Any:
        if isinstance(value, int | float) and not isinstance(value, bool):
            number = _figure(value)
            if number < 0 or number > _HIGHEST[kind]:
                raise UnusableError(
                    f"{_shown(value)} {unit} cannot be", f"such as {EXAMPLE[kind]!r}", "read it again"
                )
            return number
        return _quantity(value, kind, lowest=0.0)

    return BeforeValidator(read)


def one_or_many(value: Any) -> Any:
    """A list; text on its own is a list of one."""
    return [value] if isinstance(value, str) else value


def _a_day(value: float) -> float:
    if value > 24:
        raise UnusableError(f"{value:g} hours a day", "at most 24 h", "check the number")
    return value


Length = Annotated[float, _reader("length")]
Extent = Annotated[float, _reader("length", above=True)]
"""A length that cannot be zero."""
SignedLength = Annotated[float, _reader("length", lowest=-1e3)]
Mass = Annotated[float, _reader("mass", above=True)]
Power = Annotated[float, _reader("power")]
Hours = Annotated[float, _reader("time")]
HoursADay = Annotated[float, _plain_or("time", "hours"), AfterValidator(_a_day)]
Lux = Annotated[float, _plain_or("illuminance", "lx")]
MicrowattsPerLumen = Annotated[float, _plain_or("uv_proportion", "uW/lm")]
Illuminance = Annotated[float, _reader("illuminance")]
LightDose = Annotated[float, _reader("light_dose")]
Angle = Annotated[float, BeforeValidator(_angle)]
"""Degrees: text with a unit, a plain number, or for bearings a word such as ``"north-east"``."""
Temperature = Annotated[float, _reader("temperature", lowest=-60.0)]
TemperatureDifference = Annotated[float, _reader("temperature_difference", lowest=-100.0)]
Humidity = Annotated[float, _reader("humidity")]
Conductance = Annotated[float, _reader("conductance")]
UvProportion = Annotated[float, _reader("uv_proportion")]
Dimensions = Annotated[Size, BeforeValidator(_size)]
Footprint = Annotated[Size, BeforeValidator(_footprint)]
"""Width x depth: the width is ``height_m`` (the first number), the depth ``width_m`` (the second)."""
Date = Annotated[dt.date, BeforeValidator(_date)]
Moment = Annotated[dt.datetime, BeforeValidator(_moment)]
YesNo = Annotated[bool, BeforeValidator(_yes_no)]
"""true or false, or the words yes and no."""
Number = Annotated[float, BeforeValidator(_figure)]
Whole = Annotated[int, BeforeValidator(_whole)]
Share = Annotated[float, BeforeValidator(_share)]
"""0 to 1, or text such as ``"20 %"``."""
Count = Annotated[Number, Field(ge=0, le=1e7)]
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*$", max_length=80)]
Words = Annotated[tuple[str, ...], BeforeValidator(one_or_many)]
"""A list of words; one may stand without its brackets."""

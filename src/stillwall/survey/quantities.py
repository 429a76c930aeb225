"""Field types of the survey: text with a unit on the page, SI floats once read."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from stillwall.units import Size, parse_quantity, parse_size


def _reader(kind: str, *, above_zero: bool) -> BeforeValidator:
    def read(value: Any) -> Any:
        if value is None:
            return None
        if not isinstance(value, str):
            raise ValueError(f"{value!r} has no unit; write it as text, such as {EXAMPLE[kind]!r}")
        number = parse_quantity(value, kind)
        if above_zero and number < 0:
            raise ValueError(f"{value!r} is negative")
        return number

    return BeforeValidator(read)


EXAMPLE = {
    "length": "1.8 m",
    "mass": "18 kg",
    "power": "500 W",
    "time": "4 h",
    "temperature": "20 degC",
    "temperature_difference": "0.4 K",
    "humidity": "50 %",
    "illuminance": "50 lx",
    "light_dose": "150 klx h",
    "angle": "90 deg",
    "area": "2 m^2",
    "conductance": "1.5 W/m^2/K",
    "uv_proportion": "75 uW/lm",
    "force": "100 N",
}


def _size(value: Any) -> Any:
    if value is None or isinstance(value, Size):
        return value
    if not isinstance(value, str):
        raise ValueError(f"{value!r} is not height x width, such as '6 ft x 8 ft'")
    return parse_size(value)


def _date(value: Any) -> Any:
    if isinstance(value, str):
        try:
            return dt.date.fromisoformat(value)
        except ValueError as error:
            raise ValueError(f"{value!r} is not a date that exists, such as '2026-03-31'") from error
    return value


Length = Annotated[float, _reader("length", above_zero=True)]
SignedLength = Annotated[float, _reader("length", above_zero=False)]
Mass = Annotated[float, _reader("mass", above_zero=True)]
Power = Annotated[float, _reader("power", above_zero=True)]
Hours = Annotated[float, _reader("time", above_zero=True)]
Illuminance = Annotated[float, _reader("illuminance", above_zero=True)]
LightDose = Annotated[float, _reader("light_dose", above_zero=True)]
Angle = Annotated[float, _reader("angle", above_zero=False)]
Temperature = Annotated[float, _reader("temperature", above_zero=False)]
TemperatureDifference = Annotated[float, _reader("temperature_difference", above_zero=False)]
Humidity = Annotated[float, _reader("humidity", above_zero=False)]
Conductance = Annotated[float, _reader("conductance", above_zero=True)]
UvProportion = Annotated[float, _reader("uv_proportion", above_zero=True)]
Dimensions = Annotated[Size, BeforeValidator(_size)]
Date = Annotated[dt.date, BeforeValidator(_date)]
Share = Annotated[float, Field(ge=0, le=1)]
Count = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*$", max_length=80)]

"""Loggers, their files and hand-held readings as the survey names them."""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import field as dataclass_field
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, ConfigDict, Field

from stillwall.survey.quantities import (
    Angle,
    Date,
    Illuminance,
    Length,
    Lux,
    MicrowattsPerLumen,
    Moment,
    Number,
    UnusableError,
    YesNo,
    one_or_many,
)
from stillwall.units import parse_quantity

STRICT = ConfigDict(extra="forbid")


def _from_text(value: Any) -> Any:
    return {"file": value} if isinstance(value, str) else value


OFFSET_KINDS = {"temperature": "temperature_difference", "humidity": "humidity", "light": "illuminance"}
"""Roles that a bare offset can be meant for, and the kind of quantity it then is."""


def _role_of_offset(text: str) -> str:
    for role, kind in OFFSET_KINDS.items():
        try:
            parse_quantity(text, kind)
        except ValueError:
            continue
        return role
    raise UnusableError(f"{text!r} is no offset", "a quantity such as '0.4 K' or '-2 %'", "add its unit")


def _checked_offset(value: str) -> str:
    _role_of_offset(value)
    return value


def _by_role(value: Any) -> Any:
    return {_role_of_offset(value): value} if isinstance(value, str) else value


@dataclass(frozen=True, slots=True, kw_only=True)
class LogFileRef:
    """A log file, and the sensor in it where it holds several."""

    __pydantic_config__ = STRICT

    file: Annotated[str, Field(min_length=1)]
    sensor: str | None = None
    offset: Annotated[str, AfterValidator(_checked_offset)] | None = None
    """Calibration offset such as ``"0.4 K"``, added to the readings of the quantity with that unit."""


LogRef = Annotated[LogFileRef, BeforeValidator(_from_text)]
Logs = Annotated[tuple[LogRef, ...], BeforeValidator(one_or_many)]
"""A list of log files; one may stand without its brackets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LightReading:
    """One reading with a hand-held light meter at the wall plane."""

    __pydantic_config__ = STRICT

    at: Moment
    lux: Lux
    """A plain number, or text with a unit such as ``"8 fc"``."""
    sky: Literal["clear", "mixed", "overcast", "night"] | None = None
    lamps: Literal["on", "off"] | None = None
    uv: MicrowattsPerLumen | None = None
    """Ultraviolet read at the same time, in uW/lm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggerSettings:
    """What a file leaves open, settled in the survey: ``[logger."hall.csv"]``."""

    __pydantic_config__ = STRICT

    columns: dict[str, str] = dataclass_field(default_factory=dict)
    """Column header or number to role, such as ``{ "Ch 1" = "temperature", "3" = "humidity" }``."""
    units: dict[str, str] = dataclass_field(default_factory=dict)
    """Role to unit as in the file, such as ``{ temperature = "degF" }``."""
    date_order: Literal["day-first", "month-first", "year-first"] | None = None
    decimal: Literal["comma", "point"] | None = None
    zone: str | None = None
    """IANA zone or offset of the file's clock, such as ``"Europe/Dublin"`` or ``"+01:00"``."""
    sensor: str | None = None
    offset: Annotated[dict[str, str], BeforeValidator(_by_role)] = dataclass_field(default_factory=dict)
    """Role to what is added, such as ``{ temperature = "-0.3 K", humidity = "2 %" }``.

    On the page also plain text such as ``"-0.3 K"``, which its unit gives to a role.
    """
    gain: dict[str, Number] = dataclass_field(default_factory=dict)
    accuracy: dict[str, str] = dataclass_field(default_factory=dict)
    """Role to half width of the 90 % interval, such as ``{ humidity = "2 %" }``."""
    calibrated_on: Date | None = None
    calibration_due: Date | None = None
    battery_due: Date | None = None
    height_m: Annotated[Length | None, Field(alias="height")] = None
    beside: str | None = None
    faces_deg: Annotated[Angle | None, Field(alias="faces")] = None
    full_scale_lux: Annotated[Illuminance | None, Field(alias="full_scale")] = None
    averages: YesNo | None = None
    """Whether a value is the mean since the last reading and not a spot reading."""
    names: dict[str, str] = dataclass_field(default_factory=dict)
    """Other settings of the reader, by the name that its own error message gives."""

"""Channels at one place: what loggers said there, with provenance, flags and coverage."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

Role = Literal["temperature", "humidity", "light", "ultraviolet", "dew_point", "surface_temperature"]
ROLES: tuple[Role, ...] = get_args(Role)

UNIT: Mapping[Role, str] = {
    "temperature": "degC",
    "humidity": "%",
    "light": "lx",
    "ultraviolet": "uW/lm",
    "dew_point": "degC",
    "surface_temperature": "degC",
}
"""The unit in which values of a role are kept; ultraviolet may be kept in mW/m2 instead."""

Times = NDArray[np.datetime64]
Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


def middle(values: Floats | NDArray[np.int64]) -> float:
    """The median of at least one value, found without ordering where one and the same is most of them."""
    guess = values[len(values) // 2]
    if 2 * int(np.count_nonzero(values == guess)) > len(values):
        return float(guess)
    return float(np.median(values))


@dataclass(frozen=True, slots=True, eq=False)
class Flag:
    """One kind of fault found in one channel.

    ``where`` holds the indices of the readings concerned, in the channel's own order; a fault of the
    file rather than of a reading (a joined download, a clock jump) may hold the reading that follows it.
    """

    name: str
    excludes: bool
    where: NDArray[np.int64]
    first: np.datetime64
    note: str = ""
    count_override: int | None = None

    @property
    def count(self) -> int:
        """How many readings or events are flagged."""
        return len(self.where) if self.count_override is None else self.count_override


@dataclass(frozen=True, slots=True, eq=False)
class Channel:
    """One quantity from one sensor.

    Attributes
    ----------
    times : datetime64[s], shape (n,)
        Strictly increasing. UTC where ``utc``, else the clock of the file.
    values : float64, shape (n,)
        In ``unit``, calibration applied; every reading that was read, the excluded ones too.
    excluded : bool, shape (n,)
        Readings that no statistic may use.
    accuracy : float
        Half width of the 90 % interval of the sensor's calibration error, in ``unit``
        (for light: as a share of the reading).
    logger : str
        Name of the source of error, shared by every channel of one logger.
    """

    role: Role
    sensor: str | None
    unit: str
    unit_in_file: str
    times: Times
    values: Floats
    excluded: Mask
    flags: tuple[Flag, ...]
    utc: bool
    logger: str
    accuracy: float
    files: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def kept(self) -> tuple[Times, Floats]:
        """Times and values of the readings that are not excluded."""
        if not self.excluded.any():
            return self.times, self.values
        keep = ~self.excluded
        return self.times[keep], self.values[keep]

    @property
    def step_s(self) -> float:
        """Commonest interval between readings. [s]"""
        if len(self.times) < 2:
            return float("nan")
        return middle(np.diff(self.times).astype(np.int64))

    @property
    def coverage(self) -> float:
        """Share of the span from first to last reading that usable readings cover."""
        times, _ = self.kept
        if len(times) < 2 or len(self.times) < 2:
            return 1.0 if len(times) else 0.0
        span = int((self.times[-1] - self.times[0]).astype(np.int64))
        expected = span / self.step_s + 1
        return float(min(1.0, len(times) / expected))


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """What is logged for one place.

    ``from_room`` names the roles that come from the room's loggers and not from the wall's own.
    """

    place: str
    channels: Mapping[Role, Channel]
    from_room: frozenset[Role] = frozenset()
    zone: str | None = None
    room: Record | None = None
    """What the room's own loggers say, where the place has loggers besides."""
    outdoors: Record | None = None
    """What is logged outside the building."""

    def __contains__(self, role: object) -> bool:
        return role in self.channels

    def get(self, role: Role) -> Channel | None:
        """The channel of a role, or None where it is not logged."""
        return self.channels.get(role)

    @property
    def last(self) -> np.datetime64 | None:
        """Time of the last reading of any channel."""
        ends = [channel.times[-1] for channel in self.channels.values() if len(channel.times)]
        return max(ends) if ends else None

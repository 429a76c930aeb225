"""Numbers that loggers write where there is no reading."""

from __future__ import annotations

import numpy as np

from stillwall.record import Floats, Role

_SENTINELS = np.array(
    [
        -999,
        -999.9,
        -999.99,
        -9999,
        -9999.9,
        -99999,
        -7999,
        -6999,
        -8999,
        -200,
        -99,
        -99.9,
        -99.99,
        -88.8,
        -888,
        -888.8,
        -327.68,
        -3276.8,
        -32768,
        32767,
        3276.7,
        327.67,
        9999,
        9999.9,
        9999.99,
        99999,
        999.9,
        999.99,
        999,
        999999,
        6999,
        7999,
        65535,
        6553.5,
        655.35,
        888,
        888.8,
        888.88,
        -127,
        -273.15,
        -459.67,
        2147483647,
        -2147483648,
    ]
)
_COLDEST = {"degC": -70.0, "degF": -94.0, "K": 200.0}
_HOTTEST = {"degC": 120.0, "degF": 250.0, "K": 400.0}


def without_sentinels(values: Floats, role: Role, unit: str) -> tuple[Floats, int]:
    """Values with marks for no reading made NaN, and how many there were.

    A number counts as such a mark only where it is in use as one and cannot be a reading of its role.
    """
    low, high = _possible(role, unit)
    with np.errstate(invalid="ignore"):
        beyond = (values < low) | (values > high)
    infinite = np.isinf(values)
    if not beyond.any() and not infinite.any():
        return values, 0
    marks = infinite.copy()
    rows = np.flatnonzero(beyond & ~infinite)
    marks[rows] = np.isclose(values[rows, None], _SENTINELS[None, :], rtol=0, atol=1e-6).any(axis=1)
    count = int(marks.sum())
    if count == 0:
        return values, 0
    made = values.copy()
    made[marks] = np.nan
    return made, count


def _possible(role: Role, unit: str) -> tuple[float, float]:
    if role in ("temperature", "dew_point", "surface_temperature"):
        return _COLDEST[unit], _HOTTEST[unit]
    if role == "humidity":
        return (-0.05, 1.2) if unit == "fraction" else (-5.0, 120.0)
    return -0.5, 400_000.0

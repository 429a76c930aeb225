"""Light by hour and day: the array behind a carpet picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.local_clock import DAY_S, local_seconds
from stillwall.record import Record

Floats = NDArray[np.float64]

LONGEST_CARPET_DAYS = 1100


@dataclass(frozen=True, slots=True, eq=False)
class LightCarpet:
    """Greatest illuminance by day and slot, shape (days, slots), NaN where nothing was read. [lx]

    ``first_day`` is the first day on the local clock where the zone is known, else on the file's clock.
    """

    first_day: np.datetime64
    lux: Floats


def light_carpet(record: Record, slots: int = 96) -> LightCarpet | None:
    """Carpet of a light channel, its last three years at most; None where there is no reading."""
    channel = record.get("light")
    if channel is None:
        return None
    times, lux = channel.kept
    if len(times) == 0:
        return None
    clock = local_seconds(times.astype(np.int64), record.zone if channel.utc else None)
    first = max(int(clock[0]) // DAY_S, int(clock[-1]) // DAY_S - LONGEST_CARPET_DAYS + 1)
    days = int(clock[-1]) // DAY_S - first + 1
    slot = (clock - first * DAY_S) * slots // DAY_S
    made = np.full(days * slots, -np.inf)
    here = (slot >= 0) & (slot < days * slots)
    np.maximum.at(made, slot[here], lux[here])
    made[np.isneginf(made)] = np.nan
    return LightCarpet(np.datetime64(first, "D"), made.reshape(days, slots))

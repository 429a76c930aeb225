"""Direct sun on a wall, found in its light log by what marks it: bright, sharp, at one place in the sky."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stillwall.exposure.daylight_reference import Outdoors
from stillwall.exposure.dose import HalfHours
from stillwall.exposure.lamps import LampSchedule

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

TIMES_DAYLIGHT = 4.0
LEAST_SUN_LUX = 1500.0
AZIMUTH_BIN_DEG, ELEVATION_BIN_DEG = 10.0, 5.0
LEAST_DAYS, LEAST_DAY_SHARE = 3, 0.15


@dataclass(frozen=True, slots=True, eq=False)
class SunInLog:
    """Patches of sun found in a log.

    ``daily_lux_h`` is the dose above ordinary daylight by day, ``days`` the days since 1970-01-01 with a
    patch, ``from_h`` and ``to_h`` the hours of the clock between which the most part fell.
    """

    found: bool
    daily_lux_h: Floats
    days: NDArray[np.int64]
    hours: float
    peak_lux: float
    from_h: float | None
    to_h: float | None
    places: tuple[tuple[float, float], ...]
    """Azimuth and elevation of the sun, at the middle of each patch of sky. [deg]"""

    @staticmethod
    def none() -> SunInLog:
        """No patch."""
        return SunInLog(False, np.zeros(0), np.zeros(0, np.int64), 0.0, 0.0, None, None, ())


def find_sun(cells: HalfHours, sky: Outdoors, schedule: LampSchedule) -> SunInLog:
    """Half-hours in which the sun itself reached the sensor.

    Marked are half-hours brighter than 1,500 lx and than four times what the room's median ratio to
    outdoor light gives. A place in the sky (10 degrees of azimuth by 5 of elevation) counts where
    at least 3 days, and 15 % of the days on which the sun stood there, are marked: the sun comes back
    to one place in the sky, a lamp to one time of the clock.
    """
    lux = cells.mean_lux - schedule.lamp_lux(sky)
    day = np.isfinite(lux) & (sky.elevation_deg > 3.0) & (sky.reference_lux > 500.0)
    if np.count_nonzero(day) < 10:
        return SunInLog(False, np.zeros(cells.days), np.zeros(0, np.int64), 0.0, 0.0, None, None, ())
    ratio = float(np.median(lux[day] / sky.reference_lux[day]))
    ordinary = max(ratio, 1e-6) * sky.reference_lux
    marked = day & (lux > TIMES_DAYLIGHT * ordinary) & (lux > LEAST_SUN_LUX)
    place = _places(sky)
    number = np.broadcast_to(np.arange(cells.days)[:, None], place.shape)
    seen_days = _days_by_place(place[day], number[day], cells.days)
    marked_days = _days_by_place(place[marked], number[marked], cells.days)
    real = (marked_days >= LEAST_DAYS) & (marked_days >= LEAST_DAY_SHARE * seen_days)
    patch = marked & real[place]
    excess = np.where(patch, (lux - ordinary) * cells.covered_h, 0.0)
    if not patch.any():
        return SunInLog(False, np.zeros(cells.days), np.zeros(0, np.int64), 0.0, 0.0, None, None, ())
    clock = np.sort(sky.local_slot[patch]) / 2.0 + 0.25
    return SunInLog(
        found=True,
        daily_lux_h=excess.sum(axis=1),
        days=sky.first_day + np.flatnonzero(patch.any(axis=1)),
        hours=float(cells.covered_h[patch].sum()),
        peak_lux=float(lux[patch].max()),
        from_h=float(np.quantile(clock, 0.05)),
        to_h=float(np.quantile(clock, 0.95)),
        places=tuple(
            ((int(n) // 18 + 0.5) * AZIMUTH_BIN_DEG, (int(n) % 18 + 0.5) * ELEVATION_BIN_DEG)
            for n in np.flatnonzero(real)
        ),
    )


@lru_cache(maxsize=4)
def _places(sky: Outdoors) -> NDArray[np.int64]:
    """The bin of the sky, by azimuth and elevation, in which the sun stands."""
    column = (sky.azimuth_deg // AZIMUTH_BIN_DEG).astype(np.int64)
    row = np.clip(sky.elevation_deg // ELEVATION_BIN_DEG, 0, 17).astype(np.int64)
    made: NDArray[np.int64] = column * 18 + row
    return made


def _days_by_place(place: NDArray[np.int64], day: NDArray[np.int64], days: int) -> NDArray[np.int64]:
    seen = np.zeros((36 * 18, days), np.bool_)
    seen[place, day] = True
    made: NDArray[np.int64] = np.count_nonzero(seen, axis=1)
    return made

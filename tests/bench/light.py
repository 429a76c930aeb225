"""All light exposures of one wall for a year at five minutes, and a year estimated from eight weeks.

``rows()`` gives (name, seconds of processor time, budget in seconds); the record has a patch of sun, gaps and
lamps.
"""

from __future__ import annotations

import time

import numpy as np

from stillwall.exposure.annual_dose import annual_dose
from stillwall.exposure.daylight_reference import Location, WindowFace
from stillwall.exposure.dose_draws import light, stay_dose, year_dose
from stillwall.exposure.light_carpet import light_carpet
from stillwall.exposure.light_year import LightSite
from stillwall.exposure.sky import clear_sky, facade_reference_lux
from stillwall.exposure.sun_position import sun_position
from stillwall.exposure.ultraviolet import logged_ultraviolet
from stillwall.record import Channel, Record

STEP_S = 300
YEAR = 365 * 86_400 // STEP_S
EXPOSURES_S = 0.020
ESTIMATE_S = 0.050
REPEATS = 7
FIRST = np.datetime64("2025-01-01T00:00:00", "s")
SITE = LightSite(Location(52.4, 4.9, "Europe/Amsterdam"), (WindowFace(195.0, 1.8),))
STAY_FROM = 20_500


def lit_record(days: int = 365) -> Record:
    """Daylight through weather, evening lamps, sun on the sensor in winter, a week without readings."""
    count = days * 86_400 // STEP_S
    seconds = FIRST.astype(np.int64) + np.arange(count) * STEP_S
    generator = np.random.default_rng(11)
    sun = sun_position(seconds.astype(float), 52.4, 4.9)
    weather = np.exp(0.5 * generator.standard_normal(days))[np.arange(count) * STEP_S // 86_400]
    lux = 0.005 * weather * facade_reference_lux(clear_sky(sun.elevation_deg), sun.azimuth_deg, 195.0)
    hour = (seconds / 3600.0 + 1.0) % 24.0
    lux += np.where((hour > 17.0) & (hour < 22.5), 45.0, 0.0)
    on_sensor = (sun.elevation_deg > 8) & (sun.elevation_deg < 15) & (np.abs(sun.azimuth_deg - 195.0) < 8)
    lux += np.where(on_sensor & (weather > 1.0), 25_000.0, 0.0)
    excluded = np.zeros(count, dtype=bool)
    excluded[count // 3 : count // 3 + 2016] = True
    times = seconds.astype("datetime64[s]")
    channel = Channel("light", None, "lx", "lx", times, np.round(lux), excluded, (), True, "bench", 0.1)
    return Record("wall", {"light": channel}, zone="Europe/Amsterdam")


def _fastest(compute: object) -> float:
    assert callable(compute)
    compute()
    taken = []
    for _ in range(REPEATS):
        start = time.process_time()
        compute()
        taken.append(time.process_time() - start)
    return min(taken)


def _all_exposures(record: Record) -> None:
    annual_dose(record, SITE)
    light_carpet(record)
    logged_ultraviolet(record)


def rows() -> list[tuple[str, float, float]]:
    """Name, seconds of processor time, budget."""
    year, weeks = lit_record(), lit_record(56)
    whole = _fastest(lambda: _all_exposures(year))
    part = _fastest(lambda: year_dose(annual_dose(weeks, SITE)))
    stays = _fastest(lambda: stay_dose(light(weeks, SITE).annual.parts, STAY_FROM))
    return [
        ("light: all exposures of a year at 5 min", whole, EXPOSURES_S),
        ("light: a year with its interval from 8 weeks", part, ESTIMATE_S),
        ("light: the same with every stay of it", stays, ESTIMATE_S),
    ]

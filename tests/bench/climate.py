"""All climate exposures of one wall for a year at five minutes, in air that feeds mould a third of the time.

``rows()`` gives (name, seconds of processor time, budget in seconds). The budget is for one year and is the
same for an inside and for an outside wall; two years may take twice as long and a half more.
"""

from __future__ import annotations

import time

import numpy as np

from stillwall.exposure.ageing import ageing
from stillwall.exposure.exceedance import deliquescence, exceedance
from stillwall.exposure.felt_climate import humidity_seasons, humidity_swings, temperature_seasons
from stillwall.exposure.mould import MouldClass
from stillwall.exposure.own_history import own_history
from stillwall.exposure.wall_surface import OutdoorClimate, SurfaceMould, months, surface_mould
from stillwall.record import Channel, Record
from stillwall.reference.library import load_library
from tests.bench.registry import Row, bench

STEP_S = 300
YEAR = 365 * 86_400 // STEP_S
BUDGET_S = 0.040
LINE_BYTES = 40
REPEATS = 5
CLIMATE = OutdoorClimate(mean_c=10.0, amplitude_k=9.0, southern=False)


def damp_record(years: float = 1.0) -> Record:
    """Temperature and humidity with seasons, days, noise and a week without readings."""
    count = int(YEAR * years)
    seconds = np.arange(count) * STEP_S
    generator = np.random.default_rng(7)
    day, season = 2 * np.pi * seconds / 86_400, 2 * np.pi * seconds / 86_400 / 365
    temperature = 18 - 5 * np.cos(season) + 1.5 * np.sin(day) + generator.normal(0, 0.2, count)
    humidity = np.clip(76 - 4 * np.cos(season) - 11 * np.sin(day) + generator.normal(0, 2, count), 20, 99)
    excluded = np.zeros(count, np.bool_)
    excluded[count // 3 : count // 3 + 2016] = True
    times = np.datetime64("2025-01-01T00:00:00", "s") + seconds.astype("timedelta64[s]")

    def channel(role: str, values: np.ndarray, accuracy: float) -> Channel:
        return Channel(
            role=role,
            sensor=None,
            unit="degC" if role == "temperature" else "%",
            unit_in_file="",
            times=times,
            values=values,
            excluded=excluded,
            flags=(),
            utc=True,
            logger="bench",
            accuracy=accuracy,
        )

    return Record(
        place="bench",
        channels={
            "temperature": channel("temperature", temperature, 0.5),
            "humidity": channel("humidity", humidity, 3.0),
        },
        zone="Europe/London",
    )


def mould_class() -> MouldClass:
    """The most sensitive class of surfaces."""
    fields = ("early", "late", "a", "b", "c", "least", "decline")
    figure = load_library().figure
    return MouldClass(*(figure(f"mould.class.very_sensitive.{field}") for field in fields))


def all_exposures(record: Record, kind: MouldClass, *, outside: bool) -> SurfaceMould:
    """Every exposure that the climate loads of a panel painting in a gilded frame ask for."""
    temperature_seasons(record)
    for t95_h in (624.0, 360.0):
        humidity_seasons(record, t95_h)
    for surface_h, bulk_h in ((103.2, 624.0), (24.0, 360.0)):
        humidity_swings(record, surface_h, bulk_h)
    ageing(record, 70.0, 624.0)
    exceedance(record, 75.0, True, 24.0, 1.0)
    deliquescence(record, 69.2, 25.0, 2.0)
    own_history(record)
    months(record, CLIMATE)
    if outside:
        found = surface_mould(record, kind, (0.45, 0.55, 0.65, 0.8), CLIMATE, (0.0,))
    else:
        found = surface_mould(record, kind, (1.0,), None, (-1.0, 0.0, 1.0, 2.0))
    assert found is not None
    return found


def seconds_for(years: float, *, outside: bool) -> float:
    """Processor time of all exposures, the least of a few runs on fresh records. [s]"""
    kind = mould_class()
    best = float("inf")
    for _ in range(REPEATS):
        record = damp_record(years)
        _hold_the_text_of_a_log(len(record.channels["humidity"].times))
        begun = time.process_time()
        all_exposures(record, kind, outside=outside)
        best = min(best, time.process_time() - begun)
    return best


def _hold_the_text_of_a_log(readings: int) -> None:
    """Take and give back as much memory as the log's text: a process that has read it has grown its heap."""
    text = bytearray(LINE_BYTES * readings)
    text[::4096] = bytes(len(text[::4096]))


def rows(years: float = 1.0) -> list[tuple[str, float, float]]:
    """The rows of the bench: name, seconds, budget."""
    one, two = (seconds_for(times * years, outside=False) for times in (1, 2))
    return [
        ("all exposures of a year at 5 min, inside wall", one, BUDGET_S),
        ("all exposures of a year at 5 min, outside wall", seconds_for(years, outside=True), BUDGET_S),
        ("all exposures of two years at 5 min, inside wall", two, 2.5 * max(one, 1e-3)),
    ]


@bench("climate")
def climate(small: bool) -> list[Row]:
    """Processor time of all climate exposures of one wall, and that it grows in line with the readings."""
    found = rows(0.1 if small else 1.0)
    return [Row(name, 1000 * seconds, "ms", 1000 * budget) for name, seconds, budget in found]

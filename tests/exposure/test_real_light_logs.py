"""Real logs of light, where they lie beside the repository: fitted on one part, tested on another.

Garden: an urban garden, hourly lux over eleven months (MIT licence). Office: one room in Mons, Belgium, a
reading a minute over two weeks (Candanedo and Feldheim, Energy and Buildings 112 (2016) 28-39, CC BY 4.0).
"""

from __future__ import annotations

import csv
import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from stillwall.exposure.annual_dose import annual_dose
from stillwall.exposure.daylight_reference import Location
from stillwall.exposure.dose import integrate
from stillwall.exposure.dose_draws import dose_draws
from stillwall.exposure.light_year import LightSite
from stillwall.exposure.spot_readings import SpotReading, spot_dose
from stillwall.record import Record

from .light_records import DAY_S, record_of

LOGS = Path(__file__).parents[3] / "shared" / "data" / "logs"
beside = pytest.mark.skipif(not LOGS.is_dir(), reason="the real logs do not lie beside the repository")
GARDEN = LightSite(Location(None, None, "+01:00"))
MONS = LightSite(Location(50.45, 3.95, None))


def _seconds(moment: dt.datetime) -> float:
    return moment.replace(tzinfo=dt.UTC).timestamp()


@pytest.fixture(scope="module")
def garden():
    """Seconds in UTC and lux of the garden, and the dose of each whole UTC day."""
    with (LOGS / "garden-light_AKT.csv").open(encoding="utf-8-sig") as file:
        rows = list(csv.reader(file))[2:]
    stamps = [dt.datetime.strptime(row[1], "%m.%d.%y %I:%M:%S %p") for row in rows]  # noqa: DTZ007
    seconds = np.array([_seconds(stamp) - 3600.0 for stamp in stamps])
    lux = np.array([float(row[3]) for row in rows])
    first = int(seconds[0] // DAY_S) + 1
    daily = []
    for day in range(first, int(seconds[-1] // DAY_S)):
        here = (seconds >= day * DAY_S) & (seconds <= (day + 1) * DAY_S)
        daily.append(integrate(seconds[here], lux[here]).dose_lux_h)
    return seconds, lux, first, np.array(daily)


def _true_weeks(start, first, daily):
    """Dose of the 52 weeks from a day on, NaN where the log did not run."""
    weeks = np.full(52, np.nan)
    for number in range(52):
        days = [(start + 7 * number + day - first) % 365 for day in range(7)]
        if max(days) < len(daily):
            weeks[number] = daily[days].sum()
    return weeks


def _cut(garden, start, end):
    seconds, lux, _, _ = garden
    here = (seconds >= start * DAY_S) & (seconds < end * DAY_S)
    return annual_dose(record_of(seconds[here], lux[here]), GARDEN)


@beside
@pytest.mark.parametrize("half", [0, 1])
def test_one_half_of_the_garden_tells_the_other(garden, half):
    _, _, first, daily = garden
    middle, last = first + len(daily) // 2, first + len(daily)
    start, end = ((first, middle), (middle, last))[half]
    parts = _cut(garden, start, end).parts
    truth = _true_weeks(start, first, daily)
    other = ~parts.seen & np.isfinite(truth)
    drawn = sum(dose_draws(parts, coming=False))[:, other].sum(axis=1)
    low, high = np.quantile(drawn, [0.05, 0.95])
    assert other.sum() >= 20
    assert low <= truth[other].sum() <= high
    assert high / low < 3.0


@beside
@pytest.mark.parametrize("weeks", [2, 8, 26])
def test_weeks_of_the_garden_tell_its_eleven_months(garden, weeks):
    _, _, first, daily = garden
    held = []
    for start in range(first, first + len(daily) - 7 * weeks, 20):
        truth = _true_weeks(start, first, daily)
        known = np.isfinite(truth)
        drawn = sum(dose_draws(_cut(garden, start, start + 7 * weeks).parts, coming=False))
        low, high = np.quantile(drawn[:, known].sum(axis=1), [0.05, 0.95])
        held.append(low <= truth[known].sum() <= high)
    assert np.mean(held) >= 0.86


@beside
@pytest.mark.parametrize("count", [3, 6, 12])
def test_hand_held_readings_in_the_garden_hold_its_dose(garden, count):
    seconds, lux, first, daily = garden
    draw = np.random.default_rng(count)
    held = []
    for _ in range(120):
        days = first + draw.choice(len(daily), count, replace=False)
        clock = days * float(DAY_S) + 3600.0 * draw.uniform(9.0, 17.0, count)
        read = np.interp(clock - 3600.0, seconds, lux)
        readings = tuple(SpotReading(float(at), float(level)) for at, level in zip(clock, read, strict=True))
        found = spot_dose(Record("garden", {}), readings, GARDEN)
        truth = _true_weeks(found.annual.parts.first_day, first, daily)
        known = np.isfinite(truth)
        daylight = dose_draws(found.annual.parts, coming=False)[0][:, known].sum(axis=1)
        low, high = np.quantile(daylight, [0.05, 0.95])
        held.append(low <= truth[known].sum() <= high)
    assert np.mean(held) >= 0.86


def _office(name):
    with (LOGS / name).open(encoding="utf-8") as file:
        rows = list(csv.reader(file))[1:]
    seconds = np.array([_seconds(dt.datetime.fromisoformat(row[1])) for row in rows])
    return seconds, np.array([float(row[4]) for row in rows])


@beside
@pytest.mark.parametrize(
    ("name", "dose", "hours"),
    [("office_datatraining.txt", 16_213.466, 135.7), ("office_datatest2.txt", 19_995.463, 162.5167)],
)
def test_dose_of_the_office_as_computed_by_a_separate_script(name, dose, hours):
    seconds, lux = _office(name)
    found = integrate(seconds, lux, max_gap_s=600.0)
    assert found.dose_lux_h == pytest.approx(dose, rel=1e-6)
    assert found.covered_h == pytest.approx(hours, abs=1e-3)


@beside
def test_one_week_of_the_office_tells_the_next():
    seconds, lux = _office("office_datatraining.txt")
    record = record_of(seconds, lux, utc=False)
    parts = annual_dose(record, MONS).parts
    after, after_lux = _office("office_datatest2.txt")
    first_day, last_day = int(after[0] // DAY_S) + 1, int(after[-1] // DAY_S)
    here = (after >= first_day * DAY_S) & (after <= last_day * DAY_S)
    truth = integrate(after[here], after_lux[here]).dose_lux_h
    week = sum(dose_draws(parts, coming=True))[:, (first_day - parts.first_day) // 7]
    low, high = np.quantile(week * (last_day - first_day) / 7.0, [0.05, 0.95])
    assert low <= truth <= high

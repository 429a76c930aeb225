"""Two loggers of one room: a sensor that shifted is told from air that changed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import psychrolib
import pytest

from stillwall.logs.checkup import check_survey
from stillwall.logs.neighbours import Shift, shift_between
from stillwall.record import Channel, Floats, Role
from stillwall.survey.read import read_survey

DAYS, STEPS = 60, 48
psychrolib.SetUnitSystem(psychrolib.SI)


def _pressure(temperature_c: Floats) -> Floats:
    """Saturation vapour pressure by psychrolib. [Pa]"""
    return np.array([psychrolib.GetSatVapPres(value) for value in temperature_c])


def _logger(vapour_pa: Floats, temperature_c: Floats, random: np.random.Generator) -> dict[Role, Floats]:
    humidity = 100 * vapour_pa / _pressure(temperature_c) + random.normal(0, 0.3, len(vapour_pa))
    return {"temperature": temperature_c + random.normal(0, 0.1, len(vapour_pa)), "humidity": humidity}


def _channels(readings: dict[Role, Floats]) -> dict[Role, Channel]:
    times = np.datetime64("2026-02-01", "s") + np.arange(DAYS * STEPS) * np.timedelta64(1800, "s")
    nothing = np.zeros(len(times), bool)
    return {
        role: Channel(
            role, None, unit, unit, times, values.round(1), nothing, (), True, "a.csv", 1.0, ("a.csv",)
        )
        for (role, values), unit in zip(readings.items(), ("degC", "%"), strict=True)
    }


def _room(seed: int) -> tuple[dict[Role, Floats], dict[Role, Floats]]:
    """A warm and a cool corner of one room: its vapour wanders by the week and is let in by the day."""
    random = np.random.default_rng(seed)
    hours = np.arange(DAYS * STEPS) / 2
    daily = np.repeat(np.cumsum(random.normal(0, 25, DAYS)), STEPS)
    vapour = (
        1050 + 150 * np.sin(hours / 300 + seed) + daily.clip(-250, 250) + 30 * np.sin(hours / 24 * 2 * np.pi)
    )
    warm = 20 + 1.5 * np.sin(hours / 24 * 2 * np.pi) + random.normal(0, 0.3)
    cool = warm - random.uniform(0.5, 3) - 0.5 * np.sin(hours / 24 * 2 * np.pi + 1)
    return _logger(vapour, warm, random), _logger(vapour, cool, random)


def _shift(one: dict[Role, Floats], other: dict[Role, Floats]) -> Shift | None:
    return shift_between(_channels(one), _channels(other))


def test_sensors_that_shift_are_found_and_good_ones_are_not() -> None:
    found = false = 0
    for seed in range(60):
        one, other = _room(seed)
        false += _shift(one, other) is not None
        day = 10 + seed % 40
        one["humidity"][day * STEPS :] += 6 if seed % 2 else -6
        shift = _shift(one, other)
        found += (
            shift is not None
            and abs((shift.day - np.datetime64("2026-02-01")).astype(int) - day) <= 1
            and (shift.ratio > 0) == bool(seed % 2)
        )
    assert found >= 57
    assert false <= 1


def test_air_that_changes_is_no_shift() -> None:
    random = np.random.default_rng(3)
    hours = np.arange(DAYS * STEPS) / 2
    vapour = np.where(hours < 24 * 30, 1000.0, 1300.0)
    one, other = _logger(vapour, 20 + np.sin(hours / 4), random), _logger(vapour, 17 + 0 * hours, random)
    assert _shift(one, other) is None
    warmed = _logger(vapour, np.where(hours < 24 * 20, 17.0, 22.0), random)
    assert _shift(warmed, other) is None


@pytest.mark.parametrize("lost", ["temperature", "humidity"])
def test_one_quantity_alone_tells_nothing(lost: Role) -> None:
    one, other = map(_channels, _room(1))
    del one[lost]
    assert shift_between(one, other) is None


def test_a_survey_asks_for_calibration(tmp_path: Path) -> None:
    one, other = _room(5)
    one["humidity"][30 * STEPS :] += 8
    for name, readings in (("pier.csv", one), ("hall.csv", other)):
        channels = _channels(readings)
        rows = zip(channels["temperature"].times, channels["temperature"].values, channels["humidity"].values,
                   strict=True)  # fmt: skip
        (tmp_path / name).write_text(
            "Time (UTC),Temp (°C),RH (%)\n"
            + "".join(f"{time},{air:.1f},{rh:.1f}\n" for time, air, rh in rows),
            encoding="utf-8",
        )
    (tmp_path / "survey.toml").write_text(
        '[survey]\nname = "Larkmoor Botanical Society"\n[[building]]\nid = "orangery"\n[[room]]\nid = "hall"\n'
        'building = "orangery"\nlogs = ["hall.csv"]\n[[wall]]\nid = "pier"\nroom = "hall"\nheight = "3 m"\n'
        'span = "2 m"\nlogs = ["pier.csv"]\n',
        encoding="utf-8",
    )
    asked = [missing for missing in check_survey(read_survey(tmp_path)).missing if "shifted" in missing.what]
    assert len(asked) == 1
    assert "2026-03-03" in asked[0].what
    assert "pier.csv and hall.csv" in asked[0].what
    assert asked[0].blocks == ("pier",)

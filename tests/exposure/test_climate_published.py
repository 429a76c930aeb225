"""Every climate formula against values from outside: ``tests/published/climate.csv``.

The file names a source and a tolerance for each value. Those marked ``from-memory`` rest on coefficients that
nobody has read in the source while this was made; those marked ``analytic`` follow from the formula alone.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from stillwall.exposure import ageing, felt, limits, moist_air, mould, seasons, strain, surface
from stillwall.exposure.exceedance import deliquescence_humidity
from stillwall.exposure.local_clock import DAY_S, local_seconds
from stillwall.exposure.moisture import wood_moisture_content
from stillwall.exposure.own_history import hourly, moving_mean, own_history
from stillwall.exposure.readings import readings
from stillwall.reference.guidelines import Band
from stillwall.reference.library import load_library
from stillwall.reference.sources import Citation
from tests.hazards.climate_cases import channel, hours, record

PUBLISHED = Path(__file__).parents[1] / "published" / "climate.csv"
HERE = Citation(key="judgement", checked="derived")
CLASS_NAMES = {"vs": "very_sensitive", "s": "sensitive", "mr": "medium_resistant", "r": "resistant"}
FIGURE = load_library().figure


class Inputs(dict[str, str]):
    """The inputs of one row by name."""

    @classmethod
    def read(cls, text: str) -> Inputs:
        return cls(part.split("=", 1) for part in text.split(";") if "=" in part)

    def number(self, name: str) -> float:
        return float(self[name])

    def several(self, name: str) -> np.ndarray:
        return np.array([float(part) for part in self[name].split("|")])


def mould_class(name: str) -> mould.MouldClass:
    fields = ("early", "late", "a", "b", "c", "least", "decline")
    return mould.MouldClass(*(FIGURE(f"mould.class.{CLASS_NAMES[name]}.{field}") for field in fields))


def index_of(temperature_c: np.ndarray, humidity_pct: np.ndarray, kind: mould.MouldClass) -> float:
    seconds = np.arange(len(humidity_pct)) * 3600
    grid = mould.hour_grid(seconds, np.ones(len(humidity_pct)))
    damp = mould.damp_readings(grid, temperature_c, humidity_pct, kind)
    return mould.mould_course(damp, kind).last


def constant_index(v: Inputs) -> float:
    count = int(v["days"]) * 24
    kind = mould_class(v["class"])
    return index_of(np.full(count, v.number("t_C")), np.full(count, v.number("rh_pct")), kind)


def cyclic_index(v: Inputs) -> float:
    damp, damp_h, dry, dry_h = map(float, re.findall(r"[\d.]+", v["rh_pct"]))
    hour = np.arange(int(v["days"]) * 24) % int(damp_h + dry_h)
    humidity = np.where(hour < damp_h, damp, dry)
    return index_of(np.full(len(hour), v.number("t_C")), humidity, mould_class(v["class"]))


def decline_index(v: Inputs) -> float:
    kind = mould_class("vs")
    assert kind.decline == v.number("Cmat")
    return v.number("M0") - float(mould.decline(v.number("hours"), kind))


def history(v: Inputs) -> own_history:
    first, last = map(int, v["hours"].split(".."))
    h = np.arange(first, last + 1)
    yearly, daily = map(float, re.findall(r"\+([\d.]+)\*sin", v["rh_pct"]))
    humidity = 50 + yearly * np.sin(2 * np.pi * h / 8760) + daily * np.sin(2 * np.pi * h / 24)
    found = own_history(record(None, humidity, hours(len(h))))
    assert found is not None
    return found


def trailing_leak(v: Inputs) -> float:
    """What a trailing mean would leave of the season: half the span of the residual."""
    h = np.arange(int(v.number("period_d")) * 48)
    humidity = v.number("amplitude_pctRH") * np.sin(2 * np.pi * h / (v.number("period_d") * 24))
    window = int(v.number("window_d")) * 24
    centred = moving_mean(humidity, window // 2)
    trailing = np.roll(centred, window // 2)
    residual = (humidity - trailing)[window:][: int(v.number("period_d")) * 24]
    return float(np.nanmax(np.abs(residual)))


def centred_gain(v: Inputs) -> float:
    h = np.arange(int(v.number("period_d")) * 24 * 2)
    wave = np.sin(2 * np.pi * h / (v.number("period_d") * 24))
    return float(np.nanmax(moving_mean(wave, int(v.number("window_d")) * 12)))


def band_limits(v: Inputs, *, kind: str) -> limits.Limits:
    band = load_library().guidelines[f"ashrae-2019-{kind}"].humidity
    assert band is not None
    mean = v.number("annual_mean_rh")
    lived = seasons.seasonal(readings(record(None, mean), "humidity"))
    made = limits.limits(band, limits.Source("guideline", kind), history=lived, open_side_centre=50.0)
    assert made.centre == pytest.approx(mean)
    return made


def plain_limits(v: Inputs) -> limits.Limits:
    set_point, tolerance = v.number("set_point_rh"), v.number("tolerance_pp")
    band = Band(low=set_point - tolerance, high=set_point + tolerance, source=HERE)
    return limits.limits(band, limits.Source("guideline", "band"), open_side_centre=50.0)


def within_bizot(v: Inputs) -> float:
    guideline = load_library().guidelines["bizot-2023"]
    assert guideline.humidity is not None
    assert guideline.temperature is not None
    inside = guideline.humidity.low <= v.number("rh_pct") <= guideline.humidity.high
    return float(inside and guideline.temperature.low <= v.number("t_C") <= guideline.temperature.high)


def capture(v: Inputs) -> float:
    expected, valid = int(v["expected_records"]), int(v["valid_records"])
    excluded = np.zeros(expected, bool)
    excluded[10 : 10 + expected - valid] = True
    made = channel("humidity", hours(expected), 50.0, excluded=excluded)
    return 100.0 * made.coverage


def day_length(v: Inputs) -> float:
    day = date.fromisoformat(v["date"])
    around = [datetime(day.year, day.month, day.day) + timedelta(hours=hour) for hour in range(-30, 60)]  # noqa: DTZ001
    utc = np.array(around, "datetime64[s]").astype(np.int64)
    local_days = local_seconds(utc, v["zone"]) // DAY_S
    return float((local_days == np.datetime64(day, "D").astype(np.int64)).sum())


def mean_vapour(v: Inputs) -> float:
    temperature, humidity = v.several("t_C"), v.several("rh_pct")
    vapour = moist_air.vapour_pressure(temperature, humidity).mean()
    return float(moist_air.humidity_from_vapour(temperature.mean(), vapour))


def equivalent_year(v: Inputs) -> float:
    h = np.arange(8760)
    swing = np.sin(2 * np.pi * h / 8760)
    return ageing.equivalent_life(
        ageing.relative_life(20 + 5 * swing, 50 - 10 * swing, v.number("Ea_kJ_mol"))
    )


SALTS = {"NaCl": "sodium_chloride", "Mg(NO3)2": "magnesium_nitrate", "KNO3": "potassium_nitrate"}


def salt_humidity(v: Inputs) -> float:
    name = SALTS[v["salt"]]
    a, b = FIGURE(f"salts.salt.{name}.a"), FIGURE(f"salts.salt.{name}.b")
    assert (a, b) == (v.number("A"), v.number("B"))
    return float(deliquescence_humidity(v.number("t_C"), a, b))


def shrinkage(v: Inputs) -> float:
    direction = {"T": "tangential", "R": "radial"}[v["direction"]]
    found = FIGURE(f"strain.shrinkage.{direction}.{v['species']}")
    if "S_pct" in v:
        assert found == v.number("S_pct")
    return found


COMPUTE: dict[str, Callable[[Inputs], float]] = {
    "saturation_vapour_pressure_water": lambda v: moist_air.saturation_pressure(v.number("t_C")),
    "saturation_vapour_pressure_ice": lambda v: moist_air.saturation_pressure_ice(v.number("t_C")),
    "dew_point_over_water": lambda v: moist_air.dew_point(v.number("t_C"), v.number("rh_pct")),
    "frost_point_over_ice": lambda v: moist_air.frost_point(v.number("t_C"), v.number("rh_pct")),
    "humidity_ratio": lambda v: (
        1000 * moist_air.humidity_ratio(v.number("t_C"), v.number("rh_pct"), v.number("p_Pa"))
    ),
    "humidity_ratio_real_gas": lambda v: (
        1000 * moist_air.humidity_ratio(v.number("t_C"), v.number("rh_pct"), v.number("p_Pa"))
    ),
    "absolute_humidity": lambda v: moist_air.absolute_humidity(v.number("t_C"), v.number("rh_pct")),
    "wet_bulb": lambda v: moist_air.wet_bulb(v.number("t_C"), v.number("rh_pct"), v.number("p_Pa")),
    "surface_rh_same_vapour": lambda v: surface.surface_humidity(
        v.number("t_air_C"), v.number("rh_air_pct"), v.number("t_surface_C")
    ),
    "critical_fRsi": lambda v: surface.critical_factor(
        v.number("t_in_C"), v.number("rh_in_pct"), v.number("t_out_C"), v.number("limit_surface_rh_pct")
    ),
    "fRsi_from_U": lambda v: surface.temperature_factor(
        v.number("U_with_Rsi0.13_W_m2K"), v.number("Rsi_m2K_W")
    ),
    "relative_life": lambda v: ageing.relative_life(
        v.number("t_C"), v.number("rh_pct"), v.number("Ea_kJ_mol"), v.number("n")
    ),
    "relative_life_equivalent": lambda v: ageing.equivalent_life(
        ageing.relative_life(v.several("t_C"), v.several("rh_pct"), v.number("Ea_kJ_mol"), v.number("n"))
    ),
    "relative_life_equivalent_year": equivalent_year,
    "isoperm_relative_permanence": lambda v: ageing.isoperm_permanence(
        v.number("t1_C"), v.number("rh1_pct"), v.number("t2_C"), v.number("rh2_pct"), v.number("dH_kcal_mol")
    ),
    "wood_emc": lambda v: wood_moisture_content(v.number("t_C"), v.number("rh_pct")),
    "free_strain_linear": lambda v: strain.free_strain(
        shrinkage(v), v.number("t_C"), v.number("rh1_pct"), v.number("rh2_pct"), v.number("fsp_pct")
    ),
    "saturation_pressure_ratio": lambda v: (
        moist_air.saturation_pressure(v.number("t1_C")) / moist_air.saturation_pressure(v.number("t2_C"))
    ),
    "rh_at_restraint_strain": lambda v: strain.humidity_at_strain(
        shrinkage(v), v.number("t_C"), v.number("rh_start_pct"), v.number("strain"), v.number("fsp_pct")
    ),
    "mould_critical_rh": lambda v: mould.critical_humidity(
        v.number("t_C"), mould_class(v["class"]).least_pct
    ),
    "mould_tm_weeks": lambda v: mould.weeks_to_start(
        v.number("t_C"), v.number("rh_pct"), v.number("W"), v.number("SQ")
    ),
    "mould_tv_weeks": lambda v: mould.weeks_to_visible(v.number("t_C"), v.number("rh_pct"), v.number("W")),
    "mould_Mmax": lambda v: mould.largest_index(v.number("t_C"), v.number("rh_pct"), mould_class(v["class"])),
    "mould_index_constant": constant_index,
    "mould_index_cyclic": cyclic_index,
    "mould_index_decline": decline_index,
    "felt_step_fraction": lambda v: felt.step_fraction(v.number("t95_h"), v.number("elapsed_h")),
    "felt_sine_amplitude_ratio": lambda v: felt.sine_response(v.number("t95_h"), v.number("period_h"))[0],
    "frame_buffer_tau": lambda v: felt.enclosure_time_constant(
        v.number("dry_mass_kg"),
        v.number("emc_slope_kg_kg_per_unit_RH"),
        v.number("ach_per_h"),
        v.number("volume_m3"),
        float(moist_air.absolute_humidity(v.number("t_C"), 100.0)) / 1000.0,
    ),
    "en15757_p07": lambda v: history(v).lower_percentile,
    "en15757_upper_limit_used": lambda v: history(v).upper,
    "en15757_valid_points": lambda v: float(history(v).points),
    "moving_average_gain_sine": centred_gain,
    "trailing_mean_residual_amplitude": trailing_leak,
    "saturated_salt_rh": salt_humidity,
    "ashrae_A1_upper_rh_design": lambda v: band_limits(v, kind="a1").high,
    "ashrae_AA_lower_rh_design": lambda v: band_limits(v, kind="aa").low,
    "ashrae_B_lower_rh_design": lambda v: band_limits(v, kind="b").low,
    "bizot_2023_level_within": within_bizot,
    "rh_band_lower": lambda v: plain_limits(v).low,
    "rh_band_upper": lambda v: plain_limits(v).high,
    "data_capture": capture,
    "local_day_length": day_length,
    "rh_from_mean_vapour_at_mean_T": mean_vapour,
}

with PUBLISHED.open(encoding="utf-8", newline="") as _file:
    ROWS = list(csv.DictReader(_file))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['id']}-{row['quantity']}")
def test_value_agrees_with_its_source(row):
    computed = float(COMPUTE[row["quantity"]](Inputs.read(row["inputs"])))
    assert computed == pytest.approx(float(row["expected"]), abs=float(row["abs_tol"]) + 1e-9)


def test_every_row_is_there_and_every_computation_used():
    assert len(ROWS) == 102
    assert {row["quantity"] for row in ROWS} == set(COMPUTE)


def test_the_hourly_grid_of_hourly_readings_is_the_readings():
    """The hourly grid of an hourly record is the record itself."""
    values = np.random.default_rng(1).uniform(30, 70, 900)
    taken = readings(record(None, values, hours(900)), "humidity")
    grid, first = hourly(taken)
    np.testing.assert_array_equal(grid, values)
    assert first * 3600 == taken.seconds[0]

"""Light, sun and seeing against values worked out by another hand.

``tests/published/light.csv`` names the source of each row: pvlib's SPA for the sun, plane geometry confirmed
by random rays for patches, published formulas for sky, pupil and glass.
"""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from stillwall.exposure import (
    dose,
    dose_budget,
    fading,
    season_kriging,
    sky,
    sun_patch,
    sun_position,
    ultraviolet,
    viewing,
)
from stillwall.exposure.light_year import SPREADS
from stillwall.units import parse_quantity

PUBLISHED = Path(__file__).parents[1] / "published" / "light.csv"
ROWS = list(csv.DictReader(PUBLISHED.read_text("utf-8").splitlines()))


def _inputs(row: dict[str, str]) -> dict[str, str]:
    return dict(part.split("=", 1) for part in row["inputs"].split(";"))


def _number(row: dict[str, str], name: str) -> float:
    return float(_inputs(row)[name])


def _numbers(row: dict[str, str], name: str) -> np.ndarray:
    return np.array([float(item) for item in _inputs(row)[name].split()])


def _sun(row: dict[str, str]) -> sun_position.SunPosition:
    moment = dt.datetime.fromisoformat(_inputs(row)["utc"].replace("Z", "+00:00"))
    return sun_position.sun_position(np.array([moment.timestamp()]), _number(row, "lat"), _number(row, "lon"))


def _window(row: dict[str, str]) -> sun_patch.Window:
    given = {name: float(value) for name, value in _inputs(row).items() if name != "target"}
    return sun_patch.Window(
        given["wall_az_out"],
        given.get("uL", -1.0),
        given.get("uR", 1.0),
        given["zs"],
        given["zh"],
        given["reveal"],
    )


def _target(row: dict[str, str]) -> sun_patch.Target:
    half_width, half_height = _number(row, "w") / 2, _number(row, "h") / 2
    bottom, top = _number(row, "zc") - half_height, _number(row, "zc") + half_height
    if _inputs(row)["target"] == "facing":
        middle = _number(row, "uc")
        return sun_patch.Target(
            "facing", _number(row, "y"), middle - half_width, middle + half_width, bottom, top
        )
    plane, middle = _number(row, "U"), _number(row, "yc")
    side = "right" if plane > 0 else "left"
    return sun_patch.Target(side, plane, middle - half_width, middle + half_width, bottom, top)


def _lit(row: dict[str, str]) -> float:
    elevation, azimuth = np.array([_number(row, "el")]), np.array([_number(row, "az")])
    return float(sun_patch.lit_fraction(elevation, azimuth, _window(row), _target(row))[0])


def _patch_top(row: dict[str, str]) -> float:
    wall = sun_patch.Target("facing", _number(row, "y"), -5.0, 5.0, 0.0, 5.0)
    corners = sun_patch.patch_on_target(_number(row, "el"), _number(row, "az"), _window(row), wall)
    return max(height for _, height in corners)


def _dose(row: dict[str, str], method: dose.Method) -> dose.Dose:
    return dose.integrate(
        3600.0 * _numbers(row, "t_h"),
        _numbers(row, "lux"),
        method=method,
        max_gap_s=3600.0 * _number(row, "max_gap_h"),
    )


def _week_26(row: dict[str, str]) -> season_kriging.SeasonPosterior:
    weeks = _numbers(row, "obs_weeks")
    return season_kriging.season_posterior(
        7 * weeks + 3.5, _numbers(row, "log_ratio"), SPREADS["facade"], np.array([7 * 26 + 3.5])
    )


def _planck_ratio(row: dict[str, str]) -> float:
    # Planck's law with CODATA constants; V(lambda) as the piecewise Gaussians of Wyman, Sloan and Shirley
    # (2013, Journal of Computer Graphics Techniques 2(2)).
    nm = np.arange(_number(row, "lo"), _number(row, "hi") + 1.0)

    def planck(kelvin: float) -> np.ndarray:
        return nm**-5.0 / np.expm1(1.438776877e7 / (nm * kelvin))

    def bump(middle: float, below: float, above: float) -> np.ndarray:
        return np.exp(-0.5 * ((nm - middle) * np.where(nm < middle, below, above)) ** 2)

    eye = 0.821 * bump(568.8, 0.0213, 0.0247) + 0.286 * bump(530.9, 0.0613, 0.0322)
    return fading.damage_per_lumen_ratio(nm, planck(6000.0), planck(2856.0), eye, _number(row, "b"))


def _elevation(row: dict[str, str]) -> np.ndarray:
    return np.array([_number(row, "el")])


COMPUTE: dict[str, Callable[[dict[str, str]], float]] = {
    "patch-edge-top": lambda row: _patch_top({**row, "inputs": row["inputs"] + ";uL=-0.6;uR=0.6"}),
    "patch-floor-area": lambda row: sun_patch.floor_patch_area_m2(
        _number(row, "el"), _number(row, "az"), _window(row)
    ),
    "penumbra": lambda row: 1000 * sun_patch.penumbra_m(_number(row, "path_m")),
    "cie-r2": lambda row: _limit("r2"),
    "cie-r1": lambda row: _limit("r1"),
    "cie-r3-hours": lambda row: _limit("r3") / _number(row, "lux"),
    "fc-lux": lambda row: parse_quantity("1 fc", "illuminance"),
    "uv-irr": lambda row: ultraviolet.irradiance_mw_m2(_number(row, "uv_uW_per_lm"), _number(row, "lux")),
    "dose-trap": lambda row: _dose(row, "trapezoid").dose_lux_h,
    "dose-step": lambda row: _dose(row, "step").dose_lux_h,
    "dose-covered": lambda row: _dose(row, "trapezoid").covered_h,
    "bw-years-1": lambda row: _years(row),
    "bw-years-4": lambda row: _years(row),
    "bw-years-6": lambda row: _years(row),
    "bw-steps-house": lambda row: fading.steps_made(
        _number(row, "annual_lxh") * _number(row, "years"), _number(row, "dose_Mlxh_per_step")
    ),
    "bw-class-high-gm": lambda row: fading.geometric_mean(_numbers(row, "d")),
    "bw-class-medium-gm": lambda row: fading.geometric_mean(_numbers(row, "d")),
    "policy-5step": lambda row: dose_budget.pace_limit(
        _number(row, "dose_Mlxh_per_step"), _number(row, "years")
    ),
    "damage-6000-2856": _planck_ratio,
    "damage-fn-450": lambda row: float(
        fading.damage_responsivity(np.array([_number(row, "lambda")]), _number(row, "b"))[0]
    ),
    "sky-haurwitz": lambda row: float(sky.clear_sky_global_w_m2(_elevation(row))[0]),
    "airmass": lambda row: float(sky.air_mass(_elevation(row))[0]),
    "beam": lambda row: float(sky.clear_beam_w_m2(_elevation(row))[0]),
    "ref-horizontal": lambda row: float(
        sky.horizontal_reference_lux(sky.clear_sky(_elevation(row)), _number(row, "s"))[0]
    ),
    "ref-facade": lambda row: float(
        sky.facade_reference_lux(
            sky.clear_sky(_elevation(row)),
            np.array([_number(row, "az")]),
            _number(row, "wall_az_out"),
            _number(row, "s"),
        )[0]
    ),
    "annual-week26-mean": lambda row: float(_week_26(row).mean[0]),
    "annual-week26-sd": lambda row: float(_week_26(row).sd[0]),
    "daylat": lambda row: (
        sun_position.latitude_from_day_length(_number(row, "day_h"), _number(row, "decl")) or 0.0
    ),
    "pupil-20": lambda row: _pupil(row),
    "pupil-70": lambda row: _pupil(row),
    "lum-dark": lambda row: viewing.matt_luminance_cd_m2(_number(row, "lux"), _number(row, "reflectance")),
    "lux-match": lambda row: float(
        viewing.illuminance_for_same_luminance(
            _number(row, "lux"), _number(row, "rho_ref"), _number(row, "rho")
        )
    ),
    "fresnel-0": lambda row: viewing.fresnel_reflectance(0.0, _number(row, "n")),
    "fresnel-60": lambda row: viewing.fresnel_reflectance(_number(row, "theta"), _number(row, "n")),
    "mirror-sill": lambda row: _mirror(row),
    "mirror-head": lambda row: _mirror(row),
    "mitigate-chain": lambda row: (
        _number(row, "film") * (1 - _number(row, "share_of_dose_with_blind") * (1 - _number(row, "blind")))
    ),
    "budget-rest": lambda row: dose_budget.on_show_share(
        _number(row, "on_show_lxh_per_year"), _number(row, "budget_lxh_per_year")
    ),
    "budget-dark-years": lambda row: dose_budget.dark_years_after(
        _number(row, "dose_used_lxh"), _number(row, "budget_lxh_per_year"), _number(row, "show_years")
    ),
    "offset-dose": lambda row: _offset_dose(_number(row, "offset_lux"), _number(row, "hours")),
    "sunpatch-dose": lambda row: _constant_dose(_number(row, "lux"), _number(row, "hours")) / _limit("r2"),
}


def _limit(name: str) -> float:
    from stillwall.reference.library import load_library

    return load_library().figure(f"light_dose.limit.{name}")


def _years(row: dict[str, str]) -> float:
    return fading.years_to_step(_number(row, "dose_Mlxh_per_step"), _number(row, "annual_lxh"))


def _pupil(row: dict[str, str]) -> float:
    return viewing.pupil_diameter_mm(_number(row, "L"), _number(row, "area_deg2"), _number(row, "age"))


def _mirror(row: dict[str, str]) -> float:
    return float(
        viewing.mirrored_m(
            _number(row, "eye"), _number(row, "z"), _number(row, "view_dist"), _number(row, "window_dist")
        )
    )


def _constant_dose(lux: float, hours: float) -> float:
    times = np.arange(0.0, hours * 3600.0 + 1.0, 300.0)
    return dose.integrate(times, np.full(len(times), lux)).dose_lux_h


def _offset_dose(offset: float, hours: float) -> float:
    """What is left out where the offset is taken off a sensor that reads it in the dark."""
    times = np.arange(0.0, hours * 3600.0 + 1.0, 1800.0)
    lux = np.full(len(times), offset)
    return (
        dose.integrate(times, lux).dose_lux_h
        - dose.integrate(times, lux - dose.night_offset_lux(lux)).dose_lux_h
    )


def _compute(row: dict[str, str]) -> float:
    name = row["id"]
    if name in COMPUTE:
        return COMPUTE[name](row)
    if name.startswith("sun-"):
        seen = _sun(row)
        return float((seen.elevation_deg if name.endswith("-el") else seen.azimuth_deg)[0])
    assert name.startswith("patch-")
    return _lit(row)


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_value(row):
    assert _compute(row) == pytest.approx(float(row["expected"]), abs=max(float(row["abs_tol"]), 1e-9))


def test_every_row_of_the_table_is_computed():
    sun_and_patches = {row["id"] for row in ROWS if row["id"].startswith(("sun-", "patch-"))}
    assert set(COMPUTE) | sun_and_patches == {row["id"] for row in ROWS}

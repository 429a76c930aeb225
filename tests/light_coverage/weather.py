"""Skies for simulated rooms: open typical years, some carried to other latitudes by their clearness.

Nothing here is shared with the estimator: sun positions are pvlib's SPA, irradiance is the files' own,
efficacies follow Littlefair (1985, Lighting Research and Technology 17, 162) as remembered.
"""

from __future__ import annotations

import gzip
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
from numpy.typing import NDArray

Floats = NDArray[np.float64]
HERE = Path(__file__).parent
CARRIED = Path(pvlib.__file__).parent / "data"
YEAR = 2023
"""Not a leap year; its dates are given to every typical year."""


@dataclass(frozen=True)
class Sky:
    """A year of half-hours, UTC, shape (17520,): sun [deg] and irradiance [W/m2]."""

    name: str
    latitude: float
    longitude: float
    zone: str
    seconds: Floats
    elevation: Floats
    azimuth: Floats
    beam: Floats
    diffuse: Floats
    whole: Floats


VERDICT = ("miami", "chicago", "northway", "chicago-51n", "miami-34s", "northway-57n")
HELD_OUT = ("greensboro", "sand-point")
"""The typical years on which the estimator's settings were fitted, among others."""
PLACES = {
    "miami": (25.8, -80.27, -5, "America/New_York"),
    "chicago": (41.98, -87.92, -6, "America/Chicago"),
    "northway": (62.97, -141.93, -9, "America/Anchorage"),
    "greensboro": (36.1, -79.95, -5, "America/New_York"),
    "sand-point": (55.32, -160.52, -9, "America/Anchorage"),
}
CARRIED_TO = {
    "chicago-51n": ("chicago", 51.5, -0.1, 0, "Europe/London"),
    "miami-34s": ("miami", -33.9, 151.2, 10, "Australia/Sydney"),
    "northway-57n": ("northway", 57.0, 12.0, 1, "Europe/Copenhagen"),
}


def _hourly(name: str) -> Floats:
    """Global, beam and diffuse irradiance by hour ending, shape (8760, 3)."""
    if name in ("chicago", "northway"):
        with gzip.open(HERE / "skies" / f"{name}.csv.gz", "rt") as file:
            return np.loadtxt(file, delimiter=",", skiprows=1)
    if name == "miami":
        table, _ = pvlib.iotools.read_tmy2(str(CARRIED / "12839.tm2"))
        return table[["GHI", "DNI", "DHI"]].to_numpy(dtype=float)
    file_name = {"greensboro": "723170TYA.CSV", "sand-point": "703165TY.csv"}[name]
    table, _ = pvlib.iotools.read_tmy3(str(CARRIED / file_name), map_variables=True)
    return table[["ghi", "dni", "dhi"]].to_numpy(dtype=float)


def _sun(seconds: Floats, latitude: float, longitude: float) -> tuple[Floats, Floats]:
    times = pd.to_datetime(seconds, unit="s", utc=True)
    table = pvlib.solarposition.get_solarposition(times, latitude, longitude, method="nrel_numpy")
    return table["elevation"].to_numpy(), table["azimuth"].to_numpy()


@lru_cache(maxsize=16)
def sky(name: str) -> Sky:
    """One year of one place."""
    source, latitude, longitude, standard, zone = CARRIED_TO.get(name) or (name, *PLACES[name])
    hourly = _hourly(source)
    home_latitude, home_longitude, home_standard, _ = PLACES[source]
    start = pd.Timestamp(f"{YEAR}-01-01", tz="UTC").timestamp()
    local = np.arange(17_520) * 1800.0 + 900.0
    home_elevation, _ = _sun(start + local - 3600.0 * home_standard, home_latitude, home_longitude)
    half = np.repeat(hourly, 2, axis=0)
    height = np.sin(np.radians(home_elevation))
    outside = 1361.0 * np.maximum(height, 0.0)
    clearness = np.where(outside > 20.0, half[:, 0] / np.maximum(outside, 20.0), 0.4).clip(0.02, 0.85)
    diffuse_share = np.where(half[:, 0] > 5.0, half[:, 2] / np.maximum(half[:, 0], 5.0), 1.0).clip(0.05, 1.0)
    if latitude < 0:
        # Seasons turned over: what fell in June falls in December.
        clearness, diffuse_share = (np.roll(values, 17_520 // 2) for values in (clearness, diffuse_share))
    seconds = start + local - 3600.0 * standard
    elevation, azimuth = _sun(seconds, latitude, longitude)
    here = 1361.0 * np.maximum(np.sin(np.radians(elevation)), 0.0)
    whole = clearness * here
    diffuse = whole * diffuse_share
    beam = np.where(elevation > 2.0, (whole - diffuse) / np.maximum(np.sin(np.radians(elevation)), 0.04), 0.0)
    # Twilight, which irradiance files leave out: a straight line in the logarithm down to -6 degrees.
    twilight = np.where((elevation < 2.0) & (elevation > -6.0), 8.0 * 10 ** ((elevation - 2.0) / 2.2), 0.0)
    diffuse = np.maximum(diffuse, twilight)
    order = np.argsort(seconds)
    return Sky(
        name,
        latitude,
        longitude,
        zone,
        seconds[order],
        elevation[order],
        azimuth[order],
        np.minimum(beam, 1050.0)[order],
        diffuse[order],
        np.maximum(whole, diffuse)[order],
    )

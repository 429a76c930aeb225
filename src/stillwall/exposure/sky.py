"""Light outdoors by the height of the sun: the yardstick against which daylight in a room is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SkyState = Literal["clear", "mixed", "overcast", "night"]

SUNSHINE_SHARE = 0.4
"""Share of daytime with sun where no climate is known: a round figure, since only the year's shape counts."""
SKY_LM_PER_W = 120.0
BEAM_LM_PER_W = 100.0
"""Luminous efficacy of sky light and of the beam: round figures inside the published 95 to 130 lm/W."""
OVERCAST_SHARE = 0.30
"""Global irradiance under cloud over that of a clear sky."""
LOWEST_SUN_ON_FACADE_DEG = 8.0
"""Below this the surroundings are taken to hide the sun from a window."""


def clear_sky_global_w_m2(elevation_deg: Floats) -> Floats:
    """Global horizontal irradiance of a clear sky (Haurwitz 1945, J. Meteorology 2, 154). [W/m2]"""
    sine = np.sin(np.radians(np.asarray(elevation_deg, dtype=np.float64)))
    up = np.maximum(sine, 1e-4)
    return np.where(sine > 0, 1098.0 * up * np.exp(-0.057 / up), 0.0)


def air_mass(elevation_deg: Floats) -> Floats:
    """Relative optical air mass (Kasten and Young 1989, Applied Optics 28, 4735). [1]"""
    elevation = np.maximum(np.asarray(elevation_deg, dtype=np.float64), 0.0)
    made: Floats = 1.0 / (np.sin(np.radians(elevation)) + 0.50572 * (elevation + 6.07995) ** -1.6364)
    return made


def clear_beam_w_m2(elevation_deg: Floats) -> Floats:
    """Direct normal irradiance of a clear sky (Meinel and Meinel 1976, "Applied Solar Energy"). [W/m2]"""
    elevation = np.asarray(elevation_deg, dtype=np.float64)
    beam = 1353.0 * 0.7 ** (air_mass(elevation) ** 0.678)
    return np.where(elevation > 0, beam, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class ClearSky:
    """Clear-sky irradiances [W/m2], the beam held under what the global one leaves it."""

    elevation_deg: Floats
    global_w_m2: Floats
    beam_w_m2: Floats
    diffuse_w_m2: Floats


def clear_sky(elevation_deg: Floats) -> ClearSky:
    """Global, beam and diffuse irradiance under a clear sky, consistent with one another."""
    elevation = np.asarray(elevation_deg, dtype=np.float64)
    shape = elevation.shape
    whole = np.zeros(shape)
    beam = np.zeros(shape)
    diffuse = np.zeros(shape)
    up = elevation > 0
    high = elevation[up]
    sine = np.sin(np.radians(high))
    whole[up] = clear_sky_global_w_m2(high)
    beam[up] = np.minimum(clear_beam_w_m2(high), 0.95 * whole[up] / np.maximum(sine, 1e-4))
    diffuse[up] = np.maximum(whole[up] - beam[up] * sine, 0.08 * whole[up])
    return ClearSky(elevation, whole, beam, diffuse)


def horizontal_reference_lux(sky: ClearSky, sunshine: float = SUNSHINE_SHARE) -> Floats:
    """Expected illuminance of open ground, sun and cloud mixed by the sunshine share. [lx]"""
    sine = np.maximum(np.sin(np.radians(sky.elevation_deg)), 0.0)
    overcast = OVERCAST_SHARE * sky.global_w_m2
    diffuse = (1 - sunshine) * overcast + sunshine * sky.diffuse_w_m2
    made: Floats = SKY_LM_PER_W * diffuse + BEAM_LM_PER_W * sunshine * sky.beam_w_m2 * sine
    return made


def facade_reference_lux(
    sky: ClearSky, azimuth_deg: Floats, bearing_deg: float, sunshine: float = SUNSHINE_SHARE
) -> Floats:
    """Expected illuminance of an upright face that looks out at ``bearing_deg``. [lx]

    Half the sky, ground that reflects 15 %, and the beam where the sun stands in front of the face and
    above :data:`LOWEST_SUN_ON_FACADE_DEG`.
    """
    overcast = OVERCAST_SHARE * sky.global_w_m2
    diffuse = (1 - sunshine) * overcast + sunshine * sky.diffuse_w_m2
    ground = 0.075 * ((1 - sunshine) * overcast + sunshine * sky.global_w_m2)
    elevation = np.radians(sky.elevation_deg)
    facing = np.cos(elevation) * np.cos(np.radians(azimuth_deg - bearing_deg))
    in_front = np.where(sky.elevation_deg > LOWEST_SUN_ON_FACADE_DEG, np.maximum(facing, 0.0), 0.0)
    made: Floats = (
        SKY_LM_PER_W * (0.5 * diffuse + ground) + BEAM_LM_PER_W * sunshine * sky.beam_w_m2 * in_front
    )
    return made


def sunshine_of(state: SkyState | None) -> float:
    """Sunshine share that a person's word for the sky stands for."""
    return {"clear": 1.0, "mixed": 0.5, "overcast": 0.0}.get(state or "", SUNSHINE_SHARE)

"""Seeing a picture: how much light it needs, and what a window's mirror image leaves of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

GLASS_INDEX = 1.52


def pupil_diameter_mm(luminance_cd_m2: float, field_deg2: float, age_years: float) -> float:
    """Diameter of the light-adapted pupil, both eyes open. [mm]

    Watson and Yellott 2012, Journal of Vision 12(10):12, unified formula on Stanley and Davies.
    """
    flux = (luminance_cd_m2 * field_deg2 / 846.0) ** 0.41
    young = 7.75 - 5.75 * flux / (flux + 2.0)
    return float(young + (age_years - 28.58) * (0.02132 - 0.009562 * young))


def matt_luminance_cd_m2(illuminance_lux: float, reflectance: float) -> float:
    """Luminance of a matt surface, ``rho E / pi``. [cd/m2]"""
    return float(reflectance * illuminance_lux / np.pi)


def illuminance_for_same_luminance(
    illuminance_lux: Floats | float, reference_reflectance: float, reflectance: Floats | float
) -> Floats:
    """Light that makes a surface as bright as another one under its light. [lx]"""
    made: Floats = np.asarray(illuminance_lux * reference_reflectance / np.asarray(reflectance))
    return made


def fresnel_reflectance(angle_deg: float, index: float = GLASS_INDEX) -> float:
    """Share that one face of a pane throws back of unpolarised light. [1]"""
    incidence = np.radians(angle_deg)
    refracted = np.arcsin(np.sin(incidence) / index)
    across = (np.cos(incidence) - index * np.cos(refracted)) / (np.cos(incidence) + index * np.cos(refracted))
    along = (index * np.cos(incidence) - np.cos(refracted)) / (index * np.cos(incidence) + np.cos(refracted))
    return float(0.5 * (across**2 + along**2))


def mirrored_m(eye_m: Floats | float, point_m: Floats | float, viewer_m: float, source_m: float) -> Floats:
    """Where on an upright picture a point behind the viewer is mirrored, upwards or sideways. [m]

    Parameters
    ----------
    eye_m, point_m
        Coordinate of the eye and of the point along the picture's plane. [m]
    viewer_m, source_m
        Distances of eye and point in front of the picture. [m]
    """
    made: Floats = np.asarray(
        eye_m + (np.asarray(point_m) - np.asarray(eye_m)) * viewer_m / (viewer_m + source_m)
    )
    return made


def veiled_share(
    picture: tuple[float, float, float, float],
    window: tuple[float, float, float, float],
    source_m: float,
    viewers_m: Floats,
    eyes_m: Floats,
) -> float:
    """Share of a picture in which a window on the wall opposite is mirrored, over usual stands. [1]

    Parameters
    ----------
    picture, window
        Left, right, bottom and top in one frame that runs along both walls. [m]
    source_m
        Distance between the walls. [m]
    viewers_m
        Distances at which people stand, shape (n,); those beyond the window's wall do not count. [m]
    eyes_m
        Heights of their eyes, shape (k,). They stand before the picture's middle and a quarter of its
        width to either side. [m]
    """
    left, right, bottom, top = picture
    shares = []
    for distance in viewers_m[viewers_m < source_m]:
        for stand in (0.25, 0.5, 0.75):
            sideways = left + stand * (right - left)
            for eye in eyes_m:
                low, high = mirrored_m(float(eye), np.array(window[2:]), float(distance), source_m)
                near, far = mirrored_m(sideways, np.array(window[:2]), float(distance), source_m)
                across = max(min(right, far) - max(left, near), 0.0)
                up = max(min(top, high) - max(bottom, low), 0.0)
                shares.append(across * up / ((right - left) * (top - bottom)))
    return float(np.mean(shares)) if shares else 0.0


def contrast_left(picture_cd_m2: Floats, mirrored_cd_m2: Floats, reflectance: float) -> Floats:
    """Contrast that a mirrored brightness leaves of a picture, ``L / (L + R Lw)``. [1]"""
    veil = reflectance * mirrored_cd_m2
    made: Floats = picture_cd_m2 / (picture_cd_m2 + veil)
    return made

"""Mass of a framed work from its measures and materials."""

from __future__ import annotations


def frame_mass(
    framed_height_m: float,
    framed_width_m: float,
    face_m: float,
    depth_m: float,
    fill: float,
    density_kg_m3: float,
) -> float:
    """Mass of a frame: length of the moulding's centre line x section x fill x density. [kg]

    Parameters
    ----------
    fill
        Share of the bounding section that is material.
    """
    centre_line = 2 * (max(framed_height_m - face_m, 0.0) + max(framed_width_m - face_m, 0.0))
    return centre_line * face_m * depth_m * fill * density_kg_m3


def sheet_mass(height_m: float, width_m: float, thickness_m: float, density_kg_m3: float) -> float:
    """Mass of a sheet: glazing, panel or board. [kg]"""
    return height_m * width_m * thickness_m * density_kg_m3

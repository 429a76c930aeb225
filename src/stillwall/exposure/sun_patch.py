"""Where direct sun through a window lands on a wall of the room: parallel rays through a rectangle.

Frame of one window's wall: ``u`` runs to the right when looking out, ``y`` into the room, ``z`` up from the
floor, all in metres. A point sees the sun through the window if the ray from it to the sun passes
the opening at the inner and at the outer face of the wall.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Relation = Literal["facing", "left", "right"]

SUN_DIAMETER_DEG = 0.53


@dataclass(frozen=True, slots=True)
class Window:
    """A window in a wall. [m], [deg]

    ``left_m`` and ``right_m`` are its edges along ``u``; ``overhang_m`` projects from the outer face at
    the window's head; ``horizon_deg`` is the height of what stands opposite; ``glazed_share`` is glass over
    opening.
    """

    bearing_deg: float
    left_m: float
    right_m: float
    sill_m: float
    head_m: float
    reveal_m: float = 0.0
    overhang_m: float = 0.0
    horizon_deg: float = 0.0
    glazed_share: float = 1.0
    transmittance: float = 0.68


@dataclass(frozen=True, slots=True)
class Target:
    """An upright rectangle in the frame of one window.

    A ``facing`` one lies in the plane ``y = plane_m`` and runs from ``from_m`` to ``to_m`` along ``u``;
    one on the ``left`` or ``right`` wall lies in the plane ``u = plane_m`` and runs along ``y``.
    """

    relation: Relation
    plane_m: float
    from_m: float
    to_m: float
    bottom_m: float
    top_m: float


@dataclass(frozen=True, slots=True, eq=False)
class Rays:
    """Directions to the sun as a window's wall sees them, shape (n,).

    ``sideways`` is right over out, ``upward`` is up over out; ``enters`` where the sun stands in front of
    the wall and above the horizon.
    """

    sideways: Floats
    upward: Floats
    enters: NDArray[np.bool_]
    out: Floats
    right: Floats


def rays(elevation_deg: Floats, azimuth_deg: Floats, window: Window) -> Rays:
    """Sun directions in the frame of a window's wall."""
    elevation = np.radians(np.asarray(elevation_deg, dtype=np.float64))
    turn = np.radians(np.asarray(azimuth_deg, dtype=np.float64) - window.bearing_deg)
    out = np.cos(elevation) * np.cos(turn)
    right = np.cos(elevation) * np.sin(turn)
    up = np.sin(elevation)
    enters = (out > 1e-3) & (up > np.sin(np.radians(max(window.horizon_deg, 0.0)))) & (up > 0)
    safe = np.where(enters, out, 1.0)
    return Rays(np.where(enters, right / safe, 0.0), np.where(enters, up / safe, 0.0), enters, out, right)


def aperture(ray: Rays, window: Window) -> tuple[Floats, Floats, Floats, Floats]:
    """Left, right, sill and head of the opening at its inner face once the reveal has cut it. [m]"""
    shift = ray.sideways * window.reveal_m
    left = np.maximum(window.left_m, window.left_m - shift)
    right = np.minimum(window.right_m, window.right_m - shift)
    head = window.head_m - ray.upward * (window.reveal_m + window.overhang_m)
    return left, right, np.full(left.shape, window.sill_m), head


def lit_fraction(elevation_deg: Floats, azimuth_deg: Floats, window: Window, target: Target) -> Floats:
    """Share of a target that direct sun through one window falls on, shape (n,); glazing bars not counted.

    Rays are parallel, so that the target maps straight on to the opening's plane, where the areas are
    cut; for a target on a side wall the cut is integrated in closed form.
    """
    ray = rays(elevation_deg, azimuth_deg, window)
    made: Floats = lit_cells(ray, window, target.relation, target.plane_m, cells_of(target))[0]
    return made


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Several rectangles of one plane, each of shape (m,). [m]"""

    from_m: Floats
    to_m: Floats
    bottom_m: Floats
    top_m: Floats


def cells_of(target: Target) -> Cells:
    """A target as a single cell."""
    edges = (target.from_m, target.to_m, target.bottom_m, target.top_m)
    return Cells(*(np.array([edge]) for edge in edges))


def lit_cells(ray: Rays, window: Window, relation: Relation, plane_m: float, cells: Cells) -> Floats:
    """Lit share of several rectangles of one wall under each ray, shape (m, n)."""
    left, right, sill, head = aperture(ray, window)
    open_ = ray.enters & (right > left) & (head > sill)
    start, end = cells.from_m[:, None], cells.to_m[:, None]
    bottom, top = cells.bottom_m[:, None], cells.top_m[:, None]
    area = (end - start) * (top - bottom)
    if relation == "facing":
        u_shift = plane_m * ray.sideways
        z_shift = plane_m * ray.upward
        across = _overlap(start + u_shift, end + u_shift, left, right)
        up = _overlap(bottom + z_shift, top + z_shift, sill, head)
        return np.where(open_, across * up / area, 0.0)
    slope = ray.sideways
    towards = slope < -1e-9 if relation == "right" else slope > 1e-9
    safe = np.where(towards, slope, 1.0)
    ends = ((left - plane_m) / safe, (right - plane_m) / safe)
    near = np.clip(np.minimum(*ends), start, end)
    far = np.clip(np.maximum(*ends), start, end)
    swept = _swept_overlap(near, far, ray.upward, bottom, top, sill, head)
    return np.where(open_ & towards & (far > near), swept / area, 0.0)


def _overlap(low: Floats, high: Floats, other_low: Floats, other_high: Floats) -> Floats:
    made: Floats = np.maximum(np.minimum(high, other_high) - np.maximum(low, other_low), 0.0)
    return made


def _swept_overlap(
    near: Floats, far: Floats, slope: Floats, bottom: Floats, top: Floats, sill: Floats, head: Floats
) -> Floats:
    """Integral over y of the overlap of [bottom + slope y, top + slope y] with [sill, head]."""

    def ramp(offset: Floats) -> Floats:
        at_far = np.maximum(slope * far + offset, 0.0)
        at_near = np.maximum(slope * near + offset, 0.0)
        made: Floats = (at_far**2 - at_near**2) / (2.0 * np.maximum(slope, 1e-9))
        return made

    made: Floats = ramp(top - sill) - ramp(top - head) - ramp(bottom - sill) + ramp(bottom - head)
    return np.maximum(made, 0.0)


def incidence_cosine(elevation_deg: Floats, azimuth_deg: Floats, window: Window, target: Target) -> Floats:
    """Cosine between the sun and the target's face, which looks into the room; 0 from behind."""
    return facing_cosine(rays(elevation_deg, azimuth_deg, window), target.relation)


def facing_cosine(ray: Rays, relation: Relation) -> Floats:
    """Cosine of incidence on a wall: a facing one looks back at the window, a right-hand one to the left."""
    facing = {"facing": ray.out, "right": -ray.right, "left": ray.right}[relation]
    made: Floats = np.maximum(facing, 0.0)
    return made


def patch_on_target(
    elevation_deg: float, azimuth_deg: float, window: Window, target: Target
) -> tuple[tuple[float, float], ...]:
    """Corners of the patch on the target's own plane, cut to the target: (along, height), or empty. [m]

    ``along`` is ``u`` for a facing target and ``y`` for one on a side wall.
    """
    ray = rays(np.array([elevation_deg]), np.array([azimuth_deg]), window)
    if not ray.enters[0]:
        return ()
    left, right, sill, head = (float(edge[0]) for edge in aperture(ray, window))
    if right <= left or head <= sill:
        return ()
    sideways, upward = float(ray.sideways[0]), float(ray.upward[0])
    corners = []
    for u, z in ((left, sill), (right, sill), (right, head), (left, head)):
        if target.relation == "facing":
            corners.append((u - target.plane_m * sideways, z - target.plane_m * upward))
        else:
            if abs(sideways) < 1e-9:
                return ()
            y = (u - target.plane_m) / sideways
            corners.append((y, z - y * upward))
    return _clipped(corners, target)


def floor_patch_area_m2(elevation_deg: float, azimuth_deg: float, window: Window) -> float:
    """Area of the patch on an endless floor. [m2]"""
    ray = rays(np.array([elevation_deg]), np.array([azimuth_deg]), window)
    if not ray.enters[0]:
        return 0.0
    left, right, sill, head = (float(edge[0]) for edge in aperture(ray, window))
    if right <= left or head <= sill:
        return 0.0
    return (right - left) * (head - sill) / float(ray.upward[0])


def penumbra_m(path_m: float) -> float:
    """Width of a patch's blurred edge after a path, the sun striking square. [m]"""
    return float(path_m * np.radians(SUN_DIAMETER_DEG))


def _clipped(corners: list[tuple[float, float]], target: Target) -> tuple[tuple[float, float], ...]:
    """Polygon cut to the target's rectangle (Sutherland and Hodgman 1974, Comm. ACM 17, 32)."""
    for axis, limit, keep_above in (
        (0, target.from_m, True),
        (0, target.to_m, False),
        (1, target.bottom_m, True),
        (1, target.top_m, False),
    ):
        kept: list[tuple[float, float]] = []
        for index, here in enumerate(corners):
            before = corners[index - 1]
            inside = here[axis] >= limit if keep_above else here[axis] <= limit
            was_inside = before[axis] >= limit if keep_above else before[axis] <= limit
            if inside != was_inside:
                share = (limit - before[axis]) / (here[axis] - before[axis])
                kept.append(
                    (before[0] + share * (here[0] - before[0]), before[1] + share * (here[1] - before[1]))
                )
            if inside:
                kept.append(here)
        corners = kept
    return tuple(corners)

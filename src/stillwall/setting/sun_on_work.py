"""When and where direct sun falls on a work at its place, by the geometry of the windows."""

from __future__ import annotations

import numpy as np

from stillwall.case import Case
from stillwall.exposure.daylight_reference import zone_offsets_h
from stillwall.exposure.sun_on_wall import (
    LEAST_LIT,
    SunCalendar,
    SunOn,
    WallPatch,
    sun_calendar,
    sun_on,
    wall_patch,
)
from stillwall.setting.hanging import hang
from stillwall.setting.lighting import EPOCH_ORDINAL, geometry_of


def sun_on_work(case: Case) -> SunOn | None:
    """Direct sun over the year on the rectangle that the work takes; None without geometry."""
    wall = geometry_of(case).wall
    if wall is None:
        return None
    box = hang(case)
    return case.once(
        _sun_on, *(round(edge, 3) for edge in (box.left_m, box.right_m, box.bottom_m, box.top_m))
    )


def _sun_on(case: Case, *edges: float) -> SunOn:
    wall = geometry_of(case).wall
    assert wall is not None
    return case.site.exposure(sun_on, wall, *edges)


def sun_calendar_of(case: Case, *, slots: int = 96) -> SunCalendar | None:
    """When direct sun lands on the work in the year from the first day of the stay; None without geometry."""
    wall = geometry_of(case).wall
    if wall is None:
        return None
    box = hang(case)
    first = case.stay.start.toordinal() - EPOCH_ORDINAL
    return sun_calendar(wall, box.left_m, box.right_m, box.bottom_m, box.top_m, first_day=first, slots=slots)


def patches_of(case: Case, most: int = 3) -> tuple[WallPatch, ...]:
    """Patches of sun on the wall on the day with most sun on the work: its first, middle and last moment."""
    wall, found = geometry_of(case).wall, sun_calendar_of(case)
    if wall is None or found is None or not found.hours:
        return ()
    day = int(np.argmax(found.lit.sum(axis=1)))
    lit = np.flatnonzero(found.lit[day] > LEAST_LIT)
    moments = lit[np.unique(np.linspace(0, len(lit) - 1, most).round().astype(np.int64))]
    shift = zone_offsets_h(wall.location.zone, found.first_day + day, 1)[0]
    start = (found.first_day + day) * 86_400.0 - 3600.0 * shift
    return tuple(wall_patch(wall, start + (slot + 0.5) * found.slot_h * 3600.0) for slot in moments)

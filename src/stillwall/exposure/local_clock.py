"""Local time of readings kept in UTC, so that days and months are those of the place."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

Seconds = NDArray[np.int64]

DAY_S = 86_400
_OFFSET = re.compile(r"^([+-])(\d\d):?(\d\d)$")


def local_seconds(seconds: Seconds, zone: str | None) -> Seconds:
    """Seconds of the local clock for increasing UTC seconds since 1970.

    ``zone`` is an IANA name or an offset such as ``"+02:00"``; None leaves the clock as it is.
    A local day has 23, 24 or 25 hours.
    """
    if zone is None or len(seconds) == 0:
        return seconds
    starts, offsets = _offsets(zone, int(seconds[0]) // DAY_S, int(seconds[-1]) // DAY_S + 1)
    edges = np.append(np.searchsorted(seconds, starts), len(seconds))
    return seconds + np.repeat(offsets, np.diff(edges))


@lru_cache(maxsize=64)
def _offsets(zone: str, first_day: int, last_day: int) -> tuple[Seconds, Seconds]:
    fixed = _OFFSET.match(zone)
    if fixed is not None:
        sign, hours, minutes = fixed.groups()
        offset = (int(hours) * 3600 + int(minutes) * 60) * (-1 if sign == "-" else 1)
        return np.array([first_day * DAY_S]), np.array([offset])
    clock = ZoneInfo(zone)
    starts, offsets = [first_day * DAY_S], [_offset(clock, first_day * DAY_S)]
    for day in range(first_day + 1, last_day + 1):
        offset = _offset(clock, day * DAY_S)
        if offset != offsets[-1]:
            starts.append(_change(clock, (day - 1) * DAY_S, day * DAY_S))
            offsets.append(offset)
    return np.array(starts), np.array(offsets)


def _offset(clock: tzinfo, second: int) -> int:
    offset = (datetime.fromtimestamp(0, UTC) + timedelta(seconds=second)).astimezone(clock).utcoffset()
    assert offset is not None
    return int(offset.total_seconds())


def _change(clock: tzinfo, before: int, after: int) -> int:
    old = _offset(clock, before)
    while after - before > 1:
        middle = (before + after) // 2
        if _offset(clock, middle) == old:
            before = middle
        else:
            after = middle
    return after

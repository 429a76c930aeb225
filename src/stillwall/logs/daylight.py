"""Daylight saving: local times of a named zone in UTC, the two odd hours told by the readings themselves."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from stillwall.logs.dates import DAY_S, Ints


def offset_text(minutes: int) -> str:
    """An offset from UTC as it is written: ``UTC+01:00``."""
    sign = "-" if minutes < 0 else "+"
    return f"UTC{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


@lru_cache(maxsize=64)
def zone_info(name: str) -> ZoneInfo | None:
    """The zone of a name, or None where there is none of it."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


@lru_cache(maxsize=256)
def _changes(name: str, first_day: int, last_day: int) -> tuple[tuple[int, int, int], ...]:
    """Changes of a zone's offset: UTC second, offset before and after. [s]"""
    zone = zone_info(name)
    assert zone is not None
    made: list[tuple[int, int, int]] = []

    def offset(second: int) -> int:
        moment = dt.datetime.fromtimestamp(second, tz=zone)
        delta = moment.utcoffset()
        return 0 if delta is None else int(delta.total_seconds())

    for day in range(first_day, last_day + 1):
        low, high = day * DAY_S, (day + 1) * DAY_S
        before, after = offset(low), offset(high)
        if before == after:
            continue
        while high - low > 1:
            middle = (low + high) // 2
            if offset(middle) == before:
                low = middle
            else:
                high = middle
        made.append((high, before, after))
    return tuple(made)


@dataclass(frozen=True, slots=True)
class Localised:
    """Seconds in UTC; how many readings the two odd hours touched; notes."""

    seconds: Ints
    repeated_hour: Ints
    """Rows in an hour that the clock showed twice."""
    never_was: Ints
    """Rows in an hour that the clock skipped: the logger's clock was not changed."""
    notes: tuple[str, ...]


def localise(local: Ints, zone: str) -> Localised:
    """Local seconds in the order of the file, in UTC by a named zone.

    Raises
    ------
    ValueError
        If the zone is unknown.
    """
    info = zone_info(zone)
    if info is None:
        raise ValueError(zone)
    nothing = np.zeros(0, np.int64)
    if len(local) == 0:
        return Localised(local, nothing, nothing, ())
    first, last = int(local.min()) // DAY_S - 2, int(local.max()) // DAY_S + 2
    changes = _changes(zone, first, last)
    start = dt.datetime.fromtimestamp(first * DAY_S, tz=info).utcoffset()
    offset = int(start.total_seconds()) if start is not None else 0
    if not changes:
        return Localised(local - offset, nothing, nothing, ())
    falling = bool(len(local) > 1 and local[-1] < local[0])
    ordered = local[::-1] if falling else local
    evidence = [_evidence(ordered, change) for change in changes]
    if any(found == "unchanged" for found, _ in evidence) and not any(
        found == "changed" for found, _ in evidence
    ):
        fixed = offset
        for second, _, after in changes:
            if int(ordered[0]) - after >= second:
                fixed = after
        never = np.concatenate([rows for _, rows in evidence])
        never = len(local) - 1 - never if falling else never
        note = (
            f"the logger's clock was not changed with {zone}: read as {offset_text(fixed // 60)} throughout, its clock "  # noqa: E501
            "at the first reading"
        )
        return Localised(local - fixed, nothing, np.sort(never), (note,))
    shifts = np.full(len(ordered), offset, np.int64)
    twice: list[Ints] = []
    never_rows: list[Ints] = []
    for (second, before, after), (_, odd) in zip(changes, evidence, strict=True):
        if after >= before:
            shifts[ordered >= second + before] = after
            never_rows.append(odd)
            continue
        end = second + before
        begin = second + after
        inside = np.flatnonzero((ordered >= begin) & (ordered < end))
        shifts[ordered >= end] = after
        second_pass = _second_pass(ordered, inside)
        if not len(second_pass) and _came_late(ordered, inside, before - after):
            second_pass = inside
        shifts[inside] = before
        shifts[second_pass] = after
        if len(second_pass):
            twice.append(inside)
    seconds = ordered - shifts
    repeated = np.concatenate(twice) if twice else nothing
    never = np.concatenate(never_rows) if never_rows else nothing
    if falling:
        seconds = seconds[::-1]
        repeated, never = len(local) - 1 - repeated, len(local) - 1 - never
    return Localised(seconds, np.sort(repeated), np.sort(never), ())


def _second_pass(ordered: Ints, inside: Ints) -> Ints:
    """Of the rows in an hour that comes twice, those of its second time."""
    if len(inside) < 2:
        return inside[:0]
    back = np.flatnonzero(np.diff(ordered[inside]) <= 0)
    if len(back) == 0:
        return inside[:0]
    return inside[back[0] + 1 :]


def _came_late(ordered: Ints, inside: Ints, size: int) -> bool:
    """Whether readings too far apart to come twice in the odd hour are of its second time, by their step."""
    if not len(inside) or inside[0] < 2:
        return False
    at = int(inside[0])
    step = int(np.median(np.diff(ordered[max(0, at - 12) : at])))
    gap = int(ordered[at] - ordered[at - 1])
    return abs(gap + size - step) < abs(gap - step)


def _evidence(ordered: Ints, change: tuple[int, int, int]) -> tuple[str, Ints]:
    """Whether the clock was changed at a change of the zone: ``changed``, ``unchanged`` or ``unknown``."""
    second, before, after = change
    size = abs(after - before)
    low = second + min(before, after)
    inside = np.flatnonzero((ordered >= low) & (ordered < low + size))
    near = (ordered >= low - 6 * 3600) & (ordered < low + size + 6 * 3600)
    around = ordered[near]
    if len(around) < 4:
        return "unknown", inside[:0]
    step = float(np.median(np.abs(np.diff(around))))
    if after > before:
        if len(inside):
            return "unchanged", inside
        seen = bool((around < low).any() and (around >= low + size).any())
        return ("changed" if seen and step <= size else "unknown"), inside[:0]
    if len(_second_pass(ordered, inside)):
        return "changed", inside[:0]
    seen = len(inside) >= max(1, 0.6 * size / step) and bool(
        (around < low).any() and (around >= low + size).any()
    )
    return ("unchanged" if seen and step <= size else "unknown"), inside[:0]

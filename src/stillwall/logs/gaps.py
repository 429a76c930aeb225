"""Gaps and jumps of a logger's clock, and coverage by hour and month."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillwall.logs.thresholds import limit
from stillwall.record import Channel, Flag, Floats, Times, middle

DAY_S = 86_400


def clock_flags(times: Times) -> list[Flag]:
    """Flags of missing readings, of a clock that was set, and of stamps from before it was set."""
    seconds = times.astype(np.int64)
    if len(seconds) < 4:
        return []
    steps = np.diff(seconds)
    usual = float(steps[0])
    if steps.min() == usual and steps.max() == usual:
        return []
    usual = middle(steps)
    made: list[Flag] = []
    wide = np.flatnonzero(steps > limit("clock.gap_steps") * usual)
    if len(wide):
        lost = int(np.round(steps[wide] / usual - 1).sum())
        made.append(Flag("gap", False, wide + 1, times[wide[0] + 1], f"{lost} readings missing"))
    far = wide[steps[wide] > limit("clock.reset_days") * DAY_S] if len(wide) else wide
    if len(far):
        made += _reset(times, far)
    unusual = np.flatnonzero(steps != usual)
    if len(unusual) <= (1.0 - limit("clock.regular_share")) * len(steps):
        rest = steps[unusual] % usual
        rest = np.minimum(rest, usual - rest)
        near = steps[unusual] <= limit("clock.reset_days") * DAY_S
        odd = unusual[(rest > limit("clock.jump_share") * usual) & near]
        if len(odd):
            made.append(
                Flag(
                    "clock_jump",
                    False,
                    odd + 1,
                    times[odd[0] + 1],
                    "stamps leave their grid: the clock was set, or the logger restarted",
                )
            )
    return made


def _reset(times: Times, far: NDArray[np.int64]) -> list[Flag]:
    """Stretches of stamps far from the body of the record: written before the clock was set."""
    edges = np.concatenate(([0], far + 1, [len(times)]))
    sizes = np.diff(edges)
    main = int(np.argmax(sizes))
    where = np.concatenate(
        [np.arange(edges[part], edges[part + 1]) for part in range(len(sizes)) if part != main]
    ).astype(np.int64)
    if len(where) > 0.1 * len(times):
        return [Flag("far_apart", False, where, times[where[0]], "stamps more than a year from the rest")]
    note = "stamps more than a year from the rest: the clock was not set"
    return [Flag("clock_reset", True, where, times[where[0]], note)]


def coverage_by_hour(channel: Channel) -> Floats:
    """Share of expected readings that are there and usable, by hour of the channel's clock; shape (24,)."""
    times, _ = channel.kept
    if len(channel.times) < 2:
        return np.zeros(24)
    start, end = int(channel.times[0].astype(np.int64)), int(channel.times[-1].astype(np.int64))
    grid = np.arange(start, end + 1, max(1, int(channel.step_s)))
    expected = np.bincount((grid // 3600) % 24, minlength=24)
    seen = np.bincount((times.astype(np.int64) // 3600) % 24, minlength=24)
    share: Floats = np.where(expected > 0, np.minimum(1.0, seen / np.maximum(expected, 1)), 0.0)
    return share


def coverage_by_month(channel: Channel) -> dict[str, float]:
    """Share of expected readings that are there and usable, by month such as ``2026-03``."""
    times, _ = channel.kept
    if len(channel.times) < 2:
        return {}
    step = channel.step_s
    first, last = channel.times[0].astype("datetime64[M]"), channel.times[-1].astype("datetime64[M]")
    months = np.arange(first, last + 1)
    kept = times.astype("datetime64[M]")
    made: dict[str, float] = {}
    for month in months:
        begin = max(month.astype("datetime64[s]"), channel.times[0])
        end = min((month + 1).astype("datetime64[s]"), channel.times[-1] + np.timedelta64(int(step), "s"))
        expected = max(1.0, float((end - begin).astype(np.int64)) / step)
        made[str(month)] = float(min(1.0, np.count_nonzero(kept == month) / expected))
    return made

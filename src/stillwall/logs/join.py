"""Downloads of one logger joined: readings that overlap once, disagreement flagged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from stillwall.record import Channel, Flag, Mask, Times

SAME = 1e-6
"""Readings closer than this are the same reading."""


def join(channels: Sequence[Channel]) -> Channel:
    """Join channels of one role and unit, from files in any order.

    A reading that two files hold alike is kept once; where they differ, the first is kept and excluded.
    Flags keep their places.
    """
    if len(channels) == 1:
        return channels[0]
    ordered = sorted(channels, key=lambda channel: (channel.times[0], channel.times[-1]))
    times = np.concatenate([channel.times for channel in ordered])
    values = np.concatenate([channel.values for channel in ordered])
    excluded = np.concatenate([channel.excluded for channel in ordered])
    starts = np.cumsum([0, *(len(channel.times) for channel in ordered)])
    flags = [
        replace(flag, where=flag.where + start)
        for channel, start in zip(ordered, starts, strict=False)
        for flag in channel.flags
    ]
    order = np.argsort(times, kind="stable")
    times, values, excluded = times[order], values[order], excluded[order]
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    same = np.concatenate(([False], times[1:] == times[:-1]))
    keep = ~same
    group = np.cumsum(keep) - 1
    merged: list[Flag] = [_moved(flag, rank, group) for flag in flags]
    firsts = np.flatnonzero(keep)
    extra = np.flatnonzero(same)
    kept_times, kept_values, kept_excluded = times[firsts], values[firsts].copy(), excluded[firsts].copy()
    if len(extra):
        merged += _overlaps(extra, group, values, kept_times, kept_values, kept_excluded, excluded)
    names = tuple(dict.fromkeys(name for channel in ordered for name in channel.files))
    notes = tuple(dict.fromkeys(note for channel in ordered for note in channel.notes))
    first = channels[0]
    return replace(
        first,
        times=kept_times,
        values=kept_values,
        excluded=kept_excluded,
        flags=_together(merged),
        files=names,
        notes=notes,
        accuracy=max(channel.accuracy for channel in channels),
        logger=min(c.logger for c in channels),
    )


def _moved(flag: Flag, rank: np.ndarray, group: np.ndarray) -> Flag:
    where = np.unique(group[rank[flag.where]]) if len(flag.where) else flag.where
    return replace(flag, where=where)


def _overlaps(
    extra: np.ndarray,
    group: np.ndarray,
    values: np.ndarray,
    times: Times,
    kept: np.ndarray,
    kept_excluded: Mask,
    excluded: Mask,
) -> list[Flag]:
    target = group[extra]
    alike = np.abs(values[extra] - kept[target]) <= SAME
    rescued = kept_excluded[target] & ~excluded[extra] & ~alike
    kept[target[rescued]] = values[extra[rescued]]
    kept_excluded[target[rescued]] = False
    odd = np.unique(target[~alike & ~rescued & ~excluded[extra]])
    kept_excluded[odd] = True
    made: list[Flag] = []
    once = np.unique(target[alike])
    if len(once):
        made.append(Flag("overlap", False, once, times[once[0]], "in two downloads alike, kept once"))
    if len(odd):
        made.append(Flag("downloads_disagree", True, odd, times[odd[0]], "two downloads differ at one stamp"))
    return made


def _together(flags: Sequence[Flag]) -> tuple[Flag, ...]:
    """Flags of one name as one."""
    made: dict[str, Flag] = {}
    for flag in flags:
        known = made.get(flag.name)
        if known is None:
            made[flag.name] = flag
            continue
        where = np.union1d(known.where, flag.where)
        overridden = known.count_override is not None or flag.count_override is not None
        made[flag.name] = replace(
            known,
            where=where,
            first=min(known.first, flag.first),
            count_override=known.count + flag.count if overridden else None,
            excludes=known.excludes or flag.excludes,
        )
    return tuple(made.values())

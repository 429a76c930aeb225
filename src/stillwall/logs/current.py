"""Which log files are still in use: the newest downloads of a list that goes on.

An older download that a newer one of the same place goes on from is done with, and so is a record too short
to be anything but a campaign that has ended. What is left should have gone on until today.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from stillwall.logs.read import LogFile
from stillwall.logs.thresholds import limit
from stillwall.record import Channel, Role
from stillwall.survey.loggers import LogFileRef

SILENT_STEPS = 20
_ROLES: frozenset[Role] = frozenset(("temperature", "humidity", "light"))


@dataclass(frozen=True, slots=True)
class InUse:
    """A file that is in use; ``silent_since`` where nothing has come for too long."""

    file: str
    silent_since: np.datetime64 | None


def in_use(
    lists: Iterable[Sequence[LogFileRef]], logs: Mapping[str, LogFile], today: np.datetime64
) -> dict[str, InUse]:
    """The files that are in use, by name.

    Parameters
    ----------
    lists
        The files of each place, room or building, as the survey lists them together.
    logs
        What each of them holds, by name; those that cannot be read are left out.
    today
        The day of the newest reading of all.
    """
    made: dict[str, InUse] = {}
    for refs in lists:
        by_role: dict[Role, list[tuple[str, Channel]]] = {}
        for ref in refs:
            for channel in logs[ref.file].channels if ref.file in logs else ():
                if channel.role in _ROLES and _is_meant(channel, ref.sensor):
                    by_role.setdefault(channel.role, []).append((ref.file, channel))
        for channels in by_role.values():
            file, newest = max(channels, key=lambda pair: pair[1].times[-1])
            silent = _is_silent(newest, today)
            if silent and _days([channel for _, channel in channels]) < limit("campaign_days", "season"):
                continue
            known = made.get(file)
            if known is None or known.silent_since is not None:
                made[file] = InUse(file, newest.times[-1] if silent else None)
    return made


def _is_meant(channel: Channel, sensor: str | None) -> bool:
    if sensor is None or channel.sensor is None:
        return True
    return channel.sensor.strip().lower() == sensor.strip().lower()


def _is_silent(channel: Channel, today: np.datetime64) -> bool:
    step_s = channel.step_s if np.isfinite(channel.step_s) else 3600.0
    patience_s = max(limit("silent_days", "season") * 86_400, SILENT_STEPS * step_s)
    return bool(today - channel.times[-1] > np.timedelta64(int(patience_s), "s"))


def _days(channels: Sequence[Channel]) -> int:
    """On how many days there is a reading."""
    return len(np.unique(np.concatenate([channel.times.astype("datetime64[D]") for channel in channels])))

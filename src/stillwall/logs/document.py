"""The ``check`` document: what was read from each log, as JSON takes it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from stillwall.logs.checkup import CheckedFile, Checkup, kept_summary
from stillwall.logs.gaps import coverage_by_hour, coverage_by_month
from stillwall.record import Channel

FORMAT = 1


def check_document(checkup: Checkup) -> dict[str, Any]:
    """The answer of ``stillwall check --json``; ``places`` only where there is a survey."""
    made: dict[str, Any] = {
        "stillwall": FORMAT,
        "logs": [_log(file) for file in checkup.files],
        "missing": [{"what": missing.what, "blocks": list(missing.blocks)} for missing in checkup.missing],
    }
    if checkup.places:
        made["places"] = [
            {
                "place": one.place.id,
                "channels": None if one.record is None else {
                    role: {"files": list(channel.files), "from_room": role in one.record.from_room}
                    for role, channel in one.record.channels.items()
                },
            }
            for one in checkup.places
        ]  # fmt: skip
    return made


def _log(file: CheckedFile) -> dict[str, Any]:
    if file.log is None:
        return {"file": file.name, "error": str(file.error), "channels": [], "notes": []}
    return {
        "file": file.name,
        "error": None,
        "sha256": file.log.sha256,
        "channels": [_channel(channel) for channel in file.log.channels],
        "notes": list(file.log.notes),
    }


def _channel(channel: Channel) -> dict[str, Any]:
    least, mean, most = kept_summary(channel) or (None, None, None)
    step = channel.step_s
    return {
        "role": channel.role,
        "sensor": channel.sensor,
        "unit": channel.unit,
        "unit_in_file": channel.unit_in_file,
        "first": moment(channel.times[0], utc=channel.utc),
        "last": moment(channel.times[-1], utc=channel.utc),
        "readings": len(channel.values),
        "min": least,
        "mean": mean,
        "max": most,
        "step_s": None if math.isnan(step) else step,
        "coverage": channel.coverage,
        "coverage_by_hour": [round(float(share), 4) for share in coverage_by_hour(channel)],
        "coverage_by_month": {month: round(share, 4) for month, share in coverage_by_month(channel).items()},
        "flags": {
            flag.name: {
                "count": flag.count,
                "excludes": flag.excludes,
                "first": moment(flag.first, utc=channel.utc),
                "note": flag.note,
            }
            for flag in channel.flags
        },
    }


def moment(time: np.datetime64, *, utc: bool) -> str:
    """ISO 8601: in UTC with ``Z``, or local without an offset."""
    return f"{np.datetime_as_string(time, unit='s')}{'Z' if utc else ''}"

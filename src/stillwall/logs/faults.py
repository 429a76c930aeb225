"""Faults of sensors, found in the readings; each flag says whether it excludes."""

from __future__ import annotations

from collections.abc import Sequence

from stillwall.record import Channel
from stillwall.survey.loggers import LoggerSettings


def find_faults(channels: Sequence[Channel], settings: LoggerSettings) -> list[Channel]:
    """The channels of one file with the flags of their sensors' faults."""
    return list(channels)

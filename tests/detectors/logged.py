"""Simulated readings as records."""

from __future__ import annotations

import numpy as np

from stillwall.record import Channel, Record


def channel(role, times, values, logger, accuracy=0.5):
    return Channel(
        role=role,
        sensor=None,
        unit="degC" if role == "temperature" else "%",
        unit_in_file="",
        times=times.astype("datetime64[s]"),
        values=np.asarray(values, float).copy(),
        excluded=np.zeros(len(times), bool),
        flags=(),
        utc=False,
        logger=logger,
        accuracy=accuracy,
    )


def record(place, times, temperature_c, humidity_pct=None, **others) -> Record:
    channels = {"temperature": channel("temperature", times, temperature_c, place)}
    if humidity_pct is not None:
        channels["humidity"] = channel("humidity", times, humidity_pct, place)
    return Record(place=place, channels=channels, **others)

"""Records of light made by hand, for tests of the estimates that rest on them."""

from __future__ import annotations

import numpy as np

from stillwall.record import Channel, Record

DAY_S = 86_400


def record_of(
    seconds, lux, *, utc=True, accuracy=0.1, unit="lx", zone=None, from_room=False, uv=None, uv_unit="uW/lm"
):
    """A record with a light channel, and an ultraviolet one where ``uv`` is given."""
    times = np.asarray(seconds, dtype=np.int64).astype("datetime64[s]")

    def channel(role, values, its_unit):
        values = np.asarray(values, dtype=np.float64)
        excluded = ~np.isfinite(values)
        return Channel(role, None, its_unit, its_unit, times, values, excluded, (), utc, "logger-1", accuracy)

    channels = {"light": channel("light", lux, unit)}
    if uv is not None:
        channels["ultraviolet"] = channel("ultraviolet", uv, uv_unit)
    return Record("wall", channels, frozenset({"light"}) if from_room else frozenset(), zone)


def clock(first_day, days, step_s=300):
    """Seconds since 1970 of a run of days."""
    return first_day * DAY_S + np.arange(0, days * DAY_S, step_s, dtype=np.int64)

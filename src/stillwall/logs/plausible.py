"""Whether values can be in the unit that a header gives them; a header is no proof of a unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from stillwall.errors import LogError
from stillwall.logs.columns import Columns
from stillwall.logs.parse import Rows
from stillwall.logs.questions import ask
from stillwall.logs.thresholds import limit
from stillwall.record import Channel, Floats, Role

_SAFE: Mapping[tuple[Role, str], tuple[float, float]] = {
    ("temperature", "degC"): (-35.0, 35.0),
    ("dew_point", "degC"): (-35.0, 35.0),
    ("surface_temperature", "degC"): (-35.0, 35.0),
    ("temperature", "degF"): (-40.0, 120.0),
    ("humidity", "%"): (1.01, 110.0),
    ("light", "lx"): (0.0, 100_000.0),
}
"""Ranges within which no question arises."""
_DEGREES = ("temperature", "surface_temperature", "dew_point")


def doubt(values: Floats, role: Role, unit: str, header: str, name: str, *, told: bool) -> LogError | None:
    """A question about the unit, where the values cannot be in it; else None."""
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    safe_low, safe_high = _SAFE.get((role, unit), (np.inf, -np.inf))
    if safe_low <= low and high <= safe_high:
        return None
    finite = values[np.isfinite(values)]
    middle = float(np.median(finite))
    if role in _DEGREES:
        return _degrees(middle, unit, role, header, name, told=told)
    if role == "humidity":
        top, low = float(finite.max()), float(finite.min())
        if unit == "%" and told and len(finite) > 3 and low >= 0.0 and 0.0 < top <= 1.0:
            return ask(
                name,
                f"{header!r} says percent and holds values up to {top:g}",
                "percent, or a share of 1",
                units={role: "fraction"},
                instead='or "%"',
            )
        if unit == "fraction" and middle > 1.5:
            return ask(
                name,
                f"{header!r} says a share of 1 and holds values such as {middle:g}",
                "a share of 1",
                units={role: "%"},
            )
        if middle > 120 or middle < -5:
            return ask(name, f"{header!r} holds values such as {middle:g}, which is no relative humidity",
                       "percent from 0 to 100", columns={header or "3": "temperature"},
                       instead="or what the column is")  # fmt: skip
    if role == "light":
        scale = {"lx": 1.0, "klx": 1000.0, "hlx": 100.0, "fc": 10.7639}[unit]
        if middle * scale > limit("range.light_high"):
            return ask(
                name,
                f"{header!r} holds values such as {middle:g} {unit}, brighter than the sun",
                "illuminance up to 150 klx",
                units={role: "lx"},
                instead='or "klx", or "fc"',
            )
    return None


def _degrees(middle: float, unit: str, role: Role, header: str, name: str, *, told: bool) -> LogError | None:
    hot = limit("plausible.celsius_median")
    shown = f"{middle:.1f}"
    said = f"says {unit}" if told else "has no unit"
    settled = role
    if unit == "degC" and (
        middle > hot or middle < -hot or (not told and middle > limit("plausible.unstated_median"))
    ):
        other = "K" if middle > 200 else "degF"
        return ask(name, f"{header!r} {said} and holds values such as {shown}", "degrees Celsius of a room",
                   units={settled: other}, instead='or "degC", "degF", "K"')  # fmt: skip
    if unit == "degF" and not -50 <= middle <= 130:
        return ask(
            name,
            f"{header!r} {said} and holds values such as {shown}",
            "degrees Fahrenheit of a room",
            units={settled: "K"},
            instead='or "degC", "degF"',
        )
    if unit == "K" and not 220 <= middle <= 330:
        other = "degF" if middle > hot else "degC"
        return ask(name, f"{header!r} {said} and holds values such as {shown}", "kelvins of a room",
                   units={settled: other}, instead='or "degC", "degF", "K"')  # fmt: skip
    return None


def light_is_doubtful(
    channel: Channel, irradiance: Sequence[Floats], rows: Rows, columns: Columns
) -> float | None:
    """Lumens for each watt of sunshine, where that is too little for daylight; else None.

    Daylight gives about 110 lm per W (Littlefair, Lighting Research and Technology 17, 1985, 162-182: 90 to
    130 for global radiation).
    """
    column = next(
        (one for one in columns.readings if one.role == "light" and one.sensor == channel.sensor), None
    )
    if column is None:
        return None
    scale = {"lx": 1.0, "klx": 1000.0, "hlx": 100.0, "fc": 10.7639}[column.unit]
    lux = rows.values[column.place] * scale
    for watts in irradiance:
        with np.errstate(invalid="ignore"):
            bright = (watts > 50) & np.isfinite(lux)
        if bright.sum() < 10 or np.corrcoef(lux[bright], watts[bright])[0, 1] < 0.9:
            continue
        ratio = float(np.median(lux[bright] / watts[bright]))
        if ratio < limit("plausible.daylight_efficacy"):
            return ratio
    return None

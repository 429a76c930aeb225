"""Openings of outer doors seen in a log: how a breath of outdoor air moves temperature and humidity."""

from __future__ import annotations

import math


def sensor_peak_fraction(pulse_min: float, tau_min: float) -> float:
    """Share of a rectangular pulse that a first-order sensor shows at its end."""
    return -math.expm1(-pulse_min / tau_min)


def outdoor_fraction(before: float, after: float, outdoors: float) -> float:
    """Share of outdoor air in a mixture, from any conserved quantity before, after and outdoors."""
    return (after - before) / (outdoors - before)

"""Settings for every test."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile(
    "stillwall", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True, database=None
)
settings.load_profile("stillwall")

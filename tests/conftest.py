"""Settings for every test."""

from __future__ import annotations

import os
import runpy
from pathlib import Path

from hypothesis import HealthCheck, settings

if os.environ.get("STILLWALL_NO_SOCKETS") == "1":
    # Here, and in every process that a test starts.
    blocked = Path(__file__).parent / "faults" / "no_sockets"
    os.environ["PYTHONPATH"] = os.pathsep.join(
        [str(blocked), *filter(None, [os.environ.get("PYTHONPATH", "")])]
    )
    runpy.run_path(str(blocked / "sitecustomize.py"))

settings.register_profile(
    "stillwall", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True, database=None
)
settings.load_profile("stillwall")

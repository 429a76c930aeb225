"""Invented exports, one difficulty after another: each is read exactly."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from stillwall.logs.read import read_log
from tests.logs.time_variants import TIME_VARIANTS
from tests.logs.variants import VARIANTS, Variant


@pytest.mark.parametrize("variant", [*TIME_VARIANTS, *VARIANTS], ids=lambda variant: variant.name)
def test_variant_is_read_as_it_says(variant: Variant, tmp_path: Path) -> None:
    path = tmp_path / "export.csv"
    path.write_bytes(variant.text.encode(variant.encoding))
    log = read_log(path, name="export.csv")
    found = {(channel.role, channel.sensor): channel for channel in log.channels}
    assert set(found) == set(variant.readings)
    for key, (count, first, last, first_value, last_value) in variant.readings.items():
        channel = found[key]
        assert len(channel.values) == count
        assert channel.times[0] == np.datetime64(first, "s")
        assert channel.times[-1] == np.datetime64(last, "s")
        assert channel.values[0] == pytest.approx(first_value, abs=1e-9)
        assert channel.values[-1] == pytest.approx(last_value, abs=1e-9)
        assert channel.utc == variant.utc

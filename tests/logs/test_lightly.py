"""Every process that reads logs loads what it needs: seconds of an estate's first ranking are spent here."""

from __future__ import annotations

import subprocess
import sys

import numpy as np

from stillwall.logs.read import read_log

READ = """
import sys
from pathlib import Path
from stillwall.logs.read import read_log
log = read_log(Path(sys.argv[1]), name="plain.csv")
print([len(channel.values) for channel in log.channels], *sorted({name.split(".")[0] for name in sys.modules}))
"""


def test_a_plain_log_with_blank_cells_is_read_without_loading_pandas(tmp_path):
    stamps = np.datetime64("2025-03-01T00:00:00") + np.arange(3000) * np.timedelta64(300, "s")
    air = [f"{20 + row % 7 / 10:.1f}" if row % 11 else "" for row in range(len(stamps))]
    damp = [f"{50 + row % 13 / 10:.1f}" for row in range(len(stamps))]
    rows = (f"{stamp},{t},{rh}" for stamp, t, rh in zip(stamps.astype(str), air, damp, strict=True))
    path = tmp_path / "plain.csv"
    path.write_text("Time,Temperature (°C),Humidity (%RH)\n" + "\n".join(rows) + "\n", "utf-8")
    ran = subprocess.run([sys.executable, "-c", READ, str(path)], capture_output=True, text=True, check=True)
    told, _, loaded = ran.stdout.strip().partition("] ")
    blank = air.count("")
    assert told == f"[{len(stamps) - blank}, {len(stamps)}"
    assert not {"pandas", "matplotlib", "pint"} & set(loaded.split())
    temperature = read_log(path, name="plain.csv").channels[0]
    np.testing.assert_array_equal(temperature.values, [float(cell) for cell in air if cell])

"""Print the table of calibration: ``python -m tests.calibration [walls] [worlds]``."""

import sys

from tests.calibration.study import counted, outcomes, table

walls = int(sys.argv[1]) if len(sys.argv) > 1 else 60
worlds = int(sys.argv[2]) if len(sys.argv) > 2 else 4
shares = {"as it is": 1.0, "half the measures": 0.5, "all measures": 0.0}
found = {
    name: counted(made for seed in range(1, worlds + 1) for made in outcomes(seed, walls, ruled_out=share))
    for name, share in shares.items()
}
sys.stdout.write(table(found) + "\n")

"""Nothing but the answer reaches standard output, whatever the solver's C code prints."""

from __future__ import annotations

import ctypes
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from stillwall.judgement.moves import solver

SAMPLE = Path(__file__).parents[3] / "sample_logs"
LINE = b"HighsMipSolverData::transformNewIntegerFeasibleSolution tmpSolver.run();"
TALKATIVE = f"""
import ctypes, os, sys
from stillwall.judgement.moves import solver
quiet = solver.scipy.optimize.milp
def milp(*arguments, **options):
    ctypes.CDLL(None).puts({LINE!r})
    os.write(1, {LINE!r} + b"\\n")
    return quiet(*arguments, **options)
solver.scipy.optimize.milp = milp
sys.argv = ["stillwall", "moves", sys.argv[1], "--json", "--move", "river-meadow"]
from stillwall.cli import main
main()
"""


def test_the_answer_is_one_json_document_when_the_solver_prints(tmp_path: Path) -> None:
    ended = subprocess.run(
        [sys.executable, "-c", TALKATIVE, str(SAMPLE)], capture_output=True, timeout=120, cwd=tmp_path
    )
    assert json.loads(ended.stdout)["stillwall"] == 1
    assert LINE in ended.stderr


def test_standard_output_is_given_back(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    real = solver.scipy.optimize.milp

    def talkative(*arguments: Any, **options: Any) -> Any:
        ctypes.CDLL(None).puts(LINE)
        return real(*arguments, **options)

    monkeypatch.setattr(solver.scipy.optimize, "milp", talkative)
    ones = np.ones(2)
    row = solver.Row(((0, 1.0), (1, 1.0)), 1.0, 1.0)
    solved = solver.solve(np.array([2.0, 1.0]), whole=ones, upper=ones, rows=[row], time_limit_s=5.0)
    os.write(1, b"after\n")
    told = capfd.readouterr()
    assert solved.values is not None
    assert solved.values.tolist() == [0.0, 1.0]
    assert told.out == "after\n"
    assert LINE.decode() in told.err


def test_a_closed_standard_output_does_no_harm() -> None:
    script = (
        "import os, numpy as np; os.close(1); from stillwall.judgement.moves.solver import Row, solve; "
        "ones = np.ones(1); solved = solve(ones, whole=ones, upper=ones, rows=[Row(((0, 1.0),), 1.0, 1.0)], "
        "time_limit_s=5.0); os.write(2, str(solved.values).encode())"
    )
    ended = subprocess.run([sys.executable, "-c", script], capture_output=True, timeout=60)
    assert ended.stderr == b"[1.]"

"""Commands run apart: in forks of this process, which has all loaded and has computed nothing, or afresh."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import NoReturn

from stillwall.cli import main
from stillwall.hazards import hazards

ROOT = Path(__file__).parents[2]
WORK = "lime-avenue"
LONGEST_S = 1200
"""What takes longer hangs."""

for name in (
    *("assess", "documents", "report.make", "report.screens", "report.season_screen", "report.season_page"),
    *("report.moves_screen", "logs.checkup"),
):
    import_module(f"stillwall.{name}")
for name in ("pandas", "scipy.optimize", "scipy.signal", "scipy.ndimage", "matplotlib.backends.backend_svg"):
    import_module(name)
hazards()


@dataclass(frozen=True)
class Ended:
    """How a process ended and what it printed."""

    code: int
    stdout: str
    stderr: str

    @property
    def refused(self) -> bool:
        """Whether it ended as on bad input: told in words with a remedy, without a traceback or an answer."""
        told = self.stderr
        return self.code == 1 and "to fix:" in told and "Traceback" not in told and not self.stdout

    @property
    def answered(self) -> bool:
        """Whether it gave an answer: with 1 where moves find no plan, with 3 where a season needs a person."""
        return self.code in (0, 1, 3) and bool(self.stdout) and not self.stderr


@dataclass(frozen=True)
class Running:
    """A fork that runs; its output goes to files without a name."""

    process: int
    out: int
    err: int

    def ended(self) -> Ended:
        """Wait for its end."""
        _, status = os.waitpid(self.process, 0)
        told = []
        for handle in (self.out, self.err):
            with os.fdopen(handle, "rb") as stream:
                stream.seek(0)
                told.append(stream.read().decode())
        return Ended(os.waitstatus_to_exitcode(status), *told)

    def killed_after(self, delay_s: float) -> Ended:
        """Kill it after a while with a signal that it cannot see coming."""
        time.sleep(delay_s)
        os.kill(self.process, signal.SIGKILL)
        return self.ended()


def _nameless() -> int:
    with tempfile.TemporaryFile() as stream:
        return os.dup(stream.fileno())


def fork(run: Callable[[], None]) -> Running:
    """Run a function in a fork."""
    out, err = _nameless(), _nameless()
    sys.stdout.flush()
    process = os.fork()
    if process == 0:
        _run(run, out, err)
    return Running(process, out, err)


def _run(run: Callable[[], None], out: int, err: int) -> NoReturn:
    code = 1
    try:
        os.dup2(out, 1)
        os.dup2(err, 2)
        sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
        sys.stderr = os.fdopen(2, "w", encoding="utf-8", closefd=False)
        signal.alarm(LONGEST_S)
        run()
        code = 0
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        traceback.print_exc()
    finally:
        # Nothing of the process that was forked is to be tidied up by its fork.
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def started(*arguments: object, before: Callable[[], None] | None = None) -> Running:
    """One command in a fork; ``before`` is done there first."""

    def run() -> None:
        if before is not None:
            before()
        sys.argv = ["stillwall", *map(str, arguments)]
        main()

    return fork(run)


def stillwall(*arguments: object, before: Callable[[], None] | None = None) -> Ended:
    """One command, once it has ended."""
    return started(*arguments, before=before).ended()


def ranked(house: Path, survey: str | None = None) -> Ended:
    """Rank on a house, whose survey gets another text first where one is given."""
    if survey is not None:
        (house / "survey.toml").write_text(survey, encoding="utf-8", newline="")
    return stillwall("rank", house, "--work", WORK, "--json")


def afresh(*arguments: object, **environment: str) -> str:
    """What a module of the tests prints as a process of its own from the start."""
    paths = [str(ROOT / "src"), *filter(None, [os.environ.get("PYTHONPATH")])]
    ended = subprocess.run(
        [sys.executable, "-m", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths), **environment},
        capture_output=True,
        encoding="utf-8",
        timeout=LONGEST_S,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    return ended.stdout

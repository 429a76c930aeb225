"""Make faults in the physics, the hazards and the judgement, and count those that the tests notice.

    python -m tests.mutation [--share 0.02] [--seed 1] [--jobs 2] [--reach FILE] [--only PART ...]

A random share of the places of each module is changed, one at a time, and the tests that run the changed
line are run, the narrowest first, until one fails. Prints each fault that none notices, and the shares with
their 95 % intervals (Wilson). ``--reach`` keeps which test runs which line, the slow first step, in a file.
``--only`` takes those files whose path holds one of the words. ``--control`` runs the same without the
faults: nothing must be noticed. The operators are those of mutmut, which has to be installed.
"""

from __future__ import annotations

import argparse
import functools
import multiprocessing
import sys
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path

from scipy.stats import binomtest

from tests.mutation.mutants import Mutant, sample
from tests.mutation.reach import keep, remembered
from tests.mutation.trial import noticed, warm

ROOT = Path(__file__).parents[2]
PACKAGES = ("exposure", "hazards", "judgement")
TESTS = (*PACKAGES, "published", "vignettes", "detectors", "season", "light_coverage", "test_api.py")
FIRST_SECONDS, ALL_SECONDS = 1.0, 8.0
"""Processor time of the tests of the first try on a fault, and of the second."""


def killed(mutant: Mutant, kept: Path) -> bool:
    """Whether some test notices the fault: the narrowest few first, then all that fit the time."""
    reach = remembered(kept)
    tried: list[str] = []
    for seconds in (FIRST_SECONDS, ALL_SECONDS):
        tests = reach.tests(mutant.file, mutant.first_line, mutant.last_line, seconds)
        left = [test for test in tests if test not in tried]
        if left and noticed(mutant, left, ROOT, 20.0 + 4.0 * seconds):
            return True
        tried = tests
    return False


def told(mutant: Mutant) -> str:
    """A fault in one line or two."""
    where = f"{mutant.file.relative_to(ROOT / 'src' / 'stillwall')}:{mutant.first_line}"
    return f"{where} [{mutant.operator}]\n    {_short(mutant.before)}\n    {_short(mutant.after)}"


def share_line(name: str, made: int, noticed: int) -> str:
    """A row of the table: how many faults, how many noticed, the share and its interval."""
    low, high = binomtest(noticed, made).proportion_ci(method="wilson")
    return (
        f"| {name} | {made} | {noticed} | {100 * noticed / made:.1f} % | {100 * low:.1f}-{100 * high:.1f} % |"
    )


def main(arguments: list[str]) -> int:
    """Print survivors and shares."""
    asked = argparse.ArgumentParser(prog="python -m tests.mutation")
    asked.add_argument("--share", type=float, default=0.02)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--jobs", type=int, default=2)
    asked.add_argument("--reach", type=Path)
    asked.add_argument("--control", action="store_true")
    asked.add_argument("--only", nargs="*", default=[""])
    options = asked.parse_args(arguments)

    files = [file for package in PACKAGES for file in (ROOT / "src" / "stillwall" / package).rglob("*.py")]
    files = [file for file in files if any(word in str(file) for word in options.only)]
    context = multiprocessing.get_context("fork")
    made: Counter[str] = Counter()
    found: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        kept = options.reach or Path(folder) / "reach"
        if not kept.is_file():
            measuring = context.Process(target=keep, args=(kept, [f"tests/{part}" for part in TESTS], ROOT))
            measuring.start()
            measuring.join()
        mutants = sample(files, options.share, options.seed)
        if options.control:
            mutants = [replace(mutant, source=mutant.file.read_text("utf-8")) for mutant in mutants]
        warm()
        with context.Pool(options.jobs) as pool:
            for mutant, dead in zip(
                mutants, pool.imap(functools.partial(killed, kept=kept), mutants), strict=True
            ):
                names = (
                    str(mutant.file.parent.relative_to(ROOT / "src" / "stillwall")),
                    f"by {mutant.operator.replace('_', ' ')}",
                    "all",
                )
                made.update(names)
                found.update(names if dead else ())
                if not dead:
                    print(told(mutant), flush=True)
    print("| where | faults | noticed | share | 95 % interval |\n|---|---|---|---|---|")
    for name in sorted(made, key=lambda name: (name == "all", name.startswith("by "), name)):
        print(share_line(name, made[name], found[name]))
    return 0


def _short(code: str) -> str:
    line = " ".join(code.split())
    return line if len(line) <= 140 else line[:137] + "..."


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

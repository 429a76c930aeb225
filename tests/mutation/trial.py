"""One fault at a time: a forked process in which a module has the fault, and the tests that run in it."""

from __future__ import annotations

import importlib
import importlib.abc
import importlib.util
import os
import resource
import sys
import time
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType

import pytest

from tests.mutation.mutants import Mutant

WARM = (
    "numpy",
    "pandas",
    "scipy.stats",
    "scipy.signal",
    "scipy.optimize",
    "pyarrow",
    "pydantic",
    "pint",
    "jinja2",
)
WARM_TESTS = ("hypothesis", "psychrolib", "pvlib", "CoolProp.CoolProp")
BELOW = (
    "stillwall.reference.library",
    "stillwall.survey.survey",
    "stillwall.record",
    "stillwall.load",
    "stillwall.units",
)
"""What the modules under trial stand on, and which stands on none of them."""
OPTIONS = ("-x", "-q", "-p", "no:xdist", "-W", "ignore::pytest.PytestAssertRewriteWarning")
TRIAL_BROKE = 70
WALL_FOR_PROCESSOR = 20
"""A process that waits for ever uses no processor time; it is ended after so many times its time."""


def warm() -> None:
    """Import once what every trial needs and no trial changes."""
    for name in (*WARM, *WARM_TESTS, *BELOW):
        importlib.import_module(name)


def noticed(mutant: Mutant, tests: list[str], root: Path, limit_seconds: float) -> bool:
    """Whether one of the tests fails, or takes for ever, with the fault in place."""
    child = os.fork()
    if child == 0:
        _run(mutant, tests, root, limit_seconds)
    until = time.monotonic() + WALL_FOR_PROCESSOR * limit_seconds
    while time.monotonic() < until:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            code = os.waitstatus_to_exitcode(status)
            if code in (pytest.ExitCode.INTERNAL_ERROR, pytest.ExitCode.USAGE_ERROR, TRIAL_BROKE):
                raise RuntimeError(f"{mutant.file}:{mutant.first_line}: no tests could be run, code {code}")
            return code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED)
        time.sleep(0.02)
    os.killpg(child, 9)
    os.waitpid(child, 0)
    return True


def _run(mutant: Mutant, tests: list[str], root: Path, limit_seconds: float) -> None:
    """Run the tests and leave the process: with 0 where all pass."""
    try:
        os.setsid()
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        spent = int(time.process_time())
        resource.setrlimit(
            resource.RLIMIT_CPU, (spent + int(limit_seconds) + 1, spent + int(limit_seconds) + 2)
        )
        sys.meta_path.insert(0, _Faulty(mutant, root))
        files = sorted({test.partition("::")[0] for test in tests})
        status = pytest.main([*files, *OPTIONS], plugins=[_Chosen(tests)])
        os._exit(int(status))
    finally:
        os._exit(TRIAL_BROKE)


class _Faulty(SourceFileLoader, importlib.abc.MetaPathFinder):
    """Finds the module under trial and gives it the faulty code."""

    def __init__(self, mutant: Mutant, root: Path) -> None:
        name = ".".join(mutant.file.relative_to(root / "src").with_suffix("").parts)
        super().__init__(name.removesuffix(".__init__"), str(mutant.file))
        self._source = mutant.source

    def find_spec(self, fullname: str, path: object = None, target: object = None) -> ModuleSpec | None:
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def get_code(self, fullname: str) -> CodeType:
        return compile(self._source, self.path, "exec", dont_inherit=True)


class _Chosen:
    """Keeps the chosen tests, in their order."""

    def __init__(self, tests: list[str]) -> None:
        self._order = {test: at for at, test in enumerate(tests)}

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self._order), key=lambda item: self._order[item.nodeid]
        )

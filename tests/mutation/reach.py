"""Which tests run which line, and how long each takes."""

from __future__ import annotations

import pickle
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import coverage
import pytest


@dataclass(slots=True)
class Reach:
    """What one run of the tests showed.

    ``lines``: by file and line the tests that ran it, beyond its import. ``seconds``: processor time of each
    test that passed, set-up included. ``widths``: how many files each test runs through.
    """

    lines: dict[Path, dict[int, set[str]]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    widths: Counter[str] = field(default_factory=Counter)

    def tests(self, file: Path, first_line: int, last_line: int, within_seconds: float) -> list[str]:
        """The tests to try on a fault, most telling first, as many as fit the time.

        First those that run the lines, the narrowest first: a test that runs through few files is about
        them. Then the other tests of their files, which may see the fault through a fixture or a remembered
        result that another test asked for first. For lines that run at import only, the tests that run
        anything of the file stand in.
        """
        lines = self.lines.get(file, {})
        direct = set().union(*(lines.get(line, set()) for line in range(first_line, last_line + 1)))
        direct = direct or set().union(*lines.values())
        files = {_file(test) for test in direct}
        near = {test for test in self.seconds if _file(test) in files}
        ordered = sorted(
            near,
            key=lambda test: (
                test not in direct,
                self.widths[test],
                self.seconds[test],
                test,
            ),
        )
        return list(_fitting(ordered, self.seconds, within_seconds))


def measured(arguments: list[str], root: Path) -> Reach:
    """Run the tests once and note who runs what."""
    watched = coverage.Coverage(
        data_file=None, include=[f"{root / 'src'}/*"], branch=False, config_file=False
    )
    listener = _Listener(watched)
    watched.start()
    pytest.main([*arguments, "-q"], plugins=[listener])
    watched.stop()
    data = watched.get_data()
    reach = Reach(
        seconds={test: took for test, took in listener.seconds.items() if test not in listener.failed}
    )
    for name in data.measured_files():
        reach.lines[Path(name)] = {
            line: ran
            for line, contexts in data.contexts_by_lineno(name).items()
            if (ran := {context for context in contexts if context in reach.seconds})
        }
        reach.widths.update(set().union(*reach.lines[Path(name)].values()))
    return reach


def keep(kept: Path, arguments: list[str], root: Path) -> None:
    """Measure and write down."""
    kept.write_bytes(pickle.dumps(measured(arguments, root)))


@cache
def remembered(kept: Path) -> Reach:
    """As it was written down."""
    found = pickle.loads(kept.read_bytes())
    assert isinstance(found, Reach)
    return found


class _Listener:
    def __init__(self, watched: coverage.Coverage) -> None:
        self.watched = watched
        self.seconds: dict[str, float] = defaultdict(float)
        self.failed: set[str] = set()

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.watched.switch_context(item.nodeid)
        began = time.process_time()
        yield
        self.seconds[item.nodeid] += time.process_time() - began
        self.watched.switch_context("")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self.failed.add(report.nodeid)


def _file(test: str) -> str:
    return test.partition("::")[0]


def _fitting(tests: Iterable[str], seconds: dict[str, float], within_seconds: float) -> Iterator[str]:
    for test in tests:
        within_seconds -= seconds[test]
        if within_seconds < 0:
            return
        yield test

"""Work on places in other processes: of this machine, or of any executor that is handed in.

Every task carries all that it needs, so that an executor only has to run a module's function: a process
pool, or that of a cluster whose machines see the survey's folder. Results are the same bit for bit. Who works
for an executor makes sure first of running the same code on the same files, or ends with an error.
"""

from __future__ import annotations

import datetime as dt
import multiprocessing
import os
import pickle
import pkgutil
import socket
import threading
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from typing import Any, TypeVar
from uuid import uuid4

import stillwall.hazards
from stillwall.case import Case, Stay
from stillwall.draws import Draws
from stillwall.errors import Fault, InputError
from stillwall.hazards import loads
from stillwall.judgement.measures import Directions
from stillwall.judgement.verdict import Judged, judge
from stillwall.opened import OpenSurvey
from stillwall.reference.library import load_library
from stillwall.sites import Sites, last_reading
from stillwall.store import code_digest
from stillwall.survey.survey import Survey

Memory = Mapping[Hashable, Any]
Task = TypeVar("Task")
Made = TypeVar("Made")
ANY_DAY = dt.date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class Exposed:
    """What the readings of a place gave."""

    place: str
    memory: Memory
    problem: str


@dataclass(frozen=True, slots=True)
class JudgedAt:
    """Works judged at a place, in the order asked, and what had to be computed for it."""

    place: str
    judged: tuple[Judged, ...]
    memory: Memory


def in_brief(case: Case, directions: Directions | None = None) -> Judged:
    """The verdict on a case with the load that governs alone: thousands of all loads fill the memory."""
    case = case.in_brief()
    judged = judge(case, loads(case), only_verdict=True, directions=directions)
    governing = tuple(load for load in judged.loads if load.hazard == judged.governing)
    return replace(judged, loads=governing, loads_with_measures=governing)


def in_full(case: Case, directions: Directions | None = None) -> Judged:
    """Everything that is said of a case."""
    return judge(case, loads(case), directions=directions)


class Processes:
    """Where a survey's places are worked on.

    Parameters
    ----------
    opened
        The survey; its log files must be readable from every process.
    jobs
        Processes to start on this machine.
    executor
        Used instead of processes of this machine, and left running.
    """

    def __init__(self, opened: OpenSurvey, jobs: int, executor: Executor | None = None) -> None:
        self._opened = opened
        self._jobs = jobs
        self._executor = executor

    def expose(self, wanted: Mapping[str, Sequence[str]], *, measures: bool) -> Iterator[Exposed]:
        """All exposures that works need of places, under measures too if asked: works by place."""
        setup = self._setup({})
        tasks = [_ToExpose(setup, place, tuple(works), measures) for place, works in wanted.items()]
        return self._each(_expose, tasks)

    def judge(self, asked: Mapping[str, Sequence[tuple[str, Stay]]], *, brief: bool) -> Iterator[JudgedAt]:
        """Works with their stays judged, by id of place; ``brief``: the verdict and what governs alone."""
        opened = self._opened
        lived = {
            site.place.id: dict(site.memory)
            for work in {work for pairs in asked.values() for work, _ in pairs}
            if (site := opened.sites.history(opened.survey.works[work])) is not None
        }
        setup = self._setup(lived)
        tasks = [
            _ToJudge(setup, place, tuple(pairs), dict(opened.site(place).memory), brief)
            for place, pairs in asked.items()
        ]
        return self._each(_judge, tasks)

    def _setup(self, lived: Mapping[str, Memory]) -> _Setup:
        opened = self._opened
        survey, draws = opened.survey, Draws(opened.draws.seed, opened.draws.count)
        if self._executor is None:
            return _Setup.of((survey, draws, opened.system, lived))
        survey = replace(survey, folder=survey.folder.resolve())
        return _Setup.of((survey, draws, opened.system, lived), code_digest(), _sizes(survey))

    def _each(self, run: Callable[[Task], Made], tasks: list[Task]) -> Iterator[Made]:
        """Results in the order of the tasks; what processes could not be started for is done here."""
        done = 0
        try:
            with self._pool() as pool:
                for future in [pool.submit(run, task) for task in tasks]:
                    yield future.result()
                    done += 1
        except BrokenProcessPool:
            for task in tasks[done:]:
                yield run(task)

    def _pool(self) -> AbstractContextManager[Executor]:
        if self._executor is not None:
            return nullcontext(self._executor)
        context = multiprocessing.get_context("spawn" if os.name == "nt" else "forkserver")
        if os.name != "nt":
            context.set_forkserver_preload(_loaded_ahead())
        return ProcessPoolExecutor(self._jobs, context)


def _loaded_ahead() -> list[str]:
    """Modules that work on places needs, loaded once for all processes of this machine."""
    found = pkgutil.iter_modules(stillwall.hazards.__path__, "stillwall.hazards.")
    return [__name__, *(module.name for module in found), "scipy.special"]


Sizes = tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class _Setup:
    """A survey with what works need of the places where they have been living, packed once for all tasks.

    ``asked`` is of one asking alone: a worker that outlives it keeps nothing for the next, whose files may
    be others. ``code`` and ``sizes`` are what another machine has to have too; empty for this machine's.
    """

    asked: str
    content: bytes
    code: str
    sizes: Sizes

    @classmethod
    def of(cls, packed: tuple[Any, ...], code: str = "", sizes: Sizes = ()) -> _Setup:
        return cls(uuid4().hex, pickle.dumps(packed), code, sizes)


def _sizes(survey: Survey) -> Sizes:
    """The log files of a survey with their sizes; -1 where there is none."""
    sites = Sites(survey)
    histories = [site.place for work in survey.works.values() if (site := sites.history(work)) is not None]
    files = sorted(
        {file for place in (*survey.places.values(), *histories) for file in sites.log_files(place)}
    )
    return tuple((str(file), file.stat().st_size if file.is_file() else -1) for file in files)


def _check(setup: _Setup, survey: Survey) -> None:
    """InputError where this process does not run the code, or see the files, of the one that asks."""
    if not setup.code:
        return
    here = f"worker {os.getpid()} on {socket.gethostname()}"
    if setup.code != code_digest():
        fix = "install the same stillwall and the same libraries wherever work is done"
        raise InputError(Fault(here, "another version of this package", "the same version", fix))
    for (file, size), (_, found) in zip(setup.sizes, _sizes(survey), strict=True):
        if size != found:
            seen = "no such file" if found < 0 else f"{found} bytes"
            fix = "let every worker see the survey's folder under the same path"
            raise InputError(Fault(f"{here}: {file}", seen, f"the file of {size} bytes", fix))


@dataclass(frozen=True, slots=True)
class _Opened:
    """A survey as it is open in a process."""

    survey: OpenSurvey
    lived: frozenset[str]
    directions: Directions


_OPENED: dict[str, _Opened] = {}
_ONE_AT_A_TIME = threading.Lock()
"""Workers of a cluster may have threads, which share what is open."""


def _opened(setup: _Setup) -> _Opened:
    """The survey of a setup, opened once in each process."""
    if setup.asked not in _OPENED:
        survey, draws, system, lived = pickle.loads(setup.content)  # packed by the process that asks
        _check(setup, survey)
        opened = OpenSurvey(survey, load_library(), draws, system, Sites(survey))
        for work in survey.works.values():
            site = opened.sites.history(work)
            if site is not None:
                site.memory.update(lived.get(site.place.id, {}))
        _OPENED.clear()
        _OPENED[setup.asked] = _Opened(opened, frozenset(lived), {})
    return _OPENED[setup.asked]


@dataclass(frozen=True, slots=True)
class _ToExpose:
    setup: _Setup
    place: str
    works: tuple[str, ...]
    measures: bool


def _expose(task: _ToExpose) -> Exposed:
    with _ONE_AT_A_TIME:
        return _exposed(task)


def _exposed(task: _ToExpose) -> Exposed:
    survey, name = _opened(task.setup).survey, task.place
    place, site = survey.place(name), survey.site(name)
    end = site.exposure(last_reading)
    stay = Stay(ANY_DAY if end is None else end.astype("datetime64[D]").item())
    for work in map(survey.work, task.works):
        case = survey.case(work, place, stay)
        if work.now_at != name:
            case = replace(case, present=None)
        found = loads(case)
        if task.measures:
            judge(case, found, only_verdict=True)
    made = Exposed(name, dict(site.memory), survey.sites.problems.get(name, ""))
    survey.sites.forget(place)
    return made


@dataclass(frozen=True, slots=True)
class _ToJudge:
    setup: _Setup
    place: str
    pairs: tuple[tuple[str, Stay], ...]
    memory: Memory
    brief: bool


def _judge(task: _ToJudge) -> JudgedAt:
    with _ONE_AT_A_TIME:
        return _judged(task)


def _judged(task: _ToJudge) -> JudgedAt:
    opened, name = _opened(task.setup), task.place
    survey = opened.survey
    place, site = survey.place(name), survey.site(name)
    site.memory.update(task.memory)
    how = in_brief if task.brief else in_full
    judged = tuple(
        how(survey.case(survey.work(work), place, stay), opened.directions) for work, stay in task.pairs
    )
    made = {key: value for key, value in site.memory.items() if key not in task.memory}
    if name not in opened.lived:
        survey.sites.forget(place)
    return JudgedAt(name, judged, made)

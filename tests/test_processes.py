"""Verdicts are the same digit for digit in this process, in others, on an executor handed in, and one by one."""

from __future__ import annotations

import json
import os
import re
import shutil
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

import stillwall
from stillwall.documents import rank_document
from stillwall.errors import InputError
from stillwall.hazards import loads
from stillwall.judgement.verdict import judge
from tests.bench.made_estate import write_estate


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("estate")
    write_estate(made, walls=4, works=3, step_s=3600, days=40)
    return made


def told(matrix):
    return {
        pair: (
            cell.judged.verdict,
            cell.judged.governing,
            cell.judged.worst,
            cell.judged.chance_any,
            cell.judged.barred,
            cell.judged.blocked,
            cell.judged.cautions,
            tuple(None if load.draws is None else load.draws.tobytes() for load in cell.judged.loads),
        )
        for pair, cell in matrix.cells.items()
    }


@pytest.fixture(scope="module")
def alone(folder):
    return told(stillwall.open_survey(folder, remember=False, jobs=1).matrix())


def test_a_matrix_is_the_same_in_other_processes(folder, alone):
    assert told(stillwall.open_survey(folder, remember=False, jobs=2).matrix()) == alone


def ranking(folder, **how):
    opened = stillwall.open_survey(folder, remember=False, **how)
    return json.dumps(rank_document(opened.rank(work="work-0")))


def test_a_ranking_is_the_same_in_other_processes_and_on_an_executor(folder):
    alone = ranking(folder, jobs=1)
    assert ranking(folder, jobs=2) == alone
    with ThreadPoolExecutor(1) as executor:
        assert ranking(folder, executor=executor) == alone


def test_a_matrix_is_the_same_on_an_executor_that_is_handed_in(folder, alone):
    with ThreadPoolExecutor(1) as executor:
        opened = stillwall.open_survey(folder, remember=False, executor=executor)
        assert told(opened.matrix()) == alone
        assert executor.submit(int, "7").result() == 7, "an executor that was handed in keeps running"


class Elsewhere(ThreadPoolExecutor):
    """An executor whose worker is another than the one that asks: something is different before it works."""

    def __init__(self, change):
        super().__init__(1)
        self.change = change

    def submit(self, run, task):
        return super().submit(run, self.change(task))


def test_a_worker_of_another_version_is_an_error(folder):
    def older(task):
        return replace(task, setup=replace(task.setup, code="0" * 64))

    with Elsewhere(older) as executor, pytest.raises(InputError, match=r"another version.*install the same"):
        stillwall.open_survey(folder, remember=False, executor=executor).matrix()


@pytest.mark.parametrize(("rest", "seen"), [(None, "no such file"), (1000, "1000 bytes")])
def test_a_worker_that_sees_other_files_is_an_error(folder, tmp_path, rest, seen):
    house = tmp_path / "house"
    shutil.copytree(folder, house)
    log = house / "logs" / "wall-002.csv"

    def away(task):
        if rest is None:
            log.unlink(missing_ok=True)
        elif log.stat().st_size > rest:
            log.write_bytes(log.read_bytes()[:rest])
        return task

    told = rf"worker .*wall-002\.csv: {seen}; expected the file of \d+ bytes; to fix: let every worker"
    with Elsewhere(away) as executor, pytest.raises(InputError, match=told):
        stillwall.open_survey(house, remember=False, executor=executor).matrix()


def test_a_worker_that_outlives_an_asking_keeps_nothing_of_its_files(folder, tmp_path):
    house = tmp_path / "house"
    shutil.copytree(folder, house)

    def drawn(**how):
        ranking = stillwall.open_survey(house, remember=False, **how).rank(work="work-0")
        return {
            name: [load.draws.tobytes() for load in placed.judged.loads if load.draws is not None]
            for name, placed in ranking.by_place.items()
        }

    with ThreadPoolExecutor(1) as executor:
        first = drawn(executor=executor)
        for log in (house / "logs").iterdir():
            about = log.stat()
            log.write_bytes(re.sub(rb"(?m),\d\d(\.\d,\d+)$", rb",97\1", log.read_bytes()))
            os.utime(log, ns=(about.st_atime_ns, about.st_mtime_ns))
            assert log.stat().st_size == about.st_size
        second = drawn(executor=executor)
    assert second == drawn(jobs=1)
    assert second != first


def test_a_relative_folder_is_found_by_workers_that_stand_elsewhere(folder, alone, monkeypatch):
    monkeypatch.chdir(folder.parent)

    def at_root(task):
        monkeypatch.chdir("/")
        return task

    with Elsewhere(at_root) as executor:
        assert told(stillwall.open_survey(folder.name, remember=False, executor=executor).matrix()) == alone


def test_a_cell_says_what_judging_it_in_full_says(folder, alone):
    opened = stillwall.open_survey(folder, remember=False, jobs=1)
    for (work, wall), (verdict, governing, worst, chance, barred, *_) in alone.items():
        subject = opened.work(work)
        case = opened.case(subject, opened.place(wall), opened.stay(subject, None, None))
        full = judge(case, loads(case))
        assert (full.verdict, full.governing, full.worst) == (verdict, governing, worst)
        assert (full.chance_any, full.barred) == (chance, barred)

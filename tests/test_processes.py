"""Verdicts are the same digit for digit in this process, in others, on an executor handed in, and one by one."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

import stillwall
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


def test_a_matrix_is_the_same_on_an_executor_that_is_handed_in(folder, alone):
    with ThreadPoolExecutor(1) as executor:
        opened = stillwall.open_survey(folder, remember=False, executor=executor)
        assert told(opened.matrix()) == alone
        assert executor.submit(int, "7").result() == 7, "an executor that was handed in keeps running"


def test_a_cell_says_what_judging_it_in_full_says(folder, alone):
    opened = stillwall.open_survey(folder, remember=False, jobs=1)
    for (work, wall), (verdict, governing, worst, chance, barred, *_) in alone.items():
        subject = opened.work(work)
        case = opened.case(subject, opened.place(wall), opened.stay(subject, None, None))
        full = judge(case, loads(case))
        assert (full.verdict, full.governing, full.worst) == (verdict, governing, worst)
        assert (full.chance_any, full.barred) == (chance, barred)

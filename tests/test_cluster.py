"""Answers of a cluster of two workers on this machine are those of this machine's own processes, byte for byte."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

import stillwall
from stillwall.cluster import workers_of
from stillwall.documents import matrix_document, rank_document
from stillwall.errors import InputError
from tests.bench.made_estate import write_estate

ROOT = Path(__file__).parents[1]
WORK = "work-0"
PATIENCE_S = 240
LOCAL = ("--host", "127.0.0.1", "--no-dashboard")
WORKER = ("worker", *LOCAL, "--nthreads", "1", "--no-nanny", "--memory-limit", "0")

pytestmark = pytest.mark.skipif(
    os.environ.get("STILLWALL_NO_SOCKETS") == "1",
    reason="a cluster is a network, and this run is without one",
)


def surroundings() -> dict[str, str]:
    paths = [str(ROOT / "src"), str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
    return {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(paths),
        "DASK_DISTRIBUTED__LOGGING__DISTRIBUTED": "error",
    }


def ended(*arguments: object, code: int = 0) -> subprocess.CompletedProcess[str]:
    """A process of Python in which warnings are errors, once it has ended."""
    made = subprocess.run(
        [sys.executable, "-W", "error", *map(str, arguments)],
        env=surroundings(),
        capture_output=True,
        encoding="utf-8",
        timeout=PATIENCE_S,
        check=False,
    )
    assert made.returncode == code, made.stderr
    return made


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("estate")
    write_estate(made, walls=5, works=3, step_s=3600, days=40)
    return made


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """A scheduler with two workers, each a process of its own."""
    made = tmp_path_factory.mktemp("cluster")
    told, running = made / "scheduler.json", []
    until = time.monotonic() + PATIENCE_S
    with (made / "log").open("wb") as log:

        def start(*arguments: object) -> None:
            command = [sys.executable, "-m", "dask", *map(str, arguments)]
            running.append(
                subprocess.Popen(command, cwd=made, env=surroundings(), stdout=log, stderr=subprocess.STDOUT)
            )

        try:
            start("scheduler", *LOCAL, "--port", "0", "--scheduler-file", told)
            for _ in range(2):
                start(*WORKER, "--scheduler-file", told)
            while not (told.exists() and told.read_text("utf-8").rstrip().endswith("}")):
                assert running[0].poll() is None, (made / "log").read_text("utf-8")
                assert time.monotonic() < until, (made / "log").read_text("utf-8")
                time.sleep(0.05)
            found = json.loads(told.read_text("utf-8"))["address"]
            waiting = (
                "import sys; from distributed import Client; Client(sys.argv[1]).wait_for_workers(2, 200)"
            )
            ended("-c", waiting, found)
            yield found
        finally:
            for process in reversed(running):
                process.kill()
                process.wait()


def told(matrix) -> dict[str, list[str]]:
    """The draws of the loads of each cell, digit for digit."""
    return {
        f"{work} at {wall}": [
            load.draws.tobytes().hex() for load in cell.judged.loads if load.draws is not None
        ]
        for (work, wall), cell in matrix.cells.items()
    }


def answers(folder: str | Path, **how: object) -> str:
    """A matrix, its draws, and a ranking, nothing of which was kept."""
    matrix = stillwall.open_survey(folder, remember=False, **how).matrix()
    ranking = stillwall.open_survey(folder, remember=False, **how).rank(work=WORK)
    return json.dumps([matrix_document(matrix), told(matrix), rank_document(ranking)])


def answers_on(address: str, folder: str) -> None:
    with workers_of(address) as executor:
        sys.stdout.write(answers(folder, executor=executor))


@pytest.fixture(scope="module")
def alone(folder):
    return answers(folder, jobs=1)


def test_two_workers_say_what_one_process_says(folder, address, alone):
    program = "import sys; from tests.test_cluster import answers_on; answers_on(*sys.argv[1:])"
    assert ended("-c", program, address, folder).stdout == alone


def test_two_processes_say_what_one_says(folder, alone):
    assert answers(folder, jobs=2) == alone


def test_both_workers_have_worked(address, folder):
    """Each of them has this package loaded, as only a task of it makes them do."""
    program = (
        "import sys\n"
        "from distributed import Client\n"
        "def loaded(): import sys; return len(sys.modules['stillwall.processes']._OPENED)\n"
        "with Client(sys.argv[1]) as client: print(sorted(client.run(loaded).values()))\n"
    )
    assert ended("-c", program, address).stdout == "[1, 1]\n"


def test_the_command_takes_the_address(folder, address, alone):
    command = ("rank", folder, "--work", WORK, "--json", "--scheduler", address)
    document = json.loads(ended("-m", "stillwall", *command).stdout)
    assert document == json.loads(alone)[2]


@pytest.mark.parametrize(
    "wrong", ["nonsense", "", "127.0.0.1", "http://127.0.0.1:80", "tcp://127.0.0.1:port"]
)
def test_what_is_no_address_is_said_to_be_none(wrong):
    with pytest.raises(InputError, match=r"not an address.*dask scheduler"), workers_of(wrong):
        pass


def test_a_silent_address_is_told_with_what_to_do(folder):
    program = (
        "import sys, stillwall.cluster\n"
        "stillwall.cluster.WAIT_S = 1\n"
        "from stillwall.cli import main\n"
        "main()\n"
    )
    command = ("rank", folder, "--work", WORK, "--scheduler", "tcp://127.0.0.1:9")
    told = ended("-c", program, *command, code=1).stderr
    assert "no scheduler answers" in told
    assert "to fix: start one with `dask scheduler`" in told


def test_without_the_extra_it_is_named(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with (
        pytest.raises(InputError, match=r"pip install 'stillwall\[cluster\]'"),
        workers_of("tcp://127.0.0.1:9"),
    ):
        pass

"""Nothing reaches out: every command on the demo in processes that raise where they would use a network."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
DEMO = HERE.parents[1] / "sample_logs"
WORK = "portrait-of-the-seedsman"


def blocked(*arguments: object, folder: Path) -> subprocess.CompletedProcess[str]:
    paths = [str(HERE / "no_sockets"), *filter(None, [os.environ.get("PYTHONPATH")])]
    return subprocess.run(
        [sys.executable, *map(str, arguments)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("offline")
    shutil.copytree(DEMO, made / "larkmoor", ignore=shutil.ignore_patterns(".stillwall"))
    return made


@pytest.mark.parametrize(
    "reaching",
    [
        "import socket; socket.create_connection(('127.0.0.1', 9), timeout=1)",
        "import socket; socket.getaddrinfo('localhost', 80)",
        "import _socket; _socket.socket().connect(('127.0.0.1', 9))",
        "import urllib.request; urllib.request.urlopen('http://127.0.0.1:9/')",
        "import socket; socket.socket(type=socket.SOCK_DGRAM).sendto(b'', ('127.0.0.1', 9))",
    ],
)
def test_the_block_blocks(tmp_path, reaching):
    ended = blocked("-c", reaching, folder=tmp_path)
    assert ended.returncode == 1
    assert "network used" in ended.stderr


def test_processes_of_this_machine_still_reach_each_other(tmp_path):
    ended = blocked(
        "-c", "import socket; one, other = socket.socketpair(); one.sendmsg([b'x'])", folder=tmp_path
    )
    assert (ended.returncode, ended.stderr) == (0, "")


@pytest.mark.parametrize(
    ("arguments", "codes"),
    [
        (("start", "new"), {0}),
        (("check", "larkmoor", "--json"), {0}),
        (("rank", "larkmoor", "--work", WORK, "--json", "--jobs", "2"), {0}),
        (("report", "larkmoor", "--pdf", "--out", "report.html"), {0}),
        (("season", "larkmoor", "--json", "--page", "season.html"), {0, 3}),
        (("moves", "larkmoor", "--json"), {0}),
        (("sources", "--json"), {0}),
    ],
    ids=lambda told: told[0] if isinstance(told, tuple) else "",
)
def test_commands_need_no_network(folder, arguments, codes):
    ended = blocked("-m", "stillwall", *arguments, folder=folder)
    assert ended.returncode in codes, ended.stderr
    assert "network used" not in ended.stderr
    if arguments[0] == "report":
        assert (folder / "report.pdf").read_bytes().startswith(b"%PDF")

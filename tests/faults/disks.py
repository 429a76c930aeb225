"""Disks that are full, and folders that cannot be written."""

from __future__ import annotations

import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random

from stillwall.errors import InputError
from stillwall.store import write_whole
from tests.faults.commands import WORK, fork, ranked, stillwall
from tests.faults.house import SURVEY, build
from tests.faults.rows import SEED, Tried, row


@contextmanager
def small_disk(folder: Path, kib: int) -> Iterator[bool]:
    """A disk of so many KiB at a folder; False where this machine does not let us make one."""
    folder.mkdir(exist_ok=True)
    made = ["mount", "-t", "tmpfs", "-o", f"size={kib}k", "stillwall-test", str(folder)]
    mounted = (
        shutil.which("mount") is not None
        and not subprocess.run(made, capture_output=True, check=False).returncode
    )
    try:
        yield mounted
    finally:
        if mounted:
            subprocess.run(["umount", str(folder)], check=True)


def _write(target: Path, size: int, most: int | None) -> int:
    """Number of the error on writing a file in a process, 0 for none; ``most`` bytes may be written."""

    def run() -> None:
        if most is not None:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
        try:
            write_whole(target, b"n" * size)
        except InputError as error:
            sys.exit(error.__cause__.errno)

    return fork(run).ended().code


@row("disk full while a file is written", 200, 5)
def disk_full(folder: Path, tries: int) -> Tried:
    draw, losses = Random(SEED), 0
    with small_disk(folder / "disk", 64) as mounted:
        for _ in range(tries):
            target = folder / "disk" / "answer.json"
            old = b"o" * draw.randrange(100, 20_000)
            target.write_bytes(old)
            size = draw.randrange(64_000, 300_000)
            code = _write(target, size, None if mounted else draw.randrange(0, 60_000))
            told = code == (errno.ENOSPC if mounted else errno.EFBIG)
            losses += not told or target.read_bytes() != old or list(target.parent.iterdir()) != [target]
    return Tried(tries, losses, "on a disk of 64 KiB" if mounted else "by a limit on the size of files")


@row("disk full while results are kept", 12, 1)
def disk_full_store(folder: Path, tries: int) -> Tried:
    losses = 0
    house = build(folder / "house")
    right = ranked(house).stdout
    for kib in (4, 8, 12, 16, 24, 32, 40, 48, 64, 80, 96, 128)[-tries:]:
        shutil.rmtree(house / ".stillwall", ignore_errors=True)
        with small_disk(house / ".stillwall", kib):
            for _ in range(2):
                ended = ranked(house)
                losses += (ended.code, ended.stdout) != (0, right)
        losses += ranked(house).stdout != right
    return Tried(tries, losses)


@row("a folder that cannot be written", 7, 7)
def read_only(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    right = ranked(house).stdout
    shutil.rmtree(house / ".stillwall")
    losses = int(not right)
    # The survey's folder: nothing is kept, and nobody is the worse for it.
    with small_disk(folder / "disk", 4096) as mounted:
        (folder / "disk").mkdir(exist_ok=True)
        shutil.copytree(house, folder / "disk" / "house")
        if mounted:
            subprocess.run(["mount", "-o", "remount,ro", str(folder / "disk")], check=True)
        else:
            (folder / "disk" / "house").chmod(0o555)
            (folder / "disk").chmod(0o555)
        ended = ranked(folder / "disk" / "house")
        losses += (ended.code, ended.stdout) != (0, right)
        if mounted or os.geteuid() != 0:  # to the superuser of an ordinary disk no folder is closed
            target = folder / "disk" / "answer.json"
            losses += not stillwall("rank", house, "--work", WORK, "--out", target).refused
        if not mounted:
            (folder / "disk").chmod(0o755)
            (folder / "disk" / "house").chmod(0o755)
    shutil.rmtree(house / ".stillwall")
    (house / ".stillwall").write_text("a file where the folder would be")
    ended = ranked(house)
    losses += (ended.code, ended.stdout) != (0, right)
    # The place of --out: told with what to do, and nothing is made.
    for target in (house / "survey.toml" / "answer.json", Path("/proc/answer.json"), house):
        losses += not stillwall("rank", house, "--work", WORK, "--out", target).refused
    losses += (house / "survey.toml").read_text("utf-8") != SURVEY
    return Tried(tries, losses)

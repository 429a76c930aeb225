"""What is kept between runs: never stale, never in the way, and a new file costs only what rests on it."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import stillwall
from stillwall import sites, store
from stillwall.errors import InputError
from stillwall.logs import place
from stillwall.sites import FOLDER, zone_rules
from stillwall.store import Store, write_whole
from tests.faults.house import LOGS, SURVEY, build, readings

WORK = "lime-avenue"


@pytest.fixture
def house(tmp_path):
    return build(tmp_path / "house")


@pytest.fixture
def read(monkeypatch):
    """Names of the logs that are read from disk, in order."""
    names = []
    true = place.read_log

    def counting(path, **told):
        names.append(Path(path).stem)
        return true(path, **told)

    monkeypatch.setattr(place, "read_log", counting)
    return names


def answer(house: Path, *, remember: bool = True, jobs: int = 1, work: str = WORK):
    """Every load of a work at every wall, to the last bit of every draw."""
    place._kept.clear()
    opened = stillwall.open_survey(house, jobs=jobs, remember=remember)
    ranking = opened.rank(work=work)
    return {
        (wall, load.hazard): (
            None if load.draws is None else load.draws.tobytes(),
            load.reason,
            load.evidence,
        )
        for wall, placed in ranking.by_place.items()
        for load in placed.judged.loads
    }


def test_with_and_without_what_is_kept_and_in_one_or_two_processes_nothing_differs(house, read):
    fresh = answer(house, remember=False)
    assert answer(house) == fresh
    assert sorted(set(read)) == sorted(LOGS)
    read.clear()
    assert answer(house) == fresh
    assert read == [], "everything is kept, so nothing is read"
    shutil.rmtree(house / FOLDER)
    assert answer(house, jobs=2) == fresh
    assert answer(house, jobs=2) == fresh


def test_a_new_month_of_one_wall_costs_that_wall_alone(house, read):
    answer(house)
    log = house / "logs/north.csv"
    log.write_text(readings("north", 70), encoding="utf-8", newline="")
    read.clear()
    later = answer(house)
    assert "north" in read
    assert "south" not in read, "the day to judge from has moved, and yet the other wall is not read again"
    assert later == answer(house, remember=False)


@pytest.mark.parametrize("log", LOGS)
def test_content_that_changed_under_the_same_size_and_time_is_seen(house, log):
    before = answer(house)
    path = house / "logs" / f"{log}.csv"
    about = path.stat()
    text = path.read_text("utf-8")
    changed = text.replace(",5", ",6") if log != "outdoor" else text.replace(",1", ",2")
    path.write_text(changed, encoding="utf-8", newline="")
    os.utime(path, ns=(about.st_atime_ns, about.st_mtime_ns))
    assert (path.stat().st_size, path.stat().st_mtime_ns) == (about.st_size, about.st_mtime_ns)
    assert answer(house) == answer(house, remember=False)
    path.write_text(text, encoding="utf-8", newline="")
    assert answer(house) == before


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('timezone = "Europe/Dublin"', 'timezone = "America/Denver"'),
        ("latitude = 53.2", "latitude = -33.0"),
        ('outdoor_logs = ["logs/outdoor.csv"]', ""),
        ('logs = ["logs/hall.csv"]', ""),
        ('logs = ["logs/north.csv"]', 'logs = ["logs/south.csv"]'),
        ('logs = ["logs/south.csv"]', 'logs = [{ file = "logs/south.csv", offset = "1.5 K" }]'),
        ("seed = 3", "seed = 4"),
        *[
            (
                'kind = "paper"\nmedium = "watercolour"\n',
                f'kind = "paper"\nmedium = "watercolour"\n\n[logger."{log}.csv"]\naccuracy = {{ temperature = "3 K" }}\n',
            )
            for log in LOGS
        ],
    ],
)
def test_what_the_survey_says_of_logs_is_part_of_the_key(house, old, new):
    before = answer(house)
    assert old in SURVEY
    (house / "survey.toml").write_text(SURVEY.replace(old, new), encoding="utf-8", newline="")
    kept, fresh = answer(house), answer(house, remember=False)
    assert kept == fresh
    if "accuracy" not in new:
        assert kept != before, "the change is one that matters"
    (house / "survey.toml").write_text(SURVEY, encoding="utf-8", newline="")
    assert answer(house) == before


def test_other_code_or_another_edition_of_time_zones_uses_nothing_of_before(house, read, monkeypatch):
    answer(house)
    for name, other in (("code_digest", lambda: "other"), ("zone_rules", lambda zone: "other")):
        read.clear()
        with monkeypatch.context() as changed:
            changed.setattr(sites, name, other)
            answer(house)
        assert sorted(set(read)) == sorted(LOGS), name
        answer(house)


def test_the_code_digest_covers_every_file_of_the_package(tmp_path, monkeypatch):
    root = tmp_path / "stillwall"
    shutil.copytree(Path(stillwall.__file__).parent, root, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(store, "files", lambda name: root)
    digests = set()
    some = ("exposure/dose.py", "setting/lighting.py", "sites.py", "logs/join.py", "data/hazards/mould.toml")
    for file in (None, *some):
        if file is not None:
            (root / file).write_text((root / file).read_text("utf-8") + "\n", encoding="utf-8")
        digests.add(store.code_digest.__wrapped__())
    assert len(digests) == 1 + len(some)


def test_zone_rules_differ_by_zone_and_are_known_for_every_zone_that_can_be_named():
    assert zone_rules(None) == ""
    assert len({zone_rules("Europe/Dublin"), zone_rules("America/Denver"), zone_rules("Asia/Tokyo")}) == 3


def test_a_log_that_is_written_while_it_is_read_is_not_kept(house, monkeypatch):
    true = place.read_log

    def growing(path, **told):
        made = true(path, **told)
        if Path(path).stem == "north":
            Path(path).write_text(readings("north", 70), encoding="utf-8", newline="")
        return made

    with monkeypatch.context() as changed:
        changed.setattr(place, "read_log", growing)
        answer(house)
    assert answer(house) == answer(house, remember=False)


@pytest.mark.parametrize("damage", ["cut", "flipped", "empty", "text", "folder", "gone"])
def test_damage_to_what_is_kept_is_only_lost_time(house, damage):
    fresh = answer(house)
    for entry in sorted((house / FOLDER).glob("*.arrow")):
        content = bytearray(entry.read_bytes())
        entry.unlink()
        if damage == "cut":
            entry.write_bytes(content[: len(content) // 2])
        elif damage == "flipped":
            content[len(content) // 2] ^= 16
            entry.write_bytes(content)
        elif damage == "empty":
            entry.write_bytes(b"")
        elif damage == "text":
            entry.write_text("not what was kept")
        elif damage == "folder":
            entry.mkdir()
    assert answer(house) == fresh
    assert answer(house) == fresh


def test_deleted_while_running_it_is_made_again(house):
    opened = stillwall.open_survey(house, jobs=1)
    opened.rank(work=WORK)
    shutil.rmtree(house / FOLDER)
    opened.rank(work="herbarium-sheet")
    fresh = answer(house, remember=False, work="herbarium-sheet")
    assert answer(house, work="herbarium-sheet") == fresh


def test_where_nothing_can_be_kept_answers_are_the_same(house, monkeypatch):
    fresh = answer(house, remember=False)
    (house / FOLDER).write_text("a file where the folder would be")
    assert answer(house) == fresh
    (house / FOLDER).unlink()

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as changed:
        changed.setattr(store.os, "fsync", full)
        assert answer(house) == fresh
    assert list((house / FOLDER).iterdir()) == []


@pytest.mark.parametrize("years", [-30, 30])
def test_times_of_files_and_the_clock_of_the_machine_do_not_matter(house, monkeypatch, years):
    fresh = answer(house)
    shift = years * 365 * 86_400
    for file in house.rglob("*"):
        os.utime(file, (file.stat().st_atime + shift, file.stat().st_mtime + shift))
    now = store.os.stat(house).st_mtime
    monkeypatch.setattr("time.time", lambda: now + 2 * shift)
    assert answer(house) == fresh
    (house / "logs/north.csv").write_text(readings("north", warmer_c=2.0), encoding="utf-8", newline="")
    assert answer(house) == answer(house, remember=False) != fresh


def test_processes_that_keep_at_once_do_each_other_no_harm(house):
    fresh = answer(house, remember=False)
    program = "import sys, stillwall\nstillwall.open_survey(sys.argv[1], jobs=1).rank(work=sys.argv[2])\n"
    running = [
        subprocess.Popen([sys.executable, "-c", program, str(house), work])
        for work in (WORK, "herbarium-sheet", WORK)
    ]
    assert [process.wait(120) for process in running] == [0, 0, 0]
    assert answer(house) == fresh
    assert list((house / FOLDER).glob(".*.part")) == []


def test_a_new_key_replaces_the_old_and_half_files_of_the_dead_are_cleared(tmp_path):
    kept = Store(tmp_path / FOLDER)
    kept.save("hall", "a" * 64, {("f", 1): 1.0})
    dead = kept.folder / f".{store._safe('hall')}-aaaa.part"
    dead.write_bytes(b"half")
    kept.save("hall", "b" * 64, {("f", 1): 2.0, ("g",): object()})
    kept.save("stair", "a" * 64, {("f", 1): np.arange(3)})
    assert kept.load("hall", "a" * 64) == {}
    assert kept.load("hall", "b" * 64) == {("f", 1): 2.0}
    assert kept.load("stair", "a" * 64)["f", 1].tolist() == [0, 1, 2]
    assert {path.name for path in kept.folder.iterdir() if path.suffix != ".arrow"} == {".gitignore"}
    assert (kept.folder / ".gitignore").read_text() == "*\n"


def test_a_half_file_that_is_being_written_is_left_to_its_writer(tmp_path):
    handle, name = store._open_part(tmp_path, ".report.html.")
    try:
        write_whole(tmp_path / "report.html", b"whole")
        assert Path(name).exists()
    finally:
        os.close(handle)
    write_whole(tmp_path / "report.html", b"again")
    assert [path.name for path in tmp_path.iterdir()] == ["report.html"]


def test_a_failed_write_leaves_the_old_file_and_nothing_beside_it(tmp_path, monkeypatch):
    target = tmp_path / "answer.json"
    write_whole(target, b"old")

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(store.os, "fsync", full)
    with pytest.raises(InputError, match="No space left") as caught:
        write_whole(target, b"new")
    assert "make room" in caught.value.faults[0].fix
    assert target.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["answer.json"]


def test_what_is_no_file_is_written_to_and_not_replaced(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = subprocess.Popen(["cat", str(pipe)], stdout=subprocess.PIPE)
    write_whole(pipe, b"answer")
    assert reader.communicate(timeout=20)[0] == b"answer"
    assert pipe.is_fifo()
    with pytest.raises(InputError):
        write_whole(tmp_path, b"a folder is no place for a file")


def test_names_of_files_may_be_long_and_hold_signs_of_patterns(tmp_path):
    for name in ("[a-z]*?.json", "ü" * 120 + ".json", "x" * 250):
        write_whole(tmp_path / name, b"answer")
        assert (tmp_path / name).read_bytes() == b"answer"
    assert len(list(tmp_path.iterdir())) == 3


def test_a_place_that_hangs_on_a_broken_log_is_told_each_time_and_not_kept(house):
    (house / "logs/north.csv").write_text("no log at all\n", encoding="utf-8")
    for _ in range(2):
        place._kept.clear()
        opened = stillwall.open_survey(house, jobs=1)
        ranking = opened.rank(work=WORK)
        assert "north.csv" in ranking.by_place["hall-north"].problem
        assert ranking.by_place["hall-south"].problem == ""


def test_a_record_is_equal_whatever_the_survey_is_called(house):
    opened = stillwall.open_survey(house, jobs=1, remember=False)
    first = opened.site("hall-north").record
    renamed = replace(opened.survey, head=replace(opened.survey.head, name="Another society"))
    again = place.read_record(renamed, opened.survey.places["hall-north"])
    assert first.channels.keys() == again.channels.keys()
    assert all(
        np.array_equal(first.channels[role].values, again.channels[role].values) for role in again.channels
    )

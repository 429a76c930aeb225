"""Faults, how often each is tried, and how often something was lost by it."""

from __future__ import annotations

import csv
import errno
import json
import os
import re
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from random import Random

from tests.faults.house import SURVEY, build, readings

ROOT = Path(__file__).parents[2]
WORK = "lime-avenue"
SEED = 11
Trying = Callable[[Path, int], "Tried"]


@dataclass(frozen=True)
class Tried:
    """How many tries there were, and how many lost something; ``note`` says more."""

    tries: int
    losses: int
    note: str = ""


@dataclass(frozen=True)
class Row:
    """A fault; ``tries`` in full and in passing, where their number is free."""

    fault: str
    run: Trying
    tries: int = 0
    few: int = 0


ROWS: dict[str, Row] = {}


def row(fault: str, tries: int = 0, few: int = 0) -> Callable[[Trying], Trying]:
    """Add a row under its function's name."""

    def add(run: Trying) -> Trying:
        ROWS[run.__name__] = Row(fault, run, tries, few)
        return run

    return add


def stillwall(*arguments: object, cwd: Path = ROOT, **environment: str) -> subprocess.CompletedProcess[str]:
    """One command in a process of its own."""
    paths = [str(ROOT / "src"), *filter(None, [os.environ.get("PYTHONPATH")])]
    settings = {**os.environ, "PYTHONPATH": os.pathsep.join(paths), "PYTHONUTF8": "1", **environment}
    return subprocess.run(
        [sys.executable, "-m", "stillwall", *map(str, arguments)],
        cwd=cwd,
        env=settings,
        capture_output=True,
        encoding="utf-8",
        timeout=600,
        check=False,
    )


def refused(ended: subprocess.CompletedProcess[str]) -> bool:
    """Whether a command ended as bad input does: told in words with a remedy, and no traceback."""
    told = ended.stderr
    return ended.returncode == 1 and "to fix:" in told and "Traceback" not in told and not ended.stdout


def survey_says(folder: Path, text: str, **how: str) -> subprocess.CompletedProcess[str]:
    """Rank on a house whose survey has another text."""
    (folder / "survey.toml").write_text(text, encoding="utf-8", newline="")
    return stillwall("rank", folder, "--work", WORK, "--json", **how)


# -- killed ------------------------------------------------------------------------------------------


def _killed(kind: str, folder: Path, tries: int) -> Tried:
    ended = subprocess.run(
        [sys.executable, "-m", "tests.faults.killing", kind, str(tries), str(folder)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=1800,
        check=True,
    )
    losses, hit = map(int, ended.stdout.split())
    return Tried(tries, losses, f"{hit} of them while a half file lay beside it")


@row("killed while `--out` is written", 200, 6)
def killed_out(folder: Path, tries: int) -> Tried:
    return _killed("out", folder, tries)


@row("killed while the report is written", 200, 6)
def killed_report(folder: Path, tries: int) -> Tried:
    return _killed("report", folder, tries)


@row("killed while results are kept", 200, 6)
def killed_store(folder: Path, tries: int) -> Tried:
    return _killed("store", folder, tries)


@row("a whole command killed at any moment of it", 60, 2)
def killed_command(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    target = folder / "answer.json"
    command = ("rank", house, "--work", WORK, "--json", "--out", target)
    whole = []
    for _ in range(2):
        assert stillwall(*command).returncode == 0
        whole.append(target.read_bytes())
    draw, losses = Random(SEED), int(whole[0] != whole[1])
    for number in range(tries):
        if number % 2:
            shutil.rmtree(house / ".stillwall", ignore_errors=True)
        process = subprocess.Popen(
            [sys.executable, "-m", "stillwall", *map(str, command)], stderr=subprocess.DEVNULL
        )
        try:
            process.wait(draw.uniform(0.0, 2.0))
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        losses += target.read_bytes() != whole[0]
    assert stillwall(*command).returncode == 0
    return Tried(tries, losses + (target.read_bytes() != whole[0]))


# -- disks -------------------------------------------------------------------------------------------


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


def _writes(target: Path, size: int, most: int | None) -> int:
    """Error number that a process gets on writing a file, 0 for none; ``most`` bytes may be written."""

    def limit() -> None:
        if most is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    program = (
        "import signal, sys\n"
        "from pathlib import Path\n"
        "from stillwall.errors import InputError\n"
        "from stillwall.store import write_whole\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "try:\n"
        "    write_whole(Path(sys.argv[1]), b'n' * int(sys.argv[2]))\n"
        "except InputError as error:\n"
        "    sys.exit(error.__cause__.errno)\n"
    )
    paths = os.pathsep.join([str(ROOT / "src"), os.environ.get("PYTHONPATH", "")])
    return subprocess.run(
        [sys.executable, "-c", program, str(target), str(size)],
        preexec_fn=limit,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONDONTWRITEBYTECODE": "1"},
        check=False,
    ).returncode


@row("disk full while a file is written", 40, 3)
def disk_full(folder: Path, tries: int) -> Tried:
    draw, losses = Random(SEED), 0
    with small_disk(folder / "disk", 64) as mounted:
        for _ in range(tries):
            target = folder / "disk" / "answer.json"
            old = b"o" * draw.randrange(100, 20_000)
            target.write_bytes(old)
            size = draw.randrange(64_000, 300_000)
            code = _writes(target, size, None if mounted else draw.randrange(0, 60_000))
            told = code == (errno.ENOSPC if mounted else errno.EFBIG)
            losses += not told or target.read_bytes() != old or list(target.parent.iterdir()) != [target]
    return Tried(tries, losses, "on a disk of 64 KiB" if mounted else "by a limit on the size of files")


@row("disk full while results are kept", 6, 1)
def disk_full_store(folder: Path, tries: int) -> Tried:
    losses = 0
    house = build(folder / "house")
    right = stillwall("rank", house, "--work", WORK, "--json").stdout
    for kib in (0, 4, 8, 16, 32, 64)[:tries]:
        shutil.rmtree(house / ".stillwall", ignore_errors=True)
        with small_disk(house / ".stillwall", max(kib, 4)) as mounted:
            if mounted and kib == 0:
                (house / ".stillwall" / "full").write_bytes(b"x" * 4096)
            for _ in range(2):
                ended = stillwall("rank", house, "--work", WORK, "--json")
                losses += (ended.returncode, ended.stdout) != (0, right)
        losses += stillwall("rank", house, "--work", WORK, "--json").stdout != right
    return Tried(tries, losses)


@row("a folder that cannot be written", 0)
def read_only(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    right = stillwall("rank", house, "--work", WORK, "--json").stdout
    shutil.rmtree(house / ".stillwall")
    losses = 0
    # The survey's folder: nothing is kept, and nobody is the worse for it.
    with small_disk(folder / "disk", 4096) as mounted:
        if mounted:
            shutil.copytree(house, folder / "disk" / "house")
            subprocess.run(["mount", "-o", "remount,ro", str(folder / "disk")], check=True)
            ended = stillwall("rank", folder / "disk" / "house", "--work", WORK, "--json")
            losses += (ended.returncode, ended.stdout) != (0, right)
            target = folder / "disk" / "answer.json"
            losses += not refused(stillwall("rank", house, "--work", WORK, "--out", target))
    (house / ".stillwall").write_text("a file where the folder would be")
    ended = stillwall("rank", house, "--work", WORK, "--json")
    losses += (ended.returncode, ended.stdout) != (0, right)
    # The place of --out: told with what to do, and nothing is made.
    for target in (house / "survey.toml" / "answer.json", Path("/proc/answer.json"), house):
        losses += not refused(stillwall("rank", house, "--work", WORK, "--out", target))
    losses += (house / "survey.toml").read_text("utf-8") != SURVEY
    return Tried(6 if mounted else 4, losses)


# -- the machine -------------------------------------------------------------------------------------


@row("runs at once on one folder", 24, 3)
def at_once(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    right = stillwall("rank", house, "--work", WORK, "--json").stdout
    losses = 0
    for start in range(0, tries, 3):
        shutil.rmtree(house / ".stillwall", ignore_errors=True)
        command = [sys.executable, "-m", "stillwall", "rank", str(house), "--work", WORK, "--json"]
        running = [
            subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(min(3, tries - start))
        ]
        losses += sum(process.communicate(timeout=300)[0] != right for process in running)
        losses += stillwall("rank", house, "--work", WORK, "--json").stdout != right
    return Tried(tries, losses)


SETTINGS = [
    {"TZ": zone, "LC_ALL": language, "LANG": language, "PYTHONHASHSEED": seed}
    for zone, language, seed in product(
        ("UTC", "Pacific/Kiritimati", "America/St_Johns"), ("C", "tr_TR.UTF-8", "de_DE.UTF-8"), ("0", "7")
    )
]


@row("zone, language and hash seed of the machine", len(SETTINGS), 3)
def machine_settings(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    answers = set()
    for settings in SETTINGS[:: max(1, len(SETTINGS) // tries)]:
        shutil.rmtree(house / ".stillwall", ignore_errors=True)
        page = folder / "report.html"
        told = [
            stillwall("rank", house, "--work", WORK, "--json", **settings).stdout,
            stillwall("season", house, "--json", **settings).stdout,
            stillwall("check", house, "--json", **settings).stdout,
        ]
        assert stillwall("report", house, "--work", WORK, "--out", page, **settings).returncode == 0
        answers.add((*told, page.read_bytes()))
    return Tried(len(SETTINGS[:: max(1, len(SETTINGS) // tries)]), len(answers) - 1)


CLOCK = """\
import sys, time
shift = float(sys.argv.pop(1))
true = time.time
time.time = lambda: true() + shift
time.time_ns = lambda: int((true() + shift) * 1e9)
time.localtime = lambda at=None, _of=time.localtime: _of(time.time() if at is None else at)
time.gmtime = lambda at=None, _of=time.gmtime: _of(time.time() if at is None else at)
sys.argv[0] = "stillwall"
from stillwall.cli import main
main()
"""


@row("clock of the machine wrong, or going backwards", 8, 2)
def clock(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    paths = os.pathsep.join([str(ROOT / "src"), os.environ.get("PYTHONPATH", "")])
    answers = set()
    years = (0, 40, -40, 12, -25, 1, -1, 30)[:tries]
    for number, year in enumerate(years):
        shift = year * 365.25 * 86_400
        for file in house.rglob("*"):
            about = file.stat()
            os.utime(file, (about.st_atime, 1.7e9 - shift * (number % 2)))
        page = folder / "report.html"
        ended = subprocess.run(
            [
                sys.executable,
                "-c",
                CLOCK,
                str(shift),
                "report",
                str(house),
                "--work",
                WORK,
                "--out",
                str(page),
            ],
            env={**os.environ, "PYTHONPATH": paths},
            capture_output=True,
            check=False,
        )
        answers.add((ended.returncode, page.read_bytes()))
    return Tried(len(years), len(answers) - 1 + ({code for code, _ in answers} != {0}))


# -- files -------------------------------------------------------------------------------------------


@row("kept results cut short, or with a bit changed", 2000, 60)
def damaged(folder: Path, tries: int) -> Tried:
    from stillwall.codec import DamagedError, decode, encode

    house = build(folder / "house")
    assert stillwall("rank", house, "--work", WORK).returncode == 0
    entries = [path.read_bytes() for path in sorted((house / ".stillwall").glob("*.arrow"))]
    draw, losses = Random(SEED), 0
    for number in range(tries):
        content = bytearray(draw.choice(entries))
        at = draw.randrange(len(content))
        if number % 2:
            content[at] ^= 1 << draw.randrange(8)
        else:
            del content[at:]
        try:
            decode(bytes(content))
            losses += 1
        except DamagedError:
            pass
    whole = decode(entries[0])
    return Tried(tries, losses + (encode(whole) != entries[0]))


@row("log or settings changed under what was kept", 0)
def stale(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    cases = [("logs/north.csv", readings("north"), readings("north").replace(",5", ",6"))]
    cases += [("logs/hall.csv", readings("hall"), readings("hall").replace(",1", ",2"))]
    cases += [("logs/outdoor.csv", readings("outdoor"), readings("outdoor", warmer_c=1.0))]
    cases += [("survey.toml", SURVEY, SURVEY.replace("Europe/Dublin", "America/Denver"))]
    cases += [("survey.toml", SURVEY, SURVEY.replace("seed = 3", "seed = 4"))]
    losses = 0
    for name, before, after in cases:
        for text in (after, before):
            about = (house / name).stat()
            (house / name).write_text(text, encoding="utf-8", newline="")
            os.utime(house / name, ns=(about.st_atime_ns, about.st_mtime_ns))
            kept = stillwall("rank", house, "--work", WORK, "--json").stdout
            shutil.move(house / ".stillwall", folder / "kept")
            fresh = stillwall("rank", house, "--work", WORK, "--json").stdout
            shutil.rmtree(house / ".stillwall")
            shutil.move(folder / "kept", house / ".stillwall")
            losses += kept != fresh or not kept
    return Tried(2 * len(cases), losses)


@row("line ends, byte order marks and paths of Windows", 0)
def windows(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    right = stillwall("rank", house, "--work", WORK, "--json").stdout
    losses = survey_says(house, SURVEY.replace("\n", "\r\n")).stdout != right
    losses += survey_says(house, "\ufeff" + SURVEY.replace("\n", "\r\n")).stdout != right
    for log in (house / "logs").iterdir():
        text = log.read_text("utf-8")
        log.write_text("\ufeff" + text.replace("\n", "\r\n"), encoding="utf-8", newline="")
    losses += stillwall("rank", house, "--work", WORK, "--json").stdout != right
    paths = (
        "logs\\\\north.csv",
        "C:\\\\logs\\\\north.csv",
        "C:/logs/north.csv",
        "\\\\\\\\server\\\\north.csv",
    )
    for path in paths:
        ended = survey_says(house, SURVEY.replace("logs/north.csv", path))
        losses += not refused(ended) or "north.csv" not in ended.stderr
    return Tried(3 + len(paths), int(losses))


@row("a survey that is deep, long or endless", 0)
def deep(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    texts = [
        SURVEY + "deep = " + "[" * 100_000 + "]" * 100_000 + "\n",
        SURVEY + "deep = " + "{a = " * 20_000 + "1" + "}" * 20_000 + "\n",
        SURVEY + ".".join(["a"] * 50_000) + " = 1\n",
        SURVEY + "[" + ".".join(["a"] * 50_000) + "]\n",
        SURVEY + "text = '" + "x" * 17_000_000 + "'\n",
        SURVEY + "".join(f"key{number} = {number}\n" for number in range(100_000)),
        SURVEY + "[[work]]\n" * 100_000,
        SURVEY + 'open = "' + "x" * 1_000_000,
        SURVEY + "\0" * 1_000_000,
    ]
    return Tried(len(texts), sum(not refused(survey_says(house, text)) for text in texts))


@row("10,000 works", 0)
def many_works(folder: Path, tries: int) -> Tried:
    more = "".join(
        f'\n[[work]]\nid = "sheet-{number}"\nkind = "paper"\nmedium = "watercolour"\n'
        for number in range(9_998)
    )
    house = build(folder / "house")
    right = stillwall("rank", house, "--work", WORK, "--json").stdout
    losses = survey_says(house, SURVEY + more).stdout != right
    ended = stillwall("rank", house, "--wall", "hall-north", "--json")
    losses += ended.returncode != 0 or len(json.loads(ended.stdout)["works"]) != 10_000
    return Tried(2, int(losses))


@row("links and `..` that lead out of the folder", 0)
def outside(folder: Path, tries: int) -> Tried:
    house = build(folder / "house")
    secret = folder / "secret.csv"
    secret.write_text("Time,Temperature (°C)\n2026-03-01T00:00:00Z,77.125\n", encoding="utf-8")
    (house / "logs" / "link.csv").symlink_to(secret)
    (house / "way").symlink_to(folder, target_is_directory=True)
    (house / "logs" / "ring.csv").symlink_to("ring.csv")
    paths = ("../secret.csv", "logs/../../secret.csv", "logs/link.csv", "way/secret.csv", "logs/ring.csv")
    paths = (*paths, str(secret), "~/secret.csv", "/etc/passwd", "/dev/zero", "logs")
    losses = 0
    for path in paths:
        ended = survey_says(house, SURVEY.replace("logs/north.csv", path))
        losses += not refused(ended) or "77.125" in ended.stderr or "root:" in ended.stderr
    return Tried(len(paths), losses)


# -- what others open --------------------------------------------------------------------------------

FORMULAS = ("=1+1", "+1", "-1+1", "@SUM(A1)", '=HYPERLINK(\\"http://x\\")', "\\t=1+1", "=cmd|' /C calc'!A0")


@row("names that a spreadsheet would run", 0)
def spreadsheets(folder: Path, tries: int) -> Tried:
    house, losses = build(folder / "house"), 0
    for formula in FORMULAS:
        notes = "".join(
            f'\n[[note]]\ndate = 2026-03-{day:02}\nroom = "hall"\ntext = "{formula}"\n' for day in (5, 20)
        )
        text = SURVEY.replace('id = "hall"\n', f'id = "hall"\nname = "{formula}"\n')
        (house / "survey.toml").write_text(text + notes, encoding="utf-8", newline="")
        target = folder / "season.csv"
        assert stillwall("season", house, "--csv", target).returncode in (0, 3)
        rows = list(csv.reader(target.read_text("utf-8").splitlines()))
        cells = [cell for line in rows for cell in line if not re.fullmatch(r"[-+]?[\d.]+(e[-+]?\d+)?", cell)]
        losses += len(rows) < 2 or any(cell[:1] in tuple("=+-@\t\r") for cell in cells)
    return Tried(len(FORMULAS), losses)


MARKUP = (
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "</title><script src='http://x'></script>",
    '\\" onmouseover=\\"alert(1)',
    "{{ 7 * 7 }}{% raw %}",
    "]]></style><svg onload=alert(1)>",
)


@row("HTML and templates in names", 0)
def markup(folder: Path, tries: int) -> Tried:
    house, losses = build(folder / "house"), 0
    for name in MARKUP:
        text = SURVEY.replace("Larkmoor Botanical Society", name)
        for table in ("building", "room", "wall", "work"):
            key = "title" if table == "work" else "name"
            text = text.replace(f"[[{table}]]\n", f'[[{table}]]\n{key} = "{name}"\n')
        (house / "survey.toml").write_text(text, encoding="utf-8", newline="")
        pages = [folder / "report.html", folder / "season.html", folder / "sheet.html"]
        done = [
            stillwall("report", house, "--work", WORK, "--out", pages[0]),
            stillwall("season", house, "--page", pages[1]),
            stillwall("moves", house, "--sheet", pages[2]),
        ]
        raw = name.replace('\\"', '"')
        for ended, page in zip(done, pages, strict=True):
            said = page.read_text("utf-8") if page.exists() else ""
            bad = raw in said if "<" in raw or '"' in raw else "49{%" in said
            losses += ended.returncode not in (0, 3) or not said or bad
    return Tried(3 * len(MARKUP), losses)

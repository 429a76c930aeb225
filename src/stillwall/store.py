"""Files that are written whole or not at all, and what was computed per file content and settings."""

from __future__ import annotations

import glob
import hashlib
import os
import sys
import tempfile
from collections.abc import Hashable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from typing import Any

from stillwall.codec import DamagedError, NotStorableError, decode, encode
from stillwall.errors import Fault, InputError

try:
    import fcntl
except ImportError:  # where there are no such locks, files that are open cannot be removed either
    fcntl = None  # type: ignore[assignment]

PART = ".part"


def write_whole(path: Path, content: bytes) -> None:
    """Write a file beside its place and rename it there; on any failure the old file stands untouched.

    Raises
    ------
    InputError
        If the folder cannot be made or written, or the disk is full.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.exists() and not path.is_file():
            path.write_bytes(content)  # a terminal, a pipe, the null device: nothing that could be replaced
            return
        start = f".{path.name[:40]}."
        clear_parts(path.parent, start)
        handle, temporary = _open_part(path.parent, start)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
            umask = os.umask(0)
            os.umask(umask)
            Path(temporary).chmod(0o666 & ~umask)
            Path(temporary).replace(path)
        except BaseException:
            with suppress(OSError):
                Path(temporary).unlink()
            raise
    except OSError as error:
        raise InputError(
            Fault(
                where=str(path),
                found=error.strerror or str(error),
                expected="a place that can be written",
                fix="choose another --out, make room, or ask for the right to write there",
            )
        ) from error


def _open_part(folder: Path, start: str) -> tuple[int, str]:
    """A new file beside its place, locked while this process lives."""
    while True:
        handle, name = tempfile.mkstemp(dir=folder, prefix=start, suffix=PART)
        if _locked(handle, wait=True) and os.fstat(handle).st_nlink == 0:
            os.close(handle)  # another process took it for left over before it was locked
            continue
        return handle, name


def clear_parts(folder: Path, start: str) -> None:
    """Remove half files whose name begins so and whose writer has died; never one that is being written."""
    for part in folder.glob(f"{glob.escape(start)}*{PART}"):
        with suppress(OSError):
            handle = os.open(part, os.O_RDWR)
            try:
                if _locked(handle, wait=False):
                    part.unlink()
            finally:
                os.close(handle)


def _locked(handle: int, *, wait: bool) -> bool:
    """Lock a file for as long as it is open; False where another holds it or files cannot be locked."""
    if fcntl is None:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:
        return False
    return True


@lru_cache(maxsize=1)
def code_digest() -> str:
    """Digest of the package's own files and of what it computes with: nothing of another version is used."""
    digest = hashlib.sha256(sys.version.encode())
    for library in ("numpy", "pandas", "pyarrow", "scipy"):
        digest.update(version(library).encode())
    root = Path(str(files("stillwall")))
    for file in sorted(root.rglob("*")):
        if file.suffix in (".py", ".toml"):
            digest.update(str(file.relative_to(root)).encode() + file.read_bytes())
    return digest.hexdigest()


def content_digest(paths: Sequence[Path]) -> str | None:
    """Digest of the content of some files, in their order; None where one cannot be read."""
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        try:
            digests = list(pool.map(_file_digest, paths))
        except OSError:
            return None
    return hashlib.sha256(b"".join(digests)).hexdigest()


def _file_digest(path: Path) -> bytes:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").digest()


@dataclass(frozen=True, slots=True)
class Store:
    """What was computed, by a name and a key of all that it was computed from.

    Every entry is one file, ``<name>-<key>.arrow``; a new key of a name replaces the old one. The folder
    may be deleted at any time. A folder that cannot be written is no store, and no error.
    """

    folder: Path

    def load(self, name: str, key: str) -> dict[Hashable, Any]:
        """What is kept under a name and key; empty where nothing usable is."""
        try:
            kept = decode(self._file(name, key).read_bytes())
        except (OSError, DamagedError):
            return {}
        return kept if isinstance(kept, dict) else {}

    def save(self, name: str, key: str, memory: Mapping[Hashable, Any]) -> None:
        """Keep results, and forget those of the same name with another key."""
        kept: dict[Hashable, Any] = {}
        for each, value in memory.items():
            with suppress(NotStorableError):
                encode((each, value))
                kept[each] = value
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            clear_parts(self.folder, f".{_safe(name)}-")
            note = self.folder / ".gitignore"
            if not note.exists():
                write_whole(note, b"*\n")
            write_whole(self._file(name, key), encode(kept))
            for old in self.folder.glob(f"{_safe(name)}-*.arrow"):
                if old.name != self._file(name, key).name:
                    old.unlink(missing_ok=True)
        except (OSError, InputError):
            return

    def _file(self, name: str, key: str) -> Path:
        return self.folder / f"{_safe(name)}-{key[:32]}.arrow"


def _safe(name: str) -> str:
    return hashlib.sha256(name.encode()).hexdigest()[:16]

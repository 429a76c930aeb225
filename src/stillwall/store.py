"""Files that are written whole or not at all, and what was computed per file content and settings."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from stillwall.errors import Fault, InputError


def write_whole(path: Path, content: bytes) -> None:
    """Write a file beside its place and rename it there; on any failure the old file stands untouched.

    Raises
    ------
    InputError
        If the folder cannot be made or written, or the disk is full.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:80]}.", suffix=".part")
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

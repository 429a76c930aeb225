"""Files that a survey names: inside its folder, and there."""

from __future__ import annotations

import re
from pathlib import Path

from stillwall.survey.quantities import UnusableError

_INSIDE = "a path inside the survey's folder, such as 'logs/hall.csv'"


def file_inside(folder: Path, named: str) -> Path:
    """The file that a survey means; :class:`UnusableError` where it leaves the folder or is not there."""
    if "\\" in named:
        raise UnusableError(f"{named!r} has backslashes", _INSIDE, f"write {named.replace(chr(92), '/')!r}")
    if not named.strip() or any(ord(letter) < 32 for letter in named):
        raise UnusableError(f"{named!r} is no path", _INSIDE, "name a file")
    if named.startswith(("/", "~")) or re.match(r"[A-Za-z]:", named):
        raise UnusableError(
            f"{named!r} is an absolute path", _INSIDE, "copy the file into the folder and name it from there"
        )
    if ".." in named.split("/"):
        raise UnusableError(f"{named!r} leaves the survey's folder", _INSIDE, "copy the file into the folder")
    try:
        path = folder / named
        real = path.resolve()
        there = path.is_file()
        inside = real.is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError) as error:
        raise UnusableError(f"{named[:60]!r} cannot be opened", _INSIDE, "check the name") from error
    if not inside:
        raise UnusableError(
            f"{named!r} is a link that leaves the survey's folder",
            _INSIDE,
            "put the file itself into the folder",
        )
    if not there:
        raise UnusableError(f"there is no file {named!r}", _INSIDE, "put the file there, or correct its name")
    return path

"""A commented survey to fill in."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from stillwall.errors import Fault, SurveyError


def write_start(folder: Path) -> Path:
    """Write a commented ``survey.toml`` and an empty ``logs`` folder; return the file.

    Raises
    ------
    SurveyError
        If there is a survey already, which is never overwritten, or the folder cannot be written.
    """
    path = folder / "survey.toml"
    text = resources.files("stillwall.survey").joinpath("start.toml").read_text(encoding="utf-8")
    try:
        (folder / "logs").mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError as error:
        if path.exists() or path.is_symlink():
            raise SurveyError(
                Fault(str(path), "there is a survey already", "none yet", "edit it, or name another folder")
            ) from error
        raise SurveyError(
            Fault(str(error.filename), "a file stands in the way", "a folder", "name another folder")
        ) from error
    except OSError as error:
        raise SurveyError(
            Fault(
                str(folder), f"cannot be written ({error.strerror})", "a folder", "name a folder of your own"
            )
        ) from error
    return path

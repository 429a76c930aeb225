"""``stillwall start``: a survey to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def start(
    folder: Annotated[Path, typer.Argument(help="Folder to make, or to write into.", show_default=False)],
) -> None:
    """Write a commented survey to fill in; never overwrites one."""
    from stillwall.survey.start import write_start

    path = write_start(folder)
    typer.echo(f"{path}: fill it in, put the loggers' files into {path.parent / 'logs'}, then run")
    typer.echo(f"  stillwall check {path.parent}")

"""Options that several commands share."""

from __future__ import annotations

import datetime as dt
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class UnitsChoice(StrEnum):
    """Units for showing."""

    US = "us"
    SI = "si"


def _date(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise typer.BadParameter(f"{text!r} is not a date such as 2026-03-31") from error


Folder = Annotated[Path, typer.Argument(help="Survey folder: survey.toml and logs/.", show_default=False)]
WorkId = Annotated[str, typer.Option("--work", help="Id of the work.", show_default=False)]
WallId = Annotated[
    str, typer.Option("--wall", help="Id of the wall, pedestal or holding place.", show_default=False)
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]
Out = Annotated[
    Path | None, typer.Option("--out", help="Write the answer to this file instead of the screen.")
]
AsOf = Annotated[
    dt.date | None,
    typer.Option(
        "--as-of", parser=_date, metavar="DATE", help="Day to judge from; the last reading unless given."
    ),
]
Units = Annotated[
    UnitsChoice | None, typer.Option("--units", help="Units to show; the survey's unless given.")
]
Seed = Annotated[
    int | None, typer.Option("--seed", min=0, help="Seed of the random draws; the survey's unless given.")
]
From = Annotated[
    dt.date | None, typer.Option("--from", parser=_date, metavar="DATE", help="First day of the stay.")
]
To = Annotated[
    dt.date | None, typer.Option("--to", parser=_date, metavar="DATE", help="Last day of the stay.")
]
Jobs = Annotated[int | None, typer.Option("--jobs", min=1, help="Processes to use; all cores unless given.")]
Scheduler = Annotated[
    str | None,
    typer.Option(
        "--scheduler", metavar="ADDRESS", help="Work on a dask.distributed cluster (extra: cluster)."
    ),
]

"""``stillwall report``: the whole as one page."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stillwall.cli.options import AsJson, AsOf, Folder, From, Jobs, Scheduler, Seed, To, Units


def report(
    folder: Folder,
    work: Annotated[
        str | None,
        typer.Option("--work", help="The work in question; the one that has no place yet unless given."),
    ] = None,
    wall: Annotated[
        list[str] | None, typer.Option("--wall", help="Draw this wall too; may be given more than once.")
    ] = None,
    start: From = None,
    end: To = None,
    moves: Annotated[bool, typer.Option("--moves", help="Draw the chain of moves too.")] = False,
    pdf: Annotated[bool, typer.Option("--pdf", help="Write a PDF as well.")] = False,
    paper: Annotated[str, typer.Option("--paper", help="a4 or letter, for the PDF.")] = "a4",
    out: Annotated[
        Path | None, typer.Option("--out", help="The HTML file; in ./reports/ unless given.")
    ] = None,
    as_of: AsOf = None,
    units: Units = None,
    seed: Seed = None,
    jobs: Jobs = None,
    scheduler: Scheduler = None,
    as_json: AsJson = False,
) -> None:
    """Write the report for a committee: ranking, reasons, drawings, sources."""
    from stillwall.assess import open_survey
    from stillwall.cli.output import emit
    from stillwall.cluster import workers_of
    from stillwall.report.make import make_report

    with workers_of(scheduler) as executor:
        opened = open_survey(folder, as_of=as_of, seed=seed, units=units, jobs=jobs, executor=executor)
        made = make_report(
            opened,
            work=work,
            walls=tuple(wall or ()),
            start=start,
            end=end,
            out=out,
            pdf=pdf,
            paper=paper,
            moves=moves,
        )
    emit(made.sentence, made.document, as_json=as_json, out=None)

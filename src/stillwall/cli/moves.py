"""``stillwall moves``: the chain of moves, in order, and the crew's sheet."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stillwall.cli.options import AsJson, AsOf, Folder, From, Jobs, Out, Scheduler, Seed, Units


def moves(
    folder: Folder,
    start: From = None,
    movable: Annotated[
        list[str] | None,
        typer.Option("--move", help="Only this work may be moved, besides what is to come; may be repeated."),
    ] = None,
    undecided: Annotated[
        bool, typer.Option("--undecided", help="Allow places of which nothing is decided yet.")
    ] = False,
    sheet: Annotated[
        Path | None,
        typer.Option("--sheet", help="Write the crew's sheet to this HTML file, one page a trip."),
    ] = None,
    as_of: AsOf = None,
    units: Units = None,
    seed: Seed = None,
    jobs: Jobs = None,
    scheduler: Scheduler = None,
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """Find a place for every work, and the order in which they move."""
    from stillwall.assess import open_survey
    from stillwall.cli.output import emit
    from stillwall.cluster import workers_of
    from stillwall.documents import moves_document
    from stillwall.report.moves_screen import moves_screen, moves_sheet
    from stillwall.store import write_whole

    with workers_of(scheduler) as executor:
        opened = open_survey(folder, as_of=as_of, seed=seed, units=units, jobs=jobs, executor=executor)
        answer = opened.moves(
            start=start, undecided=undecided, movable=frozenset(movable) if movable else None
        )
    if sheet is not None:
        write_whole(sheet, moves_sheet(answer).encode())
    emit(moves_screen(answer), moves_document(answer.plan), as_json=as_json, out=out)
    if answer.plan.conflicts:
        raise typer.Exit(1)

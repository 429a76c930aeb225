"""``stillwall moves``: the chain of moves, in order, and the crew's sheet."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stillwall.cli.options import AsJson, AsOf, Folder, From, Jobs, Out, Seed, To, Units


def moves(
    folder: Folder,
    start: From = None,
    end: To = None,
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
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """Find a place for every work, and the order in which they move."""
    from stillwall.assess import open_survey
    from stillwall.cli.output import emit
    from stillwall.documents import moves_document
    from stillwall.report.moves_screen import moves_screen, moves_sheet
    from stillwall.store import write_whole

    opened = open_survey(folder, as_of=as_of, seed=seed, units=units, jobs=jobs)
    plan = opened.moves(start=start, end=end, undecided=undecided)
    if sheet is not None:
        write_whole(sheet, moves_sheet(plan, opened).encode())
    emit(moves_screen(plan, opened), moves_document(plan), as_json=as_json, out=out)

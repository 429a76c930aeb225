"""``stillwall rank``: every wall for one work, or every work for one wall."""

from __future__ import annotations

from typing import Annotated

import typer

from stillwall.cli.options import AsJson, AsOf, Folder, From, Jobs, Out, Scheduler, Seed, To, Units


def rank(
    folder: Folder,
    work: Annotated[str | None, typer.Option("--work", help="Rank every wall for this work.")] = None,
    wall: Annotated[str | None, typer.Option("--wall", help="Rank every work for this wall.")] = None,
    start: From = None,
    end: To = None,
    as_of: AsOf = None,
    units: Units = None,
    seed: Seed = None,
    jobs: Jobs = None,
    scheduler: Scheduler = None,
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """Rank the walls for a work, or the works for a wall, with reasons."""
    if (work is None) == (wall is None):
        raise typer.BadParameter("give either --work or --wall", param_hint="--work / --wall")
    from stillwall.assess import open_survey
    from stillwall.cli.output import emit
    from stillwall.cluster import workers_of
    from stillwall.documents import rank_document, rank_wall_document
    from stillwall.report.screens import rank_screen, rank_wall_screen

    with workers_of(scheduler) as executor:
        opened = open_survey(folder, as_of=as_of, seed=seed, units=units, jobs=jobs, executor=executor)
        if work is not None:
            by_work = opened.rank(work=work, start=start, end=end)
            emit(rank_screen(by_work), rank_document(by_work), as_json=as_json, out=out)
        elif wall is not None:
            by_wall = opened.rank_wall(wall=wall, start=start, end=end)
            emit(rank_wall_screen(by_wall), rank_wall_document(by_wall), as_json=as_json, out=out)

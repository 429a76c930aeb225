"""``stillwall season``: rooms this season against last year's and their bands."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stillwall.cli.options import AsJson, AsOf, Folder, Jobs, Out, Seed, Units


def season(
    folder: Folder,
    as_of: AsOf = None,
    units: Units = None,
    seed: Seed = None,
    jobs: Jobs = None,
    as_json: AsJson = False,
    csv: Annotated[Path | None, typer.Option("--csv", help="Write the figures to this CSV file too.")] = None,
    page: Annotated[
        Path | None, typer.Option("--page", help="Write the season as one HTML page too.")
    ] = None,
    out: Out = None,
) -> None:
    """Look at every room against last year and its band; exit 3 if something new needs a person."""
    from stillwall.assess import open_survey
    from stillwall.cli.output import emit
    from stillwall.documents import season_csv, season_document
    from stillwall.report.season_page import season_page
    from stillwall.report.season_screen import season_screen
    from stillwall.store import write_whole

    opened = open_survey(folder, as_of=as_of, seed=seed, units=units, jobs=jobs)
    spots = opened.season()
    if csv is not None:
        write_whole(csv, season_csv(spots).encode())
    if page is not None:
        write_whole(page, season_page(spots, opened).encode())
    emit(season_screen(spots, opened), season_document(spots), as_json=as_json, out=out)
    if any(alert.acknowledged is None for spot in spots for alert in spot.alerts):
        raise typer.Exit(3)

"""``stillwall check``: what the loggers say, and what is wrong with it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stillwall.cli.options import AsJson, Out, Units


def check(
    paths: Annotated[
        list[Path], typer.Argument(help="A survey folder, or log files.", metavar="FOLDER | FILE.csv ...")
    ],
    timezone: Annotated[
        str | None,
        typer.Option("--timezone", help="Zone of clocks that do not say theirs, such as Europe/Dublin."),
    ] = None,
    units: Units = None,
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """Say what was read from each logger, its faults, and what to find out first."""
    folders = [path for path in paths if path.is_dir()]
    if folders and len(paths) > 1:
        raise typer.BadParameter("give one survey folder, or log files", param_hint="FOLDER | FILE.csv")
    from stillwall.cli.output import emit
    from stillwall.logs.checkup import Missing, check_files, check_survey
    from stillwall.logs.document import check_document
    from stillwall.logs.summary import check_text

    names: dict[str, str] = {}
    if folders:
        from stillwall.assess import open_survey
        from stillwall.setting.naming import names_of

        opened = open_survey(folders[0], units=units)
        checkup = check_survey(opened.survey).also_missing(
            Missing(asked.what, asked.blocks) for asked in opened.questions()
        )
        system = opened.system
        named = names_of(opened.survey)
        names = {**named.places, **{f"room {room}": name for room, name in named.rooms_of.items()}}
        names |= {f"building {one.id}": one.name or one.id for one in opened.survey.buildings.values()}
    else:
        checkup = check_files(paths, timezone)
        system = units.value if units is not None else "si"
    emit(check_text(checkup, system, names), check_document(checkup), as_json=as_json, out=out)
    if not folders:
        broken = [file.error for file in checkup.files if file.error is not None]
        for error in broken:
            for fault in error.faults:
                typer.echo(f"error: {fault}", err=True)
        if broken:
            raise typer.Exit(broken[0].exit_code)

"""``stillwall matrix``: works by walls."""

from __future__ import annotations

from stillwall.cli.options import AsJson, AsOf, Folder, From, Jobs, Out, Scheduler, Seed, To, Units


def matrix(
    folder: Folder,
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
    """Judge every work at every wall."""
    from stillwall.assess import open_survey
    from stillwall.cli.output import emit
    from stillwall.cluster import workers_of
    from stillwall.documents import matrix_document
    from stillwall.report.screens import matrix_screen

    with workers_of(scheduler) as executor:
        opened = open_survey(folder, as_of=as_of, seed=seed, units=units, jobs=jobs, executor=executor)
        made = opened.matrix(start=start, end=end)
    emit(matrix_screen(made), matrix_document(made), as_json=as_json, out=out)

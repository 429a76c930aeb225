"""``stillwall vet``: one work at one wall."""

from __future__ import annotations

from stillwall.cli.options import AsJson, AsOf, Folder, From, Jobs, Out, Seed, To, Units, WallId, WorkId


def vet(
    folder: Folder,
    work: WorkId,
    wall: WallId,
    start: From = None,
    end: To = None,
    as_of: AsOf = None,
    units: Units = None,
    seed: Seed = None,
    jobs: Jobs = None,
    as_json: AsJson = False,
    out: Out = None,
) -> None:
    """Say whether this work may hang at this wall, until when, and with which measures."""
    from stillwall.assess import open_survey
    from stillwall.cli.output import emit
    from stillwall.documents import vet_document
    from stillwall.report.screens import vet_screen

    opened = open_survey(folder, as_of=as_of, seed=seed, units=units, jobs=jobs)
    vetted = opened.vet(work=work, wall=wall, start=start, end=end)
    emit(vet_screen(vetted), vet_document(vetted), as_json=as_json, out=out)

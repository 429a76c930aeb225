"""Where answers go: the screen, or a file that is written whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import typer

from stillwall.store import write_whole


def emit(text: str, document: Mapping[str, Any], *, as_json: bool, out: Path | None) -> None:
    """Print ``text``, or ``document`` as JSON; to ``out`` where it is given."""
    answer = (
        json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) if as_json else text.rstrip("\n")
    )
    if out is None:
        typer.echo(answer)
    else:
        write_whole(out, (answer + "\n").encode())
        typer.echo(f"written: {out}", err=True)

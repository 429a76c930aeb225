"""The command line: one thin file per command.

Nothing heavy is imported here or at the top of a command's file, so that ``--help`` answers at once.
"""

from __future__ import annotations

import sys

import typer

from stillwall.cli.check import check
from stillwall.cli.matrix import matrix
from stillwall.cli.moves import moves
from stillwall.cli.rank import rank
from stillwall.cli.report import report
from stillwall.cli.season import season
from stillwall.cli.sources import sources
from stillwall.cli.start import start
from stillwall.cli.vet import vet
from stillwall.errors import InputError, StillwallError

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Where may a work of art hang, for how long, and what has to be done first.",
)
for command in (start, check, vet, rank, matrix, season, moves, report, sources):
    app.command()(command)


def main() -> None:
    """Run the command line; an error that people are meant to read ends with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app()
    except StillwallError as error:
        for told in error.faults if isinstance(error, InputError) else (error,):
            print(f"error: {told}", file=sys.stderr)
        sys.exit(error.exit_code)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except KeyboardInterrupt:
        sys.exit(130)

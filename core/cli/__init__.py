"""The command line. Every command says what it did; reading commands can answer in JSON."""

from __future__ import annotations

import io
import sys
from contextlib import redirect_stdout

import typer

from core.cli import answers, declarations, importing, projects, recording
from core.cli.shared import PlainOutput, printable
from core.errors import PilewrightError, WrongUse

app = typer.Typer(
    name="pilewright",
    help="The view over a whole helical-pile job: which piles are accepted, and why.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
for part in (projects, declarations, importing, recording, answers):
    part.add_commands(app)


def main() -> None:
    """Run the command line: exit 0 done, 1 nothing was written or something failed, 2 wrong use."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a terminal that knows no µ or ≥ still answers
            stream.reconfigure(errors="backslashreplace")
    try:
        with redirect_stdout(PlainOutput(sys.stdout)):
            app()
    except WrongUse as error:
        _print_error(str(error))
        sys.exit(2)
    except PilewrightError as error:
        _print_error(str(error))
        sys.exit(1)
    except OSError as error:
        reason = error.strerror or str(error)
        _print_error(f"{error.filename}: {reason}." if error.filename else f"{reason}.")
        sys.exit(1)


def _print_error(message: str) -> None:
    print(printable(message), file=sys.stderr)

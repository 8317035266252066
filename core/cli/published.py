"""The command that prints tables of standards and handbooks for comparison."""

from __future__ import annotations

from typing import Annotated

import typer

from core import services
from core.cli.shared import AsJson, answer, rows, table

COMPARISON = "For comparison: a value counts in a project only when written there with its source."


def add_commands(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command()(published)


def published(
    name: Annotated[str | None, typer.Argument(help="One table.", metavar="TABLE")] = None,
    as_json: AsJson = False,
) -> None:
    """Print a table of published values with standard, edition and source, or list the tables."""
    found = services.published_tables() if name is None else services.published(name)
    if as_json:
        answer(rows(found))
        return
    table(found, "no rows")
    print(COMPARISON)

"""The command that prints the data dictionary."""

from __future__ import annotations

from typing import Annotated

import typer

from core import flow
from core.cli.shared import AsJson, answer, rows, table


def add_commands(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command()(dictionary)


def dictionary(
    kind: Annotated[str | None, typer.Argument(help="One record kind.", metavar="KIND")] = None,
    as_json: AsJson = False,
) -> None:
    """Print every column of every record kind: type, unit, key, choices, references, meaning."""
    found = flow.data_dictionary(kind)
    if as_json:
        answer(rows(found))
        return
    flags = {name: found[name].map({True: "yes", False: ""}) for name in ("required", "key")}
    bounds = {name: found[name].map("{:g}".format, na_action="ignore").astype(object)
              for name in ("minimum", "maximum")}  # fmt: skip
    table(found.assign(**flags, **bounds), "no rows")

"""The command that prints the data dictionary."""

from __future__ import annotations

from typing import Annotated

import pandas as pd
import typer

from core import services
from core.cli.shared import AsJson, answer, rows, table


def add_commands(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command()(dictionary)


def dictionary(
    name: Annotated[
        str | None, typer.Argument(help="One record kind or frame.", metavar="NAME")
    ] = None,
    frames: Annotated[
        bool, typer.Option("--frames", help="Every frame instead of every record kind.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Print every column of every record kind, or of the frames that screens and services read."""
    found = services.data_dictionary(name, frames=frames)
    if as_json:
        answer(rows(found))
    else:
        table(found if "frame" in found else _printed(found), "no rows")


def _printed(found: pd.DataFrame) -> pd.DataFrame:
    """Columns of record kinds with yes and no, and bounds without zeros at their end."""
    flags = {name: found[name].map({True: "yes", False: ""}) for name in ("required", "key")}
    bounds = {name: found[name].map("{:g}".format, na_action="ignore").astype(object)
              for name in ("minimum", "maximum")}  # fmt: skip
    return found.assign(**flags, **bounds)

"""Commands that print what is declared: record kinds, frames, templates, published values."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import pandas as pd
import typer

from core import services
from core.cli.shared import AsJson, print_json, rows, table


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
        print_json(rows(found))
    else:
        table(found if "frame" in found else _printed(found), "no rows")


def _printed(found: pd.DataFrame) -> pd.DataFrame:
    """Columns of record kinds with yes and no, and bounds without zeros at their end."""
    flags = {name: found[name].map({True: "yes", False: ""}) for name in ("required", "key")}
    bounds = {name: found[name].map("{:g}".format, na_action="ignore").astype(object)
              for name in ("minimum", "maximum")}  # fmt: skip
    return found.assign(**flags, **bounds)


COMPARISON = "For comparison: a value counts in a project only when written there with its source."


def published(
    name: Annotated[str | None, typer.Argument(help="One table.", metavar="TABLE")] = None,
    as_json: AsJson = False,
) -> None:
    """Print a table of published values with standard, edition and source, or list the tables."""
    found = services.published_tables() if name is None else services.published(name)
    if as_json:
        print_json(rows(found))
        return
    table(found, "no rows")
    print(COMPARISON)


def templates(
    folder: Annotated[Path, typer.Argument(help="Where they are written.", metavar="FOLDER")],
) -> None:
    """Write a blank workbook for every kind of record, with its columns, units and words."""
    for path in services.write_templates(folder):
        print(path)


def add_commands(app: typer.Typer) -> None:
    """Add the commands that print declarations to ``app``."""
    app.command()(dictionary)
    app.command()(published)
    app.command()(templates)

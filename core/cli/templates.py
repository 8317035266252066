"""The command that writes blank workbooks to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from core import services


def add_commands(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command()(templates)


def templates(
    folder: Annotated[Path, typer.Argument(help="Where they are written.", metavar="FOLDER")],
) -> None:
    """Write a blank workbook for every kind of record, with its columns, units and words."""
    for path in services.write_templates(folder):
        print(path)

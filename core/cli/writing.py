"""Commands that decide: accept, withdraw, backup. Each is one act with a name to it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from core import flow
from core.cli.shared import By, Folder, Note

Piles = Annotated[list[str], typer.Argument(help="Numbers of the piles.", metavar="PILE...")]


def add_commands(app: typer.Typer) -> None:
    """Add the writing commands to ``app``."""
    app.command()(accept)
    app.command()(withdraw)
    app.command()(backup)


def accept(folder: Folder, piles: Piles, by: By, note: Note) -> None:
    """Sign piles off. Refused unless every one of them is criteria met and the right is yours."""
    entry = flow.accept(folder, piles, by, note)
    number = len(set(piles))
    print(f"Entry {entry}: {by} signed off {number} {'pile' if number == 1 else 'piles'}.")


def withdraw(
    folder: Folder,
    entry: Annotated[int, typer.Argument(help="Number of the entry.", metavar="ENTRY")],
    by: By,
    note: Note,
) -> None:
    """Withdraw an entry: its rows no longer stand. Take the file in again to bring them back."""
    number = flow.withdraw(folder, entry, by, note)
    print(f"Entry {number}: {by} withdrew entry {entry}.")


def backup(
    folder: Folder,
    target: Annotated[Path, typer.Argument(help="An empty or new folder.", metavar="TARGET")],
    by: By = "",
) -> None:
    """Copy the project, its ledger and its attachments to another folder."""
    head = flow.backup(folder, target, by)
    who = f" by {by}" if by else ""
    print(f"Backed up to {target}{who}. Head: {head}")

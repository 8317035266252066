"""Commands that write: accept, withdraw, settings, and copies of the whole project."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from core import services
from core.cli.shared import By, Folder, Note

Piles = Annotated[list[str], typer.Argument(help="Numbers of the piles.", metavar="PILE...")]


def add_commands(app: typer.Typer) -> None:
    """Add the writing commands to ``app``."""
    app.command()(accept)
    app.command()(withdraw)
    app.command()(record_settings)
    app.command()(backup)
    app.command()(restore)


def accept(folder: Folder, piles: Piles, by: By, note: Note) -> None:
    """Sign piles off. Refused unless every one of them is criteria met and the right is yours."""
    entry = services.accept(folder, piles, by, note)
    number = len(set(piles))
    print(f"Entry {entry}: {by} signed off {number} {'pile' if number == 1 else 'piles'}.")


def withdraw(
    folder: Folder,
    entry: Annotated[int, typer.Argument(help="Number of the entry.", metavar="ENTRY")],
    by: By,
    note: Note,
) -> None:
    """Withdraw an entry: its rows are no longer current. Import the file again to restore them."""
    number = services.withdraw(folder, entry, by, note)
    print(f"Entry {number}: {by} withdrew entry {entry}.")


def record_settings(folder: Folder, by: By) -> None:
    """Record project.toml in the ledger. Imports and sign-offs record it as well."""
    entry = services.record_settings(folder, by)
    print(f"Entry {entry}: {by} recorded project.toml.")


SkipDamaged = Annotated[
    bool,
    typer.Option("--skip-damaged", help="Go on without attachments that are missing or changed."),
]


def backup(
    folder: Folder,
    target: Annotated[Path, typer.Argument(help="An empty or new folder.", metavar="TARGET")],
    by: By = "",
    skip_damaged: SkipDamaged = False,
) -> None:
    """Copy the project, its ledger and its attachments to another folder, and check the copy."""
    copied = services.backup(folder, target, by, skip_damaged)
    _print_missing(copied.missing)
    who = f" by {by}" if by else ""
    print(f"Backed up to {target}{who}. Head: {copied.head}")


def restore(
    source: Annotated[Path, typer.Argument(help="The backup.", metavar="BACKUP")],
    folder: Annotated[Path, typer.Argument(help="An empty or new folder.", metavar="FOLDER")],
    skip_damaged: SkipDamaged = False,
) -> None:
    """Make a new project folder from a backup, verified whole before it gets its name."""
    restored = services.restore(source, folder, skip_damaged)
    _print_missing(restored.missing)
    print(f"Restored {source} to {folder}. Head: {restored.head}")


def _print_missing(missing: tuple[str, ...]) -> None:
    for sentence in missing:
        print(f"Left out: {sentence}")

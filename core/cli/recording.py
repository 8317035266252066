"""Commands that record or restore: accept, withdraw, quarantine, attach, settings, backup."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from core import services
from core.cli.shared import EARLIER_OPTIONS, By, Folder, Note
from core.errors import WrongUse

Piles = Annotated[list[str], typer.Argument(help="Numbers of the piles.", metavar="PILE...")]


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


Heat = Annotated[str, typer.Option("--heat", help="Number of the heat.")]
Mill = Annotated[str | None, typer.Option("--mill", help="The heat's mill, where several have it.")]
Reason = Annotated[str, typer.Option("--reason", help="Reason; kept in the history.")]
Release = Annotated[bool, typer.Option("--release", help="Release the heat from quarantine.")]
Certificate = Annotated[str, typer.Option("--certificate", help="Number of the certificate.")]
Scan = Annotated[Path, typer.Argument(help="A PDF, PNG or JPEG.", metavar="FILE")]


def quarantine(
    folder: Folder, heat: Heat, by: By, reason: Reason, mill: Mill = None, release: Release = False
) -> None:
    """Put a heat in quarantine, or release it, and list the piles affected."""
    act = services.release_heat if release else services.put_in_quarantine
    held = act(folder, heat, by, reason, mill)
    of_mill = f" of {held.mill}" if held.mill else ""
    word = "released" if release else "in quarantine"
    print(f"Entry {held.entry}: heat {heat}{of_mill} is {word}; {_holding(len(held.piles))}.")
    if not release and held.affected:
        print("No longer criteria met or accepted: " + ", ".join(held.affected))
    elif release:
        after = services.quarantine_effect(services.assess(folder), heat, held.mill)
        stand = ", ".join(after.affected) or "none"
        print(f"Criteria met or accepted now: {stand}")


def attach(folder: Folder, scan: Scan, certificate: Certificate, by: By) -> None:
    """Store a file that shows a mill certificate; it is checked and never executed."""
    if not scan.is_file():
        raise WrongUse(f"{scan} is not a file.")
    kept = services.attach_certificate(folder, certificate, scan.name, scan.read_bytes(), by)
    pages = f"{kept.pages} page" + ("" if kept.pages == 1 else "s")
    print(f"Entry {kept.entry}: {kept.name} ({kept.form}, {pages}) shows {certificate}.")


def _holding(number: int) -> str:
    return "used in 1 pile" if number == 1 else f"used in {number:,} piles"


def add_commands(app: typer.Typer) -> None:
    """Add the commands that record to ``app``."""
    app.command()(accept)
    app.command()(withdraw)
    app.command()(record_settings)
    app.command()(backup)
    app.command()(restore)
    app.command(context_settings=EARLIER_OPTIONS)(quarantine)
    app.command()(attach)

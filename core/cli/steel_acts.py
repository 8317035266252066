"""Commands that decide on steel: a heat in quarantine and out again, a certificate's file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from core import services
from core.cli.shared import By, Folder
from core.errors import WrongUse

Heat = Annotated[str, typer.Option("--heat", help="Number of the heat.")]
Mill = Annotated[str | None, typer.Option("--mill", help="The heat's mill, where several have it.")]
Reason = Annotated[str, typer.Option("--reason", help="Reason; kept in the history.")]
Lift = Annotated[bool, typer.Option("--lift", help="Lift the quarantine instead.")]
Certificate = Annotated[str, typer.Option("--certificate", help="Number of the certificate.")]
Scan = Annotated[Path, typer.Argument(help="A PDF, PNG or JPEG.", metavar="FILE")]


def add_commands(app: typer.Typer) -> None:
    """Add the commands to ``app``."""
    app.command()(quarantine)
    app.command()(attach)


def quarantine(
    folder: Folder, heat: Heat, by: By, reason: Reason, mill: Mill = None, lift: Lift = False
) -> None:
    """Put a heat in quarantine, or lift it, and name the piles that it moves."""
    act = services.lift_quarantine if lift else services.put_in_quarantine
    held = act(folder, heat, by, reason, mill)
    of_mill = f" of {held.mill}" if held.mill else ""
    word = "out of quarantine" if lift else "in quarantine"
    print(f"Entry {held.entry}: heat {heat}{of_mill} is {word}; {_holding(len(held.piles))}.")
    if not lift and held.standing:
        print("No longer criteria met or accepted: " + ", ".join(held.standing))
    elif lift:
        after = services.recall(services.assess(folder), heat, held.mill)
        stand = ", ".join(after.standing) or "none"
        print(f"Criteria met or accepted now: {stand}")


def attach(folder: Folder, scan: Scan, certificate: Certificate, by: By) -> None:
    """Keep a file that shows a mill certificate; it is checked and never executed."""
    if not scan.is_file():
        raise WrongUse(f"{scan} is no file.")
    kept = services.attach_certificate(folder, certificate, scan.name, scan.read_bytes(), by)
    pages = f"{kept.pages} page" + ("" if kept.pages == 1 else "s")
    print(f"Entry {kept.entry}: {kept.name} ({kept.form}, {pages}) shows {certificate}.")


def _holding(number: int) -> str:
    return "1 pile holds it" if number == 1 else f"{number:,} piles hold it"

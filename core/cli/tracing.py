"""The command that follows steel: from a pile to its heats, and from a heat to its piles."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from core import services, units
from core.cli.shared import AsJson, AsOf, Folder, answer, moment, rows, table
from core.errors import WrongUse

Pile = Annotated[str | None, typer.Option("--pile", help="Every piece of steel of this pile.")]
Stamp = Annotated[str | None, typer.Option("--stamp", help="Where components of this stamp are.")]
Lot = Annotated[str | None, typer.Option("--lot", help="Where components of this lot are.")]
Heat = Annotated[str | None, typer.Option("--heat", help="Where steel of this heat is.")]
Certificate = Annotated[
    str | None, typer.Option("--certificate", help="Where steel of this mill certificate is.")
]
Mill = Annotated[str | None, typer.Option("--mill", help="The heat's mill, where several have it.")]
Matrix = Annotated[
    Path | None,
    typer.Option("--matrix", metavar="FILE", help="Write every piece placed to .csv or .xlsx."),
]


def add_commands(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command()(trace)


def trace(
    folder: Folder,
    pile: Pile = None,
    stamp: Stamp = None,
    lot: Lot = None,
    heat: Heat = None,
    certificate: Certificate = None,
    mill: Mill = None,
    matrix: Matrix = None,
    as_json: AsJson = False,
    as_of: AsOf = None,
) -> None:
    """Follow steel: pile, component, stamp, piece, lot, heat and mill certificate, either way."""
    asked = {"pile": pile, "stamp": stamp, "lot": lot, "heat": heat,
             "certificate": certificate}  # fmt: skip
    given = {by: value for by, value in asked.items() if value is not None}
    if matrix is not None:
        if given or mill is not None or as_json:
            raise WrongUse("--matrix is of the whole job: it goes with --as-of alone.")
        _matrix(folder, matrix, as_of)
        return
    if len(given) != 1:
        raise WrongUse("Name exactly one of --pile, --stamp, --lot, --heat and --certificate.")
    if mill is not None and heat is None:
        raise WrongUse("--mill goes with --heat only.")
    ((by, value),) = given.items()
    assessment = services.assess(folder, moment(as_of))
    found = services.trace(assessment, by, value, mill)
    if as_json:
        answer(rows(found.placed))
        return
    table(found.placed, f"No steel of {by} {value} is placed.")
    length = units.text(found.length_mm, "length_mm", assessment.project.tables.project.system)
    counted = [_counted(found.piles, "pile"), _counted(found.pieces, "piece"), length]
    print(f"\n{by} {value}: {', '.join(counted)}; of each pile its last string.")
    if len(found.store):
        print("\nNot placed:")
        table(found.store, "")


def _matrix(folder: Path, path: Path, as_of: str | None) -> None:
    """The trace matrix of the whole job as a new file."""
    assessment = services.assess(folder, moment(as_of))
    held = services.steel_of(assessment)
    services.write_new(path, services.matrix_file(assessment, held, path.suffix.lower()))
    print(f"Written to {path}: {len(held.chain):,} pieces of steel placed.")


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"

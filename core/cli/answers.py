"""Commands that answer about a project: assess, explain, outstanding, trace, history, verify."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Annotated

import typer

from core import services, units, words
from core.cli.shared import (
    EARLIER_OPTIONS,
    AsJson,
    AsOf,
    Folder,
    as_of_value,
    empty_message,
    plain,
    print_json,
    rows,
    table,
)
from core.criteria.earlier_names import id_of
from core.criteria.kinds import BLOCKS, RESPONSIBLE
from core.errors import WrongUse
from core.subjects.registry import FINDING, FINDING_KIND
from core.words import CAUTIONS

WhatIf = Annotated[
    list[str] | None,
    typer.Option("--what-if", metavar="SENTENCE", help=f"Scenario: {'; '.join(services.FORMS)}."),
]


def assess(
    folder: Folder, as_json: AsJson = False, as_of: AsOf = None, what_if: WhatIf = None
) -> None:
    """Assess every pile: counts by state, and each finding that is open."""
    if what_if:
        _what_if(folder, what_if, as_json, as_of)
        return
    assessment = services.assess(folder, as_of_value(as_of))
    if as_json:
        print_json(services.assessment_object(assessment))
        return
    print(f"{assessment.project.tables.project.name}: entry {assessment.entry}, ", end="")
    print(f"assessed on {assessment.on.isoformat()}")
    print(f"positions accepted: {assessment.accepted_positions} of {assessment.current_positions}")
    for state, number in assessment.counts.items():
        if number:
            print(f"{number:6d}  {state}")
    if assessment.runs_not_closed:
        piles = ", ".join(assessment.piles_not_closed)
        print(f"runs not closed: {assessment.runs_not_closed} ({piles})")
    open_ = assessment.findings[assessment.findings["result"].isin(words.OPEN_RESULTS)]
    print()
    shown = open_.drop(columns="measured").join(
        services.measured_texts(open_, assessment.project.tables.project.system)
    )
    columns = ["subject", "kind", "result", "measured", "limit", "note"]
    table(shown[columns], empty_message(assessment, "No open finding."))
    print(f"\n{words.CAUTIONS[0]}")


def _what_if(folder: Path, texts: list[str], as_json: bool, as_of: str | None) -> None:
    found = services.what_if(folder, texts, as_of_value(as_of))
    if as_json:
        print_json(services.what_if_object(found))
        return
    print(f"Scenario: {'; '.join(found.texts)}. Nothing is stored.")
    print("\n".join(found.notes))
    print(f"\npiles that change their state: {len(found.moved)}")
    named = {"pile_id": "pile", "state": "now", "state_then": "in the scenario"}
    table(found.moved.rename(columns=named), "")
    print(f"\n{words.CAUTIONS[0]}")


def history(folder: Folder, as_json: AsJson = False, as_of: AsOf = None) -> None:
    """List every entry of the ledger: who did what, when, and whether it still stands."""
    entries = services.history(folder, as_of_value(as_of))
    if as_json:
        print_json(rows(entries))
        return
    shown = entries[["entry_no", "entered_at", "person", "act", "source", "rows", "active", "note"]]
    shown = shown.assign(active=shown["active"].map({True: "active", False: "withdrawn"}))
    table(shown.rename(columns={"active": "status"}), "The ledger has no entry yet.")


def changes(
    folder: Folder,
    entry: Annotated[int, typer.Argument(help="Number of the entry.", metavar="ENTRY")],
    as_json: AsJson = False,
) -> None:
    """List what one entry changed: new keys, changed values before and after, removed keys."""
    found = services.entry_changes(folder, entry)
    if as_json:
        print_json(rows(found))
        return
    table(found, f"Entry {entry} changed no record.")


def layouts(folder: Folder, as_json: AsJson = False) -> None:
    """List the remembered layouts: whose files are read how, and who said so."""
    found = services.stored_layouts(folder)
    if as_json:
        print_json([{**row, "reading": json.loads(row["reading"])} for row in rows(found)])
        return
    kinds = [", ".join(json.loads(text)["kinds"]) for text in found["reading"]]
    shown = found.assign(kinds=kinds)[["sender", "mapping_name", "kinds", "entry_no", "person"]]
    table(shown.rename(columns={"mapping_name": "layout"}), "No layout is remembered yet.")


def verify(folder: Folder, as_json: AsJson = False) -> None:
    """Recompute the whole hash chain and every attachment's digest; exit 1 on any fault."""
    faults, head = services.verify(folder)
    if as_json:
        print_json({"head": plain(head), "faults": faults})
    else:
        print("\n".join(faults) if faults else f"The ledger is intact. Head: {head}")
    if faults:
        raise typer.Exit(1)


OnePile = Annotated[str, typer.Argument(help="The pile's number.", metavar="PILE")]


def explain(folder: Folder, pile: OnePile, as_json: AsJson = False, as_of: AsOf = None) -> None:
    """Show the calculation of every number of a pile: equation, inputs, result and source."""
    sheet = services.worksheet(services.assess(folder, as_of_value(as_of)), pile)
    if as_json:
        print_json(services.worksheet_object(sheet))
        return
    if not sheet.steps:
        print(f"Pile {pile} has no number that its records give.")
        return
    subject = ""
    for step in sheet.steps:
        if step.subject != subject:
            subject = step.subject
            print(f"{subject.upper()}\n")
        _print(sheet, step)
    print("\n".join(f"* {caution}" for caution in CAUTIONS[:2]))


def _print(sheet: services.Worksheet, step: services.Step) -> None:
    print(f"{step.title}")
    if step.equation:
        print(f"    {step.equation}")
    texts = [
        f"{put.symbol} = {services.number_text(put.value)} {put.unit}".rstrip()
        for put in step.inputs
    ]
    width = max(map(len, texts), default=0)
    for text, put in zip(texts, step.inputs, strict=True):
        print(f"      {text.ljust(width)}  {put.description}; {sheet.place(put)}")
    note = f"  ({step.note})" if step.note else ""
    print("    " + _equal("", step.value, step.unit) + note)
    print(f"    Source: {step.source}\n")


def _equal(symbol: str, value: float, unit: str) -> str:
    return f"{symbol}= {services.number_text(value, unit)} {unit}".rstrip()


Area = Annotated[list[str] | None, typer.Option("--area", help="Only this area; may be repeated.")]
_LETTERS = ", ".join(f"{letter} {meaning}" for letter, meaning in BLOCKS.items())
Owner = Annotated[
    list[str] | None,
    typer.Option("--responsible", help=f"Only items of these: {', '.join(RESPONSIBLE)}."),
]
Blocks = Annotated[
    str, typer.Option("--blocks", help=f"Only what blocks any of these, such as AC: {_LETTERS}.")
]
Kind = Annotated[
    list[str] | None,
    typer.Option("--finding", help="Only this finding, by its name or id; may be repeated."),
]
Overdue = Annotated[
    bool,
    typer.Option("--overdue", help="Only records and results that were due before the day."),
]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="FILE", help="Write a .csv or .xlsx file.")
]


PRINTED = [
    "Finding", "About", "Area", "Result", "Measured against limit", "Blocks", "Responsible",
    "Age [days]", "Closed by",
]  # fmt: skip


def outstanding(
    folder: Folder,
    as_json: AsJson = False,
    as_of: AsOf = None,
    area: Area = None,
    responsible: Owner = None,
    blocks: Blocks = "",
    finding: Kind = None,
    overdue: Overdue = False,
    out: Out = None,
) -> None:
    """List outstanding items, worst first: what each blocks and who is responsible."""
    assessment = services.assess(folder, as_of_value(as_of))
    areas = assessment.project.tables.areas
    wanted = services.ItemFilter(
        area=_among("area", area or (), areas),
        responsible=_among(
            "responsible", [code.upper() for code in responsible or ()], RESPONSIBLE
        ),
        blocks=_among("blocks", blocks.upper(), BLOCKS),
        kind=_among("finding", map(_word_of, finding or ()), FINDING_KIND),
        overdue=overdue,
    )
    items = services.filtered_items_of(assessment, wanted)
    system = assessment.project.tables.project.system
    if out is not None:
        services.write_new(out, services.items_file(assessment, items, out.suffix.lower(), system))
    if as_json:
        print_json(services.items_object(items))
        return
    shown = services.items_in_words(items, system)[PRINTED]
    table(shown, empty_message(assessment, "Nothing is outstanding."))
    if out is not None:
        print(f"Written to {out}")


def _word_of(kind: str) -> str:
    """The word of a kind of finding that is given by its id, its word or an earlier word."""
    of = id_of(kind)
    return FINDING[of].word if of in FINDING else kind


def _among(option: str, given: Iterable[str], known: Iterable[str]) -> tuple[str, ...]:
    """The values of an option. Raises WrongUse for one that is not known."""
    values, allowed = tuple(given), list(known)
    unknown = [value for value in values if value not in allowed]
    if unknown:
        raise WrongUse(f"--{option} takes {_listed(allowed)}, not {', '.join(unknown)}.")
    return values


def _listed(allowed: Sequence[str]) -> str:
    return ", ".join(allowed) if allowed else "none defined in project.toml"


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
    assessment = services.assess(folder, as_of_value(as_of))
    found = services.trace(assessment, by, value, mill)
    if as_json:
        print_json(rows(found.placed))
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
    assessment = services.assess(folder, as_of_value(as_of))
    held = services.steel_of(assessment)
    services.write_new(path, services.matrix_file(assessment, held, path.suffix.lower()))
    print(f"Written to {path}: {len(held.trace):,} pieces of steel placed.")


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def add_commands(app: typer.Typer) -> None:
    """Add the commands that answer to ``app``."""
    app.command()(assess)
    app.command()(history)
    app.command()(changes)
    app.command()(layouts)
    app.command()(verify)
    app.command()(explain)
    app.command(context_settings=EARLIER_OPTIONS)(outstanding)
    app.command()(trace)

"""Commands that read: assess, history, changes, layouts, verify."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import pandas as pd
import typer

from core import records, services, units, words
from core.cli.shared import AsJson, AsOf, Folder, answer, moment, nothing, plain, rows, table

WhatIf = Annotated[
    list[str] | None,
    typer.Option("--what-if", metavar="SENTENCE", help=f"Scenario: {'; '.join(services.FORMS)}."),
]


def add_commands(app: typer.Typer) -> None:
    """Add the reading commands to ``app``."""
    app.command()(assess)
    app.command()(history)
    app.command()(changes)
    app.command()(layouts)
    app.command()(verify)


def assess(
    folder: Folder, as_json: AsJson = False, as_of: AsOf = None, what_if: WhatIf = None
) -> None:
    """Judge every pile: counts by state, and each finding that is open."""
    if what_if:
        _what_if(folder, what_if, as_json, as_of)
        return
    assessment = services.assess(folder, moment(as_of))
    if as_json:
        answer(services.assessment_object(assessment))
        return
    print(f"{assessment.project.tables.project.name}: entry {assessment.entry}, ", end="")
    print(f"assessed on {assessment.on.isoformat()}")
    print(f"positions accepted: {assessment.satisfied} of {assessment.live}")
    for state, number in assessment.counts.items():
        if number:
            print(f"{number:6d}  {state}")
    if assessment.runs_not_closed:
        piles = ", ".join(assessment.piles_not_closed)
        print(f"runs not closed: {assessment.runs_not_closed} ({piles})")
    open_ = assessment.findings[assessment.findings["result"].isin(words.OPEN_RESULTS)]
    print()
    shown = open_.assign(
        measured=_with_unit(open_["measured"], open_["unit_column"]),
        limit=_with_unit(open_["limit_value"], open_["unit_column"]),
    )
    columns = ["subject", "kind", "result", "measured", "limit", "note"]
    table(shown[columns], nothing(assessment, "No open finding."))
    print(f"\n{words.CAUTIONS[0]}")


def _what_if(folder: Path, texts: list[str], as_json: bool, as_of: str | None) -> None:
    found = services.what_if(folder, texts, moment(as_of))
    if as_json:
        answer(services.what_if_object(found))
        return
    print(f"Scenario: {'; '.join(found.texts)}. Nothing is stored.")
    print("\n".join(found.notes))
    print(f"\npiles that change their state: {len(found.moved)}")
    named = {"pile_id": "pile", "state": "now", "state_then": "then"}
    table(found.moved.rename(columns=named), "")
    print(f"\n{words.CAUTIONS[0]}")


def _with_unit(values: pd.Series[Any], unit_columns: pd.Series[Any]) -> list[str]:
    """Numbers in store units as printed with their unit; nothing where nothing was measured."""
    return [
        "" if pd.isna(value) else f"{value:.{_decimals(column)}f} {units.unit_word(column)}".strip()
        for value, column in zip(values, unit_columns, strict=True)
    ]


def _decimals(unit_column: str) -> int:
    measure = records.MEASURE.get(unit_column)
    return measure.decimals if measure else 3


def history(folder: Folder, as_json: AsJson = False, as_of: AsOf = None) -> None:
    """List every entry of the ledger: who did what, when, and whether it still stands."""
    entries = services.history(folder, moment(as_of))
    if as_json:
        answer(rows(entries))
        return
    shown = entries[["entry_no", "entered_at", "person", "act", "source", "rows", "live", "note"]]
    shown = shown.assign(live=shown["live"].map({True: "active", False: "withdrawn"}))
    table(shown.rename(columns={"live": "now"}), "The ledger has no entry yet.")


def changes(
    folder: Folder,
    entry: Annotated[int, typer.Argument(help="Number of the entry.", metavar="ENTRY")],
    as_json: AsJson = False,
) -> None:
    """List what one entry changed: new keys, changed values before and after, removed keys."""
    found = services.entry_changes(folder, entry)
    if as_json:
        answer(rows(found))
        return
    table(found, f"Entry {entry} changed no record.")


def layouts(folder: Folder, as_json: AsJson = False) -> None:
    """List the remembered layouts: whose files are read how, and who said so."""
    found = services.remembered_layouts(folder)
    if as_json:
        answer([{**row, "reading": json.loads(row["reading"])} for row in rows(found)])
        return
    kinds = [", ".join(json.loads(text)["kinds"]) for text in found["reading"]]
    shown = found.assign(kinds=kinds)[["sender", "mapping_name", "kinds", "entry_no", "person"]]
    table(shown.rename(columns={"mapping_name": "layout"}), "No layout is remembered yet.")


def verify(folder: Folder, as_json: AsJson = False) -> None:
    """Recompute the whole hash chain and every attachment's digest; exit 1 on any fault."""
    faults, head = services.verify(folder)
    if as_json:
        answer({"head": plain(head), "faults": faults})
    else:
        print("\n".join(faults) if faults else f"The ledger is intact. Head: {head}")
    if faults:
        raise typer.Exit(1)

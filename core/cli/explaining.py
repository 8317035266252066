"""The command that shows how each number of a pile comes about."""

from __future__ import annotations

from typing import Annotated

import typer

from core import services
from core.cli.shared import AsJson, AsOf, Folder, answer, moment
from core.words import CAUTIONS

Pile = Annotated[str, typer.Argument(help="The pile's number.", metavar="PILE")]


def add_commands(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command()(explain)


def explain(folder: Folder, pile: Pile, as_json: AsJson = False, as_of: AsOf = None) -> None:
    """Show the chain of every number of a pile: equation, inputs, result and source."""
    sheet = services.worksheet(services.assess(folder, moment(as_of)), pile)
    if as_json:
        answer(services.worksheet_object(sheet))
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

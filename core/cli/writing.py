"""Commands that write: import, accept, withdraw, backup. Each is one act with a name to it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import Progress

from core import flow, records
from core.cli.shared import AsJson, By, Folder, Note, answer, table

Files = Annotated[list[Path], typer.Argument(help="Files to take in.", metavar="FILE...")]
Piles = Annotated[list[str], typer.Argument(help="Numbers of the piles.", metavar="PILE...")]
AsKind = Annotated[
    str | None,
    typer.Option("--as", metavar="KIND", help=f"Take as one kind: {', '.join(records.KIND)}."),
]


def add_commands(app: typer.Typer) -> None:
    """Add the writing commands to ``app``."""
    app.command(name="import")(import_)
    app.command()(accept)
    app.command()(withdraw)
    app.command()(backup)


def import_(
    folder: Folder,
    files: Files,
    by: By = "",
    as_kind: AsKind = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Say it, write nothing.")] = False,
    take_good_rows: Annotated[
        bool, typer.Option("--take-good-rows", help="Leave out rows with a problem or conflict.")
    ] = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="These files win: conflicts and missing rows too.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Take files in as one act: all of them, or nothing and a list of what is wrong."""
    with Progress(console=Console(stderr=True), transient=True, disable=as_json) as bar:
        task = bar.add_task("reading", total=2 * len(files))
        report = flow.import_files(
            folder,
            files,
            by=by,
            choice=flow.ImportChoice(as_kind, dry_run, take_good_rows, replace),
            progress=lambda step: bar.update(task, description=step, advance=1),
        )
    if as_json:
        answer(flow.import_object(report))
    else:
        _say(report)
    if report.refused:
        raise typer.Exit(1)


def _say(report: flow.ImportReport) -> None:
    problems = report.problems
    if len(problems):
        print("Problems:")
        for row in problems.to_dict("records"):
            print(f"  {flow.problem_sentence(row)}")
    if len(report.conflicts):
        print("Conflicts (the standing word is another's; --replace lets the files win):")
        table(report.conflicts, "")
    if report.refused:
        print("Nothing was written.")
        return
    entries = ", ".join(map(str, report.entries))
    if report.dry_run:
        print("Nothing was written; it would do this:")
    else:
        print(f"Wrote entries: {entries}." if entries else "Wrote nothing: all of it is known.")
    for name, number in report.rows.items():
        if number:
            print(f"{number:8d}  rows {name.replace('_', ' ')}")
    if len(report.missing_keys):
        print(f"{len(report.missing_keys):8d}  rows of the earlier version are not in the new one:")
        table(report.missing_keys, "")


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

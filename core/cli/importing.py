"""The command that imports files, and how it prints what it did or why it did nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import pandas as pd
import typer
from rich.console import Console
from rich.progress import Progress

from core import records, services
from core.cli.shared import AsJson, By, Folder, one_line, print_json, progress_text, table
from core.errors import WrongUse

Paths = Annotated[
    list[Path],
    typer.Argument(help="Files to import; a folder means all files in it.", metavar="PATH..."),
]
_KINDS = ", ".join(kind.name for kind in records.KINDS if kind.from_files)
AsKind = Annotated[
    str | None, typer.Option("--as", metavar="KIND", help=f"Read as one record kind: {_KINDS}.")
]
_SHORT_ORDERS = {
    "ymd": "year month day",
    "dmy": "day month year",
    "mdy": "month day year",
}
_ORDERS = [*_SHORT_ORDERS, *_SHORT_ORDERS.values(), "day number"]
DateOrder = Annotated[
    str,
    typer.Option("--date-order", metavar="ORDER", help=f"Order of dates: {', '.join(_ORDERS)}."),
]
_KIND = "differential|line"
PressureKind = Annotated[
    str,
    typer.Option(
        "--pressure-kind",
        metavar=_KIND,
        help="Of pressures in logs whose heading does not state it; remembered with --sender.",
    ),
]
PressureReturn = Annotated[
    str,
    typer.Option(
        "--pressure-return",
        metavar="PRESSURE",
        help="Return pressure assumed beside line pressures: '8 bar', or 'not recorded'.",
    ),
]
CurveKind = Annotated[
    str,
    typer.Option(
        "--curve-pressure-kind", metavar=_KIND, help="The same of calibration certificates."
    ),
]
CurveReturn = Annotated[
    str,
    typer.Option(
        "--curve-pressure-return",
        metavar="PRESSURE",
        help="Return pressure assumed on calibration certificates by line pressure.",
    ),
]
NotRead = Annotated[
    list[str] | None,
    typer.Option(
        "--not-read",
        metavar="HEADING",
        help="A column not to be read (may be repeated); remembered with --sender.",
    ),
]


PileNumbers = Annotated[
    list[str] | None,
    typer.Option(
        "--pile-number",
        metavar="WRITTEN=PILE",
        help="Which pile a number of the files means; 41=41 confirms 41 as a pile of its own.",
    ),
]


def add_commands(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command(name="import")(import_)


def import_(
    folder: Folder,
    paths: Paths,
    by: By = "",
    as_kind: AsKind = None,
    sender: Annotated[
        str,
        typer.Option("--sender", help="Received from (crew, surveyor, supplier): its layouts."),
    ] = "",
    date_order: DateOrder = "",
    decimal: Annotated[
        str, typer.Option("--decimal", metavar="point|comma", help="Decimal mark of the files.")
    ] = "",
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Preview only.")] = False,
    skip_bad_rows: Annotated[
        bool, typer.Option("--skip-bad-rows", help="Skip rows with a problem or conflict.")
    ] = False,
    pressure_kind: PressureKind = "",
    pressure_return: PressureReturn = "",
    curve_kind: CurveKind = "",
    curve_return: CurveReturn = "",
    not_read: NotRead = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace current values, and remove missing rows.")
    ] = False,
    pile_number: PileNumbers = None,
    as_json: AsJson = False,
) -> None:
    """Import files: all of them, or none and a list of what is wrong."""
    answered = _answered((pressure_kind, pressure_return), (curve_kind, curve_return))
    choice = services.ImportChoice(
        as_kind, dry_run, skip_bad_rows, replace, sender, _order(date_order), _decimal(decimal),
        answered, tuple(not_read or ()), sender if answered or not_read else "",
        pile_numbers=_pile_numbers(pile_number or []),
    )  # fmt: skip
    with Progress(console=Console(stderr=True), transient=True, disable=as_json) as bar:
        task = bar.add_task("reading", total=None)
        report = services.import_files(
            folder,
            paths,
            by=by,
            choice=choice,
            progress=lambda step: bar.update(task, description=progress_text(step)),
            check=lambda report: _check_not_read(report, choice.not_read, as_json),
        )
    if as_json:
        print_json(services.import_object(report))
    else:
        _print(report)
    if report.refused:
        raise typer.Exit(1)


def _answered(pressure: tuple[str, str], curve: tuple[str, str]) -> dict[str, tuple[str, str]]:
    """What is answered of pressures, in logs and on certificates."""
    given = {"pressure": pressure, "curve pressure": curve}
    return {name: print_json for name, print_json in given.items() if any(print_json)}


def _order(text: str) -> str:
    if text and text not in _ORDERS:
        raise WrongUse(f"--date-order is one of: {', '.join(_ORDERS)}; not {text!r}.")
    return _SHORT_ORDERS.get(text, text)


def _decimal(text: str) -> str:
    if text not in ("", "point", "comma"):
        raise WrongUse(f"--decimal is point or comma, not {text!r}.")
    return text


def _check_not_read(
    report: services.ImportReport, dismissed: tuple[str, ...], as_json: bool
) -> None:
    """Print the columns that are not read, before anything is written.

    Raises WrongUse for a dismissed heading that none of them has; beside other problems it is
    only printed.
    """
    unknown = [f"--not-read {name!r}" for name in services.unknown_columns(report, dismissed)]
    text = (
        f"{', '.join(unknown)}: no column that is not read has this heading. "
        "Write the heading as the file has it, with its unit."
    )
    if unknown and report.problems.empty:
        raise WrongUse(text)
    if as_json:
        return
    if unknown:
        print(text)
    if len(report.not_read):
        print("Columns not read:")
        for row in report.not_read.to_dict("records"):
            print(f"  {one_line(services.not_read_sentence(row))}")


def _pile_numbers(answers: list[str]) -> dict[str, str]:
    found = {}
    for text in answers:
        written, _, meant = (part.strip() for part in text.partition("="))
        if not written or not meant:
            raise WrongUse(f'--pile-number is written as "WRITTEN=PILE", not {text!r}.')
        found[written] = meant
    return found


def _print(report: services.ImportReport) -> None:
    if len(report.problems):
        print("Problems:")
        for row in report.problems.to_dict("records"):
            print(f"  {one_line(services.problem_sentence(row))}")
    if len(report.conflicts):
        print("Conflicts with current values of another source (--replace replaces them):")
        table(_with_origin(report.conflicts), "")
    if len(report.notices):
        print("Notices:")
        for row in report.notices.to_dict("records"):
            print(f"  {one_line(services.notice_sentence(row))}")
    if report.refused:
        print("Nothing was written.")
        return
    _print_done(report)


def _print_done(report: services.ImportReport) -> None:
    entries = ", ".join(map(str, report.entries))
    if report.dry_run:
        print("Preview only, nothing was written. The import would do this:")
    else:
        print(
            f"Wrote entries: {entries}." if entries else "Wrote nothing: every row is a duplicate."
        )
    for name, number in report.rows.items():
        if number:
            print(f"{number:8d}  rows {services.ROW_WORDS[name]}")
    if len(report.missing_keys):
        print(
            f"{len(report.missing_keys):8d}  rows of the earlier version are not in the new one; "
            "--replace removes them, without it they stay current:"
        )
        table(report.missing_keys, "")


def _with_origin(conflicts: pd.DataFrame) -> pd.DataFrame:
    """Conflicts as a person reads them: both values side by side, and who gave the current one."""
    origins: list[Any] = []
    for row in conflicts.to_dict("records"):
        if pd.isna(row["current_entry_no"]):
            origins.append(f"{row['current_file']} of this command")
            continue
        where = row["current_file"] or "form"
        if pd.notna(row["current_row"]) and row["current_file"]:
            where += f" row {row['current_row']}"
        origins.append(
            f"{row['person']}, {row['entered_at']:%Y-%m-%d %H:%M} UTC, entry "
            f"{row['current_entry_no']}, {where}"
        )
    shown = ["file", "sheet", "row", "key", "column", "value", "current_value"]
    return conflicts[shown].assign(current_value_from=origins)

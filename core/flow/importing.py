"""The corridor of intake: files are read and checked, staged against the ledger, and appended.

One command is one transaction: one entry per file, kinds in dependency order, all or nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd

from core import intake, project, records
from core.errors import WrongUse
from core.intake import Taken
from core.project import Project
from core.store import Ledger, NewEntry, Staged, Writer

Progress = Callable[[str], object]
ROWS = ("added", "superseded", "unchanged", "witnessed", "removed", "left_out")
CONFLICT_COLUMNS = ("kind", "file", "sheet", "row", "key", "column", "here", "standing", "source")
MISSING_COLUMNS = ("kind", "file", "sheet", "key")


@dataclass(frozen=True)
class ImportChoice:
    """How files are taken in: as one kind, only tried, without their bad rows, or winning."""

    as_kind: str | None = None
    dry_run: bool = False
    take_good_rows: bool = False
    replace: bool = False


@dataclass
class ImportReport:
    """What an import did, or why it did nothing. Counts are over all files and kinds."""

    dry_run: bool = False
    refused: bool = False
    entries: list[int] = field(default_factory=list)
    rows: dict[str, int] = field(default_factory=lambda: dict.fromkeys(ROWS, 0))
    problems: pd.DataFrame = field(default_factory=records.no_problems)
    conflicts: pd.DataFrame = field(
        default_factory=lambda: pd.DataFrame(columns=list(CONFLICT_COLUMNS))
    )
    missing_keys: pd.DataFrame = field(
        default_factory=lambda: pd.DataFrame(columns=list(MISSING_COLUMNS))
    )


class _NothingWritten(Exception):
    """Leaves the transaction without writing; never seen outside this module."""


def import_files(
    folder: Path,
    files: Sequence[Path],
    *,
    by: str,
    choice: ImportChoice | None = None,
    progress: Progress = lambda step: None,
) -> ImportReport:
    """Take ``files`` in as one act.

    A problem or an unsettled conflict stops everything unless ``take_good_rows`` leaves those
    rows out; the report says what it was. Raises ProjectError, WrongUse, StoreBusy, StoreTooNew.
    """
    choice = choice or ImportChoice()
    settings = project.load(folder)
    person = settings.person(by).name if by else _only_person(settings)
    contents = [(path.name, _content(path)) for path in files]
    taken = []
    for name, content in contents:
        progress(f"reading {name}")
        taken.append(intake.take(content, name, settings, choice.as_kind))
    report = ImportReport(dry_run=choice.dry_run)
    report.problems = _joined([report.problems, *(one.problems for one in taken)])
    report.rows["left_out"] = sum(one.rows_left_out for one in taken)
    if len(report.problems) and not choice.take_good_rows:
        report.refused = True
        return report
    ledger = Ledger(folder)
    if not choice.dry_run:
        for _, content in contents:
            ledger.attach(content)
    _append(ledger, settings, person, taken, choice, report, progress)
    return report


def _append(
    ledger: Ledger,
    settings: Project,
    person: str,
    taken: list[Taken],
    choice: ImportChoice,
    report: ImportReport,
    progress: Progress,
) -> None:
    try:
        with ledger.write() as writer:
            writer.record_settings(settings.text, person)
            for one in sorted(taken, key=_dependency):
                progress(f"storing {one.file}")
                _append_file(writer, one, person, choice, report)
            unsettled = len(report.conflicts) or len(report.problems)
            report.refused = bool(unsettled) and not choice.take_good_rows
            if report.refused or choice.dry_run:
                raise _NothingWritten
    except _NothingWritten:
        if report.refused:
            report.entries = []


def _append_file(
    writer: Writer, one: Taken, person: str, choice: ImportChoice, report: ImportReport
) -> None:
    staged: dict[str, Staged] = {}
    for kind in records.KIND:
        if kind not in one.frames:
            continue
        found = writer.stage(kind, one.frames[kind], one.file, choice.replace, waiting=staged)
        staged[kind] = found
        status = found.frame["status"].value_counts()
        for name in ("added", "superseded", "unchanged", "witnessed"):
            report.rows[name] += int(status.get(name, 0))
        report.rows["removed"] += len(found.removed)
        lost = int(status.get("conflict", 0) + status.get("missing reference", 0))
        report.rows["left_out"] += lost
        report.conflicts = _joined([report.conflicts, _with_file(found.conflicts, kind, one.file)])
        report.missing_keys = _joined(
            [report.missing_keys, _with_file(found.missing_keys, kind, one.file)]
        )
        report.problems = _joined([report.problems, _missing_references(found, kind, one.file)])
    entry = writer.append(
        NewEntry(
            person=person, act="file", source=one.file, sha256=one.sha256, mapping=one.mapping
        ),
        staged,
    )
    if entry is not None:
        report.entries.append(entry)


def _missing_references(staged: Staged, kind: str, file: str) -> pd.DataFrame:
    """Rows that refer to something the ledger does not hold, as problems."""
    lost = staged.frame[staged.frame["status"].eq("missing reference")]
    described = records.KIND[kind]
    wanted = {"torque_reading": "run", "calibration": "instrument"}.get(kind, "calibration")
    key = records.KIND[wanted].key
    value = lost[list(key)].agg(" / ".join, axis=1) if len(lost) else lost["sheet"]
    return pd.DataFrame(
        {
            "kind": "unknown reference",
            "file": file,
            "sheet": lost["sheet"],
            "row": lost["row_no"],
            "column": key[0],
            "value": value,
            "problem": f"A {described.word} needs its {wanted}; none is known.",
            "remedy": f"Take in the file with the {wanted} first, or correct the number.",
        }
    )


def problem_sentence(row: dict[Any, Any]) -> str:
    """One problem as a sentence: file, sheet, row, column, value, what is wrong, what to do."""
    place = [str(row["file"])]
    if row["sheet"]:
        place.append(f"sheet {row['sheet']}")
    if pd.notna(row["row"]):
        place.append(f"row {int(row['row'])}")
    if row["column"]:
        place.append(f"column {row['column']}")
    if isinstance(row["value"], str) and row["value"]:
        place.append(f"“{row['value']}”")
    return f"{', '.join(place)}: {row['problem']} {row['remedy']}"


def _dependency(one: Taken) -> int:
    return max((list(records.KIND).index(kind) for kind in one.frames), default=0)


def _joined(frames: list[pd.DataFrame]) -> pd.DataFrame:
    filled = [frame for frame in frames if len(frame)]
    return pd.concat(filled, ignore_index=True) if filled else frames[0]


def _with_file(frame: pd.DataFrame, kind: str, file: str) -> pd.DataFrame:
    return frame.assign(kind=kind, file=file)


def _content(path: Path) -> bytes:
    if not path.is_file():
        kind = "a folder" if path.is_dir() else "not there"
        raise WrongUse(f"{path} is {kind}; name a file.")
    return path.read_bytes()


def _only_person(settings: Project) -> str:
    people = settings.tables.people
    if len(people) == 1:
        return people[0].name
    known = ", ".join(person.name for person in people) or "nobody; add them to project.toml"
    raise WrongUse(f"Say who takes the files in with --by NAME (registered: {known}).")

"""The corridor of intake: files are read and checked, staged against the ledger, and appended.

One command is one transaction: one entry per file, kinds in dependency order, all or nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
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
CONFLICT_COLUMNS = (
    "kind",
    "file",
    "sheet",
    "row",
    "key",
    "column",
    "value",
    "standing_value",
    "standing_file",
    "standing_row",
    "standing_entry_no",
)
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
    _refuse_equal_names([name for name, _ in contents])
    taken = []
    for name, content in contents:
        progress(f"reading {name}")
        taken.append(intake.take(content, name, settings, intake.How(choice.as_kind)))
    report = ImportReport(dry_run=choice.dry_run)
    report.problems = _joined([report.problems, *(one.problems for one in taken)])
    report.rows["left_out"] = sum(one.rows_left_out for one in taken)
    # Rows left out would look like rows gone, which --replace removes.
    if len(report.problems) and (choice.replace or not choice.take_good_rows):
        report.refused = True
        return report
    _append(folder, settings, person, _Files(taken, contents), choice, report, progress)
    return report


@dataclass(frozen=True)
class _Files:
    """Files as taken, in dependency order, and their bytes by name."""

    taken: list[Taken]
    contents: list[tuple[str, bytes]]

    def __iter__(self) -> Iterator[tuple[Taken, bytes]]:
        pairs = zip(self.taken, (content for _, content in self.contents), strict=True)
        return iter(sorted(pairs, key=lambda pair: _dependency(pair[0])))


def _append(
    folder: Path,
    settings: Project,
    person: str,
    files: _Files,
    choice: ImportChoice,
    report: ImportReport,
    progress: Progress,
) -> None:
    with Ledger(folder).write() as writer:
        writer.record_settings(settings.text, person)
        staged = []
        for one, content in files:
            progress(f"comparing {one.file}")
            staged.append((one, content, _stage_file(writer, one, choice, report)))
        unsettled = len(report.conflicts) or len(report.problems)
        lost = len(report.problems) and choice.replace
        report.refused = bool(lost or (unsettled and not choice.take_good_rows))
        if report.refused or choice.dry_run:
            writer.discard()
            return
        for one, content, found in staged:
            progress(f"storing {one.file}")
            if any(len(part.writes) for part in found.values()):
                writer.attach(content)
            new = NewEntry(person, "file", one.file, one.sha256, mapping=one.mapping)
            entry = writer.append(new, {kind: part.writes for kind, part in found.items()})
            if entry is not None:
                report.entries.append(entry)


def _stage_file(
    writer: Writer, one: Taken, choice: ImportChoice, report: ImportReport
) -> dict[str, Staged]:
    staged = {
        kind: writer.stage(kind, one.frames[kind], one.file, choice.replace)
        for kind in records.KIND
        if kind in one.frames
    }
    for kind, found in staged.items():
        for status in ("added", "superseded", "unchanged", "witnessed"):
            report.rows[status] += found.count(status)
        report.rows["removed"] += len(found.removals)
        report.rows["left_out"] += found.count("conflict") + found.count("missing reference")
        report.conflicts = _joined([report.conflicts, _conflicts(found, kind, one.file)])
        report.missing_keys = _joined([report.missing_keys, _missing_keys(found, kind, one.file)])
        report.problems = _joined([report.problems, _missing_references(found, kind, one.file)])
    return staged


def _conflicts(staged: Staged, kind: str, file: str) -> pd.DataFrame:
    """One row per value that differs from another's standing word."""
    found = staged.conflicts.assign(kind=kind, file=file, key=_key(staged.conflicts, kind))
    renamed = {"row_no": "row", "standing_row_no": "standing_row"}
    return found.rename(columns=renamed)[list(CONFLICT_COLUMNS)]


def _missing_keys(staged: Staged, kind: str, file: str) -> pd.DataFrame:
    """One row per key that the earlier version of the file holds and this one does not."""
    gone = staged.missing_keys
    return gone.assign(kind=kind, file=file, key=_key(gone, kind))[list(MISSING_COLUMNS)]


def _key(frame: pd.DataFrame, kind: str) -> pd.Series:
    parts = [frame[name].astype("str") for name in records.KIND[kind].key]
    return pd.concat(parts, axis=1).agg(" / ".join, axis=1) if len(frame) else parts[0]


def _missing_references(staged: Staged, kind: str, file: str) -> pd.DataFrame:
    """Rows that refer to something the ledger does not hold, as problems."""
    lost = staged.frame[staged.frame["staged_as"].eq("missing reference")]
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


def _refuse_equal_names(names: list[str]) -> None:
    """A file's name is whose word its rows are: two of one name would speak as one."""
    folded = [name.casefold() for name in names]
    twice = sorted({name for name in names if folded.count(name.casefold()) > 1})
    if twice:
        raise WrongUse(
            f"Two files are called {' / '.join(twice)}. Rename one, or take them in one by one "
            "when the second corrects the first."
        )


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

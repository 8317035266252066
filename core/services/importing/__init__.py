"""Files are imported: read and checked, staged against the ledger, and appended.

One command is one transaction: one entry per file, kinds in dependency order, all or nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from core import readers, records
from core.errors import WrongUse
from core.ledger import Ledger, NewEntry, Staged, Writer
from core.readers import ParsedFile
from core.records import Kind, Reference
from core.services.importing.batch import (
    KEPT,
    Content,
    ImportBatch,
    contents_by_name,
    contents_of,
    notice_future_dates,
    read_batch,
)
from core.services.importing.layouts import read_options, remember_answers, remembered
from core.services.importing.pile_numbers import with_recorded_numbers
from core.services.importing.report import (
    CONFLICT_COLUMNS,
    MISSING_COLUMNS,
    ImportChoice,
    ImportReport,
    Progress,
    Resolutions,
    joined,
)
from core.settings import Project, load_project

Check = Callable[[ImportReport], object]


def _no_check(report: ImportReport) -> None:
    """Accept whatever was read."""


def import_files(
    folder: Path,
    files: Sequence[Path],
    *,
    by: str,
    choice: ImportChoice | None = None,
    progress: Progress = lambda step: None,
    today: date | None = None,
    check: Check = _no_check,
) -> ImportReport:
    """Import ``files``, and all files of the folders among them, all or nothing.

    A problem or an unsettled conflict stops everything unless ``skip_bad_rows`` leaves those
    rows out; the report lists them. ``progress`` is called with every step before it is done; what
    it raises undoes all of them. ``check`` is called with the report when the files are read and
    nothing is written yet. ``today`` is the day by this machine's clock unless given. Raises
    ProjectError, WrongUse, StoreBusy, StoreTooNew.
    """
    return _import(
        folder,
        lambda report: contents_of(folder, files, report),
        by,
        choice,
        progress,
        today,
        check,
    )


def import_contents(
    folder: Path,
    contents: Sequence[Content],
    *,
    by: str,
    choice: ImportChoice | None = None,
    progress: Progress = lambda step: None,
    today: date | None = None,
) -> ImportReport:
    """Import files given by name and content, as ``import_files`` does."""
    return _import(
        folder, lambda report: contents_by_name(contents, report), by, choice, progress, today
    )


def _import(
    folder: Path,
    found: Callable[[ImportReport], list[Content]],
    by: str,
    choice: ImportChoice | None,
    progress: Progress,
    today: date | None,
    check: Check = _no_check,
) -> ImportReport:
    choice = choice or ImportChoice()
    settings = load_project(folder)
    person = settings.person(by).name if by else _only_person(settings)
    report = ImportReport(dry_run=choice.dry_run)
    contents = found(report)
    with Ledger(folder).read() as reader:
        how = read_options(choice, *remembered(reader, choice))

    def parse(name: str, content: bytes) -> ParsedFile:
        return readers.parse_file(content, name, settings, how)

    batch = read_batch(contents, parse, report, progress)
    check(report)
    # Rows left out would look like rows gone, which --replace removes.
    if len(report.problems) and (choice.replace or not choice.skip_bad_rows):
        report.refused = True
        return report
    with Ledger(folder).write() as writer:
        notice_future_dates(batch, settings, writer.last_entered_at(), today, report)
        writer.record_settings(settings.text, person)
        batch = with_recorded_numbers(batch, writer, choice.pile_numbers, report)
        Import(writer, person, choice, report, progress).run(batch)
    return report


def _only_person(settings: Project) -> str:
    people = settings.tables.people
    if len(people) == 1:
        return people[0].name
    known = ", ".join(person.name for person in people) or "none; add people to project.toml"
    raise WrongUse(f"Name who imports the files with --by NAME (registered: {known}).")


@dataclass
class Import:
    """One import inside its transaction: the person, the choice, and the report that it fills."""

    writer: Writer
    person: str
    choice: ImportChoice
    report: ImportReport
    progress: Progress
    entries: pd.DataFrame = field(init=False)

    def __post_init__(self) -> None:
        self.entries = self.writer.entries()

    def run(self, batch: ImportBatch) -> None:
        """Append the whole batch, or nothing when a problem or conflict stops it."""
        number = len(batch.tables)
        staged = []
        for at, (one, content) in enumerate(batch, start=1):
            staged.append((one, content, self._stage(one, f"{one.file} ({at} of {number})")))
        self.report.refused = self._stopped
        if self.report.refused or self.choice.dry_run:
            self.writer.discard()
            return
        for at, (one, content, found) in enumerate(staged, start=1):
            self._append(one, content, found, f"{one.file} ({at} of {number})")
        self._keep(batch)
        answered = remember_answers(self.writer, self.choice, self.person)
        if answered is not None:
            self.report.entries.append(answered)
            self.report.notice(
                "", f"answers about headings remembered for {self.choice.answers_of}"
            )

    @property
    def _stopped(self) -> bool:
        lost = len(self.report.problems) and self.choice.replace
        open_ = len(self.report.conflicts) or len(self.report.problems)
        return bool(lost or (open_ and not self.choice.skip_bad_rows))

    def _stage(self, one: ParsedFile, of_file: str) -> dict[str, Staged]:
        staged: dict[str, Staged] = {}
        for kind in (name for name in records.KIND if name in one.frames):
            self.progress(f"comparing {records.KIND[kind].word}s of {of_file}")
            frame = with_resolutions(one.frames[kind], kind, one.file, self.choice.settled)
            if self.choice.skip_bad_rows:
                frame = self._without_doubtful_parent(frame, kind, one.file, staged)
            staged[kind] = self.writer.stage(kind, frame, one.file, self.choice.replace)
            self._count(staged[kind], kind, one)
        if staged and not any(len(found.writes) for found in staged.values()):
            self._notice_all_known(one, staged)
        return staged

    def _without_doubtful_parent(
        self, frame: pd.DataFrame, kind: str, file: str, staged: Mapping[str, Staged]
    ) -> pd.DataFrame:
        """``frame`` without rows whose run (or certificate) is in conflict and so left out."""
        for reference in records.KIND[kind].needs:
            parent = reference.parent.name
            if parent not in staged:
                continue
            lost = still_in_conflict(staged[parent], parent, file, self.report.conflicts)
            gone = refers_to(frame, lost, reference)
            self.report.rows["skipped"] += int(gone.sum())
            frame = frame[~gone].reset_index(drop=True)
        return frame

    def _count(self, found: Staged, kind: str, one: ParsedFile) -> None:
        report, file = self.report, one.file
        for status in ("added", "superseded", "unchanged", "corroborated"):
            report.rows[status] += found.count(status)
        report.rows["removed"] += len(found.removals)
        report.rows["skipped"] += found.count("conflict") + found.count("missing reference")
        conflicts = conflicts_of(found, kind, file, self.entries)
        conflicts = unsettled(conflicts, self.choice.settled)
        report.conflicts = joined([report.conflicts, conflicts])
        report.missing_keys = joined([report.missing_keys, missing_keys_of(found, kind, file)])
        report.problems = joined([report.problems, missing_references_of(found, one)])

    def _notice_all_known(self, one: ParsedFile, staged: Mapping[str, Staged]) -> None:
        if all(found.count("unchanged") == len(found.frame) for found in staged.values()):
            self.report.notice(one.file, "every row is a duplicate")

    def _append(
        self, one: ParsedFile, content: bytes, staged: Mapping[str, Staged], of_file: str
    ) -> None:
        writes = {kind: found.writes for kind, found in staged.items()}
        if any(len(rows) for rows in writes.values()):
            self.progress(f"keeping {of_file}")
            self.writer.attach(content)
        new = NewEntry(self.person, "file", one.file, one.sha256, mapping=one.mapping)
        entry = self.writer.append(
            new,
            writes,
            lambda kind: self.progress(f"storing {records.KIND[kind].word}s of {of_file}"),
        )
        if entry is not None:
            self.report.entries.append(entry)

    def _keep(self, batch: ImportBatch) -> None:
        for at, one in enumerate(batch.papers, start=1):
            self.progress(f"keeping {one.file} ({at} of {len(batch.papers)})")
            entry = self.writer.keep(NewEntry(self.person, "attachment", one.file), one.content)
            if entry is not None:
                self.report.entries.append(entry)
            self.report.notice(one.file, KEPT if entry is not None else "already stored")


def with_resolutions(
    frame: pd.DataFrame, kind: str, file: str, settled: Resolutions
) -> pd.DataFrame:
    """``frame`` with the entry that the person saw where the file's value was chosen.

    A plain "file" replaces whatever is current.
    """
    chosen = {
        (sheet, row): (0 if entry_no is None else entry_no, isinstance(decision, str))
        for (of_kind, of_file, sheet, row), decision in settled.items()
        for who, entry_no in [_decision(decision)]
        if who == "file" and (of_kind, of_file) == (kind, file)
    }
    if not chosen:
        return frame
    places = zip(frame["sheet"], frame["row_no"], strict=True)
    said = [chosen.get(place, (None, False)) for place in places]
    saw = pd.array([entry_no for entry_no, _ in said], dtype="Int64")
    return frame.assign(saw_entry_no=saw, wins=[wins for _, wins in said])


def conflicts_of(staged: Staged, kind: str, file: str, entries: pd.DataFrame) -> pd.DataFrame:
    """One row per value that differs from another source's current value, and who gave that."""
    found = staged.conflicts.assign(kind=kind, file=file, key=_key(staged.conflicts, kind))
    said = entries.set_index("entry_no")[["person", "entered_at"]]
    found = found.join(said, on="current_entry_no")
    renamed = {"row_no": "row", "current_row_no": "current_row"}
    return found.rename(columns=renamed)[list(CONFLICT_COLUMNS)]


def unsettled(conflicts: pd.DataFrame, settled: Resolutions) -> pd.DataFrame:
    """Conflicts but those where the current value was chosen, and is still the one seen."""
    chosen = {
        place: _decision(decision)
        for place, decision in settled.items()
        if _decision(decision)[0] == "current"
    }
    open_ = [not _is_kept(row, chosen, settled) for row in conflicts.to_dict("records")]
    return conflicts[open_].reset_index(drop=True)


def still_in_conflict(
    staged: Staged, kind: str, file: str, conflicts: pd.DataFrame
) -> pd.DataFrame:
    """The rows of one file and kind that are still in conflict."""
    own = conflicts[conflicts["kind"].eq(kind) & conflicts["file"].eq(file)]
    places = set(zip(own["sheet"], own["row"], strict=True))
    here = zip(staged.frame["sheet"], staged.frame["row_no"], strict=True)
    return staged.frame[np.array([place in places for place in here], dtype="bool")]


def refers_to(frame: pd.DataFrame, rows: pd.DataFrame, reference: Reference) -> pd.Series[bool]:
    """Which rows of ``frame`` refer to one of ``rows``, which are of the reference's parent."""
    known = pd.MultiIndex.from_frame(rows[list(reference.columns.values())].astype("str"))
    own = pd.MultiIndex.from_frame(frame[list(reference.columns)].astype("str"))
    return pd.Series(own.isin(known), index=frame.index)


def _is_kept(
    row: Mapping[Any, Any], chosen: Mapping[Any, tuple[str, int | None]], settled: Resolutions
) -> bool:
    place = (row["kind"], row["file"], row["sheet"], row["row"])
    if place not in chosen:
        return False
    if isinstance(settled[place], str):
        return True
    seen, stands = chosen[place][1], row["current_entry_no"]
    return pd.isna(stands) if seen is None else bool(pd.notna(stands) and stands == seen)


def _decision(decision: str | tuple[str, int | None]) -> tuple[str, int | None]:
    who, entry_no = (decision, None) if isinstance(decision, str) else decision
    if who not in ("file", "current"):
        raise WrongUse(f"A conflict is settled for the file or for the current value, not {who!r}.")
    return who, entry_no


def missing_keys_of(staged: Staged, kind: str, file: str) -> pd.DataFrame:
    """One row per key that the earlier version of the file holds and this one does not."""
    gone = staged.missing_keys
    return gone.assign(kind=kind, file=file, key=_key(gone, kind))[list(MISSING_COLUMNS)]


def _key(frame: pd.DataFrame, kind: str) -> pd.Series[Any]:
    parts = [frame[name].astype("str") for name in records.KIND[kind].key]
    return pd.concat(parts, axis=1).agg(" / ".join, axis=1) if len(frame) else parts[0]


def missing_references_of(staged: Staged, one: ParsedFile) -> pd.DataFrame:
    """Rows of one file that refer to something the ledger does not hold, as problems."""
    described = records.KIND[staged.kind]
    parts = [records.no_problems()]
    for reference in described.needs:
        lost = staged.frame[staged.frame["lacks"].eq(reference.parent.name)]
        if len(lost):
            parts.append(_problems_without_parent(lost, one, described, reference))
    return joined(parts)


def _problems_without_parent(
    lost: pd.DataFrame, one: ParsedFile, described: Kind, reference: Reference
) -> pd.DataFrame:
    own = list(reference.columns)
    parts = lost[own].astype("str").to_numpy(dtype=object)
    parent = reference.parent.word
    return pd.DataFrame(
        {
            "kind": "unknown reference",
            "file": one.file,
            "sheet": lost["sheet"],
            "row": lost["row_no"],
            "column": [one.heading(sheet, described.name, own[0]) for sheet in lost["sheet"]],
            "value": [" / ".join(part for part in row if part) for row in parts],
            "problem": f"A {described.word} needs its {parent}; none of this number is known.",
            "remedy": f"Import the file with the {parent} first or together with this one, or "
            "correct the number.",
        }
    )

"""Files as read into the ledger: compared with what stands, then appended, one entry per file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from core import records
from core.ledger import NewEntry, Staged, Writer
from core.readers import Taken
from core.services.importing.choice import ImportChoice, ImportReport, Progress, joined
from core.services.importing.conflicts import (
    conflicts_of,
    contested,
    missing_keys_of,
    missing_references_of,
    refers_to,
    unsettled,
    with_settled,
)
from core.services.importing.how import remember_answers
from core.services.importing.reading import KEPT, Handed


@dataclass
class Act:
    """One command inside its transaction: who, how, and the report that it fills."""

    writer: Writer
    person: str
    choice: ImportChoice
    report: ImportReport
    progress: Progress
    entries: pd.DataFrame = field(init=False)

    def __post_init__(self) -> None:
        self.entries = self.writer.entries()

    def do(self, handed: Handed) -> None:
        """Everything handed in, or nothing when something stands against it."""
        number = len(handed.tables)
        staged = []
        for at, (one, content) in enumerate(handed, start=1):
            staged.append((one, content, self._stage(one, f"{one.file} ({at} of {number})")))
        self.report.refused = self._stopped
        if self.report.refused or self.choice.dry_run:
            self.writer.discard()
            return
        for at, (one, content, found) in enumerate(staged, start=1):
            self._append(one, content, found, f"{one.file} ({at} of {number})")
        self._keep(handed)
        answered = remember_answers(self.writer, self.choice, self.person)
        if answered is not None:
            self.report.entries.append(answered)
            self.report.remark(
                "", f"answers about headings remembered for {self.choice.answers_of}"
            )

    @property
    def _stopped(self) -> bool:
        lost = len(self.report.problems) and self.choice.replace
        open_ = len(self.report.conflicts) or len(self.report.problems)
        return bool(lost or (open_ and not self.choice.take_good_rows))

    def _stage(self, one: Taken, of_file: str) -> dict[str, Staged]:
        staged: dict[str, Staged] = {}
        for kind in (name for name in records.KIND if name in one.frames):
            self.progress(f"comparing {records.KIND[kind].word}s of {of_file}")
            frame = with_settled(one.frames[kind], kind, one.file, self.choice.settled)
            if self.choice.take_good_rows:
                frame = self._with_sure_parent(frame, kind, one.file, staged)
            staged[kind] = self.writer.stage(kind, frame, one.file, self.choice.replace)
            self._count(staged[kind], kind, one)
        if staged and not any(len(found.writes) for found in staged.values()):
            self._say_known(one, staged)
        return staged

    def _with_sure_parent(
        self, frame: pd.DataFrame, kind: str, file: str, staged: Mapping[str, Staged]
    ) -> pd.DataFrame:
        """``frame`` without rows whose run (or certificate) is in conflict and so left out."""
        for reference in records.KIND[kind].needs:
            parent = reference.parent.name
            if parent not in staged:
                continue
            lost = contested(staged[parent], parent, file, self.report.conflicts)
            gone = refers_to(frame, lost, reference)
            self.report.rows["left_out"] += int(gone.sum())
            frame = frame[~gone].reset_index(drop=True)
        return frame

    def _count(self, found: Staged, kind: str, one: Taken) -> None:
        report, file = self.report, one.file
        for status in ("added", "superseded", "unchanged", "witnessed"):
            report.rows[status] += found.count(status)
        report.rows["removed"] += len(found.removals)
        report.rows["left_out"] += found.count("conflict") + found.count("missing reference")
        conflicts = conflicts_of(found, kind, file, self.entries)
        conflicts = unsettled(conflicts, self.choice.settled)
        report.conflicts = joined([report.conflicts, conflicts])
        report.missing_keys = joined([report.missing_keys, missing_keys_of(found, kind, file)])
        report.problems = joined([report.problems, missing_references_of(found, one)])

    def _say_known(self, one: Taken, staged: Mapping[str, Staged]) -> None:
        if all(found.count("unchanged") == len(found.frame) for found in staged.values()):
            self.report.remark(one.file, "every row is known")

    def _append(
        self, one: Taken, content: bytes, staged: Mapping[str, Staged], of_file: str
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

    def _keep(self, handed: Handed) -> None:
        for at, one in enumerate(handed.papers, start=1):
            self.progress(f"keeping {one.file} ({at} of {len(handed.papers)})")
            entry = self.writer.keep(NewEntry(self.person, "attachment", one.file), one.content)
            if entry is not None:
                self.report.entries.append(entry)
            self.report.remark(one.file, KEPT if entry is not None else "kept already")

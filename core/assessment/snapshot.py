"""The ledger as one reading finds it: current rows of every record kind, at one entry and day."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property, partial
from pathlib import Path

import numpy as np
import pandas as pd

from core import records
from core.assessment import cache
from core.errors import ProjectError, WrongUse
from core.ledger import Ledger, Reader
from core.records.current_rows import CurrentRows
from core.records.matching import in_order
from core.selection import rows_without_parent
from core.settings import Project, load_project, parse_project

Selection = Callable[..., CurrentRows]


@dataclass(frozen=True)
class Snapshot:
    """Current rows at ``entry``, with the settings of that entry and the day of the assessment.

    ``last_entries`` gives per record kind that was ever written the newest entry that touched it,
    with its hash.
    """

    folder: Path
    project: Project
    entry: int
    on: date
    head: str
    settings_recorded: bool
    settings_texts: dict[int, str]
    last_entries: dict[str, tuple[int, str]]
    entries: pd.DataFrame
    _rows: Mapping[str, CurrentRows]
    _replaced: Mapping[Selection, CurrentRows] = field(default_factory=dict)

    def rows(self, kind: str) -> CurrentRows:
        """Current rows of a record kind, in the order of ``matching.ORDERS``."""
        return self._rows[kind] if kind in self._rows else CurrentRows.none(records.KIND[kind])

    def frame(self, kind: str) -> pd.DataFrame:
        """Current rows of a record kind as a frame."""
        return self.rows(kind).frame()

    def rows_until(self, kind: str) -> CurrentRows:
        """Current rows of a record kind up to the day of the assessment, by the kind's own day."""
        return _until(self.rows(kind), records.KIND[kind].day, self.on)

    def select(self, selection: Selection) -> pd.DataFrame:
        """What ``selection`` chooses, as a frame."""
        return self.chosen(selection).frame()

    def chosen(self, selection: Selection) -> CurrentRows:
        """What ``selection`` chooses.

        Its parameters are called after the record kinds whose rows it takes; ``on`` is the day.
        It is asked once while no newer entry touches these kinds.
        """
        name = selection.__name__
        if selection in self._replaced:
            return self._replaced[selection]
        takes = inspect.signature(selection).parameters
        states = tuple(self.on if one == "on" else self._state_of(one) for one in takes)
        key = (selection, *states)  # another module may have a function of the same name
        given = [self.on if one == "on" else self.rows(one) for one in takes]
        return cache.rows(self.folder, f"selection {name}", key, lambda: selection(*given))

    def with_rows(self, selection: Selection, frame: pd.DataFrame) -> Snapshot:
        """This snapshot as it would be if ``selection`` chose ``frame``."""
        supposed = {**self._replaced, selection: CurrentRows.of_frame(frame)}
        return replace(self, _replaced=supposed)

    def without(self, kind: str) -> Snapshot:
        """This snapshot as it would be without any row of a kind."""
        rows = {name: rows for name, rows in self._rows.items() if name != kind}
        newest = {name: last for name, last in self.last_entries.items() if name != kind}
        return replace(self, _rows=rows, last_entries=newest)

    @cached_property
    def rows_without_parent(self) -> pd.DataFrame:
        """Rows whose parent is on no record, as of ``selection.rows_without_parent``."""
        return rows_without_parent(self.rows, self.entries)

    @cached_property
    def entered_on(self) -> pd.Series:
        """Local day of each entry, by entry number."""
        return _entered_on(self.entries, self.project)

    def _state_of(self, kind: str) -> str:
        return self.last_entries[kind][1] if kind in self.last_entries else ""


def load_snapshot(folder: Path, as_of: int | date | None = None) -> Snapshot:
    """The ledger of the project in ``folder``, read once.

    ``as_of`` is an entry, a day (its end, in the project's zone) or None for now. As of an entry
    the settings of that entry judge; now the settings file does. Raises ProjectError, StoreBusy,
    StoreTooNew, WrongUse.
    """
    present = load_project(folder)
    with Ledger(folder).read() as reader:
        entry = entry_of(reader, present, as_of)
        texts = reader.settings_texts(entry)
        recorded = texts[max(texts)] if texts else None
        project = present
        if as_of is not None and recorded is not None:
            project = _recorded(recorded, entry)
        entries = reader.entries()
        newest = reader.last_entries(entry)
        return Snapshot(
            folder=Path(folder),
            project=project,
            entry=entry,
            on=day_of(project, as_of, _entered_on(entries, project)),
            head=reader.head(),
            settings_recorded=recorded == present.text,
            settings_texts=texts,
            last_entries=newest,
            entries=entries,
            _rows=_read(Path(folder), reader, entry, newest),
        )


def current_rows(reader: Reader, kind: str, as_of: int) -> CurrentRows:
    """Current rows of one kind in their order, for who has a reader and needs no snapshot."""
    return in_order(kind, reader.current(kind, as_of))


def _read(
    folder: Path, reader: Reader, entry: int, newest: Mapping[str, tuple[int, str]]
) -> dict[str, CurrentRows]:
    """Rows of every kind that was ever written, those of an unchanged kind as read before."""
    return {
        kind: cache.rows(folder, f"kind {kind}", digest, partial(current_rows, reader, kind, entry))
        for kind, (_, digest) in newest.items()
    }


def _until(rows: CurrentRows, day: str, on: date) -> CurrentRows:
    if not day:
        return rows
    return rows.where(rows.values(day) <= np.datetime64(on, "us"))


def _recorded(text: str, entry: int) -> Project:
    """The settings recorded as of ``entry``. Raises ProjectError when they no longer serve."""
    try:
        return parse_project(text)
    except ProjectError as error:
        raise ProjectError(
            f"The settings recorded as of entry {entry} do not pass the checks of this version, so "
            "that day cannot be judged again:",
            error.faults,
        ) from error


def entry_of(reader: Reader, project: Project, as_of: int | date | None) -> int:
    """The entry that ``as_of`` means. Raises WrongUse for an entry that does not exist."""
    last = reader.last_entry()
    if as_of is None:
        return last
    if isinstance(as_of, int):
        if not 0 <= as_of <= last:
            raise WrongUse(f"There is no entry {as_of}; the last one is {last}.")
        return as_of
    if as_of > datetime.now(project.tables.project.timezone).date():
        raise WrongUse(f"{as_of} is in the future; nothing is known as of then.")
    end = datetime.combine(as_of + timedelta(days=1), time(), project.tables.project.timezone)
    return reader.entry_at(end.astimezone(UTC).replace(tzinfo=None) - timedelta(microseconds=1))


def day_of(project: Project, as_of: int | date | None, entered_on: pd.Series) -> date:
    """The day that judges: ``assessed_on`` if set, else the day of ``as_of``, else today."""
    job = project.tables.project
    if job.assessed_on is not None:
        return job.assessed_on
    if isinstance(as_of, date):
        return as_of
    if as_of is not None and as_of in entered_on.index:
        day: date = entered_on[as_of].date()
        return day
    return datetime.now(job.timezone).date()


def _entered_on(entries: pd.DataFrame, project: Project) -> pd.Series:
    moments = pd.to_datetime(entries["entered_at"]).dt.tz_localize("UTC")
    local = moments.dt.tz_convert(project.tables.project.time_zone).dt.tz_localize(None)
    return pd.Series(local.dt.normalize().to_numpy(), index=entries["entry_no"].to_numpy())

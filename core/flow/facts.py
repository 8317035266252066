"""Everything that one assessment reads from the ledger, at one entry and one day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import partial
from pathlib import Path

import pandas as pd

from core import project as settings
from core.errors import ProjectError, WrongUse
from core.flow import kept
from core.flow.works import Works, works
from core.project import Project
from core.store import Ledger, Reader


@dataclass(frozen=True)
class Facts:
    """Standing rows at ``entry``, with the settings of that entry and the day that judges."""

    folder: Path
    project: Project
    entry: int
    on: date
    head: str
    settings_recorded: bool
    settings_texts: dict[int, str]
    last_entries: dict[str, int]
    last_words: dict[str, str]
    entered_on: pd.Series
    schedule: pd.DataFrame
    schedule_rows: pd.DataFrame
    schedule_at_runs: pd.DataFrame
    piles: pd.DataFrame
    runs: pd.DataFrame
    readings: pd.DataFrame
    readings_without_run: pd.DataFrame
    rows_without_parent: pd.DataFrame
    certificates: pd.DataFrame
    points: pd.DataFrame
    stage_records: pd.DataFrame
    sign_offs: pd.DataFrame
    works: Works


def facts(folder: Path, as_of: int | date | None = None) -> Facts:
    """The facts of the project in ``folder``.

    ``as_of`` is an entry, a day (its end, in the project's zone) or None for now. As of an entry
    the settings of that entry judge; now the settings file does. Raises ProjectError, StoreBusy,
    StoreTooNew, WrongUse.
    """
    present = settings.load(folder)
    with Ledger(folder).read() as reader:
        entry = entry_of(reader, present, as_of)
        project = present
        recorded = reader.settings_text(entry)
        if as_of is not None and recorded is not None:
            project = _recorded(recorded, entry)
        entered = _entered_on(reader, project)
        on = day_of(project, as_of, entered)
        said = reader.last_words(entry)
        ask = partial(kept.asked, Path(folder), reader, said, as_of=entry)
        return Facts(
            folder=Path(folder),
            project=project,
            entry=entry,
            on=on,
            head=reader.head(),
            settings_recorded=recorded == present.text,
            settings_texts=reader.settings_texts(entry),
            last_entries=reader.last_entries(entry),
            last_words=said,
            entered_on=entered,
            schedule=ask("schedule_in_force", on=on),
            schedule_rows=ask("schedule_rows_for_construction"),
            schedule_at_runs=ask("schedule_in_force_at_runs"),
            piles=ask("piles"),
            runs=ask("runs"),
            readings=ask("readings_of_runs"),
            readings_without_run=ask("readings_without_run"),
            rows_without_parent=ask("rows_without_parent"),
            certificates=ask("certificates"),
            points=ask("calibration_points"),
            stage_records=ask("stage_records"),
            sign_offs=ask("sign_offs"),
            works=works(ask),
        )


def _recorded(text: str, entry: int) -> Project:
    """The settings recorded as of ``entry``. Raises ProjectError when they no longer serve."""
    try:
        return settings.parse(text)
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
    """The day that judges: ``judged_on`` if set, else the day of ``as_of``, else today."""
    job = project.tables.project
    if job.judged_on is not None:
        return job.judged_on
    if isinstance(as_of, date):
        return as_of
    if as_of is not None and as_of in entered_on.index:
        day: date = entered_on[as_of].date()
        return day
    return datetime.now(job.timezone).date()


def _entered_on(reader: Reader, project: Project) -> pd.Series:
    """Local day of each entry, by entry number."""
    entries = reader.entries()
    moments = pd.to_datetime(entries["entered_at"]).dt.tz_localize("UTC")
    local = moments.dt.tz_convert(project.tables.project.zone).dt.tz_localize(None)
    return pd.Series(local.dt.normalize().to_numpy(), index=entries["entry_no"].to_numpy())

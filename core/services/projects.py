"""Projects as folders: made new, built from the sample, withdrawn from, verified, backed up."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pandas as pd

from core import ledger
from core.assessment.snapshot import entry_of
from core.errors import Refused, WrongUse
from core.ledger import Ledger
from core.services.importing import import_files
from core.services.importing.layouts import store_layout
from core.services.importing.report import ImportChoice, ImportReport
from core.services.quarantine import put_in_quarantine
from core.services.signing import accept
from core.settings import PROJECT_FILE, load_project, project_template

Progress = Callable[[str], object]


def new_project(folder: Path) -> None:
    """Make ``folder`` a project: a settings file to fill in and an empty ledger.

    Raises Refused when the folder already holds something or cannot be written.
    """
    with ledger.temporary_folder_for(folder) as building:
        ledger.write_atomically(building / PROJECT_FILE, project_template().encode())
        Ledger.create(building)


def build_sample(
    sample: Path, folder: Path, progress: Progress = lambda step: None
) -> ImportReport:
    """Build the sample project in ``folder`` from its raw files, as its foreman would.

    Layouts of its senders are remembered first; rows with problems are left out, and the report
    says which. It is built beside its place and moved there when it is whole. Raises Refused when
    the folder holds something else or cannot be written.
    """
    with ledger.temporary_folder_for(folder) as building:
        return _built(sample, building, progress)


def _built(sample: Path, folder: Path, progress: Progress) -> ImportReport:
    Ledger.create(folder)
    ledger.write_atomically(folder / PROJECT_FILE, (sample / PROJECT_FILE).read_bytes())
    job = load_project(folder).tables
    by = job.people[-1].name
    for path in sorted((sample / "layouts").glob("*.json")):
        said = json.loads(path.read_text(encoding="utf-8"))
        progress(f"remembering how {said['sender']} lays out {said['name']}")
        store_layout(folder, said["sender"], said["name"], said["layout"], by)
    report = import_files(
        folder,
        [sample / "raw"],
        by=by,
        choice=ImportChoice(skip_bad_rows=True),
        progress=progress,
        today=job.project.assessed_on,
    )
    for heat, mill, signer, reason in _quarantines(sample / "quarantine.csv"):
        progress(f"{signer} puts heat {heat} in quarantine")
        put_in_quarantine(folder, heat, signer, reason, mill)
    for (signer, note), piles in _sign_offs(sample / "sign_offs.csv").items():
        progress(f"{signer} signs off {len(piles)} piles")
        accept(folder, piles, signer, note)
    return report


def _quarantines(path: Path) -> list[tuple[str, str, str, str]]:
    if not path.is_file():
        return []
    with path.open(encoding="utf-8", newline="") as lines:
        return [(row["heat"], row["mill"], row["by"], row["reason"])
                for row in csv.DictReader(lines)]  # fmt: skip


def _sign_offs(path: Path) -> dict[tuple[str, str], list[str]]:
    groups: dict[tuple[str, str], list[str]] = {}
    if path.is_file():
        with path.open(encoding="utf-8", newline="") as lines:
            for row in csv.DictReader(lines):
                groups.setdefault((row["by"], row["note"]), []).append(row["pile"])
    return groups


def history(folder: Path, as_of: int | date | None = None) -> pd.DataFrame:
    """Every entry up to ``as_of``, newest last. Raises as ``assess``."""
    settings = load_project(folder)
    with Ledger(folder).read() as reader:
        return reader.entries(entry_of(reader, settings, as_of))


def entry_changes(folder: Path, entry_no: int) -> pd.DataFrame:
    """What one entry changed: ``kind, key, change, column, before, after, row, sheet``.

    ``change`` is new, changed (one row per column), confirmed by a second source or removed,
    against the rows current as of the entry before; of a withdrawal it is what is no longer
    current or is current again. Raises WrongUse when there is no such entry.
    """
    load_project(folder)
    with Ledger(folder).read() as reader:
        return reader.entry_changes(entry_no)


def attachment(folder: Path, sha256: str) -> bytes:
    """A file as it was imported, by its digest. Raises WrongUse when no entry names it."""
    load_project(folder)
    return Ledger(folder).attachment(sha256)


def withdraw(folder: Path, entry: int, by: str, note: str) -> int:
    """Withdraw an entry; returns the entry that says so.

    Raises WrongUse for an unknown person or entry, Refused without the right or reason.
    """
    settings = load_project(folder)
    person = settings.person(by)
    if not settings.may(person, "withdraw"):
        raise Refused(f"{person.name} may not withdraw entries; see roles in {PROJECT_FILE}.")
    if not note.strip():
        raise WrongUse("A withdrawal needs a reason.")
    with Ledger(folder).write() as writer:
        writer.record_settings(settings.text, person.name)
        return writer.withdraw(entry, person.name, note.strip())


def record_settings(folder: Path, by: str) -> int:
    """Record project.toml as it is; returns the entry. Every other write records it as well.

    Raises WrongUse for an unknown person, Refused when it is recorded already.
    """
    settings = load_project(folder)
    person = settings.person(by)
    with Ledger(folder).write() as writer:
        entry = writer.record_settings(settings.text, person.name)
    if entry is None:
        raise Refused(f"{PROJECT_FILE} is already recorded unchanged.")
    return entry


def verify(folder: Path) -> tuple[list[str], str]:
    """Faults of the ledger (none when it is whole) and the head of its chain."""
    load_project(folder)
    faults = [str(fault) for fault in ledger.verify(folder)]
    with Ledger(folder).read(of_any_job=True) as reader:
        return faults, reader.head()


def backup(folder: Path, target: Path, by: str = "", skip_damaged: bool = False) -> ledger.Copied:
    """Copy the project whole to ``target``; the answer holds the head of the chain.

    Raises WrongUse for an unknown person, Refused when ``target`` holds something or cannot be
    written, StoreDamaged naming attachments that are missing or changed unless ``skip_damaged``
    leaves them out.
    """
    settings = load_project(folder)
    if by:
        settings.person(by)
    return ledger.backup(folder, target, skip_damaged)


def restore(source: Path, folder: Path, skip_damaged: bool = False) -> ledger.Copied:
    """Make the new folder ``folder`` from the backup ``source``.

    Raises WrongUse when ``source`` is no backup, Refused when ``folder`` holds something or cannot
    be written, StoreDamaged naming every fault of the backup.
    """
    return ledger.restore(source, folder, skip_damaged)


def write_new(path: Path, content: bytes) -> None:
    """Write a new file beside the project, whole or not at all.

    Raises Refused when it is there already, its folder is not, or it cannot be written.
    """
    ledger.write_new(path, content)


def version_key(folder: Path) -> tuple[object, ...]:
    """A cheap key that moves whenever the ledger or the settings may have changed."""
    settings = folder / PROJECT_FILE
    stat = settings.stat() if settings.exists() else None
    moved = (stat.st_mtime_ns, stat.st_size) if stat else (0, 0)
    return (*Ledger(folder).version_key(), *moved)

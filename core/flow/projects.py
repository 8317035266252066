"""Projects as folders: made new, built from the sample, withdrawn from, verified, backed up."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pandas as pd

from core import project, store
from core.errors import ProjectError, Refused, WrongUse
from core.flow.facts import entry_of
from core.flow.importing import ImportChoice, ImportReport, import_files
from core.flow.layouts import remember_layout
from core.flow.quarantine import put_in_quarantine
from core.flow.signing import accept
from core.store import Ledger

Progress = Callable[[str], object]


def new_project(folder: Path) -> None:
    """Make ``folder`` a project: a settings file to fill in and an empty ledger.

    Raises ProjectError when the folder already holds something.
    """
    if folder.exists() and any(folder.iterdir()):
        raise ProjectError(f"{folder} is not empty; choose a new or empty folder.")
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(project.TEMPLATE, folder / project.FILE)
    Ledger.create(folder)


def build_sample(
    sample: Path, folder: Path, progress: Progress = lambda step: None
) -> ImportReport:
    """Build the sample project in ``folder`` from its raw files, as its foreman would.

    Layouts of its senders are remembered first; rows with problems are left out, and the report
    says which. It is built beside its place and moved there when it is whole. Raises ProjectError
    when the folder holds something else.
    """
    if folder.exists() and any(folder.iterdir()):
        raise ProjectError(f"{folder} is not empty; choose a new or empty folder.")
    folder.parent.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(prefix=f"{folder.name}.", dir=folder.parent) as beside:
        building = Path(beside) / "building"
        report = _built(sample, building, progress)
        if folder.exists():
            folder.rmdir()
        building.rename(folder)
    return report


def _built(sample: Path, folder: Path, progress: Progress) -> ImportReport:
    new_project(folder)
    shutil.copyfile(sample / project.FILE, folder / project.FILE)
    job = project.load(folder).tables
    by = job.people[-1].name
    for path in sorted((sample / "layouts").glob("*.json")):
        said = json.loads(path.read_text(encoding="utf-8"))
        progress(f"remembering how {said['sender']} lays out {said['name']}")
        remember_layout(folder, said["sender"], said["name"], said["layout"], by)
    report = import_files(
        folder,
        [sample / "raw"],
        by=by,
        choice=ImportChoice(take_good_rows=True),
        progress=progress,
        today=job.project.judged_on,
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
    settings = project.load(folder)
    with Ledger(folder).read() as reader:
        return reader.entries(entry_of(reader, settings, as_of))


def entry_changes(folder: Path, entry_no: int) -> pd.DataFrame:
    """What one entry changed: ``kind, key, change, column, before, after, row, sheet``.

    ``change`` is new, changed (one row per column), second witness or removed, against what stood
    as of the entry before; of a withdrawal it is what no longer stands or stands again. Raises
    WrongUse when there is no such entry.
    """
    project.load(folder)
    with Ledger(folder).read() as reader:
        return reader.entry_changes(entry_no)


def attachment(folder: Path, sha256: str) -> bytes:
    """A file as it was taken in, by its digest. Raises WrongUse when no entry names it."""
    project.load(folder)
    return Ledger(folder).attachment(sha256)


def withdraw(folder: Path, entry: int, by: str, note: str) -> int:
    """Withdraw an entry; returns the entry that says so.

    Raises WrongUse for an unknown person or entry, Refused without the right or reason.
    """
    settings = project.load(folder)
    person = settings.person(by)
    if not settings.may(person, "withdraw"):
        raise Refused(f"{person.name} may not withdraw entries; see roles in {project.FILE}.")
    if not note.strip():
        raise WrongUse("A withdrawal needs a note that says why.")
    with Ledger(folder).write() as writer:
        writer.record_settings(settings.text, person.name)
        return writer.withdraw(entry, person.name, note.strip())


def verify(folder: Path) -> tuple[list[str], str]:
    """Faults of the ledger (none when it is whole) and the head of its chain."""
    project.load(folder)
    faults = [str(fault) for fault in store.verify(folder)]
    with Ledger(folder).read() as reader:
        return faults, reader.head()


def backup(folder: Path, target: Path, by: str = "") -> str:
    """Copy the project whole to ``target``; returns the head of the chain.

    Raises WrongUse for an unknown person, Refused when ``target`` holds something.
    """
    settings = project.load(folder)
    if by:
        settings.person(by)
    return store.backup(folder, target)


def probe(folder: Path) -> tuple[object, ...]:
    """A cheap key that moves whenever the ledger or the settings may have changed."""
    settings = folder / project.FILE
    stat = settings.stat() if settings.exists() else None
    moved = (stat.st_mtime_ns, stat.st_size) if stat else (0, 0)
    return (*Ledger(folder).probe(), *moved)

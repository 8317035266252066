"""Backup and restore: a project folder copied whole, checked, and only then given its name."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from core.errors import StoreDamaged, WrongUse
from core.ledger import files
from core.ledger.database import FILE
from core.ledger.ledger import Ledger
from core.ledger.reader import Reader
from core.ledger.verify import verify

HEAD_FILE = "head.txt"
_SETTINGS_FILE = "project.toml"
_HEAD = re.compile(r"entry (?P<entry>\d+), hash (?P<hash>\w+)")
_SHOWN = 20


@dataclass(frozen=True)
class Copied:
    """A copy that was made: hash of its last entry, and what it lacks, one sentence a file."""

    head: str
    missing: tuple[str, ...]


def backup(folder: Path, target: Path, skip_damaged: bool = False) -> Copied:
    """Copy the project in ``folder`` to ``target`` while nobody writes to it.

    Every copy is compared with its digest. Raises StoreDamaged naming each attachment that is
    missing or changed (with ``skip_damaged`` they are left out and named in the answer), Refused
    when ``target`` holds anything or cannot be written. Nothing is left behind then.
    """
    ledger = Ledger(folder)
    with files.temporary_folder_for(target) as building, ledger.alone() as reader:
        head, last_entry = reader.head(), reader.last_entry()
        _copy_store(ledger.store, building)
        missing = _copy_attachments(ledger.folder, building, _sources(reader))
        if missing and not skip_damaged:
            raise StoreDamaged(
                f"Nothing was backed up: {_listed(missing)} Put these files back from an earlier "
                "backup, or back up without them: --skip-damaged."
            )
        settings = ledger.folder / _SETTINGS_FILE
        if settings.is_file():
            files.copy_checked(settings, building / _SETTINGS_FILE)
        line = f"entry {last_entry}, hash {head or 'none'}\n"
        text = "".join((line, *(f"{sentence}\n" for sentence in missing)))
        files.write_atomically(building / HEAD_FILE, text.encode("utf-8"))
    return Copied(head, tuple(missing))


def restore(source: Path, folder: Path, skip_damaged: bool = False) -> Copied:
    """Make ``folder`` a project from a backup; the backup stays as it is.

    The copy is verified whole, and its head compared with the one that the backup names, before it
    gets its name. Raises WrongUse when ``source`` is no backup, Refused when ``folder`` holds
    anything or cannot be written, StoreDamaged with every fault; attachments that are missing or
    changed are no fault with ``skip_damaged``.
    """
    for name in (FILE, HEAD_FILE, _SETTINGS_FILE):
        if not (source / name).is_file():
            raise WrongUse(f"{source} is not a backup: it holds no {name}.")
    with files.temporary_folder_for(folder) as building:
        for name in (FILE, _SETTINGS_FILE):
            files.copy_checked(source / name, building / name)
        with Ledger(building).read() as reader:
            sources = _sources(reader)
        missing = _copy_attachments(source, building, sources)
        if missing and not skip_damaged:
            raise StoreDamaged(
                f"Nothing was restored: {_listed(missing)} Use an earlier backup, or restore "
                "without these files: --skip-damaged."
            )
        head = _checked(building, source / HEAD_FILE, bool(missing))
    return Copied(head, tuple(missing))


def _checked(restored: Path, head_file: Path, missing: bool) -> str:
    """Head of a restored ledger. Raises StoreDamaged when it is not the one that was backed up."""
    faults = verify(restored)
    other = [fault for fault in faults if not fault.of_attachment]
    if other or (faults and not missing):
        listed = _listed([str(fault) for fault in other or faults])
        raise StoreDamaged(f"Nothing was restored: the backup is damaged. {listed}")
    with Ledger(restored).read() as reader:
        head = reader.head()
    named = _HEAD.match(head_file.read_text(encoding="utf-8"))
    if named is None or named["hash"] != (head or "none"):
        raise StoreDamaged(
            f"Nothing was restored: the ledger ends with {head[:12] or 'no entry'}, and "
            f"{head_file} names another head. Use another backup."
        )
    return head


def _copy_store(store: Path, building: Path) -> None:
    if files.copy_checked(store, building / FILE) != files.digest(store):
        raise StoreDamaged(f"The copy of {store} differs from it; the disk cannot be relied on.")


def _sources(reader: Reader) -> dict[str, str]:
    """Name of the file that each attachment was, by digest."""
    entries = reader.entries().dropna(subset=["sha256"])
    return dict(zip(entries["sha256"], entries["source"].fillna("a file"), strict=True))


def _copy_attachments(folder: Path, target: Path, sources: dict[str, str]) -> list[str]:
    """Copies the named attachments; returns a sentence for each that is missing or changed."""
    missing = []
    files.make_folder(target / files.FOLDER)
    first_hash = files.ledger_id(folder)
    if first_hash is not None:
        files.store_ledger_id(target, first_hash)
    for sha256, source in sources.items():
        kept, copy = files.place(folder, sha256), files.place(target, sha256)
        if not kept.is_file():
            missing.append(f"{source} ({sha256[:12]}…) is missing from the attachments.")
        elif files.copy_checked(kept, copy) != sha256:
            copy.unlink()
            missing.append(f"{source} ({sha256[:12]}…) has been changed in the attachments.")
    return missing


def _listed(sentences: list[str]) -> str:
    more = len(sentences) - _SHOWN
    return " ".join([*sentences[:_SHOWN], *([f"And {more} more."] if more > 0 else [])])

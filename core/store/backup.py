"""Copies a project folder whole while nobody writes: ledger, attachments, settings, head hash."""

from __future__ import annotations

import shutil
from pathlib import Path

from core.errors import Refused, WrongUse
from core.store import attachments
from core.store.connection import FILE
from core.store.ledger import Ledger

HEAD_FILE = "head.txt"
_SETTINGS_FILE = "project.toml"


def backup(folder: Path, target: Path) -> str:
    """Copies the project in ``folder`` to ``target`` and returns the hash of its last entry.

    Raises Refused when ``target`` holds anything, WrongUse when there is no ledger to copy.
    """
    ledger = Ledger(folder)
    if not ledger.exists:
        raise WrongUse(f"{ledger.folder} holds no ledger yet; there is nothing to copy.")
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise Refused(f"{target} is not empty. Name a folder that is not there yet.")
    with ledger.alone() as reader:
        head, last_entry = reader.head(), reader.last_entry()
        target.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ledger.store, target / FILE)
        _copy_attachments(ledger.folder, target, list(reader.ask("attachments")["sha256"]))
        if (ledger.folder / _SETTINGS_FILE).is_file():
            shutil.copy2(ledger.folder / _SETTINGS_FILE, target / _SETTINGS_FILE)
        line = f"entry {last_entry}, hash {head or 'none'}\n"
        (target / HEAD_FILE).write_text(line, encoding="utf-8")
    return head


def _copy_attachments(folder: Path, target: Path, digests: list[str]) -> None:
    for sha256 in digests:
        copy = attachments.place(target, sha256)
        copy.parent.mkdir(exist_ok=True)
        shutil.copy2(attachments.place(folder, sha256), copy)

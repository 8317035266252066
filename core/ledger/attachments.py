"""Files taken in, kept under their SHA-256: temp file, fsync, rename, and only then the entry.

The ledger's id, the hash of its first entry, is kept here too: another job's ledger is noticed.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from core.errors import StoreDamaged
from core.ledger import files

FOLDER = "attachments"
ID_FILE = "ledger_id"


def place(folder: Path, sha256: str) -> Path:
    """Where the attachment of that digest is kept."""
    return folder / FOLDER / sha256


def keep(folder: Path, content: bytes) -> str:
    """Keeps ``content`` and returns its digest; what is there and sound is left alone.

    Raises Refused when the disk is full or the folder cannot be written to.
    """
    sha256 = hashlib.sha256(content).hexdigest()
    target = place(folder, sha256)
    if target.exists() and files.digest(target) == sha256:
        return sha256
    _write(target, content)
    return sha256


def ledger_id(folder: Path) -> str | None:
    """Id of the ledger that the attachments in ``folder`` belong to; None when none is kept."""
    try:
        return (folder / FOLDER / ID_FILE).read_text(encoding="ascii").strip()
    except FileNotFoundError:
        return None


def keep_ledger_id(folder: Path, first_hash: str) -> None:
    """Keeps the id of the ledger beside its attachments."""
    _write(folder / FOLDER / ID_FILE, f"{first_hash}\n".encode("ascii"))


def _write(target: Path, content: bytes) -> None:
    with files.refused(target):
        files.make_folder(target.parent)
    files.write_whole(target, content)


def content(folder: Path, sha256: str) -> bytes:
    """The attachment of that digest. Raises StoreDamaged when it is gone or changed."""
    path = place(folder, sha256)
    if not path.is_file() or files.digest(path) != sha256:
        raise StoreDamaged(
            f"The kept file {sha256[:12]}… is gone or changed; bring it back from the last backup."
        )
    return path.read_bytes()

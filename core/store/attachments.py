"""Files taken in, kept under their SHA-256: temp file, fsync, rename, and only then the entry."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

from core.errors import StoreDamaged

FOLDER = "attachments"


def place(folder: Path, sha256: str) -> Path:
    """Where the attachment of that digest is kept."""
    return folder / FOLDER / sha256


def keep(folder: Path, content: bytes) -> str:
    """Keeps ``content`` and returns its digest; what is there and sound is left alone."""
    sha256 = hashlib.sha256(content).hexdigest()
    target = place(folder, sha256)
    if target.exists() and digest(target) == sha256:
        return sha256
    target.parent.mkdir(exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, target)
    finally:
        Path(name).unlink(missing_ok=True)
    return sha256


def content(folder: Path, sha256: str) -> bytes:
    """The attachment of that digest. Raises StoreDamaged when it is gone or changed."""
    path = place(folder, sha256)
    if not path.is_file() or digest(path) != sha256:
        raise StoreDamaged(
            f"The kept file {sha256[:12]}… is gone or changed; bring it back from the last backup."
        )
    return path.read_bytes()


def digest(path: Path) -> str:
    """SHA-256 of a file's bytes."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

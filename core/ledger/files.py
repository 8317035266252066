"""Files of a project folder, written whole or not at all; attachments under their SHA-256."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from core.errors import Refused, StoreDamaged

_CHUNK = 1 << 20
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


def digest(path: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def share_mode(path: Path) -> None:
    """Give ``path`` the mode of the folder it lies in, where it is ours to give."""
    if os.name != "posix":
        return
    wanted = stat.S_IMODE(path.parent.stat().st_mode)
    found = path.stat()
    if not stat.S_ISDIR(found.st_mode):
        wanted &= 0o666
    if stat.S_IMODE(found.st_mode) != wanted and found.st_uid == os.geteuid():
        path.chmod(wanted)


def make_folder(path: Path) -> None:
    """A folder inside one that is there, with its mode."""
    try:
        path.mkdir()
    except FileExistsError:
        return
    share_mode(path)


def write_atomically(path: Path, content: bytes) -> None:
    """Write ``content`` to ``path``: temporary file, fsync, rename.

    Raises Refused when the disk is full or the folder cannot be written to; ``path`` is then as
    it was.
    """
    with refused(path):
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            share_mode(Path(name))
            os.replace(name, path)
        finally:
            Path(name).unlink(missing_ok=True)
        sync_folder(path.parent)


def write_new(path: Path, content: bytes) -> None:
    """Write a new file whole.

    Raises Refused when it is there already, its folder is not, or it cannot be written.
    """
    if path.exists():
        raise Refused(f"{path} is there already; choose another name.")
    if not path.parent.is_dir():
        raise Refused(f"{path.parent} is not a folder; make it first.")
    write_atomically(path, content)


def copy_checked(source: Path, target: Path) -> str:
    """Copy a file, make it durable, and return the digest of what the copy holds."""
    with source.open("rb") as read, target.open("wb") as written:
        shutil.copyfileobj(read, written, _CHUNK)
        written.flush()
        os.fsync(written.fileno())
    share_mode(target)
    return digest(target)


def sync_folder(folder: Path) -> None:
    """Make the names in ``folder`` durable, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def temporary_folder_for(target: Path) -> Iterator[Path]:
    """A folder with a temporary name that becomes ``target`` when the block ends well.

    An empty folder that is there stays and receives what was built, name by name. Raises Refused
    when ``target`` holds anything, or when its place cannot be written to.
    """
    with refused(target):
        if target.exists() and (not target.is_dir() or any(target.iterdir())):
            raise Refused(f"{target} is not empty. Choose a folder that does not exist yet.")
        there = target.exists()
        place = target if there else target.parent
        place.mkdir(parents=True, exist_ok=True)
        name = tempfile.mkdtemp(dir=place, prefix=f".{target.resolve().name}.", suffix=".part")
        building = Path(name)
        try:
            share_mode(building)
            yield building
            for folder, _, _ in os.walk(building):
                sync_folder(Path(folder))
            if there:
                for path in sorted(building.iterdir()):
                    os.replace(path, target / path.name)
            else:
                os.replace(building, target)
            sync_folder(place)
        finally:
            shutil.rmtree(building, ignore_errors=True)


@contextmanager
def refused(path: Path) -> Iterator[None]:
    """Turns what the system refuses about ``path`` into a sentence."""
    try:
        yield
    except OSError as error:
        raise Refused(refusal(path, error)) from error


def refusal(path: Path, error: OSError) -> str:
    """The sentence for what the system refuses about ``path``."""
    if error.errno in _FULL:
        return f"The disk that holds {path} is full. Nothing was written; make room and try again."
    reason = (error.strerror or str(error)).lower()
    return f"{error.filename or path} cannot be used: {reason}. Nothing was written."


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
    if target.exists() and digest(target) == sha256:
        return sha256
    _write(target, content)
    return sha256


def ledger_id(folder: Path) -> str | None:
    """Id of the ledger that the attachments in ``folder`` belong to; None when none is kept."""
    try:
        return (folder / FOLDER / ID_FILE).read_text(encoding="ascii").strip()
    except FileNotFoundError:
        return None


def store_ledger_id(folder: Path, first_hash: str) -> None:
    """Keeps the id of the ledger beside its attachments."""
    _write(folder / FOLDER / ID_FILE, f"{first_hash}\n".encode("ascii"))


def _write(target: Path, content: bytes) -> None:
    with refused(target):
        make_folder(target.parent)
    write_atomically(target, content)


def content(folder: Path, sha256: str) -> bytes:
    """The attachment of that digest. Raises StoreDamaged when it is gone or changed."""
    path = place(folder, sha256)
    if not path.is_file() or digest(path) != sha256:
        raise StoreDamaged(
            f"The stored file {sha256[:12]}… is missing or changed; restore it from the last "
            "backup."
        )
    return path.read_bytes()

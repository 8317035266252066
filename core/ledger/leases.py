"""Who may touch the ledger file, and for how long: open, do, close.

Readers share, a writer is alone. Everybody passes a turnstile; a writer keeps it while it waits,
so that busy readers cannot keep it out. Readers have few seats, about one a core: more at once
are slower each and together, and a writer waits for all of them.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, ReadWriteLock, Timeout

from core.errors import ProjectError, Refused, StoreBusy
from core.ledger import files

FOLDER = ".locks"
_POLL_S = 0.002
_SEAT_POLL_S = 0.01
_SEATS = min(8, max(2, os.cpu_count() or 2))


class Deadline:
    """How long somebody is willing to wait, counted from now."""

    def __init__(self, timeout_s: float) -> None:
        self.timeout_s = timeout_s
        self._ends = time.monotonic() + timeout_s

    @property
    def left_s(self) -> float:
        """Seconds left, zero when it has passed."""
        return max(0.0, self._ends - time.monotonic())


@contextmanager
def reading(store: Path, deadline: Deadline) -> Iterator[None]:
    """A shared lease on ``store``. Raises StoreBusy when the deadline passes first.

    Where no lock can be kept, because we may only read the folder, there is none: the engine's own
    lock on the file still keeps writers and readers apart.
    """
    if not _may_lock(store):
        yield
        return
    lock = _lock(store)
    try:
        with _lock_file(store, deadline), _shared(lock, store, deadline):
            yield
    finally:
        lock.close()


@contextmanager
def writing(store: Path, deadline: Deadline) -> Iterator[None]:
    """The exclusive lease on ``store``.

    Raises StoreBusy when the deadline passes first, Refused when the folder may only be read.
    """
    if not _may_lock(store):
        raise Refused(
            f"{store.parent} can be read but not written: this user has no right to write to it, "
            "or the disk is read-only. Nothing was written."
        )
    lock, turnstile = _lock(store), _file_lock(store, "turnstile")
    try:
        with _waiting(store, deadline):
            turnstile.acquire(timeout=deadline.left_s, poll_interval=_POLL_S)
        try:
            with _waiting(store, deadline):
                lock.acquire_write(timeout=deadline.left_s)
            try:
                yield
            finally:
                lock.release()
        finally:
            turnstile.release()
    finally:
        lock.close()


@contextmanager
def _lock_file(store: Path, deadline: Deadline) -> Iterator[None]:
    seats = [_file_lock(store, f"seat{number}") for number in range(_SEATS)]
    taken = None
    while taken is None:
        taken = next((seat for seat in seats if _taken(seat)), None)
        if taken is None and deadline.left_s <= 0:
            raise busy(store, deadline)
        if taken is None:
            time.sleep(_SEAT_POLL_S)
    try:
        yield
    finally:
        taken.release()


def _taken(seat: FileLock) -> bool:
    try:
        with _usable(Path(seat.lock_file).parent):
            seat.acquire(blocking=False)
    except Timeout:
        return False
    return True


@contextmanager
def _shared(lock: ReadWriteLock, store: Path, deadline: Deadline) -> Iterator[None]:
    turnstile = _file_lock(store, "turnstile")
    with (
        _waiting(store, deadline),
        turnstile.acquire(timeout=deadline.left_s, poll_interval=_POLL_S),
    ):
        lock.acquire_read(timeout=deadline.left_s)
    try:
        yield
    finally:
        lock.release()


def _may_lock(store: Path) -> bool:
    """Whether lock files can be kept beside ``store``."""
    folder = store.parent / FOLDER
    return os.access(folder if folder.exists() else store.parent, os.W_OK | os.X_OK)


def _lock(store: Path) -> ReadWriteLock:
    folder = store.parent / FOLDER
    with _usable(folder):
        files.make_folder(folder)
        lock = ReadWriteLock(folder / "lease", is_singleton=False)
        files.share_mode(folder / "lease")
        return lock


def _file_lock(store: Path, name: str) -> FileLock:
    folder = store.parent / FOLDER
    mode = stat.S_IMODE(folder.stat().st_mode) & 0o666 | 0o600
    return FileLock(folder / name, mode=mode)


@contextmanager
def _usable(folder: Path) -> Iterator[None]:
    """Turns what is wrong with the lock files into a sentence."""
    try:
        yield
    except Timeout:
        raise
    except (sqlite3.DatabaseError, OSError) as error:
        raise ProjectError(
            f"The lock files in {folder} cannot be used ({str(error).rstrip('.')}). Close the "
            "program wherever it has this project open, delete that folder, and try again; the "
            "ledger is untouched."
        ) from error


@contextmanager
def _waiting(store: Path, deadline: Deadline) -> Iterator[None]:
    try:
        with _usable(store.parent / FOLDER):
            yield
    except Timeout as error:
        raise busy(store, deadline) from error


def busy(store: Path, deadline: Deadline, holder: str = "") -> StoreBusy:
    """What to tell somebody who waited in vain; ``holder`` says who is in the way, if known."""
    who = holder or "Another process is using it"
    return StoreBusy(
        f"The ledger {store} was busy for {deadline.timeout_s:g} s. {who}. "
        "Nothing was written; try again when they are done."
    )

"""Who may touch the ledger file, and for how long: open, do, close.

Readers share, a writer is alone. Everybody passes a turnstile; a writer keeps it while it waits,
so that busy readers cannot keep it out. Readers have few seats, about one a core: more at once
are slower each and together, and a writer waits for all of them.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, ReadWriteLock, Timeout

from core.errors import ProjectError, StoreBusy

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
    """A shared lease on ``store``. Raises StoreBusy when the deadline passes first."""
    lock = _lock(store)
    try:
        with _seat(store, deadline), _shared(lock, store, deadline):
            yield
    finally:
        lock.close()


@contextmanager
def writing(store: Path, deadline: Deadline) -> Iterator[None]:
    """The exclusive lease on ``store``. Raises StoreBusy when the deadline passes first."""
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
def _seat(store: Path, deadline: Deadline) -> Iterator[None]:
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


def _lock(store: Path) -> ReadWriteLock:
    folder = store.parent / FOLDER
    try:
        folder.mkdir(exist_ok=True)
        return ReadWriteLock(folder / "lease", is_singleton=False)
    except OSError as error:
        raise ProjectError(
            f"{store.parent} cannot be written to ({error.strerror}), and the ledger is only "
            "opened behind a lock file in it. Copy the folder to where you may write."
        ) from error


def _file_lock(store: Path, name: str) -> FileLock:
    return FileLock(store.parent / FOLDER / name)


@contextmanager
def _waiting(store: Path, deadline: Deadline) -> Iterator[None]:
    try:
        yield
    except Timeout as error:
        raise busy(store, deadline) from error


def busy(store: Path, deadline: Deadline, holder: str = "") -> StoreBusy:
    """What to tell somebody who waited in vain; ``holder`` says who is in the way, if known."""
    who = holder or "Somebody else is writing to it or reading from it"
    return StoreBusy(
        f"The ledger {store} was busy for {deadline.timeout_s:g} s. {who}. "
        "Nothing was written; try again when they are done."
    )

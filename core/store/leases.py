"""Who may touch the ledger file, and for how long: open, do, close.

Readers share, a writer is alone. Everybody passes a turnstile; a writer keeps it while it waits,
so that busy readers cannot keep it out.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, ReadWriteLock, Timeout

from core.errors import ProjectError, StoreBusy

_POLL_S = 0.002


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
        with (
            _waiting(store, deadline),
            _turnstile(store).acquire(timeout=deadline.left_s, poll_interval=_POLL_S),
        ):
            lock.acquire_read(timeout=deadline.left_s)
        try:
            yield
        finally:
            lock.release()
    finally:
        lock.close()


@contextmanager
def writing(store: Path, deadline: Deadline) -> Iterator[None]:
    """The exclusive lease on ``store``. Raises StoreBusy when the deadline passes first."""
    lock, turnstile = _lock(store), _turnstile(store)
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


def _lock(store: Path) -> ReadWriteLock:
    try:
        return ReadWriteLock(store.with_name(store.name + ".lock"), is_singleton=False)
    except OSError as error:
        raise ProjectError(
            f"{store.parent} cannot be written to ({error.strerror}), and the ledger is only "
            "opened behind a lock file in it. Copy the folder to where you may write."
        ) from error


def _turnstile(store: Path) -> FileLock:
    return FileLock(store.with_name(store.name + ".turn"))


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

"""The ledger of one project: leases on its file, from which a Reader or a Writer is had."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import duckdb

from core.errors import Refused, WrongUse
from core.store import attachments, leases, queries, schema
from core.store.connection import FILE, at_fault, in_memory, new_file, opened, said
from core.store.leases import Deadline
from core.store.macros import Macros
from core.store.reader import Reader
from core.store.writer import Writer, transaction


class Ledger:
    """Opens, lets do, closes. No connection outlives a ``with`` block."""

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)
        self.store = self.folder / FILE

    @classmethod
    def create(cls, folder: Path) -> Ledger:
        """A new, empty ledger in ``folder``. Raises Refused when one is there already."""
        ledger = cls(folder)
        deadline = Deadline(30.0)
        with leases.writing(ledger.store, deadline):
            if ledger.exists:
                raise Refused(f"{ledger.store} is there already; it is never replaced.")
            ledger._build()
        return ledger

    @property
    def exists(self) -> bool:
        """Whether anything was ever recorded here."""
        return self.store.exists()

    def probe(self) -> tuple[int, ...]:
        """A cheap key that moves whenever the file does; read the stamp when it has moved."""
        found: list[int] = []
        for path in (self.store, self.store.with_name(FILE + ".wal")):
            try:
                stat = path.stat()
            except FileNotFoundError:
                found += (0, 0)
            else:
                found += (stat.st_mtime_ns, stat.st_size)
        return tuple(found)

    @contextmanager
    def read(self, timeout_s: float = 10.0) -> Iterator[Reader]:
        """A Reader; of an empty ledger while nothing was recorded yet."""
        if not self.exists:
            with self._memory() as con:
                yield Reader(con)
            return
        deadline = Deadline(timeout_s)
        with ExitStack() as lease:
            con = self._shared(lease, deadline)
            if schema.version_of(con, self.store) < schema.newest():
                lease.close()
                with leases.writing(self.store, deadline), self._open(False, deadline):
                    pass  # a lease to write brings the file up to date
                con = self._shared(lease, deadline)
            yield Reader(con, Macros(con))

    @contextmanager
    def write(self, timeout_s: float = 30.0) -> Iterator[Writer]:
        """A Writer inside one transaction: all of it is written at the end, or nothing."""
        deadline = Deadline(timeout_s)
        with leases.writing(self.store, deadline):
            if not self.exists:
                self._build()
            with (
                self._open(False, deadline) as con,
                transaction(con, self.folder) as writer,
            ):
                yield writer

    @contextmanager
    def alone(self, timeout_s: float = 30.0) -> Iterator[Reader]:
        """A Reader while nobody else has the file, with everything brought into the file."""
        deadline = Deadline(timeout_s)
        with leases.writing(self.store, deadline), self._open(False, deadline) as con:
            con.execute(queries.block("checkpoint"))
            yield Reader(con)

    def attachment(self, sha256: str) -> bytes:
        """A file that an entry names, by its digest.

        Raises WrongUse when no entry names it, StoreDamaged when it is gone or changed.
        """
        with self.read() as reader:
            if sha256 not in set(reader.ask("attachments")["sha256"]):
                raise WrongUse(f"No entry names a file with the digest {sha256}.")
        return attachments.content(self.folder, sha256)

    def _shared(self, lease: ExitStack, deadline: Deadline) -> duckdb.DuckDBPyConnection:
        lease.enter_context(leases.reading(self.store, deadline))
        return lease.enter_context(self._open(True, deadline))

    @contextmanager
    def _open(self, read_only: bool, deadline: Deadline) -> Iterator[duckdb.DuckDBPyConnection]:
        con = opened(self.store, read_only, deadline)
        try:
            version = schema.version_of(con, self.store)
            if not read_only:
                schema.migrate(con, version, self.store)
                Macros(con).make_all()
            yield con
        except duckdb.Error as error:
            if at_fault(error):
                raise said(self.store, error) from error
            raise
        finally:
            con.close()

    @contextmanager
    def _memory(self) -> Iterator[duckdb.DuckDBPyConnection]:
        con = in_memory()
        try:
            schema.migrate(con, 0, None)
            Macros(con).make_all()
            yield con
        finally:
            con.close()

    def _build(self) -> None:
        """Builds an empty file beside its place and moves it there when it is whole."""
        building = self.store.with_name(FILE + ".new")
        building.unlink(missing_ok=True)
        con = new_file(building)
        try:
            schema.migrate(con, 0, None)
        finally:
            con.close()
        os.replace(building, self.store)

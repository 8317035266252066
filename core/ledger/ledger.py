"""The ledger of one project: leases on its file, from which a Reader or a Writer is had."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import duckdb

from core.errors import Refused, StoreDamaged, WrongUse
from core.ledger import declared, files, leases
from core.ledger.database import (
    FILE,
    Macros,
    at_fault,
    backup_file,
    block,
    migrate,
    new_file,
    newest,
    opened,
    said,
    version_of,
)
from core.ledger.declared import Difference
from core.ledger.files import FOLDER, content, ledger_id, store_ledger_id
from core.ledger.leases import Deadline
from core.ledger.reader import Reader
from core.ledger.writer import Writer, transaction


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

    def version_key(self) -> tuple[int, ...]:
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
    def read(self, timeout_s: float = 10.0, of_any_job: bool = False) -> Iterator[Reader]:
        """A Reader. Raises StoreDamaged when the ledger is missing or is another job's.

        The file stays as it is: what an older one lacks reads as empty.
        ``of_any_job`` reads another job's as well, to say what is wrong with it.
        """
        self._require()
        deadline = Deadline(timeout_s)
        with ExitStack() as lease:
            con = self._shared(lease, deadline)
            lacking = declared.difference(con, version_of(con, self.store), self.store)
            if lacking is not None:
                declared.stand_in(con, lacking)
            foreign = None if of_any_job else self.foreign(con)
            if foreign:
                raise StoreDamaged(f"{foreign} Nothing was written.")
            yield Reader(con, Macros(con))

    @contextmanager
    def write(self, timeout_s: float = 30.0) -> Iterator[Writer]:
        """A Writer inside one transaction: all of it is written at the end, or nothing.

        Raises StoreDamaged when the ledger is missing or is another job's, Refused when it may
        only be read.
        """
        deadline = Deadline(timeout_s)
        with self._opened_to_write(deadline) as con:
            with transaction(con, self.folder) as writer:
                yield writer
            first = con.execute(block("first_hash")).fetchone()
        if first and ledger_id(self.folder) is None:
            store_ledger_id(self.folder, str(first[0]))

    @contextmanager
    def alone(self, timeout_s: float = 30.0) -> Iterator[Reader]:
        """A Reader while nobody else has the file, with everything brought into the file."""
        with self._opened_to_write(Deadline(timeout_s)) as con:
            con.execute(block("checkpoint"))
            yield Reader(con, Macros(con))

    def attachment(self, sha256: str) -> bytes:
        """A file that an entry names, by its digest.

        Raises WrongUse when no entry names it, StoreDamaged when it is gone or changed.
        """
        with self.read() as reader:
            if sha256 not in set(reader.ask("attachments")["sha256"]):
                raise WrongUse(f"No entry names a file with the digest {sha256}.")
        return content(self.folder, sha256)

    def _shared(self, lease: ExitStack, deadline: Deadline) -> duckdb.DuckDBPyConnection:
        lease.enter_context(leases.reading(self.store, deadline))
        return lease.enter_context(self._open(True, deadline))

    def _require(self) -> None:
        if not self.exists:
            raise StoreDamaged(
                f"The ledger {FILE} is missing from {self.folder}. Bring it back from the last "
                "backup with: pilewright restore BACKUP NEW_FOLDER. Nothing was written."
            )

    @contextmanager
    def _opened_to_write(self, deadline: Deadline) -> Iterator[duckdb.DuckDBPyConnection]:
        self._require()
        with leases.writing(self.store, deadline), self._open(False, deadline) as con:
            version = version_of(con, self.store)
            foreign = self.foreign(con)
            if foreign:
                raise StoreDamaged(f"{foreign} Nothing was written.")
            migrate(con, version, self.store)
            lacking = declared.difference(con, newest(), self.store)
            if lacking is not None:
                self._add_declared(con, lacking)
            yield con

    def _add_declared(self, con: duckdb.DuckDBPyConnection, lacking: Difference) -> None:
        """Adds what the declared record kinds have and the file lacks, as one entry.

        A copy of the file as it was is laid beside it first.
        """
        if lacking.tables or lacking.columns:
            last = con.execute(block("last_entry")).fetchone()
            backup_file(con, self.store, f"before_entry_{(last[0] if last else 0) + 1}")
        with transaction(con, self.folder) as writer:
            writer.record_schema(lacking)

    def foreign(self, con: duckdb.DuckDBPyConnection) -> str:
        """A sentence when the attachments of the folder belong to another ledger, else empty."""
        kept = ledger_id(self.folder)
        found = con.execute(block("first_hash")).fetchone()
        own = str(found[0]) if found else "none"
        if kept is None or kept == own:
            return ""
        return (
            f"{self.store} is not the ledger of this folder: its id is {own[:12]}, and the files "
            f"in {FOLDER} belong to the ledger {kept[:12]}. Put this job's own ledger "
            "back from its last backup."
        )

    @contextmanager
    def _open(self, read_only: bool, deadline: Deadline) -> Iterator[duckdb.DuckDBPyConnection]:
        con = opened(self.store, read_only, deadline)
        try:
            yield con
        except duckdb.Error as error:
            if at_fault(error):
                raise said(self.store, error) from error
            raise
        finally:
            con.close()

    def _build(self) -> None:
        """Builds an empty file beside its place and moves it there when it is whole."""
        building = self.store.with_name(FILE + ".new")
        building.unlink(missing_ok=True)
        con = new_file(building)
        try:
            migrate(con, 0, None)
            lacking = declared.difference(con, newest(), building)
            if lacking is not None:
                declared.make(con, lacking, None)
        finally:
            con.close()
        files.share_mode(building)
        os.replace(building, self.store)

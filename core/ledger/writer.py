"""One transaction of writing: entries are appended, nothing is ever changed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd

from core import records
from core.errors import Refused, WrongUse
from core.ledger import chain, declared, files
from core.ledger.chain import Content, Entry
from core.ledger.database import Macros, block, for_kind, now, program_version
from core.ledger.declared import Difference
from core.ledger.frames import arrow, complete_rows, registered, source_name
from core.ledger.reader import Reader, unknown_kind
from core.ledger.staging import Staged, Staging

WITHDRAWAL = "withdrawal"
SETTINGS = "settings"
SCHEMA = "schema"
NOT_WITHDRAWN = (WITHDRAWAL, SETTINGS, SCHEMA)  # acts of entries that stay
PROGRAM = "Pilewright"  # the person of an entry that the program makes by itself
_ROW = {"sheet": "text", "row_no": "integer", "removed": "truth"}


@dataclass(frozen=True)
class NewEntry:
    """One act about to be recorded: who, what, from which file, and why.

    ``source`` is the name of the file the rows come from, None for a form; ``sha256`` names its
    attachment, which is kept before the entry.
    """

    person: str
    act: str
    source: str | None = None
    sha256: str | None = None
    note: str = ""
    mapping: Mapping[str, Any] | None = None


class Writer(Reader):
    """A Reader that may append, until its transaction ends; made by ``Ledger.write``."""

    def __init__(self, con: duckdb.DuckDBPyConnection, folder: Path) -> None:
        macros = Macros(con)
        super().__init__(con, macros)
        self._folder = folder
        self._staging = Staging(con, macros)
        self._kept: list[Path] = []
        self.discarded = False

    def discard(self) -> None:
        """Nothing of this transaction is written, however it ends."""
        self.discarded = True

    def attach(self, content: bytes) -> str:
        """Keeps a file's content under its digest, which is returned."""
        path = files.place(self._folder, hashlib.sha256(content).hexdigest())
        if not path.exists():
            self._kept.append(path)
        return files.keep(self._folder, content)

    def keep(self, new: NewEntry, content: bytes) -> int | None:
        """Records a file that is kept and not read; None when a live entry keeps it already."""
        sha256 = hashlib.sha256(content).hexdigest()
        if self._rows("kept_by", sha256=sha256, as_of=self.last_entry()):
            return None
        return self._write_entry(replace(new, sha256=self.attach(content)), [])

    def changed_since(self, entry_no: int) -> bool:
        """Whether anybody has recorded something after an entry; the schema is no such act."""
        return bool(self._rows("acts_after", entry_no=entry_no, schema=SCHEMA))

    def undo(self) -> None:
        """Takes away the attachments that this transaction was the first to keep."""
        for path in self._kept:
            path.unlink(missing_ok=True)

    def stage(
        self, kind: str, frame: pd.DataFrame, source_file: str | None, replace: bool = False
    ) -> Staged:
        """What each row of ``frame`` means against what stands and what was staged before.

        Kinds come in the order of ``records.KINDS``. A column ``saw_entry_no`` names the entry
        whose row a correction saw, 0 for one staged before; ``wins`` lets a row win whatever
        stands. Raises WrongUse when a key is missing or stands twice.
        """
        description = self._kind(kind)
        compared = self._staging.stage(description, frame, source_file, self.last_entry())
        staged = compared.staged(replace, self._staging.references(description))
        self._staging.remember(staged, source_file)
        return staged

    def append(
        self,
        new: NewEntry,
        rows: Mapping[str, pd.DataFrame],
        before: Callable[[str], object] = lambda kind: None,
    ) -> int | None:
        """Records one act with its rows and returns its number, None when there is no row.

        ``rows`` are frames as ``Staged.writes`` gives them; sheet, row_no and removed are filled
        when a form does not give them. ``before`` is called with each kind about to be written.
        """
        for kind in rows:
            self._staging.forget(self._kind(kind), new.source)
        filled = {name: frame for name, frame in rows.items() if len(frame)}
        if not filled:
            return None
        if new.sha256 and not files.place(self._folder, new.sha256).exists():
            raise WrongUse(f"Keep {new.source} as an attachment before its entry.")
        entry_no = self.last_entry() + 1
        chain.make_macros(self._con)
        contents = []
        for name in (kind.name for kind in records.KINDS if kind.name in filled):
            before(name)
            contents.append(self._write_rows(entry_no, name, filled[name], new.source))
        self._write_entry(new, contents)
        return entry_no

    def withdraw(self, entry_no: int, person: str, note: str) -> int:
        """Records that an entry no longer counts.

        Raises WrongUse when there is no such entry; Refused when it is itself a withdrawal, the
        settings or the schema, or withdrawn already.
        """
        found = self._rows("entry_to_withdraw", entry_no=entry_no)
        if not found:
            raise WrongUse(f"There is no entry {entry_no}; the last is {self.last_entry()}.")
        act, withdrawn_by = found[0]
        if withdrawn_by is not None:
            raise Refused(f"Entry {entry_no} is withdrawn already, by entry {withdrawn_by}.")
        if act == WITHDRAWAL:
            raise Refused(
                f"Entry {entry_no} is a withdrawal, which is not itself withdrawn. "
                "Import the file again instead."
            )
        if act == SETTINGS:
            raise Refused(
                f"Entry {entry_no} records the settings, which are not withdrawn. "
                "Change project.toml; the next entry records it."
            )
        if act == SCHEMA:
            raise Refused(
                f"Entry {entry_no} added tables or columns for record kinds of this program; they "
                "stay in the file."
            )
        return self._write_entry(NewEntry(person, WITHDRAWAL, note=note), [], withdraws=entry_no)

    def record_settings(self, text: str, person: str) -> int | None:
        """Records the full text of project.toml if it differs from what was recorded last."""
        if text == self.settings_text(self.last_entry()):
            return None
        entry_no = self.last_entry() + 1
        self._con.execute(block("add_settings"), {"entry_no": entry_no, "text": text})
        return self._write_entry(NewEntry(person, SETTINGS), [], settings=text)

    def record_schema(self, lacking: Difference) -> int | None:
        """Adds the tables and columns that the file lacks, as one entry; None if it lacks none."""
        new = NewEntry(PROGRAM, SCHEMA, note=str(lacking))
        entry_no = self._write_entry(new, []) if new.note else None
        declared.make(self._con, lacking, entry_no)
        return entry_no

    def _kind(self, name: str) -> records.Kind:
        if name not in records.KIND:
            raise unknown_kind(name)
        return records.KIND[name]

    def _write_rows(
        self, entry_no: int, name: str, frame: pd.DataFrame, source: str | None
    ) -> Content:
        kind = records.KIND[name]
        whole = complete_rows(kind, frame)
        voice: dict[str, object] = {"kind": name, "file": source_name(source)}
        with registered(self._con, "written", arrow(whole, kind.columns, _ROW)):
            self._con.execute(block("add_sources"), voice)
            sql = for_kind("add_rows", kind)
            self._con.execute(sql, {**voice, "entry_no": entry_no})
        forms = {column.name: str(column.form) for column in kind.columns}
        digest, rows = chain.digests(self._con, name, forms, entry_no, entry_no)[entry_no]
        assert rows == len(whole)
        return Content(name, chain.columns_text(kind.names), digest, rows)

    def _write_entry(
        self,
        new: NewEntry,
        contents: list[Content],
        withdraws: int | None = None,
        settings: str | None = None,
    ) -> int:
        last_no, previous_hash, last_at = self._last()
        mapping = None if new.mapping is None else json.dumps(new.mapping, sort_keys=True)
        entry = Entry(
            entry_no=last_no + 1,
            entered_at=max(now(), last_at),
            person=new.person,
            act=new.act,
            source=new.source,
            sha256=new.sha256,
            note=new.note,
            withdraws=withdraws,
            mapping=mapping,
            program_version=program_version(),
            previous_hash=previous_hash,
        )
        own = chain.entry_hash(entry, contents, settings)
        for content in contents:
            values = {"entry_no": entry.entry_no, **vars(content)}
            self._con.execute(block("add_content"), values)
        self._con.execute(block("add_entry"), {**vars(entry), "hash": own})
        return entry.entry_no


@contextmanager
def transaction(con: duckdb.DuckDBPyConnection, folder: Path) -> Iterator[Writer]:
    """A Writer on an open connection: all that it does is written at the end, or nothing."""
    writer = Writer(con, folder)
    con.begin()
    try:
        yield writer
        con.execute(block("still_sound")).fetchall()
    except BaseException:
        con.rollback()
        writer.undo()
        raise
    if writer.discarded:
        con.rollback()
        writer.undo()
    else:
        # When it fails, files may stay unnamed; an entry without its file would be a loss.
        con.commit()

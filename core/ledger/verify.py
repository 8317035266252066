"""Recomputes every digest and hash of a ledger, and looks whether every attachment is there."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import duckdb

from core import records
from core.ledger import chain, files
from core.ledger.chain import Content, Entry
from core.ledger.database import block, filled, for_kind
from core.ledger.declared import ROW_COLUMNS
from core.ledger.files import place
from core.ledger.ledger import Ledger

_FORMS = {sql: form for form, sql in records.SQL_TYPES.items()}


@dataclass(frozen=True)
class Fault:
    """One thing that is not as it was written; ``entry_no`` is None when no entry is to blame."""

    entry_no: int | None
    what: str
    of_attachment: bool = False

    def __str__(self) -> str:
        return self.what if self.entry_no is None else f"Entry {self.entry_no}: {self.what}"


def verify(folder: Path) -> list[Fault]:
    """Every fault of the ledger in ``folder``, in the order of entries; empty when it is sound.

    Raises StoreDamaged when the file is missing or cannot be read.
    """
    ledger = Ledger(folder)
    with ledger.read(timeout_s=60.0, of_any_job=True) as reader:
        con = reader.connection
        foreign = ledger.foreign(con)
        chain.make_macros(con)
        contents = _contents(con)
        entries = _entries(con)
        faults = [*_chain_faults(con, entries, contents), *_row_faults(con, contents)]
    faults += _attachment_faults(ledger.folder, entries)
    if foreign:
        faults.append(Fault(None, foreign))
    return sorted(faults, key=lambda fault: (fault.entry_no or 0, fault.what))


def _entries(con: duckdb.DuckDBPyConnection) -> list[tuple[Entry, str]]:
    rows = con.execute(block("whole_entries")).fetchall()
    return [(Entry(*row[:-1]), str(row[-1])) for row in rows]


def _contents(con: duckdb.DuckDBPyConnection) -> dict[int, list[Content]]:
    found: dict[int, list[Content]] = defaultdict(list)
    for entry_no, *rest in con.execute(block("contents")).fetchall():
        found[int(entry_no)].append(Content(*rest))
    return found


def _chain_faults(
    con: duckdb.DuckDBPyConnection,
    entries: list[tuple[Entry, str]],
    contents: dict[int, list[Content]],
) -> Iterator[Fault]:
    settings = dict(con.execute(block("all_settings")).fetchall())
    previous_hash = chain.FIRST
    for number, (entry, own) in enumerate(entries, start=1):
        if entry.entry_no != number:
            yield Fault(entry.entry_no, f"it is in the place of entry {number}.")
        if entry.previous_hash != previous_hash:
            yield Fault(entry.entry_no, "it does not follow from the entry before it.")
        held = contents.get(entry.entry_no, [])
        if chain.entry_hash(entry, held, settings.get(entry.entry_no)) != own:
            yield Fault(entry.entry_no, "the entry itself, its list of contents or its settings "
                        "text is not as it was written.")  # fmt: skip
        previous_hash = own
    known = {entry.entry_no for entry, _ in entries}
    for entry_no in sorted((set(contents) | set(settings)) - known):
        yield Fault(entry_no, "it has contents and is not in the list of entries.")


def _row_faults(
    con: duckdb.DuckDBPyConnection, contents: dict[int, list[Content]]
) -> Iterator[Fault]:
    for kind in records.KINDS:
        held = [
            (entry_no, content)
            for entry_no, of_entry in sorted(contents.items())
            for content in of_entry
            if content.kind == kind.name
        ]
        named = {entry_no for entry_no, _ in held}
        sql = for_kind("entries_with_rows", kind)
        for (entry_no,) in con.execute(sql).fetchall():
            if entry_no not in named:
                yield Fault(entry_no, f"it holds {kind.word} rows that it was not written with.")
        forms = _forms(con, kind.name)
        for columns, together in groupby(held, key=lambda one: one[1].columns):
            yield from _content_faults(con, forms, columns, list(together))


def _content_faults(
    con: duckdb.DuckDBPyConnection,
    forms: dict[str, str],
    columns: str,
    held: list[tuple[int, Content]],
) -> Iterator[Fault]:
    """Faults of entries of one kind, next to each other, hashed over the same columns."""
    kind, first, last = held[0][1].kind, held[0][0], held[-1][0]
    word, hashed = records.KIND[kind].word, json.loads(columns)
    lost = [column for column in hashed if column not in forms]
    if lost:
        for entry_no, _ in held:
            yield Fault(entry_no, f"its {word} rows lack the columns {', '.join(lost)}.")
        return
    covered = {column: forms[column] for column in hashed}
    computed = chain.digests(con, kind, covered, first, last)
    for entry_no, content in held:
        if computed.get(entry_no) != (content.digest, content.rows):
            count = computed.get(entry_no, ("", 0))[1]
            yield Fault(entry_no, f"its {word} rows are not as they were written "
                        f"({content.rows} then, {count} now).")  # fmt: skip
    rest = [{"column": column} for column in forms if column not in covered]
    sql = filled("filled_unhashed", {"kind": kind}, {"column": rest})
    for (entry_no,) in con.execute(sql, {"first": first, "last": last}).fetchall():
        yield Fault(entry_no, f"its {word} rows have values in columns that did not exist then.")


def _forms(con: duckdb.DuckDBPyConnection, kind: str) -> dict[str, str]:
    """Columns of one kind's table, without the ledger's own, by the form in which they hash."""
    rows = con.execute(block("table_columns"), {"kind": kind}).fetchall()
    return {name: _FORMS[sql] for name, sql in rows if name not in ROW_COLUMNS}


def _attachment_faults(folder: Path, entries: list[tuple[Entry, str]]) -> Iterator[Fault]:
    for entry, _ in entries:
        if entry.sha256 is None:
            continue
        path = place(folder, entry.sha256)
        if not path.is_file():
            gone = f"the file it took in, {entry.source}, is not kept any more."
            yield Fault(entry.entry_no, gone, of_attachment=True)
        elif files.digest(path) != entry.sha256:
            changed = f"the kept copy of {entry.source} has been changed."
            yield Fault(entry.entry_no, changed, of_attachment=True)

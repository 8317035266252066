"""The tables of a file held against the record kinds that this program declares.

After the last numbered migration a new kind or column has no migration: its table or column is
made from its declaration when the file is opened for writing, and read as empty until then.
Tables and columns are only added; none is renamed, retyped or dropped.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import duckdb

from core import records
from core.errors import StoreTooNew, WrongUse
from core.ledger.chain import text_digest
from core.ledger.database import block, filled, for_kind, named, now, program_version
from core.records import SQL_TYPES, Column, Kind

FROM_VERSION = 7  # the migration from which files keep the digest of declarations
ROW_COLUMNS = {  # that the ledger gives every row of every kind
    "entry_no": "BIGINT",
    "row_no": "BIGINT",
    "sheet": "VARCHAR",
    "source_no": "BIGINT",
    "removed": "BOOLEAN",
}
_LEDGER_TABLES = {
    "declared_schema", "entry", "entry_content", "schema_version", "settings", "source",
}  # fmt: skip
_Columns = dict[str, tuple[str, bool]]  # type and whether it may be empty, by name


@dataclass(frozen=True)
class Difference:
    """What the declarations have and a file lacks."""

    tables: tuple[Kind, ...]
    columns: tuple[tuple[Kind, Column], ...]

    def __str__(self) -> str:
        tables = ", ".join(kind.name for kind in self.tables)
        columns = ", ".join(f"{kind.name}.{column.name}" for kind, column in self.columns)
        parts = (tables and f"tables added: {tables}", columns and f"columns added: {columns}")
        return "; ".join(part for part in parts if part)


@lru_cache(maxsize=2)
def digest(kinds: tuple[Kind, ...]) -> str:
    """Digest of the tables that the declarations of ``kinds`` make."""
    return text_digest(json.dumps({kind.name: _wanted(kind) for kind in kinds}))


def difference(con: duckdb.DuckDBPyConnection, version: int, store: Path) -> Difference | None:
    """What the file lacks, None when its tables were brought to these declarations before.

    Raises StoreTooNew when it holds a table or column that no declaration knows.
    """
    if version >= FROM_VERSION:
        known = con.execute(block("declared_digest")).fetchone()
        if known is not None and known[0] == digest(records.KINDS):
            return None
    found: dict[str, _Columns] = {}
    for table, column, sql, nullable in con.execute(block("file_columns")).fetchall():
        found.setdefault(table, {})[column] = sql, nullable
    _refuse_unknown(found, store)
    tables = tuple(kind for kind in records.KINDS if kind.name not in found)
    columns = tuple(
        (kind, column)
        for kind in records.KINDS
        for column in kind.columns
        if kind.name in found and column.name not in found[kind.name]
    )
    for kind, column in columns:
        if column.name in kind.key:
            raise WrongUse(
                f"{store} has a table {kind.name} without {column.name}, which is declared as part "
                "of its key. A key never changes: declare another kind."
            )
    return Difference(tables, columns)


def _refuse_unknown(found: dict[str, _Columns], store: Path) -> None:
    unknown = []
    for table, columns in found.items():
        if table in _LEDGER_TABLES:
            continue
        if table not in records.KIND:
            unknown.append(f"the table {table}")
            continue
        known = _wanted(records.KIND[table])
        other = [name for name, form in columns.items() if known.get(name) != form]
        unknown += [f"the column {table}.{name}" for name in other]
    if unknown:
        raise StoreTooNew(
            f"{store} was made by a newer program: this one does not know {', '.join(unknown)}. "
            "Install the newer version."
        )


def _wanted(kind: Kind) -> _Columns:
    """The columns of a kind's table, by name so that their order does not matter."""
    own = {
        column.name: (SQL_TYPES[column.form], column.name not in kind.key)
        for column in kind.columns
    }
    of_rows = {name: (sql, False) for name, sql in ROW_COLUMNS.items()}
    return dict(sorted({**own, **of_rows}.items()))


def make(con: duckdb.DuckDBPyConnection, lacking: Difference, entry_no: int | None) -> None:
    """Add what a file lacks and keep the digest, inside the caller's transaction."""
    for kind in lacking.tables:
        con.execute(for_kind("make_table", kind))
    for kind, column in lacking.columns:
        names = {"kind": kind.name, **named(column)}
        con.execute(filled("make_column", names, {}))
    con.execute(
        block("record_declared"),
        {
            "digest": digest(records.KINDS),
            "entry_no": entry_no,
            "applied_at": now(),
            "program_version": program_version(),
        },
    )


def stand_in(con: duckdb.DuckDBPyConnection, lacking: Difference) -> None:
    """Let a connection read what a file lacks as empty; the file stays as it is."""
    for kind in lacking.tables:
        con.execute(for_kind("empty_table", kind))
    database = str(con.execute(block("database")).fetchall()[0][0])
    for name in dict.fromkeys(kind.name for kind, _ in lacking.columns):
        missing = [named(column) for kind, column in lacking.columns if kind.name == name]
        names = {"kind": name, "database": database}
        con.execute(filled("wider_table", names, {"missing column": missing}))

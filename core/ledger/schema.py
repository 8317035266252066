"""Brings a ledger file to the schema of this program, one numbered migration after another.

Migrations are hand-written SQL in ``migrations/``, never edited once merged, and no further one is
added. They add tables and columns; they never rename or retype a column, because old entries are
hashed over it. Later tables and columns are made from the declarations (``declared.py``).
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import duckdb

from core.errors import StoreDamaged, StoreTooNew
from core.ledger import queries
from core.ledger.connection import now, program_version

FOLDER = Path(__file__).parent / "migrations"


@dataclass(frozen=True)
class Migration:
    """One numbered step of the schema."""

    version: int
    name: str
    sql: str


@cache
def migrations() -> tuple[Migration, ...]:
    """Every migration in order."""
    return tuple(
        Migration(int(path.name[:4]), path.stem[5:], path.read_text(encoding="utf-8"))
        for path in sorted(FOLDER.glob("[0-9][0-9][0-9][0-9]_*.sql"))
    )


def newest() -> int:
    """The schema that this program works with."""
    return migrations()[-1].version


def version_of(con: duckdb.DuckDBPyConnection, store: Path) -> int:
    """Which migration the file stands at.

    Raises StoreDamaged when it holds no ledger, StoreTooNew when a newer program wrote it.
    """
    try:
        rows = con.execute(queries.block("schema_version")).fetchall()
    except duckdb.CatalogException as error:
        raise StoreDamaged(
            f"{store} is a database but not a ledger. Put it aside and bring back the last backup."
        ) from error
    version = int(rows[0][0])
    if version > newest():
        raise StoreTooNew(
            f"{store} was written by a newer version of the program (schema {version}; this "
            f"program knows up to {newest()}). Install the newer version."
        )
    return version


def copy_beside(con: duckdb.DuckDBPyConnection, store: Path, ending: str) -> None:
    """Lays a copy of the file as it is beside it."""
    con.execute(queries.block("checkpoint"))
    shutil.copy2(store, store.with_name(f"{store.name}.{ending}"))


def migrate(con: duckdb.DuckDBPyConnection, version: int, store: Path | None) -> None:
    """Takes a file from ``version`` to the newest schema, each step in its own transaction.

    A copy of the file as it was is laid beside it first; ``store`` is None for a new one.
    """
    for step in [step for step in migrations() if step.version > version]:
        if store is not None:
            copy_beside(con, store, f"before_{step.version:04}")
        con.begin()
        try:
            con.execute(step.sql)
            con.execute(
                queries.block("record_migration"),
                {
                    "version": step.version,
                    "name": step.name,
                    "applied_at": now(),
                    "program_version": program_version(),
                },
            )
            con.execute(queries.block("still_sound")).fetchall()
        except BaseException:
            con.rollback()
            raise
        con.commit()

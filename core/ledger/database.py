"""The DuckDB file: connections, questions of ``sql/``, table macros, numbered migrations."""

from __future__ import annotations

import os
import re
import shutil
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from importlib import metadata
from pathlib import Path

import duckdb
import pandas as pd
import pyarrow as pa

from core import records
from core.errors import PilewrightError, Refused, StoreDamaged, StoreTooNew, WrongUse
from core.ledger.leases import Deadline, busy
from core.records import SQL_TYPES, Column, Kind

_SQL = Path(__file__).parent / "sql"
_NAME = re.compile(r"^-- name: (\w+)$", re.MULTILINE)
_EACH = re.compile(r"^(?P<line>.*\S)\s*-- for each (?P<what>[\w ]+)$")
_IDENTIFIER = re.compile(r"[a-z][a-z0-9_]*")


@cache
def blocks() -> dict[str, str]:
    """Every named block by its name."""
    found: dict[str, str] = {}
    for path in sorted(_SQL.glob("*.sql")):
        pieces = _NAME.split(path.read_text(encoding="utf-8"))
        for name, text in zip(pieces[1::2], pieces[2::2], strict=True):
            if name in found:
                raise WrongUse(f"The question {name} stands twice, the second time in {path.name}.")
            found[name] = text.strip()
    return found


def block(name: str) -> str:
    """The text of one block. Raises WrongUse when there is none of that name."""
    try:
        return blocks()[name]
    except KeyError:
        known = ", ".join(sorted(blocks()))
        raise WrongUse(f"There is no question {name!r}; there are: {known}.") from None


def filled(
    name: str,
    names: Mapping[str, str],
    each: Mapping[str, Sequence[Mapping[str, str]]],
) -> str:
    """A block with its placeholders filled and its marked lines repeated."""
    lines: list[str] = []
    for line in block(name).splitlines():
        marked = _EACH.match(line)
        if marked is None:
            lines.append(_with(line, names))
        else:
            repeats = each[marked["what"]]
            lines += [_with(marked["line"], {**names, **one}) for one in repeats]
    return "\n".join(lines)


def question(name: str) -> str:
    """A block that is asked by name; ``-- for each run column`` lists the columns of a kind."""
    each: dict[str, Sequence[Mapping[str, str]]] = {
        f"{kind.name} column": [named(column) for column in kind.columns] for kind in records.KINDS
    }
    return filled(name, {}, each)


def for_kind(name: str, kind: Kind, **names: str) -> str:
    """A block filled for one record kind."""
    each = {
        "column": [named(column) for column in kind.columns],
        "key": [named(kind.column(key)) for key in kind.key],
        "value": [named(kind.column(value)) for value in kind.values],
    }
    return filled(name, {"kind": kind.name, **names}, each)


def named(column: Column) -> dict[str, str]:
    """What a marked line may be filled with for one column."""
    sql = SQL_TYPES[column.form].lower()
    return {"column": column.name, "form": column.form, "type": sql}


def _with(line: str, names: Mapping[str, str]) -> str:
    for placeholder, identifier in names.items():
        if not _IDENTIFIER.fullmatch(identifier):
            raise WrongUse(f"{identifier!r} is not the name of a table or column.")
        line = line.replace("{" + placeholder + "}", identifier)
    return line


FILE = "project.duckdb"
_CONFIG: dict[str, str | bool | int | float | list[str]] = {
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "python_enable_replacements": "false",
}
# Files stay readable by every version of the engine that the program may be installed with.
_NEW_FILE: dict[str, str | bool | int | float | list[str]] = {
    **_CONFIG,
    "storage_compatibility_version": "v1.5.0",
}
_AGAIN_S = 0.05
_DAMAGE = (duckdb.IOException, duckdb.FatalException, duckdb.SerializationException)


@cache
def program_version() -> str:
    """Version of the program, as written into every entry."""
    return metadata.version("pilewright")


def now() -> datetime:
    """The instant, UTC without zone, as the ledger keeps it."""
    return datetime.now(UTC).replace(tzinfo=None)


def new_file(store: Path) -> duckdb.DuckDBPyConnection:
    """A new file, in the storage version that every supported engine reads."""
    return duckdb.connect(str(store), config=_NEW_FILE)


def opened(store: Path, read_only: bool, deadline: Deadline) -> duckdb.DuckDBPyConnection:
    """A connection to an existing file.

    Raises StoreBusy while a program that knows nothing of the locks holds the file, StoreTooNew
    when a newer engine wrote it, StoreDamaged when it is not a ledger.
    """
    while True:
        try:
            return duckdb.connect(str(store), read_only=read_only, config=_CONFIG)
        except duckdb.IOException as error:
            if not _held_by_another(error):
                raise said(store, error) from error
            if deadline.left_s <= 0:
                raise busy(store, deadline, _holder(error)) from error
        except duckdb.Error as error:
            raise said(store, error) from error
        time.sleep(_AGAIN_S)


def said(store: Path, error: duckdb.Error) -> PilewrightError:
    """The error to raise for what the engine says about the file."""
    first = str(error).splitlines()[0]
    if "version number" in first:
        return StoreTooNew(
            f"{store} was written by a newer engine than this installation has. "
            "Install the newer version of the program."
        )
    if _disk_full(error):
        return Refused(f"The disk that holds {store} is full. Nothing was written.")
    if "Permission denied" in first or "Read-only file system" in first:
        return not_allowed(store)
    return StoreDamaged(
        f"{store} cannot be read as a ledger: {first} "
        "Move it away and restore the last backup; the attachments are untouched."
    )


def not_allowed(store: Path) -> Refused:
    """The error to raise when the system lets us read the ledger and not write it, or neither."""
    if os.access(store, os.R_OK):
        return Refused(
            f"The ledger {store} can be read but not written: this user has no right to write to "
            "it or to its folder, or the disk is read-only. Nothing was written."
        )
    return Refused(f"This user has no right to read the ledger {store}. Nothing was changed.")


def at_fault(error: duckdb.Error) -> bool:
    """Whether the engine complains about the file or the disk, not about what it was asked."""
    return isinstance(error, _DAMAGE) or "Corrupt" in str(error) or _disk_full(error)


def _disk_full(error: duckdb.Error) -> bool:
    return any(text in str(error) for text in ("No space left", "File too large", "quota"))


def _held_by_another(error: duckdb.IOException) -> bool:
    text = str(error)
    return "Could not set lock" in text or "being used by another process" in text


def _holder(error: duckdb.IOException) -> str:
    found = re.search(r"PID (\d+)", str(error))
    who = f"process {found[1]}" if found else "another program"
    return f"It is held open by {who}, which is not this program"


def frame(con: duckdb.DuckDBPyConnection, sql: str, values: dict[str, object]) -> pd.DataFrame:
    """The answer to ``sql`` with whole numbers Int64, text str, dates and moments in µs."""
    table = con.sql(sql, params=values or None).to_arrow_table()
    columns = {name: _settled(table[name]) for name in table.column_names}
    framed: pd.DataFrame = pa.table(columns).to_pandas(
        types_mapper={pa.int64(): pd.Int64Dtype()}.get
    )
    return framed


def _settled(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """A column in one of the few types that pass between rooms."""
    if pa.types.is_date(column.type) or pa.types.is_timestamp(column.type):
        return column.cast(pa.timestamp("us"))
    if pa.types.is_null(column.type):
        return column.cast(pa.string())
    return column.cast(pa.int64()) if pa.types.is_integer(column.type) else column


_CALLED = re.compile(r"\b([a-z_]+)\(")


class Macros:
    """Macros that a connection is given when a question first calls them.

    All of them together take longer to make than most questions take to answer.
    """

    def __init__(self, con: duckdb.DuckDBPyConnection) -> None:
        self._con = con
        self._made: set[str] = set()
        con.execute(block("quiet"))

    def make_for(self, sql: str) -> None:
        """Make those that ``sql`` calls and that are not made yet."""
        for name in _called(sql):
            self._make(name)

    def _make(self, name: str) -> None:
        if name not in self._made:
            self._made.add(name)
            self.make_for(_texts()[name])  # a macro may call others
            self._con.execute(_texts()[name])


@cache
def _called(sql: str) -> frozenset[str]:
    return frozenset(_CALLED.findall(sql)) & _texts().keys()


@cache
def _texts() -> dict[str, str]:
    """The text of each macro by its name."""
    texts = {name: block(name) for name in ("active_entry", "counting_order")}
    for kind in records.KINDS:
        texts[f"{kind.name}_last_version"] = for_kind("last_version", kind)
        texts[kind.name] = for_kind("current_frame", kind)
    return texts


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
        rows = con.execute(block("schema_version")).fetchall()
    except duckdb.CatalogException as error:
        raise StoreDamaged(
            f"{store} is a database but not a ledger. Move it away and restore the last backup."
        ) from error
    version = int(rows[0][0])
    if version > newest():
        raise StoreTooNew(
            f"{store} was written by a newer version of the program (schema {version}; this "
            f"program knows up to {newest()}). Install the newer version."
        )
    return version


def backup_file(con: duckdb.DuckDBPyConnection, store: Path, ending: str) -> None:
    """Lays a copy of the file as it is beside it."""
    con.execute(block("checkpoint"))
    shutil.copy2(store, store.with_name(f"{store.name}.{ending}"))


def migrate(con: duckdb.DuckDBPyConnection, version: int, store: Path | None) -> None:
    """Takes a file from ``version`` to the newest schema, each step in its own transaction.

    A copy of the file as it was is laid beside it first; ``store`` is None for a new one.
    """
    for step in [step for step in migrations() if step.version > version]:
        if store is not None:
            backup_file(con, store, f"before_{step.version:04}")
        con.begin()
        try:
            con.execute(step.sql)
            con.execute(
                block("record_migration"),
                {
                    "version": step.version,
                    "name": step.name,
                    "applied_at": now(),
                    "program_version": program_version(),
                },
            )
            con.execute(block("still_sound")).fetchall()
        except BaseException:
            con.rollback()
            raise
        con.commit()

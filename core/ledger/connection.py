"""Opens the ledger file and says in a sentence why it cannot be opened."""

from __future__ import annotations

import os
import re
import time
from datetime import UTC, datetime
from functools import cache
from importlib import metadata
from pathlib import Path

import duckdb
import pandas as pd
import pyarrow as pa

from core.errors import PilewrightError, Refused, StoreDamaged, StoreTooNew
from core.ledger.leases import Deadline, busy

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
        "Put it aside and bring back the last backup; the attachments are untouched."
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

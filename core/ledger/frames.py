"""Takes frames of the rooms into the engine with every type said, so that nothing is guessed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import duckdb
import pandas as pd
import pyarrow as pa

from core import records
from core.errors import WrongUse
from core.records import Column, Kind

_ARROW: dict[str, Any] = {
    "text": pa.string(),
    "integer": pa.int64(),
    "number": pa.float64(),
    "date": pa.timestamp("us"),
    "timestamp": pa.timestamp("us"),
}


def source_name(file: str | None) -> str:
    """A file's name as the voice of its rows: without folder, case folded; '' is a form."""
    return re.split(r"[/\\]", file)[-1].casefold() if file else ""


def complete_rows(kind: Kind, frame: pd.DataFrame) -> pd.DataFrame:
    """``frame`` typed, numbered from 0, with sheet, row_no and removed where it has none.

    Raises WrongUse when a key is missing.
    """
    rows = records.typed(frame, kind.columns).reset_index(drop=True)
    if "sheet" not in rows:
        rows["sheet"] = ""
    if "row_no" not in rows:
        rows["row_no"] = range(1, len(rows) + 1)
    if "removed" not in rows:
        rows["removed"] = False
    without = [key for key in kind.key if rows[key].isna().any()]
    if without:
        raise WrongUse(f"A row has no {', '.join(without)}, which is its key ({kind.word}).")
    return rows


def arrow(rows: pd.DataFrame, columns: Sequence[Column], extra: dict[str, str]) -> pa.Table:
    """``rows`` as a table; ``extra`` names further columns with their form."""
    forms = {column.name: column.form for column in columns} | extra
    arrays = {name: _array(rows[name], form) for name, form in forms.items()}
    return pa.table(arrays)


def _array(values: pd.Series[Any], form: str) -> pa.Array:
    if form == "truth":
        return pa.array(values.astype("bool"), pa.bool_())
    array = pa.array(values, _ARROW[form], from_pandas=True)
    return array.cast(pa.date32()) if form == "date" else array


@contextmanager
def registered(con: duckdb.DuckDBPyConnection, name: str, table: pa.Table) -> Iterator[None]:
    """``table`` under ``name`` for the questions inside."""
    con.register(name, table)
    try:
        yield
    finally:
        con.unregister(name)

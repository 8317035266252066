"""Rows of the ledger and tables of the same rows, read column by column."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any

import numpy as np
import pandas as pd

from core.criteria.columns import Array, Converted, of_record, text_array
from core.records.current_rows import CurrentRows
from core.subjects.columns import Column
from core.subjects.frames import frame_of
from core.subjects.tables import Table, Texts


class TableColumns(Converted):
    """The columns of rows and of tables of as many rows, each worked out when it is read.

    ``made``: further columns by name. ``hidden``: columns of the rows that nobody reads here. A
    name that several have is that of the rows, then that of the first table.
    """

    def __init__(
        self, rows: CurrentRows, *tables: Table, hidden: Collection[str] = (), **made: Any
    ) -> None:
        self.rows, self._length = rows, len(rows)
        self._of_rows = [name for name in rows.names if name not in hidden]
        self._made, self._table = made, _table_of_names(tables, {*self._of_rows, *made})
        super().__init__([*self._of_rows, *self._table, *made])

    def __len__(self) -> int:
        return self._length

    def coded(self, name: str) -> tuple[Array, Sequence[str]]:
        """A column of text as codes into its distinct texts, -1 where there is none."""
        found = self._value(name)
        if found is None:
            return self.rows.codes(name), self.rows.texts(name)
        return (found.codes, found.words) if isinstance(found, Texts) else super().coded(name)

    def frame(self) -> pd.DataFrame:
        """Every column as a frame."""
        made = frame_of({name: self._value(name) for name in (*self._table, *self._made)})
        every = pd.concat([self.rows.only(self._of_rows).frame(), made], axis=1)
        return every.copy()  # a block for each type, not for each column

    def _value(self, name: str) -> Any:
        """What a table or nobody but the maker of this has under ``name``; None of the rows."""
        if name in self._made:
            return self._made[name]
        return getattr(self._table[name], name) if name in self._table else None

    def _convert(self, form: str, name: str) -> Array:
        found = self._value(name)
        if found is None:
            return of_record(form, name, self.rows)
        if isinstance(found, Texts):
            return text_array([*found.words, ""])[found.codes]
        values: Array = found.values if isinstance(found, Column) else found
        if form == "truth":
            return np.asarray(values == np.True_)
        return values.astype("datetime64[us]" if form == "day" else np.float64)


def _table_of_names(tables: Sequence[Table], taken: set[str]) -> dict[str, Table]:
    found: dict[str, Table] = {}
    for name, table in _declared(tables):
        if name not in taken:
            found.setdefault(name, table)
    return found


def _declared(tables: Sequence[Table]) -> Iterator[tuple[str, Table]]:
    for table in tables:
        for name, one in table.declared.items():
            if one.kind is not None:
                yield name, table

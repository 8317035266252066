"""A sheet as a grid of text, before anybody knows what it means: what every file kind becomes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pyarrow as pa

from core.readers.book_marks import VISIBLE

# Text of a long file as Arrow has it: from the reader to the ledger without a copy.
ARROW_TEXT = pd.StringDtype("pyarrow", na_value=np.nan)


def arrow_texts(parts: Sequence[pa.Array]) -> pd.Series[str]:
    """One column of texts out of its parts."""
    whole = pa.chunked_array(parts, pa.string())
    return pd.Series(whole.to_pandas(types_mapper={pa.string(): ARROW_TEXT}.get))


@dataclass(frozen=True)
class Grid:
    """Cells of one sheet as text, missing where empty; blank rows are left out.

    ``cells`` has one column per column of the sheet (0 is A) and one row per row that is not
    blank; ``row_no`` holds the sheet's row, or the file's physical line, of each. ``width`` counts
    the cells that each row really has (None: all). ``forms`` says how a spreadsheet held each
    cell (``cell_forms``; None for CSV). ``merged`` are areas as first row, first
    column, last row, last column; rows as in ``row_no``, columns from 0. ``hidden``, ``struck`` and
    ``broken`` are row numbers; ``broken`` rows could not be read and are in no other field.
    ``hidden_columns`` are places, ``visibility`` is the sheet's own. ``notes`` are cells with the
    note on them: row, column, text; there are ``more_notes`` whose text was left out.
    ``after_blank`` are rows that follow a blank one (None: where the numbers jump).
    ``notices`` are sentences on what was not looked at.
    """

    sheet: str
    cells: pd.DataFrame
    row_no: np.ndarray
    width: np.ndarray | None = None
    forms: np.ndarray | None = None
    merged: tuple[tuple[int, int, int, int], ...] = ()
    hidden: frozenset[int] = frozenset()
    struck: frozenset[int] = frozenset()
    broken: tuple[int, ...] = ()
    after_blank: frozenset[int] | None = None
    hidden_columns: frozenset[int] = frozenset()
    visibility: str = VISIBLE
    notes: tuple[tuple[int, int, str], ...] = ()
    more_notes: int = 0
    notices: tuple[str, ...] = ()

    @property
    def is_hidden(self) -> bool:
        """Whether a spreadsheet program does not show the sheet."""
        return self.visibility != VISIBLE

    def text(self, row: int, column: int) -> str:
        """The text in the sheet's ``row`` and ``column`` (0 is A); empty when there is none."""
        at = int(np.searchsorted(self.row_no, row))
        if at >= len(self.row_no) or self.row_no[at] != row or column >= self.cells.shape[1]:
            return ""
        value = self.cells.iat[at, column]
        return value if isinstance(value, str) else ""

    @property
    def tables_end(self) -> np.ndarray:
        """Where a row follows a blank one."""
        if self.after_blank is None:
            return np.append(False, np.diff(self.row_no) > 1)
        found: np.ndarray = np.isin(self.row_no, list(self.after_blank))
        return found


def letters(at: int) -> str:
    """A spreadsheet's name of the column at place ``at`` (0 is A)."""
    name = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        name = chr(65 + rest) + name
    return name

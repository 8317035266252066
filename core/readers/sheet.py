"""A grid of cells as text, and the rows of a table cut from it under their headers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
import pyarrow as pa

from core.readers.cell_texts import VISIBLE
from core.readers.options import DEFAULT_LOCALE, Locale
from core.readers.problems import Problems, listed

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


_CARRIED = 3  # rows named one by one in a notice; more are named as a range


@dataclass(frozen=True)
class Sheet:
    """Cells under a header: ``cells`` has one column per header, missing where empty.

    ``forms`` are those of the grid for the same cells; ``rows_read`` counts also the rows that
    could not be read.
    """

    headers: tuple[str, ...]
    header_row: int
    cells: pd.DataFrame
    row_no: np.ndarray
    rows_read: int
    conventions: Locale = DEFAULT_LOCALE
    forms: np.ndarray | None = None

    def with_column(
        self, header: str, texts: str | pd.Series[str], forms_of: int | None = None
    ) -> Sheet:
        """The sheet with one more column: one text on every row, or one text per row.

        ``forms_of`` is the column whose cells ``texts`` were, if they were cells.
        """
        if isinstance(texts, str):
            texts = pd.Series([texts or None] * len(self.cells), dtype="str")
        at = len(self.headers)
        forms = self.forms
        if forms is not None:
            own = forms[:, forms_of] if forms_of is not None else np.zeros(len(forms), "uint8")
            forms = np.column_stack([forms, own])
        cells = pd.concat([self.cells, texts.rename(at)], axis=1)
        return replace(self, headers=(*self.headers, header), cells=cells, forms=forms)


def cut(grid: Grid, headers: tuple[str, ...], rows: tuple[int, int], problems: Problems) -> Sheet:
    """The rows of ``grid`` under its header, which stands in ``rows`` (first and last)."""
    under = grid.row_no > rows[1]
    broken = _wrong_count(grid, under, len(headers), problems)
    struck = under & np.isin(grid.row_no, list(grid.struck))
    for row in grid.row_no[struck]:
        problems.add(
            "struck-through row",
            "The row is struck through: it may be void or not.",
            "Take the row out, or remove the strikethrough.",
            int(row),
        )
    kept = under & ~broken & ~struck
    report_hidden(grid, kept, problems)
    _remark_hidden_columns(grid, headers, rows, problems)
    columns = len(headers)
    cells = grid.cells.reindex(columns=range(columns))[kept].reset_index(drop=True)
    unread = sum(row > rows[1] for row in grid.broken)
    return Sheet(
        headers=headers,
        header_row=rows[1],
        cells=cells,
        row_no=grid.row_no[kept],
        rows_read=int(under.sum()) + unread,
        forms=None if grid.forms is None else grid.forms[kept][:, :columns],
    )


def _wrong_count(grid: Grid, under: np.ndarray, wanted: int, problems: Problems) -> np.ndarray:
    """Rows of a CSV that have too few cells, or more than the header with something in them."""
    if grid.width is None:
        return np.zeros(len(grid.row_no), dtype="bool")
    beyond: np.ndarray = np.zeros(len(grid.row_no), dtype="bool")
    if grid.cells.shape[1] > wanted:
        beyond = np.logical_or.reduce(grid.cells.iloc[:, wanted:].notna().to_numpy(), axis=1)
    wrong: np.ndarray = under & ((grid.width < wanted) | ((grid.width > wanted) & beyond))
    for row, found in zip(grid.row_no[wrong], grid.width[wrong], strict=True):
        problems.add(
            "wrong number of cells",
            f"The row has {found} cells, the header has {wanted}.",
            "Put text that holds the separator in quotation marks, or add the missing cells.",
            int(row),
        )
    return wrong


def report_hidden(grid: Grid, kept: np.ndarray, problems: Problems) -> None:
    """Hidden rows are read like others; the notice says which."""
    rows = grid.row_no[kept]
    hidden: list[int] = rows[np.isin(rows, list(grid.hidden))].tolist()
    if hidden:
        problems.notice(f"Hidden {in_words(hidden)} read like the others.", hidden[0])


def _remark_hidden_columns(
    grid: Grid, headers: tuple[str, ...], rows: tuple[int, int], problems: Problems
) -> None:
    """Hidden columns are treated like others; the notice names those with values."""
    outside = (grid.row_no < rows[0]) | (grid.row_no > rows[1])
    filled = [
        at
        for at in sorted(grid.hidden_columns)
        if at < grid.cells.shape[1] and grid.cells.loc[outside, at].notna().any()
    ]
    if not filled:
        return
    names = [
        f"{letters(at)} ({headers[at]})" if at < len(headers) and headers[at] else letters(at)
        for at in filled
    ]
    if len(names) == 1:
        start = f"Hidden column {listed(names)} holds values and is"
    else:
        start = f"{len(names)} hidden columns hold values and are"
    end = f": {listed(names)}" if len(names) > 1 else ""
    problems.notice(f"{start} treated like visible ones{end}.")


def in_words(rows: list[int]) -> str:
    """Rows as a person lists them, with the verb that follows: *row 7 was*, *rows 7, 9 were*."""
    if len(rows) == 1:
        return f"row {rows[0]} was"
    spans: list[list[int]] = []
    for row in rows:
        if spans and row == spans[-1][-1] + 1:
            spans[-1].append(row)
        else:
            spans.append([row])
    parts = [f"{span[0]}" if len(span) == 1 else f"{span[0]}–{span[-1]}" for span in spans]
    if len(parts) > _CARRIED:
        parts = [*parts[:_CARRIED], "…", f"{len(rows)} in all"]
    return f"rows {', '.join(parts)} were"

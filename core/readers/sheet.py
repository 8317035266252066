"""A sheet cut into header and rows, ready for the kinds of record that it holds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from core.readers.grid import Grid, letters
from core.readers.options import UNSAID, Locale
from core.readers.problems import Problems, listed

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
    conventions: Locale = UNSAID
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

"""The road without a layout: a header in known words, found by itself below any title rows."""

from __future__ import annotations

from core.readers import contents
from core.readers.chains import Found
from core.readers.grid import Grid, letters
from core.readers.how import How
from core.readers.problems import Problems
from core.readers.sheet import Sheet, cut, in_words

_LOOKED_AT = 30  # rows in which a header is looked for


def header_place(grid: Grid) -> int:
    """Place among the grid's rows of the one that knows most words; the first when none does.

    Labels of single cells (``Date:``) are no headers.
    """
    best, known = 0, 0
    for at in range(min(_LOOKED_AT, len(grid.row_no))):
        texts = [text for text in row_texts(grid, at) if not text.endswith(":")]
        count = contents.recognised(texts)
        if count > max(known, 1) or (at == 0 and count):
            best, known = at, count
    return best


def row_texts(grid: Grid, at: int) -> list[str]:
    """The texts of one row, without the blank cells at its end."""
    texts = [text if isinstance(text, str) else "" for text in grid.cells.iloc[at]]
    width = len(texts) if grid.width is None else int(grid.width[at])
    texts = texts[:width]
    if grid.width is None:
        while texts and not texts[-1]:
            texts.pop()
    return texts


def by_words(grid: Grid, how: How, problems: Problems) -> tuple[Sheet, list[Found], bool] | None:
    """The sheet, its kinds and whether its columns can be read; None for a sheet left out."""
    at = header_place(grid)
    headers = tuple(row_texts(grid, at))
    row = int(grid.row_no[at])
    if grid.is_hidden and not contents.recognised(headers):
        problems.remark(
            f"The sheet is {grid.visibility} and its headers are not known; it was not read."
        )
        return None
    if at:
        above = [int(number) for number in grid.row_no[:at]]
        problems.remark(f"Above the header, {in_words(above)} passed over.", above[0])
    read = tuple("" if how.answers.dismisses(text) else text for text in headers)
    found, usable = contents.found(read, row, how.as_kind, problems)
    sheet = cut(grid, headers, (row, row), problems)
    _say_no_header(grid, headers, sheet, problems)
    return sheet, found, usable


def _say_no_header(grid: Grid, headers: tuple[str, ...], sheet: Sheet, problems: Problems) -> None:
    """Columns with values and no header are not read; a remark says which."""
    last = grid.cells.shape[1] if grid.width is None else len(headers)
    rows = grid.row_no > sheet.header_row
    nameless = [
        letters(at)
        for at in range(last)
        if (at >= len(headers) or not headers[at]) and grid.cells.loc[rows, at].notna().any()
    ]
    if nameless:
        word = "Column" if len(nameless) == 1 else "Columns"
        verb = "has" if len(nameless) == 1 else "have"
        problems.remark(f"{word} {', '.join(nameless)} {verb} values and no header; not read.")

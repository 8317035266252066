"""What every file that goes out for a spreadsheet has: text that stays text, and the cautions.

Workbooks hold text as text. A spreadsheet that opens a CSV takes a cell that begins with one of
a few signs for a formula, which may call out or run a program; ``csv_file`` is the one way out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import pandas as pd
from xlsxwriter.workbook import Workbook

# Source: OWASP, "CSV Injection": cells that begin with these, also as full-width signs; the
# apostrophe in front makes them text. From memory, not checked against the page.
_FORMULA = ("=", "+", "-", "@", "\t", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def csv_file(frame: pd.DataFrame, encoding: str = "utf-8") -> bytes:
    """``frame`` as CSV in which no text is a formula; numbers stay numbers."""
    safe = frame.copy()
    for at, dtype in enumerate(frame.dtypes):
        if isinstance(dtype, pd.StringDtype) or pd.api.types.is_object_dtype(dtype):
            safe.isetitem(at, frame.iloc[:, at].astype(object).map(_text_cell).array)
    return safe.to_csv(index=False, lineterminator="\n").encode(encoding)


def _text_cell(value: object) -> object:
    if not isinstance(value, str):
        return value
    text = value.replace("\r\n", "\n").replace("\r", "\n")  # alone it ends a row, unquoted
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA) else text


def about_sheet(
    book: Workbook, name: str, about: Iterable[tuple[str, str]], cautions: Sequence[str]
) -> None:
    """Add a sheet of words and texts, the cautions last."""
    sheet = book.add_worksheet(name)
    sheet.set_column(0, 0, 18)
    sheet.set_column(1, 1, 100, book.add_format({"text_wrap": True}))
    for row, (word, text) in enumerate((*about, *(("Caution", one) for one in cautions))):
        sheet.write_string(row, 0, word)
        sheet.write_string(row, 1, text)

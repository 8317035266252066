"""The list of outstanding items as CSV and XLSX."""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
import pandas as pd
import xlsxwriter
from xlsxwriter.workbook import Workbook

from core import units, words
from core.reports.books import about_sheet, csv_file

SHEET, ABOUT = "Outstanding items", "About this list"
_WIDTHS = {
    "About": 20, "Area": 8, "Result": 14, "Finding": 28, "Measured against limit": 32,
    "Age [days]": 10, "Due date": 11, "Responsible": 28, "Closed by": 44, "Blocks": 34,
    "Clause": 22, "Note": 44,
}  # fmt: skip
_WIDTH = 20  # of another column
_NUMBERS = (("Measured", "measured"), ("Limit", "limit_value"))


def items_csv(published: pd.DataFrame) -> bytes:
    """Items as CSV in store units, as they go out; several piles or blocks are one text."""
    frame = published.copy()
    for name in ("piles", "blocks"):
        frame[name] = published[name].map(", ".join)
    frame["due_date"] = pd.to_datetime(frame["due_date"]).dt.strftime("%Y-%m-%d")
    return csv_file(frame)


def items_xlsx(
    in_words: pd.DataFrame, items: pd.DataFrame, system: str, about: Sequence[tuple[str, str]]
) -> bytes:
    """Items as a workbook, as people read them, with their numbers in units of ``system`` beside.

    ``about`` says of what.
    """
    content = io.BytesIO()
    with xlsxwriter.Workbook(content, {"in_memory": True}) as book:
        _items(book, in_words, _numbers(items, system))
        about_sheet(book, ABOUT, about, words.CAUTIONS[:1])
    return content.getvalue()


def _items(book: Workbook, in_words: pd.DataFrame, numbers: dict[str, pd.Series]) -> None:
    sheet = book.add_worksheet(SHEET)
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    wrapped = book.add_format({"text_wrap": True, "valign": "top"})
    day = book.add_format({"num_format": "yyyy-mm-dd", "valign": "top"})
    for at, heading in enumerate(in_words):
        sheet.set_column(at, at, _WIDTHS.get(str(heading), _WIDTH))
        sheet.write_string(0, at, str(heading), bold)
        for row, value in enumerate(in_words[heading], 1):
            if pd.isna(value):
                continue
            if isinstance(value, pd.Timestamp):
                sheet.write_datetime(row, at, value, day)
            elif isinstance(value, str):
                sheet.write_string(row, at, value, wrapped)
            else:
                sheet.write_number(row, at, value, wrapped)
    for at, (heading, column) in enumerate(numbers.items(), in_words.shape[1]):
        sheet.set_column(at, at, 14)
        sheet.write_string(0, at, heading, bold)
        for row, number in enumerate(column, 1):
            if np.isfinite(number):
                sheet.write_number(row, at, number, wrapped)
    sheet.freeze_panes(1, 1)
    width = in_words.shape[1] + len(numbers)
    sheet.autofilter(0, 0, max(1, len(in_words)), width - 1)


def _numbers(items: pd.DataFrame, system: str) -> dict[str, pd.Series]:
    """Measured and limit as numbers, one pair of columns per unit that occurs."""
    found: dict[str, pd.Series] = {}
    known = items[items["measured"].notna() | items["limit_value"].notna()]
    for column in known["unit_column"].unique():
        unit = units.shown_unit(column, system)
        rows = items["unit_column"].eq(column)
        for word, name in _NUMBERS:
            heading = f"{word} [{unit.symbol if unit else '-'}]"
            values = units.shown_values(items[name].where(rows), column, system)
            found[heading] = values.fillna(found[heading]) if heading in found else values
    return found

"""The list of outstanding items as CSV and XLSX, and each item's numbers in words."""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
import pandas as pd
import xlsxwriter
from xlsxwriter.workbook import Workbook

from core import units, words
from core.criteria.kinds import BLOCKS, OWNERS
from core.reports.books import about_sheet, csv_file

SHEET, ABOUT = "Outstanding items", "About this list"
HEADINGS = {
    "subject": ("Subject", 12),
    "area": ("Area", 8),
    "result": ("Result", 14),
    "kind": ("Finding", 28),
    "against": ("Measured against limit", 32),
    "clause": ("Clause", 22),
    "note": ("Note", 44),
    "concerns": ("Piles", 20),
    "who": ("Responsible", 28),
    "clears": ("Closed by", 44),
    "stops": ("Blocks", 34),
    "due": ("Due", 11),
    "age_days": ("Age [days]", 10),
}
_NUMBERS = (("Measured", "measured"), ("Limit", "limit_value"))


def against(items: pd.DataFrame, system: str) -> pd.Series:
    """What is measured against which limit, in words; empty where there is neither."""
    columns = ["measured", "limit_value", "sense", "unit_column"]
    texts = [
        _against(measured, limit, f", {sense} " if sense else " against ", (column, system))
        for measured, limit, sense, column in items[columns].itertuples(index=False)
    ]
    return pd.Series(texts, index=items.index, dtype="str")


def _against(measured: float, limit: float, sense: str, shown: tuple[str, str]) -> str:
    if pd.isna(measured) and pd.isna(limit):
        return ""
    if pd.isna(limit):
        return units.text(measured, *shown)
    return units.text(measured, *shown, limit) + sense + units.text(limit, *shown, measured)


def blocked(letters: str) -> str:
    """What letters of a finding kind stand for."""
    return ", ".join(BLOCKS[letter] for letter in letters)


def items_csv(items: pd.DataFrame) -> bytes:
    """The items as CSV in store units; ``unit`` is that of measured and limit_value."""
    frame = items.drop(columns="unit_column").assign(piles=items["piles"].map(", ".join))
    frame.insert(list(frame).index("sense") + 1, "unit", items["unit_column"].map(units.unit_word))
    frame["due"] = pd.to_datetime(frame["due"]).dt.strftime("%Y-%m-%d")
    return csv_file(frame)


def items_xlsx(items: pd.DataFrame, system: str, about: Sequence[tuple[str, str]]) -> bytes:
    """The items as a workbook with units of ``system`` in its headings; ``about`` says of what."""
    content = io.BytesIO()
    with xlsxwriter.Workbook(content, {"in_memory": True}) as book:
        _items(book, items, system)
        about_sheet(book, ABOUT, about, words.CAUTIONS[:1])
    return content.getvalue()


def _items(book: Workbook, items: pd.DataFrame, system: str) -> None:
    sheet = book.add_worksheet(SHEET)
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    wrapped = book.add_format({"text_wrap": True, "valign": "top"})
    day = book.add_format({"num_format": "yyyy-mm-dd", "valign": "top"})
    frame = items.assign(
        against=against(items, system),
        who=items["owner"].map(OWNERS),
        stops=items["blocks"].map(blocked),
        concerns=items["piles"].map(", ".join),
    )
    for at, (name, (heading, width)) in enumerate(HEADINGS.items()):
        sheet.set_column(at, at, width)
        sheet.write_string(0, at, heading, bold)
        for row, value in enumerate(frame[name], 1):
            if pd.isna(value):
                continue
            if name == "due":
                sheet.write_datetime(row, at, value, day)
            elif name == "age_days":
                sheet.write_number(row, at, value, wrapped)
            else:
                sheet.write_string(row, at, str(value), wrapped)
    numbers = _numbers(items, system)
    for at, (heading, column) in enumerate(numbers.items(), len(HEADINGS)):
        sheet.set_column(at, at, 14)
        sheet.write_string(0, at, heading, bold)
        for row, number in enumerate(column, 1):
            if np.isfinite(number):
                sheet.write_number(row, at, number, wrapped)
    sheet.freeze_panes(1, 1)
    sheet.autofilter(0, 0, max(1, len(items)), len(HEADINGS) + len(numbers) - 1)


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

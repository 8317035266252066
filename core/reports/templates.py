"""Blank workbooks for people to fill in: one per kind of record, with its known words and units."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from typing import Any

import xlsxwriter
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from core import units
from core.records import SCHEMA_VERSION, TEMPLATE_MARK, Column, Kind

ABOUT = "About this template"
ROWS = 2_000  # rows that offer their words; formats hold for every row
_MADE = datetime(2026, 1, 1, tzinfo=UTC)  # one template is the same bytes on every day
_TABLE_ROW = 4  # the heading row of the table on the second sheet, from 0
_TABLE = ("column", "meaning", "unit", "required", "example", "allowed values")
_WORDS_FROM = _TABLE.index("allowed values")
_ENDINGS = ("_id", "_no", "_on", "_at")  # say the form of a value; people leave them out
_WIDTHS = (28, 64, 10, 10, 26, 26)


def template(kind: Kind) -> bytes:
    """An XLSX workbook to fill in with records of ``kind``; its headers are read as they stand."""
    content = io.BytesIO()
    with xlsxwriter.Workbook(content, {"in_memory": True}) as book:
        book.set_properties(
            {
                "title": f"{TEMPLATE_MARK}: {kind.word}",
                "comments": f"schema version {SCHEMA_VERSION}",
                "created": _MADE,
            }
        )
        book.set_custom_property("schema version", SCHEMA_VERSION, "number_int")
        _records(book, kind)
        _about(book, kind)
    return content.getvalue()


def header(column: Column) -> str:
    """The usual word for ``column`` with the unit in which the template wants it."""
    word, unit = _word(column), unit_of(column)
    return f"{word[:1].upper()}{word[1:]}{f' ({unit})' if unit else ''}"


def _word(column: Column) -> str:
    """The column's own name where files use it, else the first of its other names."""
    suffix = units.suffix_of(column.name)
    own = column.name.removesuffix(suffix.ending if suffix else "").replace("_", " ")
    if not column.name.endswith(_ENDINGS) and (own in column.aliases or not suffix):
        return own
    return next((alias for alias in column.aliases if alias != unit_of(column)), own)


def unit_of(column: Column) -> str:
    """The unit of a template's column as files spell it; empty for a column without one."""
    suffix = units.suffix_of(column.name)
    if suffix is None:
        return ""
    if units.accepted(suffix.si.symbol, suffix.role):
        return suffix.si.symbol
    spellings = units.SPELLINGS[suffix.role]
    return next(text for text, meant in spellings.items() if meant == suffix.si.expression)


def _records(book: Workbook, kind: Kind) -> None:
    sheet = book.add_worksheet(kind.word.capitalize())
    styles = {
        "text": book.add_format({"num_format": "@"}),
        "date": book.add_format({"num_format": "yyyy-mm-dd"}),
    }
    needed, optional = book.add_format({"bold": True}), book.add_format()
    for at, column in enumerate(kind.columns):
        word = header(column)
        sheet.set_column(at, at, max(len(word) + 3, 12), styles.get(column.form))
        sheet.write_string(0, at, word, needed if column.required else optional)
        sheet.write_comment(0, at, column.header_note)
        if column.choices:
            sheet.data_validation(1, at, ROWS, at, _choice(column, _TABLE_ROW + 1 + at))
    sheet.freeze_panes(1, 0)


def _choice(column: Column, row: int) -> dict[str, Any]:
    """A list of the words that stand in ``row`` of the second sheet; a word may hold a comma."""
    last = _WORDS_FROM + len(column.choices) - 1
    words = xlsxwriter.utility.xl_range_abs(row, _WORDS_FROM, row, last)
    return {
        "validate": "list",
        "source": f"='{ABOUT}'!{words}",
        "error_title": "Not an allowed value",
        "error_message": "Choose a value from the list.",
    }


def _about(book: Workbook, kind: Kind) -> None:
    sheet: Worksheet = book.add_worksheet(ABOUT)
    bold, wrapped = book.add_format({"bold": True}), book.add_format({"text_wrap": True})
    for at, width in enumerate(_WIDTHS):
        sheet.set_column(at, at, width)
    sheet.write_row(0, 0, [TEMPLATE_MARK], bold)
    sheet.write_row(1, 0, ["kind", kind.name])
    sheet.write_row(2, 0, ["schema version", SCHEMA_VERSION])
    sheet.write_row(_TABLE_ROW, 0, _TABLE, bold)
    for row, column in enumerate(kind.columns, _TABLE_ROW + 1):
        required = "yes" if column.required else "no"
        cells = (header(column), column.meaning, unit_of(column), required, column.example)
        for at, text in enumerate((*cells, *column.choices)):
            sheet.write_string(row, at, text, wrapped)
    sheet.freeze_panes(_TABLE_ROW + 1, 1)

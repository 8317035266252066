"""The same marks for an old binary workbook (XLS), as the library xlrd finds them.

A module of its own, so that a workbook of another kind is read without loading the library.
"""

from __future__ import annotations

import os
import struct

import xlrd
from xlrd.compdoc import CompDocError

from core.readers.book_limits import Limits, Unreadable
from core.readers.book_marks import Gathered, Marks, Style, shown_by

_NOTHING_WRITTEN = (xlrd.XL_CELL_EMPTY, xlrd.XL_CELL_BLANK)
_GARBLED = (  # what the library raises for records that it cannot follow
    xlrd.XLRDError,
    CompDocError,
    AssertionError,
    LookupError,
    ValueError,
    struct.error,
)


class Unknown(ValueError):
    """The library cannot follow the file, so nothing is known of its marks."""


def marks_of_old_sheets(content: bytes, limits: Limits) -> dict[str, Marks]:
    """Marks of every sheet by name. Raises Unknown, and Unreadable where ``limits`` are exceeded.

    One sheet is held at a time, and its warnings go nowhere: standard output is for the answer.
    """
    found: dict[str, Marks] = {}
    room = limits.cells
    with open(os.devnull, "w") as nowhere:
        try:
            book = xlrd.open_workbook(
                file_contents=content,
                logfile=nowhere,
                formatting_info=True,
                on_demand=True,
                ragged_rows=True,
            )
            if book.nsheets > limits.sheets:
                raise Unreadable("sheets", book.nsheets)
            styles = _styles(book)
            for at, name in enumerate(book.sheet_names()):
                found[name] = _marks(book.sheet_by_index(at), styles, limits)
                book.unload_sheet(at)
                height, last_column = found[name].last
                room -= height * (last_column + 1)
                if room < 0:
                    raise Unreadable("cells", height, name)
        except _GARBLED as error:
            raise Unknown("garbled") from error
    return found


def _styles(book: xlrd.Book) -> dict[str, Style]:
    """Styles that strike through or change what a number looks like, by their number as text."""
    styles = {}
    for at, used in enumerate(book.xf_list):
        code = book.format_map[used.format_key].format_str
        style = Style(
            struck=bool(book.font_list[used.font_index].struck_out),
            shown=shown_by(str(used.format_key), code),
        )
        if style.struck or style.shown:
            styles[str(at)] = style
    return styles


def _marks(sheet: xlrd.sheet.Sheet, styles: dict[str, Style], limits: Limits) -> Marks:
    gathered = Gathered(styles)
    for row in range(sheet.nrows):
        for column, kind in enumerate(sheet.row_types(row)):
            if kind in _NOTHING_WRITTEN:
                continue
            fault = ""
            if kind == xlrd.XL_CELL_ERROR:
                fault = xlrd.error_text_from_code.get(sheet.cell_value(row, column), "#N/A")
            gathered.add((row + 1, column), str(sheet.cell_xf_index(row, column)), fault)
    marks = gathered.done()
    marks.hidden = {row + 1 for row, about in sheet.rowinfo_map.items() if about.hidden}
    for column, about in sheet.colinfo_map.items():
        if about.hidden:
            marks.hide_columns(column, column, limits)
    for (row, column), note in sheet.cell_note_map.items():
        marks.add_note((row + 1, column), note.text[: limits.note], limits)
    return marks

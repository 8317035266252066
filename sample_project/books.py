"""One workbook being written: formats, cells, and the rows that are planted in it."""

from __future__ import annotations

import io
import zipfile
from datetime import datetime

import xlsxwriter
from dress import Planted, Sent, archive, mark_of
from slips import Row
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

_MADE_ON = datetime(2026, 10, 3)  # fixed, so that the same seed gives the same bytes


class Book:
    """A workbook being written, and what is planted in it."""

    def __init__(self) -> None:
        self._bytes = io.BytesIO()
        self.book = xlsxwriter.Workbook(self._bytes, {"in_memory": True})
        self.book.set_properties({"author": "invented", "created": _MADE_ON})
        self.title = self.book.add_format({"bold": True, "font_size": 14})
        self.head = self.book.add_format({"bold": True, "align": "center", "border": 1})
        self.struck = self.book.add_format({"font_strikeout": True})
        self.day = self.book.add_format({"num_format": "dd mmm yyyy"})
        self.scientific = self.book.add_format({"num_format": "0.00E+00"})
        self.planted: list[Planted] = []

    def sent(self) -> Sent:
        """The finished file."""
        self.book.close()
        with zipfile.ZipFile(self._bytes) as made:
            parts = {name: made.read(name) for name in made.namelist()}
        return Sent(archive(parts), self.planted)

    def mark(self, sheet: Worksheet, row: Row, at: int) -> Format | None:
        """Note what is planted in a row, hide it or strike it through."""
        mark = mark_of(row)
        if mark.hidden:
            sheet.set_row(at, None, None, {"hidden": True})
        if mark.kind:
            self.planted.append((sheet.get_name(), at + 1, mark.kind, mark.why))
        return self.struck if mark.struck else None


def put(sheet: Worksheet, at: tuple[int, int], text: str, form: Format | None = None) -> None:
    """One cell: a fault as a formula's result, a number as a number, else text."""
    if text.startswith("#"):
        sheet.write_formula(*at, "=Old!B7", form, text)
    elif text.lstrip("-").replace(".", "", 1).isdigit():
        sheet.write_number(*at, float(text), form)
    elif text:
        sheet.write_string(*at, text, form)


def put_day(book: Book, sheet: Worksheet, at: tuple[int, int], text: str) -> None:
    """One cell with a day as a spreadsheet holds it."""
    sheet.write_datetime(*at, datetime.fromisoformat(text), book.day)

"""Bytes of a workbook (XLSX, XLSM, XLS, XLSB, ODS) to one Grid per sheet, nothing guessed at."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections import defaultdict
from collections.abc import Mapping
from xml.etree.ElementTree import ParseError
from xml.parsers.expat import ExpatError

from core.intake import book_cells, book_marks, old_books, open_document
from core.intake.book_marks import Marks
from core.intake.book_values import Unreadable, values, values_apart
from core.intake.grid import Grid
from core.intake.problems import Problems, shortened

_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ODS = b"opendocument.spreadsheet"
_PARTS = (b"xl/work", b"docProps/", b"[Content_Types].xml")  # the last two stand first in some
_OTHER_ZIP = (b"word/document.xml", b"ppt/presentation.xml")
_OTHER_OLE = ("WordDocument", "PowerPoint Document", "__substg1.0_")
# A job's largest workbooks are some tens of MB unpacked; past this a file is a trap or a mistake.
MOST_BYTES = 500_000_000
# Cells from A1 to the last one written, twenty times a year of readings; past this a stray cell
# far off makes a reader fill the memory with blanks.
MOST_CELLS = 20_000_000
UNSEEN = (
    "Faults, hidden rows and struck-through rows cannot be seen in this kind of file: "
    "a blank cell may be a fault."
)
_GARBLED = (  # what the readers of archives and of their parts raise
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    KeyError,
    ValueError,
    NotImplementedError,
    RuntimeError,
    ParseError,
    ExpatError,
)


def is_workbook(content: bytes) -> bool:
    """Whether ``content`` begins like a workbook; it may still be broken."""
    if content.startswith(_OLE):
        return not any(name.encode("utf-16-le") in content for name in _OTHER_OLE)
    if not content.startswith(_ZIP):
        return False
    if any(part in content for part in _OTHER_ZIP):
        return False
    return _ODS in content[:400] or any(part in content for part in _PARTS)


def read(content: bytes, problems: Problems) -> list[Grid] | None:
    """One Grid per worksheet in order, hidden ones too; None when there is nothing to read.

    A problem says why: the file is broken, has a password, is too large or holds no cells.
    """
    try:
        found = _grids(content)
    except Unreadable as error:
        _say(error, problems)
        return None
    if any(len(grid.row_no) for grid in found):
        return found
    problems.add("no rows", "Every sheet of the file is empty.", "Export it with its rows.")
    return None


def _grids(content: bytes) -> list[Grid]:
    """The sheets' values with their marks; a sheet without them says that they are not seen."""
    marks: Mapping[str, Marks] = {}
    if content.startswith(_OLE):
        if "EncryptedPackage".encode("utf-16-le") in content:
            raise Unreadable(password=True)
        marks, apart = _old_marks(content), True
    else:
        marks, apart = _checked(content)
    grids = []
    for sheet, is_hidden, rows, merged in (values_apart if apart else values)(content):
        known = _marks_of(sheet, marks)
        about = {"is_hidden": is_hidden, "remarks": () if known else (UNSEEN,)}
        grids.append(book_cells.grid(sheet, rows, merged, known or Marks(), **about))
    return grids


def _old_marks(content: bytes) -> dict[str, Marks]:
    try:
        return old_books.marks_of_old_sheets(content)
    except old_books.Unknown:
        return {}


def _marks_of(sheet: str, marks: Mapping[str, Marks]) -> Marks | None:
    try:
        return marks[sheet]  # a default of the mapping counts
    except KeyError:
        return None


def _checked(content: bytes) -> tuple[Mapping[str, Marks], bool]:
    """Marks by sheet, and whether the values are to be read in a process of their own.

    Every part of the archive is held against its check sum before any of it is read.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as book:
            if sum(part.file_size for part in book.infolist()) > MOST_BYTES:
                raise Unreadable(too_large=f"unpacks to more than {MOST_BYTES // 10**6} MB")
            if book.testzip() is not None:
                raise Unreadable
            names = book.namelist()
            if "content.xml" in names:
                if b"encryption-data" in book.read("META-INF/manifest.xml"):
                    raise Unreadable(password=True)
                tables = open_document.marks_of_tables(book.read("content.xml"))
                return defaultdict(Marks, tables), True
            if "xl/workbook.bin" in names:
                return {}, True
            marks = book_marks.marks_of_sheets(book)
    except _GARBLED as error:
        raise Unreadable from error
    for name, known in marks.items():
        rows, columns = known.last
        if rows * (columns + 1) > MOST_CELLS:
            far = f"has a cell written in row {rows} of sheet {shortened(name)}"
            raise Unreadable(too_large=far)
    return marks, False


def _say(why: Unreadable, problems: Problems) -> None:
    if why.password:
        problems.add(
            "password",
            "The workbook is protected by a password.",
            "Save it without a password and take that in.",
        )
    elif why.too_large:
        problems.add(
            "file too large",
            f"The workbook {why.too_large}.",
            "Delete what stands far outside the table, save it and take that in.",
        )
    else:
        problems.add(
            "broken file",
            "The workbook cannot be read: it is damaged or was copied only in part.",
            "Close it where it is open, copy it again and take that in.",
        )

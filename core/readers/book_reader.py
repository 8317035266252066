"""The process that reads one workbook: bytes of the file in, its sheets as lines of JSON out.

Standard library, the reader of values and the readers of marks alone, so that it starts at once;
what reads the marks of old binary workbooks is loaded for those alone.
It handles one sheet at a time and a block of rows at a time, so that it never holds more than the
values of one sheet.
"""

from __future__ import annotations

import io
import json
import struct
import zipfile
import zlib
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Any
from xml.etree.ElementTree import ParseError
from xml.parsers.expat import ExpatError
from zipfile import BadZipFile

from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from core.readers import cell_texts
from core.readers.book_limits import Limits, Unreadable
from core.readers.book_marks import Marks, marks_of_sheets, marks_of_tables
from core.readers.cell_texts import FAULT, HIDDEN, NUMBER, VERY_HIDDEN, VISIBLE

_PIECE = 1 << 20  # bytes inflated at a time
_LOCAL_HEADER = 30  # bytes before a part's own name; the lengths of name and extra field end it
_ENCRYPTED_PART = 0x1
_DRAWINGS = (".svg", ".html", ".htm")  # parts that may declare entities; no reader opens them
_ENTITY = tuple("<!ENTITY".encode(codec) for codec in ("utf-8", "utf-16-le", "utf-16-be"))


def checked_archive(content: bytes, limits: Limits) -> zipfile.ZipFile:
    """The archive in ``content``; its parts hold what they declare, and no more than ``limits``.

    A part is inflated to the end of its stream, because a reader of values does so whatever size
    the archive declares. Raises Unreadable, and what ``zipfile`` raises for a garbled archive.
    """
    book = zipfile.ZipFile(io.BytesIO(content))
    parts = book.infolist()
    if len(parts) > limits.parts:
        raise Unreadable("parts", len(parts))
    room = limits.unpacked_bytes
    if sum(part.file_size for part in parts) > room:
        raise Unreadable("unpacked_bytes")
    for part in parts:
        room -= _part_length(content, part, room)
    return book


def _part_length(content: bytes, part: zipfile.ZipInfo, room: int) -> int:
    """Bytes that a part really holds; it agrees with its declared length and check sum."""
    if part.flag_bits & _ENCRYPTED_PART:
        raise Unreadable("password")
    seeks_entities = not part.filename.lower().endswith(_DRAWINGS)
    length = sum_so_far = 0
    before = b""
    for piece in _part_pieces(content, part):
        length += len(piece)
        if length > room:
            raise Unreadable("unpacked_bytes")
        sum_so_far = zlib.crc32(piece, sum_so_far)
        if seeks_entities:
            if any(mark in before + piece[:16] or mark in piece for mark in _ENTITY):
                raise Unreadable("entities")
            before = piece[-16:]
    if (length, sum_so_far) != (part.file_size, part.CRC):
        raise Unreadable("damaged")
    return length


def _part_pieces(content: bytes, part: zipfile.ZipInfo) -> Iterator[bytes]:
    """What a part holds, inflated to the end of its stream."""
    lengths = struct.unpack_from("<HH", content, part.header_offset + _LOCAL_HEADER - 4)
    start = part.header_offset + _LOCAL_HEADER + sum(lengths)
    packed = content[start : start + part.compress_size]
    if part.compress_type == zipfile.ZIP_STORED:
        yield packed
        return
    if part.compress_type != zipfile.ZIP_DEFLATED:  # no other is allowed in a workbook
        raise Unreadable("damaged")
    stream = zlib.decompressobj(-zlib.MAX_WBITS)
    while packed and not stream.eof:
        yield stream.decompress(packed, _PIECE)
        packed = stream.unconsumed_tail
    while not stream.eof:
        piece = stream.decompress(b"", _PIECE)
        if not piece:
            raise Unreadable("damaged")
        yield piece


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_BLOCK = 100_000  # cells handed on at a time
_GARBLED = (  # what the readers of archives, of their parts and of values raise
    BadZipFile,
    CalamineError,
    EOFError,
    ExpatError,
    KeyError,
    NotImplementedError,
    OSError,
    OverflowError,
    ParseError,
    RuntimeError,
    struct.error,
    ValueError,
    zlib.error,
)
Message = dict[str, Any]


def answer(content: bytes, limits: Limits) -> Iterator[bytes]:
    """Lines on the sheets of ``content``: each sheet once, then its rows; the last line ends them.

    A file that cannot be read ends with a line that says why.
    """
    room = limits.text_bytes
    try:
        for message in _sheets(content, limits):
            line = _line(message)
            room -= len(line)
            if room < 0:
                raise Unreadable("text_bytes")
            yield line
    except Unreadable as error:
        yield _line({"reason": error.reason, "found": error.found, "sheet": error.sheet})
    except PasswordError:
        yield _line({"reason": "password"})
    except MemoryError:
        yield _line({"reason": "memory_bytes"})
    except _GARBLED:
        yield _line({"reason": "damaged"})
    else:
        yield _line({"end": True})


def _line(message: Message) -> bytes:
    return json.dumps(message, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def _sheets(content: bytes, limits: Limits) -> Iterator[Message]:
    if len(content) > limits.unpacked_bytes:
        raise Unreadable("unpacked_bytes")
    marks = _marks_of_old(content, limits) if content.startswith(OLE) else _marks(content, limits)
    budget = _Budget(limits)
    room = limits.notes
    for name, known in marks.items():
        budget.fits(name, known.last[0], known.last[1] + 1)
    with CalamineWorkbook.from_filelike(io.BytesIO(content)) as book:
        sheets = [one for one in book.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet]
        if len(sheets) > limits.sheets:
            raise Unreadable("sheets", len(sheets))
        for about in sheets:
            if len(about.name) > limits.name:
                raise Unreadable("name", len(about.name))
            sheet = book.get_sheet_by_name(about.name)
            known, seen = _marks_of(about.name, marks)
            height, width = _extent(sheet, known)
            budget.spend(about.name, height, width)
            areas = sheet.merged_cell_ranges or []
            merged = [(top + 1, left, down + 1, right) for (top, left), (down, right) in areas]
            merged += known.merged
            if len(merged) > limits.merged:
                raise Unreadable("merged", len(merged), about.name)
            notes = [(*place, text) for place, text in islice(known.notes.items(), room)]
            room -= len(notes)
            yield {
                "sheet": about.name,
                "visibility": _visibility(about.visible),
                "hidden_columns": sorted(known.hidden_columns),
                "notes": notes,
                "more_notes": len(known.notes) - len(notes),
                "marks_seen": seen,
                "width": width,
                "merged": merged,
            }
            yield from _blocks(sheet, known, height, width)


def _visibility(state: SheetVisibleEnum) -> str:
    if state == SheetVisibleEnum.Visible:
        return VISIBLE
    return VERY_HIDDEN if state == SheetVisibleEnum.VeryHidden else HIDDEN


def _marks_of_old(content: bytes, limits: Limits) -> Mapping[str, Marks]:
    if _ENCRYPTED in content:
        raise Unreadable("password")
    from core.readers import old_books  # its library is loaded for this kind of file alone

    try:
        return old_books.marks_of_old_sheets(content, limits)
    except old_books.Unknown:
        return {}


def _marks(content: bytes, limits: Limits) -> Mapping[str, Marks]:
    """Marks by sheet of an archive whose every part is as it should be."""
    with checked_archive(content, limits) as book:
        names = book.namelist()
        if "content.xml" in names:
            if b"encryption-data" in book.read("META-INF/manifest.xml"):
                raise Unreadable("password")
            tables = marks_of_tables(book.read("content.xml"), limits)
            return defaultdict(Marks, tables)
        return {} if "xl/workbook.bin" in names else marks_of_sheets(book, limits)


def _marks_of(sheet: str, marks: Mapping[str, Marks]) -> tuple[Marks, bool]:
    """Marks of a sheet, and whether they could be read."""
    try:
        return marks[sheet], True  # a default of the mapping counts
    except KeyError:
        return Marks(), False


def _extent(sheet: CalamineSheet, marks: Marks) -> tuple[int, int]:
    """Rows and columns from A1 to the last cell with a value or a fault."""
    last_row, last_column = sheet.end or (-1, -1)
    height = max([last_row + 1, *(row for row, _ in marks.faults)])
    return height, max([last_column + 1, *(column + 1 for _, column in marks.faults)])


class _Budget:
    """What is left of the cells and columns of one workbook."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._cells, self._columns = limits.cells, limits.all_columns

    def fits(self, sheet: str, height: int, width: int) -> None:
        """Raise Unreadable when the sheet alone exceeds what is left."""
        if width > self._limits.columns:
            raise Unreadable("columns", width, sheet)
        if height * width > self._cells:
            raise Unreadable("cells", height, sheet)
        if width > self._columns:
            raise Unreadable("all_columns")

    def spend(self, sheet: str, height: int, width: int) -> None:
        self.fits(sheet, height, width)
        self._cells -= height * width
        self._columns -= width


def _blocks(sheet: CalamineSheet, marks: Marks, height: int, width: int) -> Iterator[Message]:
    """The rows that are not blank, a block at a time: numbers, texts and forms by column."""
    rows = sheet.iter_rows()  # from row 1, and from the first column with a value
    blank_columns = [("",)] * (sheet.start[1] if sheet.start else 0)
    faults, shown = sorted(marks.faults.items()), sorted(marks.shown.items())
    step = max(_BLOCK // max(width, 1), 1)
    for first in range(1, height + 1, step):
        length = min(step, height + 1 - first)
        columns = [*blank_columns, *zip(*islice(rows, length), strict=True)]
        columns += [("",)] * (width - len(columns))
        columns = [(*column, *[""] * (length - len(column))) for column in columns]
        texts, forms = zip(*map(cell_texts.column, columns), strict=True)
        for (row, at), style in _between(shown, first, length):
            if at < width and forms[at][row - first] == NUMBER:
                value = columns[at][row - first]
                texts[at][row - first] = cell_texts.as_shown(value, style)
        for (row, at), fault in _between(faults, first, length):
            texts[at][row - first], forms[at][row - first] = fault, FAULT
        yield _block(first, texts, forms, marks)


def _between(places: list[Any], first: int, length: int) -> list[Any]:
    """The marks of ``length`` rows from ``first`` on."""
    start, end = (bisect_left(places, ((row, -1),)) for row in (first, first + length))
    return places[start:end]


def _block(
    first: int, texts: tuple[list[Any], ...], forms: tuple[bytearray, ...], marks: Marks
) -> Message:
    written = [at for at, row in enumerate(zip(*texts, strict=True)) if any(row)]
    numbers = [first + at for at in written]
    return {
        "rows": numbers,
        "cells": [[column[at] for at in written] for column in texts],
        "forms": ["".join([str(column[at]) for at in written]) for column in forms],
        "hidden": [row for row in numbers if row in marks.hidden],
        "struck": [row for row in numbers if row in marks.struck],
    }

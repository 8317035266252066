"""The same marks for an old binary workbook (XLS of 1997 and later).

The container and the records are those of Microsoft's open specifications [MS-CFB] and [MS-XLS];
the places of the fields are from memory and held against files that an office program wrote.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from core.readers.book_limits import Limits
from core.readers.book_marks import Gathered, Marks, Style, shown_by

_ERRORS = {0: "#NULL!", 7: "#DIV/0!", 15: "#VALUE!", 23: "#REF!", 29: "#NAME?", 36: "#NUM!"}
_ERRORS[42] = "#N/A"
_BOF, _EOF, _SHEET, _FONT, _FORMAT, _XF, _ROW = 0x809, 0x0A, 0x85, 0x31, 0x41E, 0xE0, 0x208
_FORMULA, _BOOL_OR_ERROR, _SEVERAL = 0x06, 0x205, 0xBD
_CELLS = (0x203, 0x204, 0x27E, 0xFD, 0xD6, _FORMULA, _BOOL_OR_ERROR)  # with a value, one each
_COLUMNS, _OBJECT, _OBJECT_TEXT, _CONTINUED, _NOTE = 0x7D, 0x5D, 0x1B6, 0x3C, 0x1C
_OF_NOTES = (_OBJECT, _OBJECT_TEXT, _CONTINUED, _NOTE)
_VERSION_8 = 0x600
_LAST_SECTOR = 0xFFFFFFFA  # numbers above are no sectors but signs
_NO_FONT = 4  # the number that fonts leave out


class Unknown(ValueError):
    """The bytes are no workbook of the known version, so nothing is known of its marks."""


def marks_of_old_sheets(content: bytes, limits: Limits) -> dict[str, Marks]:
    """Marks of every sheet by name. Raises Unknown."""
    try:
        stream = _stream(content)
        start = next(_records(stream, 0))
        if start[0] != _BOF or start[1][:2] != struct.pack("<H", _VERSION_8):
            raise Unknown("another version")
        sheets, styles = _globals(stream)
        return {name: _marks(stream, at, styles, limits) for name, at in sheets.items()}
    except (struct.error, IndexError, StopIteration, UnicodeDecodeError) as error:
        raise Unknown("garbled") from error


def _stream(content: bytes) -> bytes:
    """The records of the workbook out of the container."""
    size = 1 << struct.unpack_from("<H", content, 30)[0]
    small = 1 << struct.unpack_from("<H", content, 32)[0]
    if size not in (512, 4096) or small != 64:
        raise Unknown("no container")
    first_entry, _, cutoff, first_small = struct.unpack_from("<IIII", content, 48)
    table = _table(content, size)

    def whole(first: int) -> bytes:
        return b"".join(content[(at + 1) * size : (at + 2) * size] for at in _chain(first, table))

    entries = whole(first_entry)
    inside = whole(struct.unpack_from("<I", entries, 116)[0])
    for at in range(0, len(entries) - 127, 128):
        length = struct.unpack_from("<H", entries, at + 64)[0]
        name = entries[at : at + max(length - 2, 0)].decode("utf-16-le")
        if name == "Workbook":
            first, bytes_long = struct.unpack_from("<II", entries, at + 116)
            if bytes_long >= cutoff:
                return whole(first)[:bytes_long]
            pieces = _chain(first, _numbers(whole(first_small)))
            parts = (inside[piece * small : (piece + 1) * small] for piece in pieces)
            return b"".join(parts)[:bytes_long]
    raise Unknown("no workbook in the container")


def _table(content: bytes, size: int) -> list[int]:
    """For every sector the one that follows it."""
    sectors = list(struct.unpack_from("<109I", content, 76))
    after = struct.unpack_from("<I", content, 68)[0]
    while after < _LAST_SECTOR and len(sectors) * size <= len(content):
        more = _numbers(content[(after + 1) * size : (after + 2) * size])
        sectors, after = [*sectors, *more[:-1]], more[-1]
    parts = (content[(at + 1) * size : (at + 2) * size] for at in sectors if at < _LAST_SECTOR)
    return _numbers(b"".join(parts))


def _numbers(content: bytes) -> list[int]:
    return list(struct.unpack(f"<{len(content) // 4}I", content[: len(content) // 4 * 4]))


def _chain(first: int, table: list[int]) -> Iterator[int]:
    """The sectors from ``first`` on; a ring is left after one turn."""
    for _ in range(len(table)):
        if first >= _LAST_SECTOR:
            return
        yield first
        first = table[first]


def _records(stream: bytes, at: int) -> Iterator[tuple[int, bytes]]:
    while at + 4 <= len(stream):
        number, length = struct.unpack_from("<HH", stream, at)
        yield number, stream[at + 4 : at + 4 + length]
        at += 4 + length


def _globals(stream: bytes) -> tuple[dict[str, int], dict[str, Style]]:
    """Where each sheet starts, and the styles that mean something here."""
    sheets: dict[str, int] = {}
    struck: list[bool] = []
    codes: dict[int, str] = {}
    used: list[tuple[int, int]] = []
    for number, data in _records(stream, 0):
        if number == _EOF:
            break
        if number == _SHEET and data[5] == 0:  # a worksheet, no chart
            sheets[_text(data[6], data[7:])] = struct.unpack_from("<I", data)[0]
        elif number == _FONT:
            struck.append(bool(data[2] & 8))
        elif number == _FORMAT:
            code, length = struct.unpack_from("<HH", data)
            codes[code] = _text(length, data[4:])
        elif number == _XF:
            used.append(struct.unpack_from("<HH", data))
    styles = {}
    for at, (font, code) in enumerate(used):
        place = font - (font > _NO_FONT)
        is_struck = place < len(struck) and struck[place]
        style = Style(is_struck, shown_by(str(code), codes.get(code, "")))
        if style.struck or style.shown:
            styles[str(at)] = style
    return sheets, styles


def _text(length: int, data: bytes) -> str:
    """Text behind the byte that says whether a letter takes two bytes or one."""
    if data[0] & 1:
        return data[1 : 1 + 2 * length].decode("utf-16-le")
    return data[1 : 1 + length].decode("latin-1")


def _marks(stream: bytes, at: int, styles: dict[str, Style], limits: Limits) -> Marks:
    found = Gathered(styles)
    notes = _Notes()
    inner = 0  # charts inside the sheet have records of their own
    for number, data in _records(stream, at):
        if number == _BOF:
            inner += 1
        elif number == _EOF:
            inner -= 1
            if inner == 0:
                break
        elif inner == 1 and number in (_ROW, _COLUMNS):
            _hide(number, data, found.marks, limits)
        elif inner == 1 and number in _OF_NOTES:
            notes.add(number, data, found.marks, limits)
        elif inner == 1 and number in _CELLS:
            row, column, style = struct.unpack_from("<HHH", data)
            found.add((row + 1, column), str(style), _fault(number, data))
        elif inner == 1 and number == _SEVERAL:
            row, first = struct.unpack_from("<HH", data)
            for step in range((len(data) - 6) // 6):
                style = struct.unpack_from("<H", data, 4 + 6 * step)[0]
                found.add((row + 1, first + step), str(style))
    return found.done()


def _hide(number: int, data: bytes, marks: Marks, limits: Limits) -> None:
    """Keep the row or the columns of a record where it says that they are hidden."""
    if number == _ROW and data[12] & 0x20:
        marks.hidden.add(struct.unpack_from("<H", data)[0] + 1)
    elif number == _COLUMNS and data[8] & 1:
        first, last = struct.unpack_from("<HH", data)
        marks.hide_columns(first, last, limits)


class _Notes:
    """Notes of one sheet: an object with a number, its text behind it, then the cell that it is of.

    What is garbled here has no text; it makes nothing else unreadable.
    """

    def __init__(self) -> None:
        self._texts: dict[int, str] = {}
        self._object, self._length = -1, 0

    def add(self, number: int, data: bytes, marks: Marks, limits: Limits) -> None:
        if number == _OBJECT and len(data) >= 8:
            self._object, self._length = struct.unpack_from("<H", data, 6)[0], 0
        elif number == _OBJECT_TEXT and len(data) >= 12:
            self._length = struct.unpack_from("<H", data, 10)[0]
        elif number == _CONTINUED and self._length and data:
            wide = data[0] & 1
            text = data[1 : 1 + min(self._length, limits.note) * (2 if wide else 1)]
            self._texts[self._object] = text.decode("utf-16-le" if wide else "latin-1", "replace")
            self._length = 0
        elif number == _NOTE and len(data) >= 8:
            row, column, _, of = struct.unpack_from("<HHHH", data)
            marks.add_note((row + 1, column), self._texts.get(of, ""), limits)


def _fault(number: int, data: bytes) -> str:
    if number == _BOOL_OR_ERROR and data[7]:
        return _ERRORS.get(data[6], "#N/A")
    if number == _FORMULA and data[12:14] == b"\xff\xff" and data[6] == 2:
        return _ERRORS.get(data[8], "#N/A")
    return ""

"""Small workbooks that unfold to what no machine holds, written part by part.

Records of old binary workbooks as in [MS-XLS], their container as in [MS-CFB].
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Sequence

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_OPEN = "urn:oasis:names:tc:opendocument:xmlns"
STRINGS = "xl/sharedStrings.xml"
PILE = '<c r="A1" t="str"><v>Pile</v></c>'
DEFLATED, BZIP2 = zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2


def archive(parts: dict[str, str | bytes], method: int = DEFLATED) -> bytes:
    """An archive of these parts; the kind of an OpenDocument file is never compressed."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", method) as book:
        for name, part in parts.items():
            book.writestr(name, part, zipfile.ZIP_STORED if name == "mimetype" else method)
    return target.getvalue()


def sheet(rows: str, after: str = "", before: str = "") -> str:
    """One sheet's part with these rows, and what stands after and before them."""
    return f'{before}<worksheet xmlns="{_MAIN}"><sheetData>{rows}</sheetData>{after}</worksheet>'


def strings(items: str) -> dict[str, str]:
    """The part of strings that cells share."""
    return {STRINGS: f'<sst xmlns="{_MAIN}">{items}</sst>'}


def book_parts(sheets: Sequence[str | bytes], names: Sequence[str] = ()) -> dict[str, str | bytes]:
    """Parts of an XLSX workbook with these sheets."""
    names = names or [f"S{number}" for number in range(1, len(sheets) + 1)]
    listed = "".join(
        f'<sheet name="{name}" sheetId="{number}" r:id="r{number}"/>'
        for number, name in enumerate(names, 1)
    )
    targets = "".join(
        f'<Relationship Id="r{number}" Type="{_OFFICE}/worksheet" '
        f'Target="worksheets/sheet{number}.xml"/>'
        for number in range(1, len(sheets) + 1)
    )
    root = f'<Relationship Id="r1" Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/>'
    relations = f'<Relationships xmlns="{_PACKAGE}/relationships">'
    parts: dict[str, str | bytes] = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"/>',
        "_rels/.rels": f"{relations}{root}</Relationships>",
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}">'
        f"<sheets>{listed}</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f"{relations}{targets}</Relationships>",
    }
    for number, part in enumerate(sheets, 1):
        parts[f"xl/worksheets/sheet{number}.xml"] = part
    return parts


def book(*rows: str, more: dict[str, str] | None = None) -> bytes:
    """An XLSX workbook with one sheet for each text of rows, and more parts."""
    return archive(book_parts([sheet(text) for text in rows]) | (more or {}))


def open_book(rows: str) -> bytes:
    """An OpenDocument workbook with one sheet of these rows."""
    names = " ".join(f'xmlns:{one}="{_OPEN}:{one}:1.0"' for one in ("office", "table", "text"))
    names += ' xmlns:dc="http://purl.org/dc/elements/1.1/"'
    return archive(
        {
            "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "META-INF/manifest.xml": "<manifest/>",
            "content.xml": f"<office:document-content {names}><office:body><office:spreadsheet>"
            f'<table:table table:name="S">{rows}</table:table>'
            "</office:spreadsheet></office:body></office:document-content>",
        }
    )


def open_row(text: str, of_row: str = "", of_cell: str = "") -> str:
    """One row of an OpenDocument sheet with one cell, each with attributes."""
    cell = f'<table:table-cell office:value-type="string" {of_cell}><text:p>{text}</text:p>'
    return f"<table:table-row {of_row}>{cell}</table:table-cell></table:table-row>"


def declaring(content: bytes, part: str, length: int, start: bytes = b"") -> bytes:
    """The same archive whose list says that ``part`` has ``length`` bytes, and their check sum."""
    changed = bytearray(content)
    entry = changed.rfind(part.encode()) - 46  # of the list at the archive's end
    struct.pack_into("<I", changed, entry + 16, zlib.crc32(start))
    struct.pack_into("<I", changed, entry + 24, length)
    return bytes(changed)


_SECTOR, _MINIMUM = 512, 4096  # bytes; a stream shorter than the minimum is kept elsewhere
_END, _FREE, _IN_TABLE = 0xFFFFFFFE, 0xFFFFFFFF, 0xFFFFFFFD


def record(kind: int, *fields: int | bytes) -> bytes:
    """A record of an old workbook; numbers take two bytes each."""
    parts = [one if isinstance(one, bytes) else struct.pack("<H", one) for one in fields]
    content = b"".join(parts)
    return struct.pack("<HH", kind, len(content)) + content


def number_cell(row: int, column: int, style: int = 0) -> bytes:
    """A cell of an old workbook with the number 1; row and column count from 0."""
    return record(0x203, row, column, style, struct.pack("<d", 1))


def old_book(cells: bytes, sheets: int = 1) -> bytes:
    """An old workbook of so many sheets, all of them the same records."""

    def start(kind: int) -> bytes:
        return record(0x809, 0x600, kind, 0, 0, bytes(8))

    font = record(0x31, 200, 0, 0, 400, bytes(6), b"\1\0A")
    names = [f"S{number}".encode() for number in range(1, sheets + 1)]
    listed = sum(len(record(0x85, bytes(8), name)) for name in names)
    styles = font + record(0xE0, 0, 0, bytes(16))
    at = struct.pack("<I", len(start(5) + styles) + listed + len(record(0x0A)))
    stream = start(5) + styles
    for name in names:
        stream += record(0x85, at, bytes(2), bytes([len(name), 0]), name)
    return _container(stream + record(0x0A) + start(0x10) + cells + record(0x0A))


def _container(stream: bytes) -> bytes:
    """The stream of a workbook in its container: header, table of sectors, directory, stream."""
    stream = stream.ljust(_MINIMUM, b"\0")
    sectors = -(-len(stream) // _SECTOR)
    tables = -(-(sectors + 1) // (_SECTOR // 4 - 1))
    after = [*[_IN_TABLE] * tables, _END, *range(tables + 2, tables + 1 + sectors), _END]
    table = struct.pack(f"<{len(after)}I", *after).ljust(tables * _SECTOR, b"\xff")
    header = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16)
    header += struct.pack("<HHHHH6xIIII", 0x3E, 3, 0xFFFE, 9, 6, 0, tables, tables, 0)
    header += struct.pack("<IIIII", _MINIMUM, _END, 0, _END, 0)
    header += struct.pack(f"<{tables}I", *range(tables)).ljust(109 * 4, b"\xff")
    directory = _entry("Root Entry", 5, _END, 0, 1) + _entry("Workbook", 2, tables + 1, len(stream))
    return header + table + directory.ljust(_SECTOR, b"\0") + stream.ljust(sectors * _SECTOR, b"\0")


def _entry(name: str, kind: int, first: int, length: int, child: int = _FREE) -> bytes:
    text = name.encode("utf-16-le")
    entry = text.ljust(64, b"\0") + struct.pack("<HBB", len(text) + 2, kind, 1)
    entry += struct.pack("<III36x", _FREE, _FREE, child)
    return entry + struct.pack("<IQ", first, length)

"""Small workbooks that unfold to what no machine holds, written part by part."""

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

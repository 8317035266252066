"""Files that are no workbooks of ours to read by columns: a PDF, pictures, and odd ones out."""

from __future__ import annotations

import zlib
from xml.sax.saxutils import escape

from dress import Planted, Sent, archive, mark_of
from slips import MARK, Rows

_MIMETYPE = "application/vnd.oasis.opendocument.spreadsheet"
_SPACES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for short, name in (("office", "office"), ("table", "table"), ("text", "text"))
)


def open_document(rows: Rows, title: str) -> Sent:
    """A table as an OpenDocument spreadsheet: a title, a blank row, headers, rows of text."""
    names = [name for name in rows[0] if name != MARK]
    lines = [[title], [], names]
    planted: list[Planted] = []
    for row in rows:
        lines.append([str(row[name]) for name in names])
        mark = mark_of(row)
        if mark.kind:
            planted.append(("Instructions", len(lines), mark.kind, mark.why))
    body = "".join(map(_row, lines))
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {_SPACES} '
        'office:version="1.2"><office:body><office:spreadsheet>'
        f'<table:table table:name="Instructions">{body}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        '<?xml version="1.0" encoding="UTF-8"?><manifest:manifest '
        'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0" '
        f'manifest:version="1.2"><manifest:file-entry manifest:full-path="/" '
        f'manifest:media-type="{_MIMETYPE}"/><manifest:file-entry '
        'manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
    )
    parts = {"mimetype": _MIMETYPE, "content.xml": content, "META-INF/manifest.xml": manifest}
    return Sent(archive(parts), planted)


def _row(cells: list[str]) -> str:
    if not cells:
        return "<table:table-row><table:table-cell/></table:table-row>"
    written = [
        f'<table:table-cell office:value-type="string"><text:p>{escape(text)}</text:p>'
        "</table:table-cell>" if text else "<table:table-cell/>"
        for text in cells
    ]  # fmt: skip
    return f"<table:table-row>{''.join(written)}</table:table-row>"


def one_page(text: str) -> bytes:
    """A PDF of one page with one line."""
    drawn = f"BT /F1 14 Tf 40 760 Td ({text}) Tj ET"
    objects = (
        "<< /Type /Catalog /Pages 2 0 R >>",
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R "
        "/Resources << /Font << /F1 5 0 R >> >> >>",
        f"<< /Length {len(drawn)} >>\nstream\n{drawn}\nendstream",
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    )
    written, places = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, start=1):
        places.append(len(written))
        written += f"{number} 0 obj\n{body}\nendobj\n".encode("ascii")
    table = "".join(f"{place:010d} 00000 n \n" for place in places)
    end = f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n{table}"
    end += f"trailer\n<< /Size {len(objects) + 1} /Root 1 0 R >>\n"
    return written + f"{end}startxref\n{len(written)}\n%%EOF\n".encode("ascii")


def picture(grey: int) -> bytes:
    """A PNG of eight by eight points in one grey, in place of a photo."""
    lines = (b"\0" + bytes([grey]) * 8) * 8
    plain = b"\x78\x01\x01" + len(lines).to_bytes(2, "little")
    plain += (len(lines) ^ 0xFFFF).to_bytes(2, "little") + lines
    plain += zlib.adler32(lines).to_bytes(4, "big")  # stored, the same bytes everywhere
    head = (8).to_bytes(4, "big") * 2 + bytes([8, 0, 0, 0, 0])
    parts = ((b"IHDR", head), (b"IDAT", plain), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        len(body).to_bytes(4, "big") + name + body + zlib.crc32(name + body).to_bytes(4, "big")
        for name, body in parts
    )


def left_by_an_open_program() -> bytes:
    """What an office program leaves beside a workbook that somebody has open."""
    name = "Crew 2"
    return bytes([len(name)]) + name.encode("ascii").ljust(54) + bytes(110)

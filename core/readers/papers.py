"""Papers: PDF files and pictures, known by their first bytes. They are kept, never read."""

from __future__ import annotations

import re

_PICTURES = (
    b"\x89PNG\r\n\x1a\n",
    b"\xff\xd8\xff",  # JPEG
    b"II*\0",  # TIFF, either byte order
    b"MM\0*",
)
_PHONE_PICTURES = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")
_TABLES = re.compile(r"\.(csv|txt|tsv|xls|xlsx|xlsm|xlsb|ods)$", re.IGNORECASE)


def paper(content: bytes) -> str:
    """What kind of paper the bytes are: "PDF", "picture", or "" for none."""
    if content.startswith(b"%PDF"):
        return "PDF"
    if content.startswith(_PICTURES):
        return "picture"
    if content[4:8] == b"ftyp" and content[8:12] in _PHONE_PICTURES:
        return "picture"
    return ""


def named_as_table(file: str) -> bool:
    """Whether the name promises a table, so that a paper under it is a mistake."""
    return _TABLES.search(file) is not None

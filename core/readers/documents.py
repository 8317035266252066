"""Papers: PDF files and pictures, known by their first bytes, and what a certificate's file shows.

They are kept, and nothing in them is ever run: a page is drawn in a process of its own.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass

from PIL import Image, UnidentifiedImageError

from core.errors import Refused
from core.readers import apart, page_reader
from core.readers.book_limits import PAGE_LIMITS, Unreadable
from core.readers.page_reader import LONGEST_SIDE

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


MOST_BYTES = 64 * 1024 * 1024
MOST_PIXELS = 60_000_000  # of a picture; a page of A3 at 400 dpi has 31 million
IMAGES = ("PNG", "JPEG")
_PDF_WITHIN = 1024  # bytes before its mark that a PDF may begin with, as readers allow


@dataclass(frozen=True)
class Paper:
    """What a file is: ``form`` PDF, PNG or JPEG, its name made harmless, and its pages."""

    form: str
    name: str
    pages: int


def checked_document(name: str, content: bytes) -> Paper:
    """What ``content`` is, whatever ``name`` says.

    Raises Refused when it is empty, too big, neither PDF, PNG nor JPEG, or cannot be opened.
    """
    safe = safe_name(name)
    if not content:
        raise Refused(f"{safe} is empty. Send the certificate again.")
    if len(content) > MOST_BYTES:
        size, most = len(content) / 1024**2, MOST_BYTES / 1024**2
        raise Refused(
            f"{safe} has {size:,.0f} MB; at most {most:,.0f} MB are kept. Scan it in grey at 200 "
            "dots an inch, or split it."
        )
    if b"%PDF-" in content[:_PDF_WITHIN]:
        return Paper("PDF", safe, _pages(safe, content))
    form = _form_of_image(safe, content)
    return Paper(form, safe, 1)


def safe_name(name: str) -> str:
    """``name`` without folders and without signs that cannot be printed; it is only ever shown."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    printed = "".join(sign if sign.isprintable() else "_" for sign in last).strip(" .")
    return printed[-120:] or "certificate"


def _pages(name: str, content: bytes) -> int:
    pages = int(_answer(name, content, 0) or -1)
    if pages < 0:
        raise Refused(
            f"{name} begins like a PDF and cannot be opened as one (damaged, or it asks for a "
            "password). Send it again as a plain PDF."
        )
    if pages == 0:
        raise Refused(f"{name} is a PDF without a page. Send the certificate again.")
    return pages


def _answer(name: str, content: bytes, page: int) -> bytes:
    """What the process that opens a PDF answers; nothing when it ends without an answer."""
    try:
        return apart.answer_of("page_reader", page_reader.with_page(page, content), PAGE_LIMITS)
    except Unreadable as error:
        if error.reason == "damaged":
            return b""
        most = getattr(PAGE_LIMITS, error.reason)
        unit = f"{most // 10**6:,} MB of memory" if error.reason == "memory_bytes" else f"{most} s"
        raise Refused(
            f"{name} takes more than {unit} to open. Scan it in grey at 200 dots an inch, "
            "or split it."
        ) from error


def _form_of_image(name: str, content: bytes) -> str:
    try:
        with Image.open(io.BytesIO(content), formats=IMAGES) as image:
            form, pixels = str(image.format), image.width * image.height
            if pixels <= MOST_PIXELS:
                image.verify()
    except (UnidentifiedImageError, OSError, SyntaxError, Image.DecompressionBombError) as error:
        raise Refused(
            f"{name} is neither a PDF nor a PNG or JPEG picture, despite its name. "
            "Send the certificate as one of these."
        ) from error
    if pixels > MOST_PIXELS:
        raise Refused(f"{name} has {pixels:,} pixels; at most {MOST_PIXELS:,} are kept.")
    return form


def page_picture(form: str, content: bytes, page: int) -> bytes:
    """Page number ``page`` (from 1) of a file that ``checked_document`` took, as PNG."""
    if form == "PDF":
        drawn = _answer("The certificate", content, page)
        if not drawn:
            raise Refused(f"Page {page} of the certificate cannot be drawn. Download the file.")
        return drawn
    image = Image.open(io.BytesIO(content), formats=IMAGES)
    image.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    picture = io.BytesIO()
    image.convert("RGB").save(picture, "PNG")
    return picture.getvalue()

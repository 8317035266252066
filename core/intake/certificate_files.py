"""A file that shows a mill certificate: what it is by its content, and a picture of one page.

Nothing in it is ever run: a page is drawn, and the file itself is only kept and handed out.
"""

from __future__ import annotations

import io
import threading
from dataclasses import dataclass

import pypdfium2
from PIL import Image, UnidentifiedImageError

from core.errors import Refused

MOST_BYTES = 64 * 1024 * 1024
MOST_PIXELS = 60_000_000  # of a picture; a page of A3 at 400 dpi has 31 million
LONGEST_SIDE = 1800  # of a page as it is drawn, in pixels
IMAGES = ("PNG", "JPEG")
_PDF_WITHIN = 1024  # bytes before its mark that a PDF may begin with, as readers allow
_ONE_AT_A_TIME = threading.Lock()  # the library behind pages is not made for threads


@dataclass(frozen=True)
class Paper:
    """What a file is: ``form`` PDF, PNG or JPEG, its name made harmless, and its pages."""

    form: str
    name: str
    pages: int


def looked_at(name: str, content: bytes) -> Paper:
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
    try:
        with _ONE_AT_A_TIME:
            document = pypdfium2.PdfDocument(content)
            try:
                pages = len(document)
            finally:
                document.close()
    except pypdfium2.PdfiumError as error:
        raise Refused(
            f"{name} begins like a PDF and cannot be opened as one (damaged, or it asks for a "
            "password). Send it again as a plain PDF."
        ) from error
    if pages == 0:
        raise Refused(f"{name} is a PDF without a page. Send the certificate again.")
    return pages


def _form_of_image(name: str, content: bytes) -> str:
    try:
        with Image.open(io.BytesIO(content), formats=IMAGES) as image:
            form, pixels = str(image.format), image.width * image.height
            if pixels <= MOST_PIXELS:
                image.verify()
    except (UnidentifiedImageError, OSError, SyntaxError, Image.DecompressionBombError) as error:
        raise Refused(
            f"{name} is neither a PDF nor a PNG or JPEG picture, whatever its name says. "
            "Send the certificate as one of these."
        ) from error
    if pixels > MOST_PIXELS:
        raise Refused(f"{name} has {pixels:,} pixels; at most {MOST_PIXELS:,} are kept.")
    return form


def page_picture(form: str, content: bytes, page: int) -> bytes:
    """Page number ``page`` (from 1) of a file that ``looked_at`` took, as PNG."""
    if form == "PDF":
        with _ONE_AT_A_TIME:
            image = _drawn(content, page)
    else:
        image = Image.open(io.BytesIO(content), formats=IMAGES)
        image.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    picture = io.BytesIO()
    image.convert("RGB").save(picture, "PNG")
    return picture.getvalue()


def _drawn(content: bytes, page: int) -> Image.Image:
    document = pypdfium2.PdfDocument(content)
    try:
        leaf = document[page - 1]
        longest = max(leaf.get_size()) or 1.0
        picture: Image.Image = leaf.render(scale=LONGEST_SIDE / longest).to_pil()
        return picture
    finally:
        document.close()

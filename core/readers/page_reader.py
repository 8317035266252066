"""The process that opens one PDF: how many pages it has, or one of them as a picture."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pypdfium2

from core.readers.book_limits import Limits

LONGEST_SIDE = 1800  # of a page as it is drawn, in pixels
_PAGE_BYTES = 4


def with_page(page: int, content: bytes) -> bytes:
    """A PDF with the page that is wanted of it, from 1; 0 asks how many there are."""
    return page.to_bytes(_PAGE_BYTES, "big") + content


def answer(content: bytes, _: Limits) -> Iterator[bytes]:
    """The number of pages, or a page as PNG; nothing when the file cannot be opened."""
    page = int.from_bytes(content[:_PAGE_BYTES], "big")
    try:
        document = pypdfium2.PdfDocument(content[_PAGE_BYTES:])
        yield _drawn(document, page) if page else str(len(document)).encode()
    except pypdfium2.PdfiumError:
        return


def _drawn(document: pypdfium2.PdfDocument, page: int) -> bytes:
    leaf = document[page - 1]
    longest = max(leaf.get_size()) or 1.0
    picture = io.BytesIO()
    leaf.render(scale=LONGEST_SIDE / longest).to_pil().convert("RGB").save(picture, "PNG")
    return picture.getvalue()

"""The archive that a workbook is: every part inflated once and checked before any of it is read."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Iterator

from core.readers.book_limits import Limits, Unreadable

_PIECE = 1 << 20  # bytes inflated at a time
_LOCAL_HEADER = 30  # bytes before a part's own name; the lengths of name and extra field end it
_ENCRYPTED = 0x1
_DRAWINGS = (".svg", ".html", ".htm")  # parts that may declare entities; no reader opens them
_ENTITY = tuple("<!ENTITY".encode(codec) for codec in ("utf-8", "utf-16-le", "utf-16-be"))


def checked(content: bytes, limits: Limits) -> zipfile.ZipFile:
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
        room -= _length(content, part, room)
    return book


def _length(content: bytes, part: zipfile.ZipInfo, room: int) -> int:
    """Bytes that a part really holds; it agrees with its declared length and check sum."""
    if part.flag_bits & _ENCRYPTED:
        raise Unreadable("password")
    seeks_entities = not part.filename.lower().endswith(_DRAWINGS)
    length = sum_so_far = 0
    before = b""
    for piece in _pieces(content, part):
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


def _pieces(content: bytes, part: zipfile.ZipInfo) -> Iterator[bytes]:
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

"""Quotation marks of a CSV resolved, so that every line is one record and a reader needs no quotes.

Lines are sorted by whole columns of bytes. Only a line whose marks do not pair within it, because a
cell goes over several lines or a mark is misplaced, is read by the standard library.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

_QUOTE, _NEW_LINE = ord('"'), ord("\n")
# What stands inside a cell for a sign that would end it. No text that is read holds these bytes.
DELIMITER, LINE_FEED, RETURN, BROKEN = "\x1f", "\x1e", "\x1d", "\x01"


@dataclass(frozen=True)
class Resolved:
    """Lines that are one record each, without the marks around cells.

    ``line_no`` is the physical line at which each record starts, ``broken`` those of records whose
    marks are broken; ``replaced`` says that signs inside cells are replaced.
    """

    lines: bytes
    line_no: np.ndarray
    broken: tuple[int, ...]
    replaced: bool


def one_line(text: str) -> bytes:
    """``text`` in UTF-8 with one kind of line end, and none after the last line."""
    return text.replace("\r\n", "\n").replace("\r", "\n").encode().removesuffix(b"\n")


def resolved(text: str, delimiter: str) -> Resolved:
    """The records of ``text``, read as the standard library's strict reader reads them."""
    whole = one_line(text)
    plain = np.frombuffer(whole, dtype="uint8")
    ends = np.append(np.flatnonzero(plain == _NEW_LINE), len(plain))
    quotes = np.flatnonzero(plain == _QUOTE)
    kept, irregular = _paired(plain, quotes, ends, ord(delimiter))
    replaced = bool(kept.replaced.any())
    lines, line_no = kept.lines(plain), np.arange(1, len(ends) + 1)
    if not irregular.size:
        return Resolved(lines, line_no, (), replaced)
    by_line = lines.split(b"\n")
    is_record = np.ones(len(ends), dtype="bool")
    broken = []
    for first, after, cells in _records(text, irregular, delimiter):
        is_record[first + 1 : after] = False
        by_line[first] = _joined(cells, delimiter)
        if cells is None:
            broken.append(first + 1)
    records = [by_line[at] for at in np.flatnonzero(is_record)]
    return Resolved(b"\n".join(records), line_no[is_record], tuple(broken), True)


@dataclass(frozen=True)
class _Kept:
    """What of the bytes is kept, and which are signs inside cells that are replaced."""

    is_kept: np.ndarray
    replaced: np.ndarray

    def lines(self, plain: np.ndarray) -> bytes:
        changed = np.where(self.replaced, np.uint8(ord(DELIMITER)), plain)
        return bytes(changed[self.is_kept])


def _paired(
    plain: np.ndarray, quotes: np.ndarray, ends: np.ndarray, delimiter: int
) -> tuple[_Kept, np.ndarray]:
    """The lines whose marks pair, resolved; and the lines whose do not.

    The marks of a line pair when, counted within it, each even one opens a cell or is the second of
    a doubled one, and each odd one closes a cell or is the first of a doubled one. A mark that
    neither opens a cell nor follows one that does is a letter like others.
    """
    bounds = (delimiter, _NEW_LINE)
    around = np.concatenate([[_NEW_LINE], plain, [_NEW_LINE]])
    opens, closes = np.isin(around[quotes], bounds), np.isin(around[quotes + 2], bounds)
    line = np.searchsorted(ends, quotes)
    marked = np.zeros(len(ends), dtype="bool")  # lines with a cell in quotation marks
    marked[line[opens]] = True
    of_cells = marked[line]
    quotes, line = quotes[of_cells], line[of_cells]
    opens, closes = opens[of_cells], closes[of_cells]
    odd = (np.arange(len(quotes)) - np.searchsorted(line, line)) % 2 == 1
    follows = np.append(False, np.diff(quotes) == 1)
    doubled = np.where(odd, np.append(follows[1:], False), follows)[: len(quotes)]
    good = np.where(odd, closes, opens) | doubled
    count = np.bincount(line, minlength=len(ends))
    irregular = count % 2 == 1
    irregular[line[~good]] = True
    pairs = ~irregular[line]
    quotes, doubled, odd = quotes[pairs], doubled[pairs], odd[pairs]
    is_kept = np.ones(len(plain), dtype="bool")
    is_kept[quotes[~(doubled & odd)]] = False  # of a doubled mark the first is kept
    places = np.flatnonzero(plain == delimiter)
    replaced = np.zeros(len(plain), dtype="bool")
    replaced[places[np.searchsorted(quotes, places) % 2 == 1]] = True
    return _Kept(is_kept, replaced), np.flatnonzero(irregular)


def _records(
    text: str, starts: np.ndarray, delimiter: str
) -> Iterator[tuple[int, int, list[str] | None]]:
    """For each line of ``starts``, from 0: it, the line after its record, and the cells.

    A line inside the record before it is none of its own; cells are None when marks are broken.
    """
    lines = io.StringIO(text, newline="").readlines()
    at = 0

    def following() -> Iterator[str]:
        nonlocal at
        while at < len(lines):
            at += 1
            yield lines[at - 1]

    reader = csv.reader(following(), delimiter=delimiter, strict=True)
    for first in starts.tolist():
        if first < at:
            continue
        at = first
        try:
            cells: list[str] | None = next(reader)
        except csv.Error:
            cells = None
        yield first, at, cells


def _joined(cells: list[str] | None, delimiter: str) -> bytes:
    if cells is None:
        return BROKEN.encode()
    signs = str.maketrans({delimiter: DELIMITER, "\n": LINE_FEED, "\r": RETURN})
    return delimiter.join([cell.translate(signs) for cell in cells]).encode()

"""Bytes of a CSV file to a grid of text with its physical lines; no value is guessed at.

Quotation marks are resolved first, so that every line is one record and a reader needs no quotes.
Lines are sorted by whole columns of bytes.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice

import numpy as np
import pandas as pd
import pyarrow as pa
from pyarrow import compute
from pyarrow import csv as arrow_csv

from core.readers.problems import Problems
from core.readers.sheet import ARROW_TEXT, Grid

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
    for first, after, cells in _records_of_lines(text, irregular, delimiter):
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


def _records_of_lines(
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


DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab"}
MOST_COLUMNS = 500
_LOOKED_AT = 40  # first records in which words of a header are looked for
_BLOCK = 1 << 20  # bytes that the reader takes at a time; a line has to go into it
_HEAD = 100_000  # characters that surely hold them
_FOREIGN = {  # first bytes of files that people send in place of a table
    b"PK\x03\x04": "an archive",
    b"\xd0\xcf\x11\xe0": "a document of an office program",
    b"%PDF": "a PDF",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
}
_OTHER_TEXT = ("<", "{", "[", "%!")  # first marks of web pages, data and printer text
_CONTROL = bytes([*range(9), *range(14, 26), *range(27, 32)])  # never in text; 26 ends old files
Recognised = Callable[[list[str]], int]


@dataclass(frozen=True)
class CsvText:
    """The one grid of a CSV file and how its text is written."""

    grid: Grid
    delimiter: str
    encoding: str


def read(content: bytes, recognised: Recognised, problems: Problems) -> CsvText | None:
    """The grid in ``content``, or None when it is no CSV at all (then a problem says so).

    ``recognised`` counts the headers that mean something; the delimiter that yields most wins.
    """
    text, encoding = _decoded(content)
    if not content.strip() or (text is not None and not text.strip()):
        problems.add("empty file", "The file is empty.", "Export it again and import that.")
        return None
    what = next((word for start, word in _FOREIGN.items() if content.startswith(start)), None)
    if what or text is None:
        problems.add(
            "not a table",
            f"The file is {what or 'not text'}.",
            "Save the sheet as a workbook or as CSV and import that.",
        )
        return None
    delimiter = _delimiter(text, recognised)
    if not _is_table(text, delimiter, recognised):
        problems.add(
            "not a table",
            "The file is not a table: its first lines contain no column headers.",
            "Save the sheet as CSV with a header row and import that.",
        )
        return None
    return CsvText(_grid(text, delimiter, problems), DELIMITERS[delimiter], encoding)


def _decoded(content: bytes) -> tuple[str | None, str]:
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        ways = [("utf-16", "UTF-16")]
    else:
        ways = [("utf-8-sig", "UTF-8"), ("cp1252", "Windows-1252")]
    for codec, word in ways:
        try:
            text = content.decode(codec)
        except UnicodeDecodeError:
            continue
        return (None if _has_control(text) else text), word
    return None, ""


def _has_control(text: str) -> bool:
    plain = text.encode("utf-8")
    return len(plain.translate(None, _CONTROL)) < len(plain)


def _delimiter(text: str, recognised: Recognised) -> str:
    def score(delimiter: str) -> tuple[int, int]:
        first = _first_records(text, delimiter)
        return max(map(recognised, first), default=0), max(map(len, first), default=0)

    return max(DELIMITERS, key=score)


def _first_records(text: str, delimiter: str) -> list[list[str]]:
    """The first records that hold something, of the text's first part alone."""
    head = text[:_HEAD]
    records = (cells or [] for _, _, cells in islice(_records(head, delimiter), 2 * _LOOKED_AT))
    return [cells for cells in records if not _is_blank(cells)][:_LOOKED_AT]


def _is_table(text: str, delimiter: str, recognised: Recognised) -> bool:
    """Whether a header can be there: a known word in a line, or lines of several cells."""
    first = _first_records(text, delimiter)
    if any(map(recognised, first)):
        return True
    several = any(len(cells) > 1 for cells in first)
    return several and not text.lstrip().startswith(_OTHER_TEXT)


def _records(text: str, delimiter: str) -> Iterator[tuple[int, int, list[str] | None]]:
    """First and last line and the cells of each record; None when its quotes are broken."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    while True:
        try:
            cells: list[str] | None = next(reader)
        except StopIteration:
            return
        except csv.Error:
            cells = None
        yield line, reader.line_num, cells
        line = reader.line_num + 1


def _is_blank(cells: list[str]) -> bool:
    return not any(cells) or not "".join(cells).strip()


def _grid(text: str, delimiter: str, problems: Problems) -> Grid:
    if '"' in text:
        found = resolved(text, delimiter)
    else:
        lines = one_line(text)
        found = Resolved(lines, np.arange(1, lines.count(b"\n") + 2), (), False)
    for line in found.broken:
        _broken_quotes(line, problems)
    return _grid_of(found, delimiter)


def _grid_of(found: Resolved, delimiter: str) -> Grid:
    """The grid of lines that are one record each."""
    plain = found.lines
    width, longest = _widths(np.frombuffer(plain, dtype="uint8"), ord(delimiter))
    columns = min(int(width.max()), MOST_COLUMNS)
    if width.min() < width.max():  # the reader wants as many cells on every line
        lines = plain.split(b"\n")
        mark = delimiter.encode()
        for at in np.flatnonzero(width != columns):
            cells = lines[at].split(mark, columns)
            lines[at] = mark.join((cells + [b""] * columns)[:columns])
            longest = max(longest, len(lines[at]))
        plain = b"\n".join(lines)
    table = arrow_csv.read_csv(
        pa.BufferReader(plain + b"\n"),
        arrow_csv.ReadOptions(
            column_names=[str(at) for at in range(columns)],
            block_size=max(_BLOCK, 2 * longest),
        ),
        arrow_csv.ParseOptions(delimiter=delimiter, quote_char=False, ignore_empty_lines=False),
        arrow_csv.ConvertOptions(column_types={str(at): pa.string() for at in range(columns)}),
    )
    texts = [table.column(at) for at in range(columns)]
    if found.replaced:
        texts = [_restored(column, delimiter) for column in texts]
    frame = pd.DataFrame({at: _trimmed(column) for at, column in enumerate(texts)})
    frame = frame.iloc[: len(width)]
    written: np.ndarray = np.logical_or.reduce(frame.notna().to_numpy(), axis=1)
    follows_blank = found.line_no[np.append(False, ~written[:-1]) & written]
    written = written & ~np.isin(found.line_no, found.broken)
    if not written.all():
        frame = frame.loc[written].reset_index(drop=True)
    return Grid(
        sheet="",
        cells=frame,
        row_no=found.line_no[written],
        width=width[written],
        broken=found.broken,
        after_blank=frozenset(follows_blank.tolist()),
    )


def _widths(plain: np.ndarray, delimiter: int) -> tuple[np.ndarray, int]:
    """How many cells each line has, and how many bytes the longest."""
    ends = np.append(np.flatnonzero(plain == ord("\n")), len(plain))
    before = np.searchsorted(np.flatnonzero(plain == delimiter), ends)
    return np.diff(before, prepend=0) + 1, int(np.diff(ends, prepend=-1).max()) - 1


def _restored(texts: pa.ChunkedArray, delimiter: str) -> pa.ChunkedArray:
    """Texts with the signs that were replaced inside cells."""
    signs = {DELIMITER: delimiter, LINE_FEED: "\n", RETURN: "\r"}
    for mark, sign in signs.items():
        texts = compute.replace_substring(texts, mark, sign)
    return texts


def _trimmed(texts: pa.ChunkedArray) -> pd.Series[str]:
    """Texts without blanks around them, missing where nothing is left."""
    plain = compute.utf8_trim_whitespace(texts)
    kept = compute.if_else(compute.equal(plain, ""), None, plain)
    return pd.Series(kept.to_pandas(types_mapper={pa.string(): ARROW_TEXT}.get))


def _broken_quotes(line: int, problems: Problems) -> None:
    problems.add(
        "quotation marks",
        "A quotation mark is opened and not closed, or text follows the closing one.",
        "Close it, or write two of them inside the cell.",
        row=line,
    )

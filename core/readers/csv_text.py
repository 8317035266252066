"""Bytes of a CSV file to a grid of text with its physical lines; no value is guessed at."""

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

from core.readers import csv_quotes
from core.readers.grid import ARROW_TEXT, Grid
from core.readers.problems import Problems

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
        problems.add("empty file", "The file is empty.", "Export it again and take that in.")
        return None
    what = next((word for start, word in _FOREIGN.items() if content.startswith(start)), None)
    if what or text is None:
        problems.add(
            "not a table",
            f"The file is {what or 'not text'}.",
            "Save the sheet as a workbook or as CSV and take that in.",
        )
        return None
    delimiter = _delimiter(text, recognised)
    if not _is_table(text, delimiter, recognised):
        problems.add(
            "not a table",
            "The file is no table: its first lines hold no header of columns.",
            "Save the sheet as CSV with a line of headers and take that in.",
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
        found = csv_quotes.resolved(text, delimiter)
    else:
        lines = csv_quotes.one_line(text)
        found = csv_quotes.Resolved(lines, np.arange(1, lines.count(b"\n") + 2), (), False)
    for line in found.broken:
        _broken_quotes(line, problems)
    return _grid_of(found, delimiter)


def _grid_of(found: csv_quotes.Resolved, delimiter: str) -> Grid:
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
    signs = {csv_quotes.DELIMITER: delimiter, csv_quotes.LINE_FEED: "\n", csv_quotes.RETURN: "\r"}
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

"""Bytes of a CSV file to cells of text with their physical lines; no value is guessed at."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from core.intake.problems import Problems

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab"}
_FOREIGN = {  # first bytes of files that people send in place of a CSV
    b"PK\x03\x04": "a workbook or an archive",
    b"\xd0\xcf\x11\xe0": "an old workbook",
    b"%PDF": "a PDF",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
}
_OTHER_TEXT = ("<", "{", "[", "%!")  # first marks of web pages, data and printer text
_CONTROL = re.compile("[\0-\x08\x0e-\x19\x1b-\x1f]")  # never in text; \x1a ends old files


@dataclass(frozen=True)
class Sheet:
    """Cells of one sheet as text; ``cells`` has one column per header, missing where empty."""

    headers: tuple[str, ...]
    header_row: int
    cells: pd.DataFrame
    row_no: np.ndarray
    rows_read: int
    delimiter: str
    encoding: str


def read(
    content: bytes, recognised: Callable[[list[str]], int], problems: Problems
) -> Sheet | None:
    """The sheet in ``content``, or None when it is no CSV at all (then a problem says so).

    ``recognised`` counts the headers that mean something; the delimiter that yields most wins.
    """
    text, encoding = _decoded(content)
    if not content.strip() or (text is not None and not text.strip()):
        problems.add("empty file", "The file is empty.", "Export it again and take that in.")
        return None
    what = next((word for start, word in _FOREIGN.items() if content.startswith(start)), None)
    if what or text is None:
        problems.add(
            "not a CSV file",
            f"The file is {what or 'not text'}. Only CSV is read so far.",
            "Save the sheet as CSV and take that in.",
        )
        return None
    delimiter = _delimiter(text, recognised)
    if not _is_table(text, delimiter, recognised):
        problems.add(
            "not a CSV file",
            "The file is no table: its first line is no header of columns.",
            "Save the sheet as CSV with its headers in the first line and take that in.",
        )
        return None
    return _sheet(text, delimiter, encoding, problems)


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
        return (None if _CONTROL.search(text) else text), word
    return None, ""


def _delimiter(text: str, recognised: Callable[[list[str]], int]) -> str:
    def score(delimiter: str) -> tuple[int, int]:
        cells = _first_cells(text, delimiter)
        return recognised(cells), len(cells)

    return max(DELIMITERS, key=score)


def _first_cells(text: str, delimiter: str) -> list[str]:
    records = (cells or [] for _, cells in _records(text, delimiter))
    return next((cells for cells in records if not _is_blank(cells)), [])


def _is_table(text: str, delimiter: str, recognised: Callable[[list[str]], int]) -> bool:
    """Whether the first line can be a header: a known word in it, or several cells of words."""
    cells = _first_cells(text, delimiter)
    if recognised(cells):
        return True
    return len(cells) > 1 and not text.lstrip().startswith(_OTHER_TEXT)


def _records(text: str, delimiter: str) -> Iterator[tuple[int, list[str] | None]]:
    """Physical line and cells of each record; None for cells when its quotes are broken."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    while True:
        try:
            cells: list[str] | None = next(reader)
        except StopIteration:
            return
        except csv.Error:
            cells = None
        yield line, cells
        line = reader.line_num + 1


def _sheet(text: str, delimiter: str, encoding: str, problems: Problems) -> Sheet | None:
    headers: list[str] | None = None
    header_row, broken = 1, 0
    rows: list[list[str]] = []
    row_no: list[int] = []
    for line, cells in _records(text, delimiter):
        if cells is not None and _is_blank(cells):
            continue
        if cells is None:
            _broken_quotes(line, problems)
            broken += 1
            if headers is None:
                return None
        elif headers is None:
            headers, header_row = [cell.strip() for cell in cells], line
        elif len(cells) < len(headers) or not _is_blank(cells[len(headers) :]):
            _wrong_count(line, len(cells), len(headers), problems)
            broken += 1
        else:
            rows.append(cells[: len(headers)])
            row_no.append(line)
    headers = headers or []
    return Sheet(
        headers=tuple(headers),
        header_row=header_row,
        cells=_columns(rows, len(headers)),
        row_no=np.array(row_no, dtype="int64"),
        rows_read=len(rows) + broken,
        delimiter=delimiter,
        encoding=encoding,
    )


def _is_blank(cells: list[str]) -> bool:
    return not any(cells) or not "".join(cells).strip()


def _columns(rows: list[list[str]], count: int) -> pd.DataFrame:
    by_column = list(zip(*rows, strict=True)) if rows else [()] * count
    columns = {
        at: pd.Series([cell.strip() or None for cell in cells], dtype="str")
        for at, cells in enumerate(by_column)
    }
    return pd.DataFrame(columns, index=pd.RangeIndex(len(rows)))


def _broken_quotes(line: int, problems: Problems) -> None:
    problems.add(
        "quotation marks",
        "A quotation mark is opened and not closed, or text follows the closing one.",
        "Close it, or write two of them inside the cell.",
        row=line,
    )


def _wrong_count(line: int, found: int, wanted: int, problems: Problems) -> None:
    problems.add(
        "wrong number of cells",
        f"The row has {found} cells, the header has {wanted}.",
        "Put text that holds the separator in quotation marks, or add the missing cells.",
        row=line,
    )

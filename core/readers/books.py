"""Bytes of a workbook (XLSX, XLSM, XLS, XLSB, ODS) to one Grid per sheet, nothing guessed at.

The file itself is read in a process of its own (``book_reader``).
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa

from core.readers import apart
from core.readers.book_limits import LIMITS, Unreadable
from core.readers.problems import Problems, shortened
from core.readers.sheet import Grid, arrow_texts

_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ODS = b"opendocument.spreadsheet"
_PARTS = (b"xl/work", b"docProps/", b"[Content_Types].xml")  # the last two stand first in some
_OTHER_ZIP = (b"word/document.xml", b"ppt/presentation.xml")
_OTHER_OLE = ("WordDocument", "PowerPoint Document", "__substg1.0_")
UNSEEN = (
    "Faults, hidden rows and columns, struck-through rows and cell notes cannot be seen in this "
    "kind of file: "
    "a blank cell may be a fault."
)


def is_workbook(content: bytes) -> bool:
    """Whether ``content`` begins like a workbook; it may still be broken."""
    if content.startswith(_OLE):
        return not any(name.encode("utf-16-le") in content for name in _OTHER_OLE)
    if not content.startswith(_ZIP):
        return False
    if any(part in content for part in _OTHER_ZIP):
        return False
    return _ODS in content[:400] or any(part in content for part in _PARTS)


def read(content: bytes, problems: Problems) -> list[Grid] | None:
    """One Grid per worksheet in order, hidden ones too; None when there is nothing to read.

    A problem says why: the file is broken, has a password, meets a limit or holds no cells.
    """
    try:
        found = list(_grids(apart.answer_of("book_reader", content, LIMITS)))
    except Unreadable as error:
        problems.add(*_why(error))
        return None
    if any(len(grid.row_no) for grid in found):
        return found
    problems.add("no rows", "Every sheet of the file is empty.", "Export it with its rows.")
    return None


def _grids(answer: bytes) -> Iterator[Grid]:
    """The sheets in the lines of the reader's answer. Raises Unreadable."""
    about: dict[str, Any] = {}
    blocks: list[dict[str, Any]] = []
    for line in io.BytesIO(answer):
        message = json.loads(line)
        if "reason" in message:
            raise Unreadable(**message)
        if "rows" in message:
            blocks.append(_packed(message))
            continue
        if about:
            yield _grid(about, blocks)
        about, blocks = message, []


def _packed(block: dict[str, Any]) -> dict[str, Any]:
    """A block of rows in arrays, which hold in bytes what lists hold in objects."""
    forms = [np.frombuffer(column.encode(), dtype="uint8") - ord("0") for column in block["forms"]]
    return block | {
        "rows": np.array(block["rows"], dtype="int64"),
        "cells": [pa.array(column, pa.string()) for column in block["cells"]],
        "forms": np.column_stack(forms),
    }


def _grid(about: dict[str, Any], blocks: list[dict[str, Any]]) -> Grid:
    width = about["width"]
    row_no = np.concatenate([np.zeros(0, dtype="int64"), *(block["rows"] for block in blocks)])
    cells = {at: arrow_texts([block["cells"][at] for block in blocks]) for at in range(width)}
    forms = [np.zeros((0, width), dtype="uint8"), *(block["forms"] for block in blocks)]
    return Grid(
        sheet=about["sheet"],
        cells=pd.DataFrame(cells, index=pd.RangeIndex(len(row_no))),
        row_no=row_no,
        forms=np.concatenate(forms),
        merged=tuple(map(tuple, about["merged"])),
        hidden=frozenset(row for block in blocks for row in block["hidden"]),
        struck=frozenset(row for block in blocks for row in block["struck"]),
        hidden_columns=frozenset(about["hidden_columns"]),
        visibility=about["visibility"],
        notes=tuple((row, column, text) for row, column, text in sorted(about["notes"])),
        more_notes=about["more_notes"],
        notices=() if about["marks_seen"] else (UNSEEN,),
    )


_BROKEN = (
    "broken file",
    "The workbook cannot be read: it is damaged or was copied only in part.",
    "Close it where it is open, copy it again and import that.",
)
_OTHER = {
    "password": (
        "password",
        "The workbook is protected by a password.",
        "Save it without a password and import that.",
    ),
    "entities": (
        "broken file",
        "The workbook declares XML entities, which spreadsheet programs do not write.",
        "Save it again in a spreadsheet program and import that.",
    ),
}
_DELETE = "Delete what is far outside the table, save it and import that."
_SPLIT = "Delete what is not part of the table, or split the workbook, and import that."
_MET = {  # by limit: what exceeds it, and what to do
    "memory_bytes": ("takes more than {most:,} MB of memory to read", _SPLIT),
    "seconds": ("takes more than {most:,} s to read", _SPLIT),
    "cpu_seconds": ("takes more than {most:,} s of computing to read", _SPLIT),
    "unpacked_bytes": ("unpacks to more than {most:,} MB", _SPLIT),
    "parts": ("has {found:,} parts, more than the maximum of {most:,}", _SPLIT),
    "sheets": ("has {found:,} sheets, more than the maximum of {most:,}", _SPLIT),
    "cells": (
        "has a cell in row {found:,} of sheet {sheet}: from A1 to the last one of each sheet "
        "that is more than the maximum of {most:,} cells",
        _DELETE,
    ),
    "columns": (
        "has {found:,} columns in sheet {sheet}, more than the maximum of {most:,}",
        _DELETE,
    ),
    "all_columns": ("has more than {most:,} columns in all its sheets", _SPLIT),
    "merged": (
        "has {found:,} merged areas in sheet {sheet}, more than the maximum of {most:,}",
        "Remove the merging of cells, save it and import that.",
    ),
    "name": (
        "has a sheet whose name is {found:,} characters long, more than the maximum of {most:,}",
        "Rename the sheet, save it and import that.",
    ),
    "text_bytes": ("holds more than {most:,} MB of text", _SPLIT),
}


def _why(error: Unreadable) -> tuple[str, str, str]:
    """Kind of problem, problem and remedy."""
    if error.reason not in _MET:
        return _OTHER.get(error.reason, _BROKEN)
    words, remedy = _MET[error.reason]
    most = getattr(LIMITS, error.reason)
    shown = most // 10**6 if error.reason.endswith("_bytes") else most
    met = words.format(found=error.found, sheet=shortened(error.sheet), most=shown)
    return "file too large", f"The workbook {met}.", remedy

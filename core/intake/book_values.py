"""Values of a workbook's sheets. Run as a program it reads a file that may break its reader.

Nothing of the project is imported here, so that the program starts at once.
"""

from __future__ import annotations

import io
import pickle
import subprocess
import sys
from typing import Any, NamedTuple

from python_calamine import (
    CalamineError,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
)

MOST_MEMORY = 4_000_000_000  # bytes; ten times what a sheet of a million cells needs
MOST_SECONDS = 120


class Values(NamedTuple):
    """One sheet: rows from row 1 and column A; merged areas from 0 as first and last place."""

    sheet: str
    is_hidden: bool
    rows: list[list[Any]]
    merged: list[tuple[tuple[int, int], tuple[int, int]]]


class Unreadable(Exception):
    """The workbook cannot be read: it has a password, is too large for a reason, or is damaged.

    Never leaves the room: ``books.read`` turns it into a problem.
    """

    def __init__(self, password: bool = False, too_large: str = "") -> None:
        super().__init__(password, too_large)
        self.password, self.too_large = password, too_large


def values(content: bytes) -> list[Values]:
    """Every worksheet in order. Raises Unreadable."""
    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(content)) as book:
            sheets = [
                (about, book.get_sheet_by_name(about.name))
                for about in book.sheets_metadata
                if about.typ == SheetTypeEnum.WorkSheet
            ]
            return [
                Values(
                    about.name,
                    about.visible != SheetVisibleEnum.Visible,
                    sheet.to_python(skip_empty_area=False),
                    sheet.merged_cell_ranges or [],
                )
                for about, sheet in sheets
            ]
    except PasswordError as error:
        raise Unreadable(password=True) from error
    except (CalamineError, OSError, ValueError) as error:
        raise Unreadable from error


def values_apart(content: bytes) -> list[Values]:
    """The same in a process of its own. Raises Unreadable.

    A damaged file without check sums can end the reader's whole process or ask for all memory.
    """
    try:
        done = subprocess.run(
            [sys.executable, __file__],
            input=content,
            capture_output=True,
            timeout=MOST_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise Unreadable from error
    if done.returncode != 0:
        raise Unreadable
    answer = pickle.loads(done.stdout)
    if isinstance(answer, bool):
        raise Unreadable(password=answer)
    return [Values(*sheet) for sheet in answer]


def _limit_memory() -> None:
    try:
        import resource  # not on Windows, where the process ends by itself
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


def _answer() -> None:
    _limit_memory()
    try:
        answer: list[tuple[Any, ...]] | bool = [tuple(v) for v in values(sys.stdin.buffer.read())]
    except Unreadable as error:
        answer = error.password
    pickle.dump(answer, sys.stdout.buffer, protocol=pickle.HIGHEST_PROTOCOL)


if __name__ == "__main__":
    _answer()

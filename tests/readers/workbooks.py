"""Small invented workbooks, made in the test: with styles, faults and formats, and in old kinds."""

from __future__ import annotations

import csv
import io
import json
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from core.readers import book_reader, books
from core.readers.book_limits import LIMITS
from core.readers.problems import Problems
from core.readers.sheet import Grid

STRUCK = Font(strike=True)


def workbook(fill: Callable[[Worksheet], object], epoch: object = None) -> bytes:
    """Bytes of an XLSX file whose one sheet, Log, is filled by ``fill``."""
    book = Workbook()
    if epoch is not None:
        book.epoch = epoch
    sheet = book.active
    sheet.title = "Log"
    fill(sheet)
    return saved(book)


def saved(book: Workbook) -> bytes:
    """Bytes of a workbook."""
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def cells(**values: object) -> bytes:
    """An XLSX file with these cells, such as B3=101."""

    def fill(sheet: Worksheet) -> None:
        for place, value in values.items():
            sheet[place] = value

    return workbook(fill)


def grids(content: bytes) -> list[Grid]:
    """The sheets of a file that has no problem."""
    problems = Problems("log.xlsx")
    found = books.read(content, problems)
    assert problems.frame()["problem"].tolist() == []
    assert found is not None
    return found


def messages(content: bytes) -> list[dict]:
    """What the reader's process says of a file, worked out in this one."""
    return [json.loads(line) for line in book_reader.answer(content, LIMITS)]


def refused(content: bytes) -> str:
    """Kind of the one problem for which a file is not read."""
    problems = Problems("log.xlsx")
    assert books.read(content, problems) is None
    (kind,) = problems.frame()["kind"]
    return kind


def converted(content: bytes, ending: str, folder: Path) -> bytes:
    """The same workbook saved in another kind by an office program, where one is installed."""
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("needs soffice to write old workbooks")
    (folder / "log.xlsx").write_bytes(content)
    profile = (folder.parent / "office").as_uri()  # one for all tests: making it takes long
    command = [program, f"-env:UserInstallation={profile}", "--headless"]
    command += ["--convert-to", ending, "--outdir", str(folder), str(folder / "log.xlsx")]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return (folder / f"log.{ending}").read_bytes()


def noted_book(text: str) -> bytes:
    """The rows of a CSV text as an XLSX file with a note on cell A3 and column B hidden."""

    def fill(sheet: Worksheet) -> None:
        for row in csv.reader(io.StringIO(text)):
            sheet.append(row)
        sheet["A3"].comment = Comment("reading doubtful", "Bo Invented")
        sheet.column_dimensions["B"].hidden = True

    return workbook(fill)

"""One file from bytes to typed frames: read, lay out, recognise, convert, check, in that order."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from core.readers import across_sheets, books, contents, csv_text, notes, ownfiles
from core.readers.chains import Found, word
from core.readers.conventions import Conventions
from core.readers.grid import Grid
from core.readers.headers import expression
from core.readers.how import How
from core.readers.known_words import by_words
from core.readers.laying_out import by_layout, fitting
from core.readers.layouts import Remembered
from core.readers.not_read import NotRead, columns_not_read, none_stops
from core.readers.pile_numbers import Spellings
from core.readers.problems import Problems
from core.readers.rows import Expressions, frames_of
from core.readers.sheet import Sheet
from core.readers.stated import with_stated
from core.records import NOT_READ_COLUMNS
from core.settings import Project


@dataclass(frozen=True)
class Taken:
    """What one file holds: good rows by kind, what is wrong with it, and how it was read.

    ``frames`` are typed, with ``sheet`` and ``row_no``; a row with a problem is in no frame and
    counts in ``rows_left_out``. ``remarks`` stop nothing; ``layouts`` are the names of those used.
    ``not_read`` has one row per column that is not read.
    """

    file: str
    sha256: str
    frames: dict[str, pd.DataFrame]
    problems: pd.DataFrame
    remarks: pd.DataFrame
    not_read: pd.DataFrame
    mapping: dict[str, Any]
    layouts: tuple[str, ...]
    rows_read: int
    rows_left_out: int

    def heading(self, sheet: str, kind: str, column: str) -> str:
        """The header of a column as the sheet writes it, or the usual word for the column."""
        columns = self.mapping["sheets"].get(sheet, {}).get(kind, {})
        return columns[column]["header"] if column in columns else word(kind, column)


@dataclass(frozen=True)
class Opened:
    """The sheets of a file, each with the layout that fits it, and how its text is written."""

    grids: list[tuple[Grid, Remembered | None]]
    writing: dict[str, str]


def take(content: bytes, file: str, project: Project, how: How | None = None) -> Taken:
    """Read one file in all its sheets, as ``how`` says.

    Never stops at the first bad row. Raises WrongUse when ``how.as_kind`` is no kind of record.
    """
    how = how or How()
    name = re.split(r"[\\/]", file)[-1]
    whole = Problems(name)
    opened = open_file(content, how, whole)
    spellings = Spellings()
    parts = [
        _take_sheet(grid, layout, how, project, Problems(name, grid.sheet), spellings)
        for grid, layout in opened.grids
    ]
    if opened.grids and not any(part.rows_read or len(part.problems) for part in parts):
        whole.add("no rows", "The file has no rows of records.", "Export it again with its rows.")
    frames, gone = across_sheets.joined([(part.problems, part.frames) for part in parts])
    taken = _taken(name, content, whole, opened, parts, project)
    return replace(taken, frames=frames, rows_left_out=taken.rows_left_out + gone)


@dataclass
class _Part:
    """One sheet as taken."""

    problems: Problems
    frames: dict[str, pd.DataFrame]
    mapping: dict[str, Any]
    not_read: Sequence[NotRead] = ()
    layout: str = ""
    rows_read: int = 0
    left_out: int = 0


def open_file(content: bytes, how: How, problems: Problems) -> Opened:
    """The grids of ``content`` that may hold records; none when it is no table at all."""
    writing: dict[str, str] = {}
    if books.is_workbook(content):
        grids = books.read(content, problems) or []
    else:
        text = csv_text.read(content, contents.recognised, problems)
        grids = [text.grid] if text else []
        writing = {"delimiter": text.delimiter, "encoding": text.encoding} if text else {}
    notes.remark_notes(grids, problems)
    own = [grid for grid in grids if len(grid.row_no) and not ownfiles.is_about(grid, problems)]
    laid = []
    for grid in own:
        before = len(problems)
        used = fitting(grid, how.layouts, problems)
        if len(problems) == before:  # a sheet that two layouts claim is not read by words either
            laid.append((grid, used))
    left_out = {tab.casefold() for _, used in laid if used for tab in used.layout.left_out_sheets}
    for grid, _ in laid:
        if grid.sheet.casefold() in left_out:
            start = f"{grid.visibility.capitalize()} sheet" if grid.is_hidden else "Sheet"
            problems.remark(f"{start} {grid.sheet} is left out, as its layout says.")
    return Opened([pair for pair in laid if pair[0].sheet.casefold() not in left_out], writing)


def _take_sheet(
    grid: Grid,
    used: Remembered | None,
    how: How,
    project: Project,
    problems: Problems,
    spellings: Spellings,
) -> _Part:
    for remark in grid.remarks:
        problems.remark(remark)
    laid = laid_out(grid, used, how, problems)
    if laid is None:
        return _Part(problems, {}, {})
    if grid.is_hidden:
        problems.remark(f"The sheet is {grid.visibility} and is treated like visible ones.")
    sheet, found, usable = laid.sheet, laid.found, laid.usable
    before = len(problems)
    expressions = units_of(found, sheet, problems)
    part = _Part(problems, {}, _columns(found), laid.not_read)
    part.layout = used.name if used else ""
    if used:
        part.mapping |= {"sender": used.sender, "layout": used.name}
    if sheet.conventions.date_order:
        part.mapping["date order"] = sheet.conventions.date_order
    if sheet.conventions.decimal:
        part.mapping["decimal"] = sheet.conventions.decimal
    part.rows_read = part.left_out = sheet.rows_read
    if usable and len(problems) == before and _has_rows(sheet, problems):
        read = frames_of(sheet, found, expressions, project, problems, spellings)
        part.frames, part.left_out = read
    return part


@dataclass(frozen=True)
class LaidOut:
    """A sheet with its kinds, whether its columns can be read, and the columns that are not."""

    sheet: Sheet
    found: list[Found]
    usable: bool
    not_read: list[NotRead]


def laid_out(grid: Grid, used: Remembered | None, how: How, problems: Problems) -> LaidOut | None:
    """How a sheet is laid out, with what its headings leave to ask; None for a sheet left out."""
    laid = by_words(grid, how, problems) if used is None else by_layout(grid, used.layout, problems)
    if laid is None:
        return None
    sheet, found, usable = laid
    said = how.conventions
    own = sheet.conventions
    conventions = Conventions(own.date_order or said.date_order, own.decimal or said.decimal)
    answers = how.answers_for(used.sender) if used else how.answers
    sheet = replace(sheet, conventions=conventions)
    not_read = columns_not_read(grid, sheet, found)
    if usable:
        seen = used.layout.not_read if used else ()
        usable = none_stops(not_read, found, answers, seen, sheet.header_row, problems)
        sheet, found, clear = with_stated(sheet, found, answers, problems)
        usable = usable and clear
    return LaidOut(sheet, found, usable, not_read)


def _has_rows(sheet: Sheet, problems: Problems) -> bool:
    if sheet.rows_read == 0:
        problems.add("no rows", "There is a header and no rows.", "Export it again with its rows.")
    return sheet.rows_read > 0


def units_of(found: list[Found], sheet: Sheet, problems: Problems) -> Expressions:
    """Unit of every column by kind; what is not clear is a problem."""
    return {
        member.kind.name: {
            name: expression(heading, member.kind.column(name), sheet.header_row, problems)
            for name, heading in member.headings.items()
        }
        for member in found
    }


def _columns(found: list[Found]) -> dict[str, Any]:
    """How the columns of one sheet were read, by kind."""
    return {
        member.kind.name: {
            name: {"header": heading.text, "unit": heading.unit or ""}
            for name, heading in member.headings.items()
        }
        for member in found
    }


def _taken(
    name: str,
    content: bytes,
    whole: Problems,
    opened: Opened,
    parts: list[_Part],
    project: Project,
) -> Taken:
    """Everything about the file put together, after all sheets are read."""
    said = [whole, *(part.problems for part in parts)]
    return Taken(
        file=name,
        sha256=hashlib.sha256(content).hexdigest(),
        frames={},
        problems=_stacked([one.frame() for one in said]),
        remarks=_stacked([one.remarks() for one in said]),
        not_read=_not_read(name, parts),
        mapping={
            "sheets": {part.problems.sheet: part.mapping for part in parts},
            "unread": list(
                dict.fromkeys(one.header for part in parts for one in part.not_read if one.header)
            ),
            "zone": project.tables.project.time_zone,
            **opened.writing,
        },
        layouts=tuple(dict.fromkeys(part.layout for part in parts if part.layout)),
        rows_read=sum(part.rows_read for part in parts),
        rows_left_out=sum(part.left_out for part in parts),
    )


def _not_read(name: str, parts: list[_Part]) -> pd.DataFrame:
    rows = [
        (name, part.problems.sheet, one.letter, one.header, "; ".join(one.values))
        for part in parts
        for one in part.not_read
    ]
    return pd.DataFrame(rows, columns=pd.Index(NOT_READ_COLUMNS), dtype="str")


def _stacked(frames: list[pd.DataFrame]) -> pd.DataFrame:
    filled = [frame for frame in frames if len(frame)]
    return pd.concat(filled, ignore_index=True) if filled else frames[0]

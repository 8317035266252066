"""One file from bytes to typed frames: read, lay out, recognise, convert, check, in that order.

Rows of a sheet become frames kind by kind, coarse kinds before the finer ones they hold; frames of
several sheets are joined, and a key on two of them is a problem.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from core.readers import books, csv_text
from core.readers.book_limits import LIMITS
from core.readers.dates import date_order, date_values, days_of, timestamp_values
from core.readers.headers import expression, meaning
from core.readers.layouts import by_layout, fitting, header_notes, is_template_about_sheet
from core.readers.numbers import number_values
from core.readers.options import Locale, ReadOptions, StoredLayout
from core.readers.pile_numbers import Spellings
from core.readers.problems import Problems, listed, shortened
from core.readers.recognise import (
    KindMatch,
    NotRead,
    columns_not_read,
    match_header,
    none_stops,
    recognised,
    word,
)
from core.readers.sheet import Grid, Sheet, letters
from core.readers.table import (
    Table,
    Values,
    check_rows,
    missing_key,
    numbered,
    plain,
    report_eaten,
    report_faults,
    unread,
    with_stated,
    words,
)
from core.records import KIND, NOT_READ_COLUMNS, Column, Kind
from core.settings import Project

_NAMED = 20  # notes of a file with a notice of their own; more are counted
_LENGTH = 100  # characters of a note in its notice


def report_cell_notes(grids: Sequence[Grid], problems: Problems) -> None:
    """A notice of each of the first notes of a file, and one that counts the others by sheet."""
    own = {text[: LIMITS.note] for text in header_notes()}
    room, others = _NAMED, {}
    for grid in grids:
        notes = [note for note in grid.notes if note[2] not in own]
        for row, column, text in notes[:room]:
            quoted = f"“{shortened(text, _LENGTH)}”" if text else "without text"
            problems.notice(f"Note on cell {letters(column)}{row}: {quoted}.", row, grid.sheet)
        others[grid.sheet] = max(len(notes) - room, 0) + grid.more_notes
        room -= min(room, len(notes))
    more = [f"{sheet} ({count})" for sheet, count in others.items() if count]
    if more:
        count = sum(others.values())
        what = "1 more cell has a note" if count == 1 else f"{count} more cells have notes"
        problems.notice(f"{what}, not listed here, on sheet {listed(more)}.")


Part = tuple[Problems, dict[str, pd.DataFrame]]


def joined(parts: list[Part]) -> tuple[dict[str, pd.DataFrame], int]:
    """One frame per kind over all sheets, and how many rows two sheets disagree about.

    Neither of two rows of one key is taken.
    """
    frames: dict[str, pd.DataFrame] = {}
    lost: set[tuple[str, int]] = set()
    for kind in KIND:
        found = [part[1][kind] for part in parts if kind in part[1]]
        if not found:
            continue
        rows = pd.concat(found, ignore_index=True) if len(found) > 1 else found[0]
        if len(found) > 1:
            rows = _without_repeats(rows, kind, {one.sheet: one for one, _ in parts}, lost)
        frames[kind] = rows
    return frames, len(lost)


def _without_repeats(
    rows: pd.DataFrame, kind: str, problems: dict[str, Problems], lost: set[tuple[str, int]]
) -> pd.DataFrame:
    """The rows whose key stands once, the others in ``lost``; equal rows stand for one."""
    key = list(KIND[kind].key)
    rows = rows[~rows.duplicated(list(KIND[kind].names))].reset_index(drop=True)
    again = rows.duplicated(key, keep=False)
    for values, repeated in rows[again].groupby(key, sort=False):
        places = list(zip(repeated["sheet"], repeated["row_no"], strict=True))
        for sheet, row in places:
            other = next(place for place in places if place != (sheet, row))
            problems[sheet].add(
                "repeated key",
                f"Sheet {other[0]}, row {other[1]} holds the same {KIND[kind].word} "
                f"({' / '.join(map(str, values))}) with other values.",
                "Correct one of the two, or take one out.",
                int(row),
            )
            lost.add((sheet, int(row)))
    return rows[~again].reset_index(drop=True)


def grouped(wide: Table) -> tuple[Table, np.ndarray]:
    """One record per key of ``wide``, the sheet's rows, and each row's place among them.

    The first row that writes a cell gives its value; a later row that writes another is a
    problem, except in columns that the finer kind holds by row. Rows without key have place -1.
    """
    places = _places(wide, wide.kind.key)
    keyed = places >= 0
    firsts = _first(places, keyed)
    count = len(firsts)
    narrow = Table(
        wide.kind, wide.headings, pd.DataFrame(index=pd.RangeIndex(count)), wide.rows[firsts],
        wide.problems, wide.bad[firsts], settings=wide.settings,
    )  # fmt: skip
    columns: dict[str, pd.Series] = {}
    for name in wide.texts.columns:
        texts = wide.texts[name]
        given = wide.given(name) & keyed
        source = firsts.copy()
        written = _first(places, given)
        source[places[written]] = written
        cells = texts.take(source).reset_index(drop=True)
        plain = _plain(texts)
        differs = given.copy()
        differs[given] = plain[given] != plain[source][places[given]]
        if name in wide.kind.shared_columns:
            cells = cells.mask(np.isin(np.arange(count), places[differs]))
        else:
            _report_differs(narrow, wide, name, source, places, differs)
        columns[name] = cells
        narrow.cell_rows[name] = wide.rows[source]
        if name in wide.forms:
            narrow.forms[name] = wide.forms[name][source]
    narrow.texts = pd.DataFrame(columns)
    return narrow, places


def days_within(days: np.ndarray, wide: Table, key: tuple[str, ...]) -> np.ndarray:
    """The day of each row; where it has none of its own, the first day of its ``key``."""
    places = _places(wide, key)
    own = ~np.isnat(days)
    known = _first(places, own & (places >= 0))
    by_key = np.full(int(places.max(initial=-1)) + 2, np.datetime64("NaT"), days.dtype)
    by_key[places[known]] = days[known]
    found: np.ndarray = np.where(own, days, by_key[places])  # place -1 is the last: no day
    return found


def _places(wide: Table, key: tuple[str, ...]) -> np.ndarray:
    keys = {}
    for name in key:
        default = wide.kind.column(name).default
        texts = wide.texts[name]
        keys[name] = texts if default is None else texts.fillna(default)
    frame = pd.DataFrame(keys)
    return numbered(frame)


def _first(places: np.ndarray, where: np.ndarray) -> np.ndarray:
    """The first row of each place among the rows of ``where``, in order of place."""
    rows = np.flatnonzero(where)
    _, first = np.unique(places[rows], return_index=True)
    found: np.ndarray = rows[first]
    return found


def _plain(texts: pd.Series) -> np.ndarray:
    """A number per text, equal where the texts differ in letter case alone; -1 where missing."""
    codes, distinct = pd.factorize(texts)
    alike, _ = pd.factorize(pd.Series([" ".join(text.casefold().split()) for text in distinct]))
    found: np.ndarray = np.append(alike, -1)[codes]
    return found


def _report_differs(
    narrow: Table,
    wide: Table,
    name: str,
    source: np.ndarray,
    places: np.ndarray,
    differs: np.ndarray,
) -> None:
    """One problem per record and column: the first row that disagrees with the first value."""
    subject = wide.kind.word
    for at in _first(places, differs):
        place = places[at]
        before = source[place]
        key = ", ".join(wide.text(column, int(at)) for column in wide.kind.key)
        wide.problems.add(
            f"two values in one {subject}",
            f"{subject.capitalize()} {key.rstrip(', ')}: {wide.name(name)} is "
            f"{wide.text(name, int(at))} here and {wide.text(name, int(before))} "
            f"in row {wide.rows[before]}.",
            f"Write one value on all rows of the {subject}, or on its first row only.",
            int(wide.rows[at]), wide.name(name), wide.text(name, int(at)),
        )  # fmt: skip
        narrow.bad[place] = True


_NOT_SAID = Locale()


def read_values(
    table: Table,
    expressions: dict[str, str | None],
    project: Project,
    days: np.ndarray,
    conventions: Locale = _NOT_SAID,
) -> None:
    """Fill ``table.values`` in the dtype of each column.

    ``days``, row by row beside the table, complete times without date where the kind has no day.
    """
    report_faults(table)
    order = date_order(table, conventions)
    for column in table.kind.columns:
        name = column.name
        if column.form in ("number", "integer"):
            table.values[name] = number_values(
                table, column, expressions.get(name), conventions.decimal
            )
        elif column.form == "date":
            table.values[name] = date_values(table, name, order)
        elif column.form == "text":
            if column.is_number:
                report_eaten(table, column)
            table.values[name] = _texts(table, column, project)
    own = table.values.get(table.kind.day, days)
    own_days = np.where(np.isnat(own), days, own)
    for column in table.kind.columns:
        if column.form == "timestamp":
            table.values[column.name] = timestamp_values(
                table, column.name, project, own_days, order
            )


def _texts(table: Table, column: Column, project: Project) -> Values:
    name = column.name
    written = table.texts[name]
    if column.default is not None:
        written = written.fillna(column.default)
    if column.settings_table:
        return _project_words(table, column, project)
    if not column.choices:
        return written.array
    allowed = {plain(text): text for text in column.choices}
    allowed |= {plain(text): meant for text, meant in column.words.items()}
    found = words(table.texts[name], allowed)
    _unknown_words(table, name, found, f"Write one of: {listed(list(column.choices))}.")
    return found


def _project_words(table: Table, column: Column, project: Project) -> np.ndarray:
    """Keys as project.toml writes them; letter case and blanks do not matter."""
    name, section = column.name, column.settings_table
    keys = list(getattr(project.tables, section))
    allowed = {plain(key): key for key in keys}
    remedy = f"Add it under {section} in project.toml"
    remedy += f", or write one of: {listed(keys)}." if keys else "; none is defined."
    found = words(table.texts[name], allowed)
    _unknown_words(table, name, found, remedy)
    return found


def _unknown_words(table: Table, name: str, found: np.ndarray, remedy: str) -> None:
    without = pd.isna(found)
    table.fault(
        unread(table, name, without),
        name,
        "unknown word",
        lambda at: (
            f"{table.name(name)} is {_first_words(table.text(name, at))}, an unknown word.",
            remedy,
        ),
    )


def _first_words(text: str, most: int = 6) -> str:
    """The start of a sentence that stands where a word is expected."""
    written = text.split()
    return text if len(written) <= most else f"{' '.join(written[:most])} …"


Expressions = dict[str, dict[str, str | None]]


def frames_of(
    sheet: Sheet,
    found: list[KindMatch],
    expressions: Expressions,
    project: Project,
    problems: Problems,
    spellings: Spellings,
) -> tuple[dict[str, pd.DataFrame], int]:
    """Frames by kind, coarse kinds first, and how many rows are left out."""
    tables: dict[str, tuple[Table, np.ndarray]] = {}
    count = len(sheet.row_no)
    left_out = np.zeros(count, dtype="bool")
    days = _days(sheet, found)
    for member in found:
        table = _table(sheet, member, left_out, problems)
        table.settings = project.tables
        _unify_pile_numbers(table, spellings)
        places = np.arange(count)
        if member.grouped:
            if member is found[-1]:  # no finer kind reports the rows without a key
                missing_key(table)
                left_out |= table.bad
            table, places = grouped(table)
        elif (key := _dated_by(member.kind, tables.keys())) is not None:
            days = days_within(days, table, key)
        units = expressions[member.kind.name]
        own_days = days[np.searchsorted(sheet.row_no, table.rows)]
        read_values(table, units, project, own_days, sheet.conventions)
        check_rows(table)
        for check in member.kind.checks:
            check(table)
        known = places >= 0
        left_out[known] |= table.bad[places[known]]
        if member.kind.day:
            days = np.append(table.values[member.kind.day], np.datetime64("NaT"))[places]
        tables[member.kind.name] = table, places
    left_out |= _across(tables)
    frames = {kind: table.frame() for kind, (table, _) in tables.items()}
    return frames, int(left_out.sum()) + sheet.rows_read - count


def values_of(
    sheet: Sheet, found: Sequence[KindMatch], expressions: Expressions, project: Project
) -> Iterator[tuple[KindMatch, pd.DataFrame, dict[str, np.ndarray]]]:
    """Texts and values of every kind, row by row and unchecked: what a look at a sheet shows."""
    days = _days(sheet, list(found))
    for member in found:
        nothing_bad = np.zeros(len(sheet.row_no), dtype="bool")
        table = _table(sheet, member, nothing_bad, Problems(""))
        read_values(table, expressions[member.kind.name], project, days, sheet.conventions)
        yield member, table.texts, table.values


def _across(tables: dict[str, tuple[Table, np.ndarray]]) -> np.ndarray | bool:
    """Checks between two kinds of one sheet; the rows of the sheet that they leave out."""
    left_out: np.ndarray | bool = False
    for table, _ in tables.values():
        parent = table.kind.sheet_parent
        if parent is None or parent.name not in tables or not table.kind.checks_with_parent:
            continue
        above, places = tables[parent.name]
        for check in table.kind.checks_with_parent:
            check(above, table, places)
        left_out = left_out | table.bad
    return left_out


def _dated_by(kind: Kind, together: Container[str]) -> tuple[str, ...] | None:
    """The columns that say which rows share a day.

    They are those of the parent that has the day, where the kind has times and no day of its own;
    None where that is not so or the parent is in the same sheet.
    """
    if kind.day or not any(column.form == "timestamp" for column in kind.columns):
        return None
    dated = (one for one in kind.needs if one.parent.day and one.parent.name not in together)
    return next((tuple(one.columns) for one in dated), None)


def _table(sheet: Sheet, member: KindMatch, left_out: np.ndarray, problems: Problems) -> Table:
    nothing = pd.Series(None, index=sheet.cells.index, dtype="str")
    texts = pd.DataFrame(
        {
            name: sheet.cells[member.headings[name].at] if name in member.headings else nothing
            for name in member.kind.names
        }
    )
    table = Table(member.kind, member.headings, texts, sheet.row_no, problems, left_out.copy())
    if sheet.forms is not None:
        forms = sheet.forms
        table.forms = {name: forms[:, heading.at] for name, heading in member.headings.items()}
    return table


def _unify_pile_numbers(table: Table, spellings: Spellings) -> None:
    """One pile written in two ways in one file is one pile."""
    for column in table.kind.columns:
        if column.is_pile_number and column.name in table.headings:
            texts, changed = spellings.unified(table.texts[column.name], table.rows)
            table.texts[column.name] = texts
            for row, text, first in changed:
                table.problems.notice(
                    f"Pile “{shortened(text)}” is read as {shortened(first)}, as the file first "
                    "writes it: letter case and spacing do not matter.",
                    row,
                )


def _days(sheet: Sheet, found: list[KindMatch]) -> np.ndarray:
    """The day of each row by a date column of the sheet, whatever kinds are taken from it."""
    named = [member.headings["run_on"] for member in found if "run_on" in member.headings]
    at = next((heading.at for heading in named), None)
    if at is None:
        at = next((at for at, text in enumerate(sheet.headers) if _is_day(text)), None)
    if at is None:
        return np.full(len(sheet.row_no), np.datetime64("NaT"), dtype="datetime64[us]")
    return days_of(sheet.cells[at], sheet.conventions)


def _is_day(text: str) -> bool:
    heading = meaning(text, "run")
    return heading is not None and heading.column == "run_on"


@dataclass(frozen=True)
class ParsedFile:
    """What one file holds: good rows by kind, what is wrong with it, and how it was read.

    ``frames`` are typed, with ``sheet`` and ``row_no``; a row with a problem is in no frame and
    counts in ``rows_left_out``. ``notices`` stop nothing; ``layouts`` are the names of those used.
    ``not_read`` has one row per column that is not read.
    """

    file: str
    sha256: str
    frames: dict[str, pd.DataFrame]
    problems: pd.DataFrame
    notices: pd.DataFrame
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
class OpenedFile:
    """The sheets of a file, each with the layout that fits it, and how its text is written."""

    grids: list[tuple[Grid, StoredLayout | None]]
    writing: dict[str, str]


def parse_file(
    content: bytes, file: str, project: Project, how: ReadOptions | None = None
) -> ParsedFile:
    """Read one file in all its sheets, as ``how`` says.

    Never stops at the first bad row. Raises WrongUse when ``how.as_kind`` is no kind of record.
    """
    how = how or ReadOptions()
    name = re.split(r"[\\/]", file)[-1]
    of_file = Problems(name)
    opened = open_file(content, how, of_file)
    spellings = Spellings()
    parts = [
        _parse_sheet(grid, layout, how, project, Problems(name, grid.sheet), spellings)
        for grid, layout in opened.grids
    ]
    if opened.grids and not any(part.rows_read or len(part.problems) for part in parts):
        of_file.add("no rows", "The file has no rows of records.", "Export it again with its rows.")
    frames, gone = joined([(part.problems, part.frames) for part in parts])
    taken = _taken(name, content, of_file, opened, parts, project)
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


def open_file(content: bytes, how: ReadOptions, problems: Problems) -> OpenedFile:
    """The grids of ``content`` that may hold records; none when it is no table at all."""
    writing: dict[str, str] = {}
    if books.is_workbook(content):
        grids = books.read(content, problems) or []
    else:
        text = csv_text.read(content, recognised, problems)
        grids = [text.grid] if text else []
        writing = {"delimiter": text.delimiter, "encoding": text.encoding} if text else {}
    report_cell_notes(grids, problems)
    own = [
        grid for grid in grids if len(grid.row_no) and not is_template_about_sheet(grid, problems)
    ]
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
            problems.notice(f"{start} {grid.sheet} is left out, as its layout says.")
    return OpenedFile([pair for pair in laid if pair[0].sheet.casefold() not in left_out], writing)


def _parse_sheet(
    grid: Grid,
    used: StoredLayout | None,
    how: ReadOptions,
    project: Project,
    problems: Problems,
    spellings: Spellings,
) -> _Part:
    for notice in grid.notices:
        problems.notice(notice)
    laid = sheet_layout(grid, used, how, problems)
    if laid is None:
        return _Part(problems, {}, {})
    if grid.is_hidden:
        problems.notice(f"The sheet is {grid.visibility} and is treated like visible ones.")
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
class SheetLayout:
    """A sheet with its kinds, whether its columns can be read, and the columns that are not."""

    sheet: Sheet
    found: list[KindMatch]
    usable: bool
    not_read: list[NotRead]


def sheet_layout(
    grid: Grid, used: StoredLayout | None, how: ReadOptions, problems: Problems
) -> SheetLayout | None:
    """How a sheet is laid out, with what its headings leave to ask; None for a sheet left out."""
    laid = (
        match_header(grid, how, problems)
        if used is None
        else by_layout(grid, used.layout, problems)
    )
    if laid is None:
        return None
    sheet, found, usable = laid
    said = how.conventions
    own = sheet.conventions
    conventions = Locale(own.date_order or said.date_order, own.decimal or said.decimal)
    answers = how.answers_for(used.sender) if used else how.answers
    sheet = replace(sheet, conventions=conventions)
    not_read = columns_not_read(grid, sheet, found)
    if usable:
        seen = used.layout.not_read if used else ()
        usable = none_stops(not_read, found, answers, seen, sheet.header_row, problems)
        sheet, found, clear = with_stated(sheet, found, answers, problems)
        usable = usable and clear
    return SheetLayout(sheet, found, usable, not_read)


def _has_rows(sheet: Sheet, problems: Problems) -> bool:
    if sheet.rows_read == 0:
        problems.add("no rows", "There is a header and no rows.", "Export it again with its rows.")
    return sheet.rows_read > 0


def units_of(found: list[KindMatch], sheet: Sheet, problems: Problems) -> Expressions:
    """Unit of every column by kind; what is not clear is a problem."""
    return {
        member.kind.name: {
            name: expression(heading, member.kind.column(name), sheet.header_row, problems)
            for name, heading in member.headings.items()
        }
        for member in found
    }


def _columns(found: list[KindMatch]) -> dict[str, Any]:
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
    of_file: Problems,
    opened: OpenedFile,
    parts: list[_Part],
    project: Project,
) -> ParsedFile:
    """Everything about the file put together, after all sheets are read."""
    said = [of_file, *(part.problems for part in parts)]
    return ParsedFile(
        file=name,
        sha256=hashlib.sha256(content).hexdigest(),
        frames={},
        problems=_stacked([one.frame() for one in said]),
        notices=_stacked([one.notices() for one in said]),
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

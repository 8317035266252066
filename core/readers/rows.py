"""Rows of a sheet to typed frames, kind by kind, coarse kinds before the finer ones they hold."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

import numpy as np
import pandas as pd

from core.readers import rules
from core.readers.chains import Found
from core.readers.dates import days_of
from core.readers.groups import days_within, grouped
from core.readers.headers import meaning
from core.readers.pile_numbers import Spellings
from core.readers.problems import Problems, shortened
from core.readers.reading import read_values
from core.readers.sheet import Sheet
from core.readers.table import Table
from core.records import Kind
from core.settings import Project

Expressions = dict[str, dict[str, str | None]]


def frames_of(
    sheet: Sheet,
    found: list[Found],
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
                rules.missing_key(table)
                left_out |= table.bad
            table, places = grouped(table)
        elif (key := _dated_by(member.kind, tables.keys())) is not None:
            days = days_within(days, table, key)
        units = expressions[member.kind.name]
        own_days = days[np.searchsorted(sheet.row_no, table.rows)]
        read_values(table, units, project, own_days, sheet.conventions)
        rules.check(table)
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
    sheet: Sheet, found: Sequence[Found], expressions: Expressions, project: Project
) -> Iterator[tuple[Found, pd.DataFrame, dict[str, np.ndarray]]]:
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
    if kind.day or not any(column.form == "moment" for column in kind.columns):
        return None
    dated = (one for one in kind.needs if one.parent.day and one.parent.name not in together)
    return next((tuple(one.columns) for one in dated), None)


def _table(sheet: Sheet, member: Found, left_out: np.ndarray, problems: Problems) -> Table:
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
                table.problems.remark(
                    f"Pile “{shortened(text)}” is read as {shortened(first)}, as the file first "
                    "writes it: letter case and spacing do not matter.",
                    row,
                )


def _days(sheet: Sheet, found: list[Found]) -> np.ndarray:
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

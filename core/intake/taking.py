"""One file from bytes to typed frames: read, recognise, convert, check, in that order."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from core.intake import contents, csv_text, piles, rules, torque, values
from core.intake.chains import Found, unread
from core.intake.csv_text import Sheet
from core.intake.groups import days_of_runs, grouped
from core.intake.headers import expression, meaning
from core.intake.problems import Problems
from core.intake.reading import read_values
from core.intake.table import Table
from core.project import Project

CHECKS: dict[str, Callable[[Table], None]] = {
    "pile": piles.check_pile,
    "run": piles.check_run,
    "torque_reading": torque.check_reading,
    "calibration": torque.check_calibration,
    "calibration_point": torque.check_curve,
}
_Expressions = dict[str, dict[str, str | None]]


@dataclass(frozen=True)
class Taken:
    """What one file holds: good rows by kind, what is wrong with it, and how it was read.

    ``frames`` are typed, with ``sheet`` and ``row_no``; a row with a problem is in no frame and
    counts in ``rows_left_out``.
    """

    file: str
    sha256: str
    frames: dict[str, pd.DataFrame]
    problems: pd.DataFrame
    mapping: dict[str, Any]
    rows_read: int
    rows_left_out: int


def take(content: bytes, file: str, project: Project, as_kind: str | None = None) -> Taken:
    """Read one file; ``as_kind`` takes it as that kind whatever its headers suggest.

    Never stops at the first bad row. Raises WrongUse when ``as_kind`` is no kind of record.
    """
    name = re.split(r"[\\/]", file)[-1]
    problems = Problems(name)
    frames: dict[str, pd.DataFrame] = {}
    mapping: dict[str, Any] = {}
    read = left_out = 0
    sheet = csv_text.read(content, contents.recognised, problems)
    if sheet is not None:
        found, usable = contents.found(sheet.headers, sheet.header_row, as_kind, problems)
        expressions, units_clear = _expressions(found, sheet, problems)
        mapping = _mapping(sheet, found, project)
        read = left_out = sheet.rows_read
        if usable and units_clear and _has_rows(sheet, problems):
            frames, left_out = _frames(sheet, found, expressions, project, problems)
    digest = hashlib.sha256(content).hexdigest()
    return Taken(name, digest, frames, problems.frame(), mapping, read, left_out)


def _has_rows(sheet: Sheet, problems: Problems) -> bool:
    if sheet.rows_read == 0:
        problems.add(
            "no rows", "The file has a header and no rows.", "Export it again with its rows."
        )
    return sheet.rows_read > 0


def _expressions(found: list[Found], sheet: Sheet, problems: Problems) -> tuple[_Expressions, bool]:
    """Unit of every column by kind, and whether all of them are clear."""
    before = len(problems)
    units = {
        member.kind.name: {
            name: expression(heading, member.kind.column(name), sheet.header_row, problems)
            for name, heading in member.headings.items()
        }
        for member in found
    }
    return units, len(problems) == before


def _mapping(sheet: Sheet, found: list[Found], project: Project) -> dict[str, Any]:
    """How the file was read, for the entry: columns, units, delimiter, encoding, zone."""
    return {
        "sheets": {
            "": {
                member.kind.name: {
                    name: {"header": heading.text, "unit": heading.unit or ""}
                    for name, heading in member.headings.items()
                }
                for member in found
            }
        },
        "unread": unread(sheet.headers, found),
        "delimiter": csv_text.DELIMITERS[sheet.delimiter],
        "encoding": sheet.encoding,
        "zone": project.tables.project.zone,
        "date order": "year month day",
    }


def _frames(
    sheet: Sheet,
    found: list[Found],
    expressions: _Expressions,
    project: Project,
    problems: Problems,
) -> tuple[dict[str, pd.DataFrame], int]:
    """Frames by kind, coarse kinds first, and how many rows are left out."""
    tables: dict[str, tuple[Table, np.ndarray]] = {}
    count = len(sheet.row_no)
    left_out = np.zeros(count, dtype="bool")
    days = _days(sheet)
    for member in found:
        table = _table(sheet, member, left_out, problems)
        places = np.arange(count)
        if member.grouped:
            if member is found[-1]:  # no finer kind reports the rows without a key
                rules.missing_key(table)
                left_out |= table.bad
            table, places = grouped(table)
        elif member.kind.name == "torque_reading" and "run" not in tables:
            days = days_of_runs(days, table)
        read_values(table, expressions[member.kind.name], project, days)
        rules.check(table)
        if member.kind.name in CHECKS:
            CHECKS[member.kind.name](table)
        known = places >= 0
        left_out[known] |= table.bad[places[known]]
        if member.kind.name == "run":
            days = np.append(table.values["run_on"], np.datetime64("NaT"))[places]
        tables[member.kind.name] = table, places
    left_out |= _across(tables)
    frames = {kind: table.frame() for kind, (table, _) in tables.items()}
    return frames, int(left_out.sum()) + sheet.rows_read - count


def _across(tables: dict[str, tuple[Table, np.ndarray]]) -> np.ndarray | bool:
    """Rules between two kinds of one sheet; the rows of the sheet that they leave out."""
    if not {"run", "torque_reading"} <= tables.keys():
        return False
    (run, places), (readings, _) = tables["run"], tables["torque_reading"]
    torque.check_toe(run, readings, places)
    return readings.bad


def _table(sheet: Sheet, member: Found, left_out: np.ndarray, problems: Problems) -> Table:
    nothing = pd.Series(None, index=sheet.cells.index, dtype="str")
    texts = pd.DataFrame(
        {
            name: sheet.cells[member.headings[name].at] if name in member.headings else nothing
            for name in member.kind.names
        }
    )
    return Table(member.kind, member.headings, texts, sheet.row_no, problems, left_out.copy())


def _days(sheet: Sheet) -> np.ndarray:
    """The day of each row by a date column of the sheet, whatever kinds are taken from it."""
    for at, text in enumerate(sheet.headers):
        heading = meaning(text, "run")
        if heading is not None and heading.column == "run_on":
            return values.dates(sheet.cells[at])
    return np.full(len(sheet.row_no), np.datetime64("NaT"), dtype="datetime64[us]")

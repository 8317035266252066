"""The choices that an import is given, and the report that it answers with."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from core import records
from core.readers import answers_of

Progress = Callable[[str], object]
# A row by kind, file, sheet and row; whose value is kept, with the current entry that was seen.
Place = tuple[str, str, str, int]
Resolutions = Mapping[Place, "str | tuple[str, int | None]"]
# What became of rows: the key of the count, and the words for people.
ROW_WORDS = {
    "added": "new",
    "superseded": "corrected",
    "unchanged": "duplicate",
    "corroborated": "confirmed by a second source",
    "removed": "removed",
    "skipped": "skipped",
}
CONFLICT_COLUMNS = (
    "kind",
    "file",
    "sheet",
    "row",
    "key",
    "column",
    "value",
    "current_value",
    "current_file",
    "current_row",
    "current_entry_no",
    "person",
    "entered_at",
)
MISSING_COLUMNS = ("kind", "file", "sheet", "key")
# One row is one pile number of one file that may be a slip for a scheduled one.
QUESTION_COLUMNS = ("file", "sheet", "row", "written", "candidate", "rows")
FILE_COLUMNS = ("file", "kinds", "layout", "rows_read", "rows_skipped")


@dataclass(frozen=True)
class ImportChoice:
    """How files are imported: as one kind, as a preview, without bad rows, or replacing values.

    ``sender`` narrows the remembered layouts to one sender's. ``settled`` gives for rows in
    conflict whose value is kept, "file" or "current"; with the number of the current entry that the
    person saw (``("file", 12)``, None when it comes in the same command) a value that changed since
    is a conflict again. ``pressures`` say of which kind bare pressures are and the return pressure
    assumed, by the name of the answer (``Stated.answer``); ``not_read`` are headings dismissed by
    name. With ``answers_of`` they are remembered for that sender when the files are written.
    ``pile_numbers`` says which pile a number means, as it is written in the files;
    a number that means itself is another pile than those it resembles.
    """

    as_kind: str | None = None
    dry_run: bool = False
    skip_bad_rows: bool = False
    replace: bool = False
    sender: str = ""
    date_order: str = ""
    decimal: str = ""
    pressures: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    not_read: tuple[str, ...] = ()
    answers_of: str = ""
    settled: Resolutions = field(default_factory=dict)
    pile_numbers: Mapping[str, str] = field(default_factory=dict)


def _nothing(columns: Sequence[str]) -> Callable[[], pd.DataFrame]:
    return lambda: pd.DataFrame(columns=pd.Index(columns))


@dataclass
class ImportReport:
    """What an import did, or why it did nothing. Counts are over all files and kinds.

    ``conflicts`` carry the person and the time (UTC) of the current value; both are missing when
    that value comes in the same command. ``questions`` are pile numbers that may be a slip;
    each stands among the problems too.
    """

    dry_run: bool = False
    refused: bool = False
    entries: list[int] = field(default_factory=list)
    rows: dict[str, int] = field(default_factory=lambda: dict.fromkeys(ROW_WORDS, 0))
    problems: pd.DataFrame = field(default_factory=records.no_problems)
    conflicts: pd.DataFrame = field(default_factory=_nothing(CONFLICT_COLUMNS))
    missing_keys: pd.DataFrame = field(default_factory=_nothing(MISSING_COLUMNS))
    questions: pd.DataFrame = field(default_factory=_nothing(QUESTION_COLUMNS))
    notices: pd.DataFrame = field(default_factory=_nothing(records.NOTICE_COLUMNS))
    not_read: pd.DataFrame = field(default_factory=_nothing(records.NOT_READ_COLUMNS))
    files: pd.DataFrame = field(default_factory=_nothing(FILE_COLUMNS))

    def notice(self, file: str, notice: str, sheet: str = "", row: int | None = None) -> None:
        """Add a notice, which stops nothing."""
        added = pd.DataFrame({"file": [file], "sheet": sheet, "row": row, "notice": notice})
        self.notices = joined([self.notices, added.astype({"row": "Int64"})])

    def problem(self, kind: str, file: str, problem: str, remedy: str) -> None:
        """Add a problem of a whole file."""
        place = {"kind": [kind], "file": file, "sheet": "", "row": None, "column": "", "value": ""}
        added = pd.DataFrame({**place, "problem": problem, "remedy": remedy})
        self.problems = joined([self.problems, added.astype({"row": "Int64"})])


def joined(frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """The rows of all frames; the first of them when all are empty."""
    filled = [frame for frame in frames if len(frame)]
    return pd.concat(filled, ignore_index=True) if filled else frames[0]


def problem_sentence(row: Mapping[Any, Any]) -> str:
    """One problem as a sentence: file, sheet, row, column, value, what is wrong, what to do."""
    place = _place(row)
    if row["column"]:
        place.append(f"column {row['column']}")
    if isinstance(row["value"], str) and row["value"]:
        place.append(f"“{row['value']}”")
    return f"{', '.join(place)}: {row['problem']} {row['remedy']}"


def notice_sentence(row: Mapping[Any, Any]) -> str:
    """One notice as a sentence: file, sheet, row, text."""
    place = ", ".join(_place(row))
    return f"{place}: {row['notice']}" if place else str(row["notice"])


def not_read_sentence(row: Mapping[Any, Any]) -> str:
    """One column that is not read as a sentence: where, its heading, its first values."""
    place = [str(row["file"])] + ([f"sheet {row['sheet']}"] if row["sheet"] else [])
    heading = f"“{row['heading']}”" if row["heading"] else "no heading"
    values = row["values"] or "no values"
    return f"{', '.join(place)}, column {row['column']}: {heading} ({values})"


def unknown_columns(report: ImportReport, headings: Sequence[str]) -> list[str]:
    """Those of ``headings`` that no column that is not read has."""
    names = answers_of({}, tuple(report.not_read["heading"]))
    return [heading for heading in headings if not names.ignores(heading)]


def conflict_sentence(row: Mapping[Any, Any]) -> str:
    """One conflict as a sentence: where, both values, and who gave the current one."""
    who = "the same command" if pd.isna(row["current_entry_no"]) else row["person"]
    current = (
        f"the current value is “{row['current_value']}” ({row['current_file'] or 'form'}, {who})"
    )
    place = ", ".join([*_place(row), f"column {row['column']}"] if row["column"] else _place(row))
    return f"{place}: {row['key']} is “{row['value']}” here, {current}."


def _place(row: Mapping[Any, Any]) -> list[str]:
    place = [str(row["file"])] if row["file"] else []
    if row["sheet"]:
        place.append(f"sheet {row['sheet']}")
    if pd.notna(row["row"]):
        place.append(f"row {int(row['row'])}")
    return place

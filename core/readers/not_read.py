"""Columns of a sheet that are not read, with some of their values, and those that stop it.

A column stops the sheet when its heading is nearly a known word that is missing, or when its
heading or the whole of a value says that rows are void; until it is mapped or dismissed by name,
nothing of the sheet is read.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import pandas as pd
from rapidfuzz.distance import OSA

from core import units
from core.readers.answers import Answers
from core.readers.chains import Found
from core.readers.grid import Grid, letters
from core.readers.headers import folded, is_known, names_of, vocabulary
from core.readers.problems import Problems, listed, shortened
from core.readers.sheet import Sheet
from core.records import KIND

VALUES = 3  # of a column that is not read, shown to the person who imports it
_VOID = re.compile(
    r"\b(void(ed)?|reject(s|ed|ion)?|fail(s|ed|ure)?|cancel(l?ed|lation)?|struck|abandon(ed)?"
    r"|invalid|annul(led)?|discard(ed)?|delete[d]?|scrap(ped)?|withdrawn|do not use|not used)\b"
)
_HOLLOW = re.compile(r"\b(volume|vol|ratio|space|theoretical)\b")  # a void that is a room
_ANY_FIRST_LETTER = 6  # letters from which a slip may also be in the first one
_SLIPS = ((9, 2), (4, 1))  # from so many letters so many characters may differ


@dataclass(frozen=True)
class NotRead:
    """One column that is not read: its letter, heading (empty without one) and first values.

    ``void`` is the first value that says by itself that its row does not count; empty for none.
    """

    letter: str
    header: str
    values: tuple[str, ...]
    void: str = ""


def columns_not_read(grid: Grid, sheet: Sheet, found: Sequence[Found]) -> list[NotRead]:
    """Every column of the sheet with a heading or a value that no kind uses."""
    headings = [heading for member in found for heading in member.headings.values()]
    used = {heading.at for heading in headings}
    texts = {folded(heading.text) for heading in headings}
    rows = pd.Index(grid.row_no).isin(sheet.row_no)
    columns = []
    for at in range(grid.cells.shape[1]):
        header = sheet.headers[at] if at < len(sheet.headers) else ""
        if at in used or (header and folded(header) in texts):
            continue
        values = grid.cells[at][rows].dropna().drop_duplicates()
        first = tuple(shortened(str(text)) for text in values.iloc[:VALUES])
        if header or first:
            worded = values[~values.astype("str").str.contains(r"\d")]  # numbers say nothing
            void = next((str(text) for text in worded if _VOID.fullmatch(folded(str(text)))), "")
            columns.append(NotRead(letters(at), header, first, shortened(void)))
    return columns


def none_stops(
    columns: Sequence[NotRead],
    found: Sequence[Found],
    answers: Answers,
    left_out: Sequence[str],
    row: int,
    problems: Problems,
) -> bool:
    """Whether no column that is not read needs a decision; each that does is a problem.

    A heading of ``left_out`` was seen by a person and resembles a known word by chance.
    """
    before, chance = len(problems), {folded(text) for text in left_out}
    for column in columns:
        if not column.header or not column.values or answers.dismisses(column.header):
            continue
        shown = column.void or listed(list(column.values), VALUES)
        if column.void or says_void(column.header):
            problems.add(
                "column not read",
                f"This column may mark rows as void ({shown}) and is not read.",
                "Take those rows out, then dismiss the column on the Import screen or with "
                f"--not-read '{shortened(column.header)}'.",
                row, column.header,
            )  # fmt: skip
        elif folded(column.header) not in chance and (near := look_alike(column.header, found)):
            problems.add(
                "column not read",
                f"The heading is nearly {near} and is not read ({shown}).",
                f"Correct the heading to {near}, map the column on the Import screen, or dismiss "
                f"it there or with --not-read '{shortened(column.header)}'.",
                row, column.header,
            )  # fmt: skip
    return len(problems) == before


def says_void(header: str) -> bool:
    """Whether a heading says that rows under it do not count."""
    plain = folded(header)
    return _VOID.search(plain) is not None and not _HOLLOW.search(plain)


def look_alike(header: str, found: Sequence[Found]) -> str:
    """The known word that ``header`` nearly is, of a column that the sheet lacks; empty for none.

    A heading that some kind of record knows is no slip of the pen.
    """
    if is_known(header):
        return ""
    names = dict.fromkeys(map(folded, names_of(header)))
    lacking = [
        word
        for member in found
        for word, column in _words(member.kind.name)
        if column not in member.headings
    ]
    near = [(distance, word) for name in names for word in lacking
            if (distance := _slips(name, word)) is not None]  # fmt: skip
    return min(near)[1] if near else ""


@cache
def _words(kind: str) -> list[tuple[str, str]]:
    """Every word that ``kind`` knows, with and without the unit in a column's name."""
    known = [(word, column) for word, (column, _) in vocabulary().by_kind[kind].items()]
    bare = [
        (folded(column.name.removesuffix(suffix.ending)), column.name)
        for column in KIND[kind].columns
        if (suffix := units.suffix_of(column.name))
    ]
    return [*bare, *known]


def _slips(name: str, word: str) -> int | None:
    """How many characters ``name`` and ``word`` are apart; None where that is no slip."""
    length = min(len(name), len(word))
    most = next((slips for letters_, slips in _SLIPS if length >= letters_), 0)
    if not most or (length < _ANY_FIRST_LETTER and name[0] != word[0]):
        return None
    distance = int(OSA.distance(name, word, score_cutoff=most))
    return distance if distance <= most else None

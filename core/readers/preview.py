"""A file before it is imported: what each sheet holds, how its columns are read, what is guessed.

A person confirms guesses; none is applied.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.readers.headers import folded, meaning, meanings, vocabulary
from core.readers.layouts import combined_headers
from core.readers.options import Origin, ReadOptions, StoredLayout
from core.readers.parse import open_file, sheet_layout, units_of, values_of
from core.readers.problems import Problems, shortened
from core.readers.recognise import KIND_GROUPS, KindMatch, header_place, word
from core.readers.sheet import Grid, Sheet, letters
from core.records import KIND, Column
from core.settings import Project

_NEAR = 0.7  # how alike two words must be for a guess, as difflib counts
_NUMBER = re.compile(r"[-+]?[0-9]+([.,][0-9]+)?")
_LABEL = re.compile(r"^(?P<label>[^:]{2,30}):\s*(?P<value>.*)$")
_TAB = re.compile(
    r"^(pile|anchor|position|mark|sheet)?[\s_]*(no\.?|nr\.?|number)?[\s:#_]*(?=\S*\d)",
    re.IGNORECASE,
)


def header_rows(grid: Grid) -> tuple[int, int]:
    """First and last row of the header: around the row of most known words, whatever helps."""
    at = header_place(grid)
    best = (int(grid.row_no[at]), int(grid.row_no[at]))
    most = len(_known(combined_headers(grid, best)))
    for above, below in ((0, 1), (1, 0), (1, 1), (0, 2)):
        first, last = at - above, at + below
        if first < 0 or last >= len(grid.row_no):
            continue
        rows = (int(grid.row_no[first]), int(grid.row_no[last]))
        if rows[1] - rows[0] != above + below or _has_numbers(grid, first, last):
            continue
        known = len(_known(combined_headers(grid, rows)))
        if known > most:
            best, most = rows, known
    return best


def _known(headers: Sequence[str]) -> set[str]:
    """Headers that mean something and state their unit where they need one."""
    found = set()
    for text in headers:
        for kind, heading in meanings(text).items():
            if heading.unit or not KIND[kind].column(heading.column).role:
                found.add(text)
    return found


def _has_numbers(grid: Grid, first: int, last: int) -> bool:
    block = grid.cells.iloc[first : last + 1].stack()
    return any(_NUMBER.fullmatch(str(text)) for text in block)


def suggested_kinds(headers: Sequence[str]) -> tuple[str, ...]:
    """The kinds that most of the headers are words of, in one chain."""

    def known(chain: tuple[str, ...]) -> int:
        return len({text for text in headers for kind in chain if meaning(text, kind)})

    best = max(KIND_GROUPS, key=known)
    used = tuple(
        kind
        for kind in best
        if any(
            (heading := meaning(text, kind)) and heading.column not in KIND[kind].key
            for text in headers
        )
    )
    return used or best[-1:]


def origins(
    grid: Grid, headers: Sequence[str], first_row: int, chosen: Sequence[str]
) -> dict[str, Origin]:
    """Where each column of the ``chosen`` kinds may come from: header, labelled cell, tab."""
    found: dict[str, Origin] = {}
    for kind in reversed(chosen):
        for text in headers:
            heading = meaning(text, kind)
            if heading:
                found.setdefault(heading.column, Origin(header=text, unit=heading.unit or ""))
    for name, origin in _labelled(grid, first_row, chosen).items():
        found.setdefault(name, origin)
    pile = "pile_id"
    numbered = _TAB.match(grid.sheet) if any(ch.isdigit() for ch in grid.sheet) else None
    if numbered and pile not in found and any(pile in KIND[kind].key for kind in chosen):
        found[pile] = Origin(tab=True, before=numbered[0])
    used = {origin.header for origin in found.values()}
    for text in headers:
        if text and text not in used:
            near = _nearest(text, chosen, found)
            if near:
                found[near[0]] = Origin(header=text, unit=near[1])
    return found


def _labelled(grid: Grid, first_row: int, chosen: Sequence[str]) -> dict[str, Origin]:
    """Cells above the table beside a label that is a known word: ``Rig: | 2``, ``Rig: 2``."""
    found: dict[str, Origin] = {}
    for at in range(int((grid.row_no < first_row).sum())):
        row = int(grid.row_no[at])
        for column in range(grid.cells.shape[1]):
            text = grid.text(row, column)
            split = _LABEL.match(text)
            label = split["label"] if split else text
            heading = next((h for kind in chosen if (h := meaning(label, kind))), None)
            if heading is None:
                continue
            if split and split["value"]:
                before = text[: len(text) - len(split["value"])]
                origin = Origin(cell=f"{letters(column)}{row}", before=before)
            else:
                beside = _first_beside(grid, row, column)
                if beside is None:
                    continue
                origin = Origin(cell=f"{letters(beside)}{row}", unit=heading.unit or "")
            found.setdefault(heading.column, origin)
    return found


def _first_beside(grid: Grid, row: int, column: int) -> int | None:
    columns = range(column + 1, min(column + 5, grid.cells.shape[1]))
    return next((at for at in columns if grid.text(row, at)), None)


def _nearest(text: str, chosen: Sequence[str], found: dict[str, Origin]) -> tuple[str, str] | None:
    """The column whose word is nearest to a header, and the unit that the header states."""
    name = folded(re.split(r"[(\[,]", text)[0])
    words = {
        word: column
        for kind in chosen
        for word, (column, _) in vocabulary().by_kind[kind].items()
        if column not in found
    }
    near = difflib.get_close_matches(name, list(words), n=1, cutoff=_NEAR)
    if not near:
        inside = [word for word in words if word in name.split() and len(word) > 2]
        near = inside[:1]
    if not near:
        return None
    column = words[near[0]]
    role = units.role_of(column)
    stated = re.findall(r"[(\[]([^()\[\]]+)[)\]]", text) + text.split()[-1:]
    unit = next((part for part in stated if role and units.accepted(part, role)), "")
    return column, unit


_PREVIEW_ROWS, _PREVIEW_COLUMNS = 40, 30
_SAMPLED = 300  # rows in which three sample values are looked for
SAMPLES = ("sample_1", "sample_2", "sample_3")
RECOGNISED_COLUMNS = ("kind", "column", "word", "header", "unit", *SAMPLES)


@dataclass(frozen=True)
class SheetPreview:
    """One sheet: its first rows, and what is understood or guessed of its columns.

    ``preview`` has the sheet's row numbers as index and letters as columns; ``headers`` are the
    joined texts of ``header_rows`` by letter. ``recognised`` has one row per column that is read,
    with three values as written and as stored. ``suggestions`` are guesses, none applied.
    ``ready`` says that the sheet can be read; ``layout`` names the remembered layout that fits.
    """

    sheet: str
    preview: pd.DataFrame
    header_rows: tuple[int, int]
    headers: dict[str, str]
    recognised: pd.DataFrame
    suggestions: dict[str, dict[str, Any]]
    suggested_kinds: tuple[str, ...]
    layout: str
    sender: str
    ready: bool
    rows: int


@dataclass(frozen=True)
class FilePreview:
    """The sheets of a file, and what hinders that it be read at all."""

    file: str
    sheets: tuple[SheetPreview, ...]
    problems: pd.DataFrame


def preview_file(
    content: bytes, file: str, project: Project, how: ReadOptions | None = None
) -> FilePreview:
    """What ``parse_file`` would understand of a file, sheet by sheet, without taking it."""
    how = how or ReadOptions()
    problems = Problems(file)
    opened = open_file(content, how, problems)
    sheets = tuple(_look_at(grid, used, how, project) for grid, used in opened.grids)
    return FilePreview(file, sheets, problems.frame())


def headers_of(grid: Grid, rows: tuple[int, int]) -> dict[str, str]:
    """Joined header texts of ``rows`` by the letter of their column."""
    texts = combined_headers(grid, rows)
    return {letters(at): text for at, text in enumerate(texts) if text}


def _look_at(
    grid: Grid, used: StoredLayout | None, how: ReadOptions, project: Project
) -> SheetPreview:
    problems = Problems("", grid.sheet)
    laid = sheet_layout(grid, used, how, problems)
    rows = used.layout.header_rows if used else header_rows(grid)
    recognised, ready, count = _nothing(), False, 0
    if laid is not None:
        sheet, found, usable = laid.sheet, laid.found, laid.usable
        before = len(problems)
        expressions = units_of(found, sheet, problems)
        ready = usable and len(problems) == before
        count = sheet.rows_read
        if ready:
            recognised = _recognised(sheet, found, expressions, project)
    headers = headers_of(grid, rows)
    kinds = suggested_kinds(list(headers.values()))
    guessed = origins(grid, list(headers.values()), rows[0], kinds)
    return SheetPreview(
        sheet=grid.sheet,
        preview=_preview(grid),
        header_rows=rows,
        headers=headers,
        recognised=recognised,
        suggestions={name: _said(origin) for name, origin in guessed.items()},
        suggested_kinds=kinds,
        layout=used.name if used else "",
        sender=used.sender if used else "",
        ready=ready,
        rows=count,
    )


def _said(origin: Origin) -> dict[str, Any]:
    return origin.model_dump(exclude_defaults=True)


def _preview(grid: Grid) -> pd.DataFrame:
    rows = grid.cells.iloc[:_PREVIEW_ROWS, :_PREVIEW_COLUMNS].fillna("")
    rows.columns = pd.Index([letters(at) for at in range(rows.shape[1])])
    return rows.set_axis(pd.Index(grid.row_no[: len(rows)], name="row"))


def _nothing() -> pd.DataFrame:
    return pd.DataFrame(columns=pd.Index(RECOGNISED_COLUMNS), dtype="str")


def _recognised(
    sheet: Sheet, found: Sequence[KindMatch], expressions: Any, project: Project
) -> pd.DataFrame:
    """One row per column that is read: header, unit and three values before and after."""
    head = replace(
        sheet,
        cells=sheet.cells.iloc[:_SAMPLED],
        row_no=sheet.row_no[:_SAMPLED],
        forms=None if sheet.forms is None else sheet.forms[:_SAMPLED],
    )
    rows = []
    for member, texts, values in values_of(head, found, expressions, project):
        for name, heading in member.headings.items():
            column = member.kind.column(name)
            samples = _samples(texts[name], values[name], column)
            unit = heading.unit or (units.unit_word(name) if heading.rank == 0 else "")
            line = (member.kind.word, name, word(member.kind.name, name), heading.text, unit)
            rows.append((*line, *samples))
    return pd.DataFrame(rows, columns=pd.Index(RECOGNISED_COLUMNS), dtype="str")


def _samples(texts: pd.Series[str], values: np.ndarray, column: Column) -> list[str]:
    """Three different values as written and as stored, blanks where there are fewer."""
    distinct = texts.dropna().drop_duplicates()
    places = distinct.index[: 3 * 4 : 4] if len(distinct) > 12 else distinct.index[:3]
    shown = [_sample(texts[place], values[place], column) for place in places]
    return [*shown, "", "", ""][:3]


def _sample(text: str, value: Any, column: Column) -> str:
    missing = value is None or pd.isna(value)
    if missing:
        return f"{shortened(text)} → not read"
    if column.form in ("number", "integer"):
        return f"{shortened(text)} → {value:,.6g} {units.unit_word(column.name)}".strip()
    if column.form == "date":
        return f"{shortened(text)} → {pd.Timestamp(value):%A %d %B %Y}"
    if column.form == "timestamp":
        return f"{shortened(text)} → {pd.Timestamp(value):%Y-%m-%d %H:%M} UTC"
    return shortened(text) if str(value) == text else f"{shortened(text)} → {value}"


def kind_columns(kinds: Sequence[str]) -> list[tuple[str, str, str, bool]]:
    """Columns that a layout of ``kinds`` may fill: name, word, role of its unit, whether needed."""
    found: dict[str, tuple[str, str, str, bool]] = {}
    for kind in kinds:
        for column in KIND[kind].columns:
            needed = column.required and column.default is None
            line = (column.name, word(kind, column.name), column.role or "", needed)
            if column.name not in found or needed:
                found[column.name] = line
    return sorted(found.values(), key=lambda line: not line[3])

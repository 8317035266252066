"""A file looked at before it is taken in: what each sheet holds and how its columns are read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.readers import suggesting
from core.readers.chains import Found, word
from core.readers.grid import Grid, letters
from core.readers.how import How
from core.readers.laying_out import combined_headers
from core.readers.layouts import Origin, Remembered
from core.readers.problems import Problems, shortened
from core.readers.rows import values_of
from core.readers.sheet import Sheet
from core.readers.taking import laid_out, open_file, units_of
from core.records import KIND, Column
from core.settings import Project

_PREVIEW_ROWS, _PREVIEW_COLUMNS = 40, 30
_SAMPLED = 300  # rows in which three sample values are looked for
SAMPLES = ("sample_1", "sample_2", "sample_3")
UNDERSTOOD = ("kind", "column", "word", "header", "unit", *SAMPLES)


@dataclass(frozen=True)
class SheetLook:
    """One sheet: its first rows, and what is understood or guessed of its columns.

    ``preview`` has the sheet's row numbers as index and letters as columns; ``headers`` are the
    joined texts of ``header_rows`` by letter. ``understood`` has one row per column that is read,
    with three values as written and as stored. ``suggestions`` are guesses, none applied.
    ``ready`` says that the sheet can be read; ``layout`` names the remembered layout that fits.
    """

    sheet: str
    preview: pd.DataFrame
    header_rows: tuple[int, int]
    headers: dict[str, str]
    understood: pd.DataFrame
    suggestions: dict[str, dict[str, Any]]
    suggested_kinds: tuple[str, ...]
    layout: str
    sender: str
    ready: bool
    rows: int


@dataclass(frozen=True)
class Looked:
    """The sheets of a file, and what hinders that it be read at all."""

    file: str
    sheets: tuple[SheetLook, ...]
    problems: pd.DataFrame


def look(content: bytes, file: str, project: Project, how: How | None = None) -> Looked:
    """What ``take`` would understand of a file, sheet by sheet, without taking it."""
    how = how or How()
    problems = Problems(file)
    opened = open_file(content, how, problems)
    sheets = tuple(_look_at(grid, used, how, project) for grid, used in opened.grids)
    return Looked(file, sheets, problems.frame())


def headers_of(grid: Grid, rows: tuple[int, int]) -> dict[str, str]:
    """Joined header texts of ``rows`` by the letter of their column."""
    texts = combined_headers(grid, rows)
    return {letters(at): text for at, text in enumerate(texts) if text}


def _look_at(grid: Grid, used: Remembered | None, how: How, project: Project) -> SheetLook:
    problems = Problems("", grid.sheet)
    laid = laid_out(grid, used, how, problems)
    rows = used.layout.header_rows if used else suggesting.header_rows(grid)
    understood, ready, count = _nothing(), False, 0
    if laid is not None:
        sheet, found, usable = laid.sheet, laid.found, laid.usable
        before = len(problems)
        expressions = units_of(found, sheet, problems)
        ready = usable and len(problems) == before
        count = sheet.rows_read
        if ready:
            understood = _understood(sheet, found, expressions, project)
    headers = headers_of(grid, rows)
    kinds = suggesting.kinds(list(headers.values()))
    guessed = suggesting.origins(grid, list(headers.values()), rows[0], kinds)
    return SheetLook(
        sheet=grid.sheet,
        preview=_preview(grid),
        header_rows=rows,
        headers=headers,
        understood=understood,
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
    return pd.DataFrame(columns=pd.Index(UNDERSTOOD), dtype="str")


def _understood(
    sheet: Sheet, found: Sequence[Found], expressions: Any, project: Project
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
    return pd.DataFrame(rows, columns=pd.Index(UNDERSTOOD), dtype="str")


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
    if column.form in ("number", "whole"):
        return f"{shortened(text)} → {value:,.6g} {units.unit_word(column.name)}".strip()
    if column.form == "date":
        return f"{shortened(text)} → {pd.Timestamp(value):%A %d %B %Y}"
    if column.form == "moment":
        return f"{shortened(text)} → {pd.Timestamp(value):%Y-%m-%d %H:%M} UTC"
    return shortened(text) if str(value) == text else f"{shortened(text)} → {value}"


def kind_columns(kinds: Sequence[str]) -> list[tuple[str, str, str, bool]]:
    """Columns that a layout of ``kinds`` may fill: name, word, role of its unit, whether needed."""
    found: dict[str, tuple[str, str, str, bool]] = {}
    for kind in kinds:
        for column in KIND[kind].columns:
            needed = column.required and column.absent is None
            line = (column.name, word(kind, column.name), column.role or "", needed)
            if column.name not in found or needed:
                found[column.name] = line
    return sorted(found.values(), key=lambda line: not line[3])

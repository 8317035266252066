"""Sheets of dropped files: what was understood of each, and how one looks under a draft layout."""

from __future__ import annotations

import json
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from string import ascii_uppercase
from typing import Any

import streamlit as st

from core import records, services
from dashboard.data.intake import Dropped

PLAIN = (".csv", ".txt", ".tsv")  # files of one sheet, whose line the report of the import holds


@dataclass(frozen=True)
class Line:
    """One sheet as it was understood. ``ready`` says that it can be read."""

    file: Dropped
    sheet: str
    kinds: str
    rows: int
    layout: str
    ready: bool


def lines(
    where: Path,
    files: Sequence[Dropped],
    asked: services.ImportChoice,
    report: services.ImportReport,
) -> list[Line]:
    """One line per file and sheet, in the order of ``files``; papers are in no line."""
    told = report.files.set_index("file")
    found: list[Line] = []
    for file in files:
        kinds = told["kinds"].get(file.name, "")
        if kinds and Path(file.name).suffix.lower() in PLAIN:
            words = ", ".join(records.KIND[kind].word for kind in kinds.split(", "))
            row = told.loc[file.name]
            found.append(Line(file, "", words, int(row["rows_read"]), row["layout"], True))
            continue
        for sheet in looked(where, file, asked).sheets:
            words = ", ".join(sheet.understood["kind"].unique())
            line = Line(file, sheet.sheet, words, sheet.rows, sheet.layout, sheet.ready)
            found.append(line)
    return found


def answer_fault(name: str, kind: str, back: str) -> str:
    """What is wrong with an answer about a heading's pressures; empty when it can be used."""
    return services.answer_fault(name, kind, back)


def kind_columns(kinds: Sequence[str]) -> list[tuple[str, str, str, bool]]:
    """Columns that a layout of ``kinds`` may fill: name, word, role of its unit, needed or not."""
    return services.kind_columns(kinds)


def looked(
    where: Path, file: Dropped, asked: services.ImportChoice, drafts: Sequence[dict[str, Any]] = ()
) -> Any:
    """The sheets of one file as they are read, with ``drafts`` of layouts tried first."""
    key = (file.name, file.digest, asked.sender, asked.date_order, asked.decimal, asked.not_read)
    key = (*key, *sorted(asked.pressures.items()))
    return _looked(str(where), key, json.dumps(list(drafts)), services.probe(where), file, asked)


@st.cache_resource(max_entries=64, show_spinner="Reading the sheets …")
def _looked(
    where: str,
    key: Hashable,
    drafts: str,
    moved: Hashable,
    _file: Dropped,
    _asked: services.ImportChoice,
) -> Any:
    return services.look_at(Path(where), _file.name, _file.content, _asked, json.loads(drafts))


def with_header(where: Path, file: Dropped, sheet: Any, rows: tuple[int, int]) -> Any:
    """``sheet`` as it looks with its header in ``rows``, with what was guessed of its columns."""
    if rows == sheet.header_rows:
        return sheet
    return _with_header(file.digest, sheet.sheet, rows, where, file, sheet)


@st.cache_resource(max_entries=16, show_spinner="Reading the sheet …")
def _with_header(
    digest: str, sheet: str, rows: tuple[int, int], _where: Path, _file: Dropped, _sheet: Any
) -> Any:
    kinds = tuple(_sheet.suggested_kinds)
    found = services.look_with_header(_where, _file.name, _file.content, kinds, rows)
    seen = next(one for one in found.sheets if one.sheet == _sheet.sheet)
    return replace(seen, suggestions=_guesses(_sheet, seen))


def _guesses(sheet: Any, seen: Any) -> dict[str, dict[str, Any]]:
    """What was guessed of a column stands for the same column; a cell must lie above the header."""
    letters = {text: letter for letter, text in sheet.headers.items()}
    carried = {}
    for name, guess in sheet.suggestions.items():
        if "header" in guess:
            header = seen.headers.get(letters.get(guess["header"], ""))
            if header:
                carried[name] = guess | {"header": header}
        elif int(guess.get("cell", "A0").lstrip(ascii_uppercase)) < seen.header_rows[0]:
            carried[name] = guess
    return seen.suggestions | carried

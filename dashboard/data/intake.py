"""What the Intake screen shows: files as they would go in, sheets as they are read, and layouts.

Nothing here writes. A file that has not changed is not read again: what was found is kept by the
files' digests, the choices and the ledger's state.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from string import ascii_uppercase
from typing import Any

import pandas as pd
import streamlit as st

from core import flow, intake, project
from core.project import Project


@dataclass(frozen=True)
class Dropped:
    """A file as somebody dropped it."""

    name: str
    content: bytes
    digest: str


def dropped(name: str, content: bytes) -> Dropped:
    """A file with its digest."""
    return Dropped(name, content, hashlib.sha256(content).hexdigest())


def settings(where: Path) -> Project:
    """The project's settings as its file has them now. Raises ProjectError."""
    return _settings(str(where), flow.probe(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _settings(where: str, moved: Hashable) -> Project:
    return project.load(Path(where))


def people(where: Path) -> list[str]:
    """Names of everybody registered."""
    return [person.name for person in settings(where).tables.people]


def may_withdraw(where: Path) -> list[str]:
    """Names of the people who may withdraw entries."""
    held = settings(where)
    return [person.name for person in held.tables.people if held.may(person, "withdraw")]


def choice(where: Path, sender: str, **asked: Any) -> flow.ImportChoice:
    """How the dropped files are to be taken in; a sender without layouts narrows nothing."""
    known = sender if sender in senders(where) else ""
    return flow.ImportChoice(sender=known, **asked)


def kind_columns(kinds: Sequence[str]) -> list[tuple[str, str, str, bool]]:
    """Columns that a layout of ``kinds`` may fill: name, word, role of its unit, needed or not."""
    return intake.kind_columns(kinds)


def _key(asked: flow.ImportChoice) -> str:
    held = {item.name: getattr(asked, item.name) for item in fields(asked)}
    return repr(
        {name: sorted(v.items()) if isinstance(v, Mapping) else v for name, v in held.items()}
    )


def tried(
    where: Path, files: Sequence[Dropped], by: str, asked: flow.ImportChoice
) -> flow.ImportReport:
    """What taking ``files`` in would do. Raises PilewrightError with the sentence to show."""
    marks = tuple((file.name, file.digest) for file in files)
    return _tried(str(where), marks, by, _key(asked), flow.probe(where), files, asked)


@st.cache_resource(
    max_entries=8, show_spinner="Reading the files and comparing them with the ledger …"
)
def _tried(
    where: str,
    marks: Hashable,
    by: str,
    key: str,
    moved: Hashable,
    _files: Sequence[Dropped],
    _asked: flow.ImportChoice,
) -> flow.ImportReport:
    contents = [(file.name, file.content) for file in _files]
    return flow.import_contents(Path(where), contents, by=by, choice=_asked)


def looked(
    where: Path, file: Dropped, asked: flow.ImportChoice, drafts: Sequence[dict[str, Any]] = ()
) -> Any:
    """The sheets of one file as they are read, with ``drafts`` of layouts tried first."""
    drawn = json.dumps(list(drafts))
    key = _key(asked)
    return _looked(str(where), file.name, file.digest, key, drawn, flow.probe(where), file, asked)


@st.cache_resource(max_entries=64, show_spinner="Reading the sheets …")
def _looked(
    where: str,
    name: str,
    digest: str,
    key: str,
    drafts: str,
    moved: Hashable,
    _file: Dropped,
    _asked: flow.ImportChoice,
) -> Any:
    return flow.look_at(Path(where), _file.name, _file.content, _asked, json.loads(drafts))


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
    layout = intake.Layout(kinds=kinds, header_rows=rows, columns={})
    how = intake.How(layouts=(intake.Remembered(sender="", name="", layout=layout),))
    found = intake.look(_file.content, _file.name, settings(_where), how)
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


def layouts(where: Path) -> pd.DataFrame:
    """The layouts that the ledger remembers: sender, mapping_name, reading, entry_no, person."""
    return _layouts(str(where), flow.probe(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _layouts(where: str, moved: Hashable) -> pd.DataFrame:
    return flow.remembered_layouts(Path(where))


def senders(where: Path) -> list[str]:
    """Everybody of whom a layout is remembered."""
    return sorted(layouts(where)["sender"].unique())

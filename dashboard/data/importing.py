"""What the Import screen shows: files as they would be imported, sheets as they are read, history.

Nothing here writes. A file that has not changed is not read again: what was found is cached by the
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

from core import records, services
from core.services import NOT_WITHDRAWN as NOT_WITHDRAWN
from core.settings import Project, load_project
from dashboard import theme


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
    return _settings(str(where), services.version_key(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _settings(where: str, moved: Hashable) -> Project:
    return load_project(Path(where))


def problems_file(rows: pd.DataFrame) -> bytes:
    """Problems as the page lists them, for a spreadsheet."""
    return services.problems_file(rows)


def people(where: Path) -> list[str]:
    """Names of everybody registered."""
    return [person.name for person in settings(where).tables.people]


def may_withdraw(where: Path) -> list[str]:
    """Names of the people who may withdraw entries."""
    held = settings(where)
    return [person.name for person in held.tables.people if held.may(person, "withdraw")]


def choice(where: Path, sender: str, **asked: Any) -> services.ImportChoice:
    """How the dropped files are to be imported; a sender without layouts narrows nothing."""
    known = sender if sender in senders(where) else ""
    return services.ImportChoice(sender=known, **asked)


def _key(asked: services.ImportChoice) -> str:
    held = {item.name: getattr(asked, item.name) for item in fields(asked)}
    return repr(
        {name: sorted(v.items()) if isinstance(v, Mapping) else v for name, v in held.items()}
    )


def tried(
    where: Path, files: Sequence[Dropped], by: str, asked: services.ImportChoice
) -> services.ImportReport:
    """What importing ``files`` would do. Raises PilewrightError with the sentence to show."""
    marks = tuple((file.name, file.digest) for file in files)
    return _tried(str(where), marks, by, _key(asked), services.version_key(where), files, asked)


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
    _asked: services.ImportChoice,
) -> services.ImportReport:
    contents = [(file.name, file.content) for file in _files]
    return services.import_contents(Path(where), contents, by=by, choice=_asked)


def layouts(where: Path) -> pd.DataFrame:
    """The layouts that the ledger remembers: sender, mapping_name, reading, entry_no, person."""
    return _layouts(str(where), services.version_key(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _layouts(where: str, moved: Hashable) -> pd.DataFrame:
    return services.stored_layouts(Path(where))


def senders(where: Path) -> list[str]:
    """Everybody of whom a layout is remembered."""
    return sorted(layouts(where)["sender"].unique())


PLAIN = (".csv", ".txt", ".tsv")  # files of one sheet, whose line the report of the import holds


@dataclass(frozen=True)
class Line:
    """One sheet as it was recognised. ``ready`` says that it can be read."""

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
    parsed = report.files.set_index("file")
    found: list[Line] = []
    for file in files:
        kinds = parsed["kinds"].get(file.name, "")
        if kinds and Path(file.name).suffix.lower() in PLAIN:
            words = ", ".join(records.KIND[kind].word for kind in kinds.split(", "))
            row = parsed.loc[file.name]
            found.append(Line(file, "", words, int(row["rows_read"]), row["layout"], True))
            continue
        for sheet in looked(where, file, asked).sheets:
            words = ", ".join(sheet.recognised["kind"].unique())
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
    return _looked(
        str(where), key, json.dumps(list(drafts)), services.version_key(where), file, asked
    )


@st.cache_resource(max_entries=64, show_spinner="Reading the sheets …")
def _looked(
    where: str,
    key: Hashable,
    drafts: str,
    moved: Hashable,
    _file: Dropped,
    _asked: services.ImportChoice,
) -> Any:
    return services.preview_of(Path(where), _file.name, _file.content, _asked, json.loads(drafts))


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
    found = services.preview_with_header(_where, _file.name, _file.content, kinds, rows)
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


def history(where: Path) -> pd.DataFrame:
    """Every entry, newest first, with ``when`` in the project's zone and its ``status``."""
    return _history(str(where), services.version_key(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _history(where: str, moved: Hashable) -> pd.DataFrame:
    frame = services.history(Path(where))
    by = frame.dropna(subset=["withdraws"]).set_index("withdraws")["entry_no"]
    taken_back = frame["entry_no"].map(by)
    withdrawn = "withdrawn by entry " + taken_back.astype("Int64").astype(str)
    withdraws = "withdraws entry " + frame["withdraws"].astype("Int64").astype(str) + ". "
    frame = frame.assign(
        when=local_texts(Path(where), frame["entered_at"]),
        status=withdrawn.where(taken_back.notna(), "current"),
        note=withdraws.where(frame["withdraws"].notna(), "") + frame["note"].fillna(""),
        source=frame["source"].fillna(""),
        contents=frame["contents"].map(_in_words),
    )
    return frame.iloc[::-1].reset_index(drop=True)


def _in_words(contents: str) -> str:
    """``torque_reading 12`` as people say it: ``torque reading 12``."""
    parts = [part.rsplit(" ", 1) for part in contents.split(", ") if part]
    return ", ".join(f"{records.KIND[kind].word} {int(rows):,}" for kind, rows in parts)


def local(where: Path, moments: pd.Series) -> pd.Series:
    """Timestamps of the ledger in the project's time zone, without a zone."""
    zone = load_project(where).tables.project.timezone
    shifted = pd.to_datetime(moments).dt.tz_localize("UTC").dt.tz_convert(zone)
    return shifted.dt.tz_localize(None)


def local_texts(where: Path, moments: pd.Series) -> pd.Series:
    """The same as text: ``3 Oct 2026 14:05``."""
    times = local(where, moments)
    return theme.days(times) + times.dt.strftime(" %H:%M").fillna("")


def changes(where: Path, entry_no: int) -> pd.DataFrame:
    """What one entry changed, one row per key and column."""
    return _changes(str(where), entry_no, services.version_key(where))


@st.cache_resource(max_entries=16, show_spinner="Comparing with what stood before …")
def _changes(where: str, entry_no: int, moved: Hashable) -> pd.DataFrame:
    return services.entry_changes(Path(where), entry_no)


def reading(mapping: str) -> pd.DataFrame:
    """How a file was read, from an entry's mapping: one row per sheet, kind and column."""
    rows = [
        (sheet, kind, column, held["header"], held["unit"])
        for sheet, parts in json.loads(mapping).get("sheets", {}).items()
        for kind, columns in parts.items()
        if isinstance(columns, dict)
        for column, held in columns.items()
    ]
    return pd.DataFrame(rows, columns=["sheet", "kind", "column", "header", "unit"])


def attachment(where: Path, sha256: str) -> bytes:
    """The file of an entry as it was imported. Raises PilewrightError when it is gone."""
    return services.attachment(where, sha256)

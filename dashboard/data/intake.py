"""What the Intake screen shows: files as they would go in, sheets as they are read, and layouts.

Nothing here writes. A file that has not changed is not read again: what was found is kept by the
files' digests, the choices and the ledger's state.
"""

from __future__ import annotations

import hashlib
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from core import services
from core.settings import Project, load_project


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
    return _settings(str(where), services.probe(where))


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
    """How the dropped files are to be taken in; a sender without layouts narrows nothing."""
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
    """What taking ``files`` in would do. Raises PilewrightError with the sentence to show."""
    marks = tuple((file.name, file.digest) for file in files)
    return _tried(str(where), marks, by, _key(asked), services.probe(where), files, asked)


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
    return _layouts(str(where), services.probe(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _layouts(where: str, moved: Hashable) -> pd.DataFrame:
    return services.remembered_layouts(Path(where))


def senders(where: Path) -> list[str]:
    """Everybody of whom a layout is remembered."""
    return sorted(layouts(where)["sender"].unique())

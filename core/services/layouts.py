"""Layouts that the ledger remembers: how the sheets of one sender are read, as a person said."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd

from core import readers, records
from core.errors import WrongUse
from core.ledger import Ledger
from core.readers import (
    How,
    Layout,
    Looked,
    Remembered,
    layout_faults,
    layout_of,
)
from core.readers.documents import named_as_table, paper
from core.services.importing.choice import ImportChoice
from core.services.importing.how import ANSWERS, entry_of, how_of, remember, remembered
from core.settings import load_project

COLUMNS = ("sender", "mapping_name", "reading", "entry_no", "person")


def remembered_layouts(folder: Path) -> pd.DataFrame:
    """Every remembered layout: sender, its name, the JSON that says it, the entry and the person.

    Raises ProjectError, StoreBusy, StoreTooNew.
    """
    load_project(folder)
    with Ledger(folder).read() as reader:
        standing = reader.standing("mapping", reader.last_entry())
        said = reader.entries().set_index("entry_no")["person"]
    return standing.join(said, on="entry_no")[list(COLUMNS)]


def remember_layout(
    folder: Path, sender: str, name: str, layout: Mapping[str, Any], by: str
) -> int:
    """Remember how a sender's sheets are laid out; returns the entry that says so.

    A layout of the same sender and name is superseded; the same layout again returns the entry
    that said it. Raises WrongUse for an unknown person, an empty name and a layout with faults.
    """
    settings = load_project(folder)
    person = settings.person(by).name
    if not sender.strip() or not name.strip():
        raise WrongUse("A layout needs a sender and a name.")
    reading = _usable(layout).model_dump_json()
    sender, name = sender.strip(), name.strip()
    if name == ANSWERS:
        raise WrongUse(f"{ANSWERS!r} is the name of something else; choose another name.")
    with Ledger(folder).write() as writer:
        writer.record_settings(settings.text, person)
        known = entry_of(writer, sender, name)
        entry = remember(writer, sender, name, reading, person)
    return entry or known or 0


def look_at(
    folder: Path,
    name: str,
    content: bytes,
    choice: ImportChoice | None = None,
    drafts: Sequence[Mapping[str, Any]] = (),
) -> Looked:
    """What each sheet of a file would be read as; nothing is taken in.

    ``drafts`` are layouts nobody has remembered yet (``sender``, ``name``, ``layout``); they come
    before remembered ones. Raises WrongUse for a draft with faults, ProjectError, StoreBusy.
    """
    choice = choice or ImportChoice()
    settings = load_project(folder)
    if paper(content) and not named_as_table(name):
        return Looked(name, (), records.no_problems())
    drawn = tuple(
        Remembered(sender=draft["sender"], name=draft["name"], layout=_usable(draft["layout"]))
        for draft in drafts
    )
    with Ledger(folder).read() as reader:
        known, answers = remembered(reader, choice)
    replaced = {(draft.sender, draft.name) for draft in drawn}
    kept = tuple(one for one in known if (one.sender, one.name) not in replaced)
    return readers.look(content, name, settings, how_of(choice, (*kept, *drawn), answers))


def look_with_header(
    folder: Path, name: str, content: bytes, kinds: Sequence[str], rows: tuple[int, int]
) -> Looked:
    """What each sheet of a file holds when its header stands in ``rows`` (first and last)."""
    layout = Layout(kinds=tuple(kinds), header_rows=rows, columns={})
    how = How(layouts=(Remembered(sender="", name="", layout=layout),))
    return readers.look(content, name, load_project(folder), how)


def _usable(layout: Mapping[str, Any]) -> Layout:
    read = layout_of(json.dumps(layout, ensure_ascii=False))
    if faults := layout_faults(read):
        raise WrongUse(f"The layout cannot be used: {' '.join(faults)}")
    return read

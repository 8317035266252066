"""What the ledger remembers of a sender: layouts of its sheets, and answers about headings."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd

from core import readers, records
from core.errors import WrongUse
from core.ledger import Ledger, NewEntry, Reader, Writer
from core.readers import (
    DATE_ORDERS,
    DECIMALS,
    NO_ANSWERS,
    Answers,
    FilePreview,
    Layout,
    Locale,
    ReadOptions,
    StoredLayout,
    answers_of,
    answers_text,
    layout_faults,
    layout_of,
    remembered_answers,
)
from core.readers.documents import named_as_table, paper
from core.services.importing.report import ImportChoice
from core.settings import load_project

ANSWERS = "answers about headings"  # the name under which a sender's answers are remembered


def read_options(
    choice: ImportChoice, layouts: tuple[StoredLayout, ...], answers: dict[str, Answers]
) -> ReadOptions:
    """The options of reading by ``choice``, with what is remembered of senders.

    Raises WrongUse for an unknown convention and for an answer that cannot be used.
    """
    for said, known in ((choice.date_order, DATE_ORDERS), (choice.decimal, DECIMALS)):
        if said and said not in known:
            raise WrongUse(f"{said!r} is none of: {', '.join(known)}.")
    own = given_answers(choice).over(answers.get(choice.sender, NO_ANSWERS))
    conventions = Locale(choice.date_order, choice.decimal)
    return ReadOptions(choice.as_kind, conventions, layouts, own, answers)


def given_answers(choice: ImportChoice) -> Answers:
    """The answers about headings that ``choice`` carries. Raises WrongUse."""
    return answers_of(choice.pressures, choice.not_read)


def remembered(
    reader: Reader, choice: ImportChoice
) -> tuple[tuple[StoredLayout, ...], dict[str, Answers]]:
    """Layouts, the oldest first, and answers by sender; of the choice's sender alone, if any.

    Raises WrongUse for a sender of whom nothing is remembered and nothing is answered now.
    """
    recorded = reader.current_frame("mapping", reader.last_entry()).sort_values("entry_no")
    senders, sender = list(dict.fromkeys(recorded["sender"])), choice.sender
    if sender and sender not in senders and choice.answers_of != sender:
        known = ", ".join(senders) or "none; define a layout on the Import screen"
        raise WrongUse(f"No layout of {sender} is remembered. Known senders: {known}.")
    meant = recorded[recorded["sender"].eq(sender)] if sender else recorded
    layouts, answers = [], {}
    for row in meant.to_dict("records"):
        answered = remembered_answers(row["reading"])
        if answered is not None:
            answers[row["sender"]] = answered
            continue
        layout = layout_of(row["reading"])
        layouts.append(StoredLayout(sender=row["sender"], name=row["mapping_name"], layout=layout))
    return tuple(layouts), answers


def remember_answers(writer: Writer, choice: ImportChoice, person: str) -> int | None:
    """Remember the answers of ``choice`` for its sender; the entry, None when nothing is new."""
    given = given_answers(choice)
    if not choice.answers_of or not given:
        return None
    recorded = writer.current_frame("mapping", writer.last_entry())
    own = recorded[recorded["sender"].eq(choice.answers_of) & recorded["mapping_name"].eq(ANSWERS)]
    earlier = remembered_answers(own["reading"].item()) if len(own) else None
    text = answers_text(given.over(earlier or NO_ANSWERS))
    return remember(writer, choice.answers_of, ANSWERS, text, person)


def remember(writer: Writer, sender: str, name: str, reading: str, person: str) -> int | None:
    """Write one mapping of a sender; the entry, None when it stands already."""
    frame = pd.DataFrame({"sender": [sender], "mapping_name": name})
    known = entry_of(writer, sender, name)
    frame = frame.assign(reading=reading, sheet="", row_no=1, saw_entry_no=known)
    staged = writer.stage("mapping", frame.astype({"saw_entry_no": "Int64"}), None)
    note = f"{sender}: {name}"
    return writer.append(NewEntry(person, "layout", note=note), {"mapping": staged.writes})


def entry_of(reader: Reader, sender: str, name: str) -> int | None:
    """The entry of a mapping that stands; None when there is none."""
    recorded = reader.current_frame("mapping", reader.last_entry())
    meant = recorded[recorded["sender"].eq(sender) & recorded["mapping_name"].eq(name)]
    return int(meant["entry_no"].item()) if len(meant) else None


COLUMNS = ("sender", "mapping_name", "reading", "entry_no", "person")


def stored_layouts(folder: Path) -> pd.DataFrame:
    """Every remembered layout: sender, its name, the JSON that says it, the entry and the person.

    Raises ProjectError, StoreBusy, StoreTooNew.
    """
    load_project(folder)
    with Ledger(folder).read() as reader:
        recorded = reader.current_frame("mapping", reader.last_entry())
        said = reader.entries().set_index("entry_no")["person"]
    return recorded.join(said, on="entry_no")[list(COLUMNS)]


def store_layout(folder: Path, sender: str, name: str, layout: Mapping[str, Any], by: str) -> int:
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
        raise WrongUse(f"{ANSWERS!r} is reserved; choose another name.")
    with Ledger(folder).write() as writer:
        writer.record_settings(settings.text, person)
        known = entry_of(writer, sender, name)
        entry = remember(writer, sender, name, reading, person)
    return entry or known or 0


def preview_of(
    folder: Path,
    name: str,
    content: bytes,
    choice: ImportChoice | None = None,
    drafts: Sequence[Mapping[str, Any]] = (),
) -> FilePreview:
    """What each sheet of a file would be read as; nothing is imported.

    ``drafts`` are layouts nobody has remembered yet (``sender``, ``name``, ``layout``); they come
    before remembered ones. Raises WrongUse for a draft with faults, ProjectError, StoreBusy.
    """
    choice = choice or ImportChoice()
    settings = load_project(folder)
    if paper(content) and not named_as_table(name):
        return FilePreview(name, (), records.no_problems())
    drawn = tuple(
        StoredLayout(sender=draft["sender"], name=draft["name"], layout=_usable(draft["layout"]))
        for draft in drafts
    )
    with Ledger(folder).read() as reader:
        known, answers = remembered(reader, choice)
    replaced = {(draft.sender, draft.name) for draft in drawn}
    kept = tuple(one for one in known if (one.sender, one.name) not in replaced)
    return readers.preview_file(
        content, name, settings, read_options(choice, (*kept, *drawn), answers)
    )


def preview_with_header(
    folder: Path, name: str, content: bytes, kinds: Sequence[str], rows: tuple[int, int]
) -> FilePreview:
    """What each sheet of a file holds when its header stands in ``rows`` (first and last)."""
    layout = Layout(kinds=tuple(kinds), header_rows=rows, columns={})
    how = ReadOptions(layouts=(StoredLayout(sender="", name="", layout=layout),))
    return readers.preview_file(content, name, load_project(folder), how)


def _usable(layout: Mapping[str, Any]) -> Layout:
    read = layout_of(json.dumps(layout, ensure_ascii=False))
    if faults := layout_faults(read):
        raise WrongUse(f"The layout cannot be used: {' '.join(faults)}")
    return read

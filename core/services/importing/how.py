"""How intake is to read: what the choice says, and what the ledger remembers of senders."""

from __future__ import annotations

import pandas as pd

from core.errors import WrongUse
from core.ledger import NewEntry, Reader, Writer
from core.readers import (
    DATE_ORDERS,
    DECIMALS,
    NO_ANSWERS,
    Answers,
    Conventions,
    How,
    Remembered,
    answers_of,
    answers_text,
    layout_of,
    remembered_answers,
)
from core.services.importing.choice import ImportChoice

ANSWERS = "answers about headings"  # the name under which a sender's answers are remembered


def how_of(
    choice: ImportChoice, layouts: tuple[Remembered, ...], answers: dict[str, Answers]
) -> How:
    """How intake reads by ``choice``, with what is remembered of senders.

    Raises WrongUse for an unknown convention and for an answer that cannot be used.
    """
    for said, known in ((choice.date_order, DATE_ORDERS), (choice.decimal, DECIMALS)):
        if said and said not in known:
            raise WrongUse(f"{said!r} is none of: {', '.join(known)}.")
    own = given_answers(choice).over(answers.get(choice.sender, NO_ANSWERS))
    conventions = Conventions(choice.date_order, choice.decimal)
    return How(choice.as_kind, conventions, layouts, own, answers)


def given_answers(choice: ImportChoice) -> Answers:
    """The answers about headings that ``choice`` carries. Raises WrongUse."""
    return answers_of(choice.pressures, choice.not_read)


def remembered(
    reader: Reader, choice: ImportChoice
) -> tuple[tuple[Remembered, ...], dict[str, Answers]]:
    """Layouts, the oldest first, and answers by sender; of the choice's sender alone, if any.

    Raises WrongUse for a sender of whom nothing is remembered and nothing is answered now.
    """
    standing = reader.standing("mapping", reader.last_entry()).sort_values("entry_no")
    senders, sender = list(dict.fromkeys(standing["sender"])), choice.sender
    if sender and sender not in senders and choice.answers_of != sender:
        known = ", ".join(senders) or "none; remember a layout on the Intake screen"
        raise WrongUse(f"No layout of {sender} is remembered. Known senders: {known}.")
    meant = standing[standing["sender"].eq(sender)] if sender else standing
    layouts, answers = [], {}
    for row in meant.to_dict("records"):
        answered = remembered_answers(row["reading"])
        if answered is not None:
            answers[row["sender"]] = answered
            continue
        layout = layout_of(row["reading"])
        layouts.append(Remembered(sender=row["sender"], name=row["mapping_name"], layout=layout))
    return tuple(layouts), answers


def remember_answers(writer: Writer, choice: ImportChoice, person: str) -> int | None:
    """Remember the answers of ``choice`` for its sender; the entry, None when nothing is new."""
    given = given_answers(choice)
    if not choice.answers_of or not given:
        return None
    standing = writer.standing("mapping", writer.last_entry())
    own = standing[standing["sender"].eq(choice.answers_of) & standing["mapping_name"].eq(ANSWERS)]
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
    standing = reader.standing("mapping", reader.last_entry())
    meant = standing[standing["sender"].eq(sender) & standing["mapping_name"].eq(name)]
    return int(meant["entry_no"].item()) if len(meant) else None

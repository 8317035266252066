"""How intake is to read: what the choice says, and the layouts that the ledger remembers."""

from __future__ import annotations

from core.errors import WrongUse
from core.flow.importing.choice import ImportChoice
from core.intake import DATE_ORDERS, DECIMALS, Conventions, How, Remembered, layout_of
from core.store import Reader


def how_of(choice: ImportChoice, layouts: tuple[Remembered, ...]) -> How:
    """How intake reads by ``choice``. Raises WrongUse for an unknown convention."""
    for said, known in ((choice.date_order, DATE_ORDERS), (choice.decimal, DECIMALS)):
        if said and said not in known:
            raise WrongUse(f"{said!r} is none of: {', '.join(known)}.")
    return How(choice.as_kind, Conventions(choice.date_order, choice.decimal), layouts)


def remembered(reader: Reader, sender: str = "") -> tuple[Remembered, ...]:
    """Layouts of one sender, or of all, the oldest first. Raises WrongUse for an unknown sender."""
    standing = reader.standing("mapping", reader.last_entry()).sort_values("entry_no")
    senders = list(dict.fromkeys(standing["sender"]))
    if sender and sender not in senders:
        known = ", ".join(senders) or "none; remember a layout on the Intake screen"
        raise WrongUse(f"No layout of {sender} is remembered. Known senders: {known}.")
    meant = standing[standing["sender"].eq(sender)] if sender else standing
    return tuple(
        Remembered(sender=row["sender"], name=row["mapping_name"], layout=layout_of(row["reading"]))
        for row in meant.to_dict("records")
    )

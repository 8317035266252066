"""A stamp read again: a heat that was misread is corrected by a person, never by the program."""

from __future__ import annotations

from pathlib import Path

from core import records
from core.assessment.snapshot import current_rows
from core.errors import Refused, WrongUse
from core.ledger import Ledger, NewEntry
from core.services.tracing import apart_words
from core.settings import load_project
from core.subjects.steel import frames
from core.subjects.steel.register import nearest
from core.subjects.steel.selection import Mills


def read_again(folder: Path, heat: str, mill: str, becomes: str, by: str, reason: str) -> int:
    """Correct the heat of every piece recorded as ``heat`` of ``mill``; returns the entry.

    ``becomes`` is a heat that a piece or a certificate names. Raises WrongUse for an unknown
    person or heat or an empty reason, Refused when no piece is recorded so.
    """
    settings = load_project(folder)
    person = settings.person(by)
    if not reason.strip():
        raise WrongUse("State the evidence: who read the stamp again, and on what.")
    with Ledger(folder).write() as writer:
        entry = writer.last_entry()
        recorded = current_rows(writer, "piece", entry)
        listed = current_rows(writer, "heat_on_certificate", entry)
        known = {*recorded.used("heat"), *listed.used("heat")}
        if becomes not in known - {heat}:
            near = nearest(becomes, sorted(known - {heat}))
            told = f" Nearest known: {', '.join(near)}." if near else ""
            raise WrongUse(f"No other piece and no certificate names heat {becomes}.{told}")
        mills = Mills(recorded, listed)
        found = frames.with_mills(recorded, mills.of_piece, mills)
        own = recorded.frame()[found["heat"].eq(heat) & found["mill"].eq(mill)]
        if own.empty:
            raise Refused(f"No piece is recorded with heat {heat} of {mill or 'no mill'}.")
        frame = own[list(records.KIND["piece"].names)].assign(
            heat=becomes, saw_entry_no=own["entry_no"], sheet="", row_no=range(1, len(own) + 1)
        )
        writer.record_settings(settings.text, person.name)
        staged = writer.stage("piece", frame, None)
        if len(staged.conflicts):
            raise Refused("The pieces changed while you were deciding. Look again, then decide.")
        note = f"heat {heat} read again as {becomes}, {apart_words(heat, becomes)}"
        number = writer.append(
            NewEntry(person.name, "stamp read again", note=f"{note}: {reason.strip()}"),
            {"piece": staged.writes},
        )
    if number is None:
        raise Refused(f"Every piece is recorded with heat {becomes} already.")
    return number


__all__ = ["read_again"]

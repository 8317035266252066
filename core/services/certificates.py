"""Files that show a mill certificate, pages of them, and a misread heat corrected."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from core import records
from core.assessment.snapshot import current_rows
from core.errors import Refused, WrongUse
from core.ledger import Ledger, NewEntry
from core.readers.documents import checked_document, page_picture
from core.services.tracing import edit_distance_text
from core.settings import load_project
from core.subjects.steel import frames
from core.subjects.steel.register import nearest
from core.subjects.steel.selection import Mills


@dataclass(frozen=True)
class CertificateFile:
    """A file just linked: the entry that says so, its digest, and what it is."""

    entry: int
    sha256: str
    form: str
    name: str
    pages: int


def attach_certificate(
    folder: Path, certificate: str, name: str, content: bytes, by: str
) -> CertificateFile:
    """Keep ``content`` as a file that shows ``certificate``.

    Raises WrongUse for an unknown person or certificate, Refused when the file is no PDF, PNG or
    JPEG, is too big, or shows the certificate already.
    """
    settings = load_project(folder)
    person = settings.person(by)
    paper = checked_document(name, content)
    with Ledger(folder).write() as writer:
        entry = writer.last_entry()
        known = current_rows(writer, "certificate", entry).used("certificate")
        if certificate not in known:
            suggestions = nearest(certificate, known)
            told = f" Nearest known: {', '.join(suggestions)}." if suggestions else ""
            raise WrongUse(f"There is no certificate {certificate} on the register.{told}")
        held = current_rows(writer, "certificate_file", entry).frame()
        writer.record_settings(settings.text, person.name)
        sha256 = writer.attach(content)
        if (held["certificate"].eq(certificate) & held["file_digest"].eq(sha256)).any():
            raise Refused(f"{paper.name} is already linked to certificate {certificate}.")
        row = {"certificate": certificate, "file_digest": sha256, "file_name": paper.name,
               "form": paper.form, "bytes": len(content), "pages": paper.pages, "sheet": "",
               "row_no": 1}  # fmt: skip
        staged = writer.stage("certificate_file", pd.DataFrame([row]), None)
        new = NewEntry(
            person.name, "attachment", sha256=sha256, note=f"{paper.name} shows {certificate}"
        )
        number = writer.append(new, {"certificate_file": staged.writes})
    assert number is not None  # a row that nothing stands against is written
    return CertificateFile(number, sha256, paper.form, paper.name, paper.pages)


def certificate_page(folder: Path, sha256: str, form: str, page: int) -> bytes:
    """One page of a kept certificate as PNG. Raises WrongUse, StoreDamaged."""
    return page_picture(form, Ledger(folder).attachment(sha256), page)


def correct_heat(folder: Path, heat: str, mill: str, becomes: str, by: str, reason: str) -> int:
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
            suggestions = nearest(becomes, sorted(known - {heat}))
            told = f" Nearest known: {', '.join(suggestions)}." if suggestions else ""
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
        note = f"heat {heat} read again as {becomes}, {edit_distance_text(heat, becomes)}"
        number = writer.append(
            NewEntry(person.name, "stamp read again", note=f"{note}: {reason.strip()}"),
            {"piece": staged.writes},
        )
    if number is None:
        raise Refused(f"Every piece is recorded with heat {becomes} already.")
    return number

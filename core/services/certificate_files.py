"""Files that show mill certificates: kept under their digest and linked to the certificate."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from core.assessment.snapshot import current_rows
from core.errors import Refused, WrongUse
from core.ledger import Ledger, NewEntry
from core.readers.documents import looked_at, page_picture
from core.settings import load_project
from core.subjects.steel.register import nearest


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
    paper = looked_at(name, content)
    with Ledger(folder).write() as writer:
        entry = writer.last_entry()
        known = current_rows(writer, "certificate", entry).used("certificate")
        if certificate not in known:
            near = nearest(certificate, known)
            told = f" Nearest known: {', '.join(near)}." if near else ""
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


__all__ = ["CertificateFile", "attach_certificate", "certificate_page"]

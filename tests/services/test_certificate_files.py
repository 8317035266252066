"""Files that show mill certificates: kept under their digest, and hostile ones refused or tamed."""

import hashlib
import io
import os
from dataclasses import replace

import pypdfium2
import pytest
from PIL import Image

from core import services
from core.errors import Refused, WrongUse
from core.readers import documents as looking
from tests.services.small import ledger
from tests.services.steel_job import steel_job


def pdf(pages=1, pad=0):
    """A PDF of empty pages; ``pad`` bytes of a comment nobody reads make it as big as wanted."""
    document = pypdfium2.PdfDocument.new()
    for _ in range(pages):
        document.new_page(595, 842)
    content = io.BytesIO()
    document.save(content)
    return content.getvalue() + b"%" + os.urandom(pad).replace(b"\n", b"") + b"\n" * bool(pad)


def picture(form="PNG", size=(40, 20)):
    content = io.BytesIO()
    Image.new("RGB", size, "white").save(content, form)
    return content.getvalue()


@pytest.fixture
def job(tmp_path):
    return steel_job(tmp_path)


def attach(job, content, name="MC-5.pdf", certificate="MC-5"):
    return services.attach_certificate(job, certificate, name, content, "Bo Invented")


@pytest.mark.parametrize(
    ("content", "form", "pages"),
    [(pdf(3), "PDF", 3), (picture(), "PNG", 1), (picture("JPEG"), "JPEG", 1)],
)
def test_a_certificate_is_kept_under_its_digest_and_comes_back_byte_for_byte(
    job, content, form, pages
):
    kept = attach(job, content)
    assert (kept.form, kept.pages) == (form, pages)
    assert kept.sha256 == hashlib.sha256(content).hexdigest()
    assert (job / "attachments" / kept.sha256).read_bytes() == content
    assert services.attachment(job, kept.sha256) == content
    held = services.steel_of(services.assess(job)).files
    assert held[["certificate", "file_name", "bytes"]].values.tolist() == [
        ["MC-5", "MC-5.pdf", len(content)]
    ]
    assert services.verify(job)[0] == []


def test_a_page_is_drawn_as_a_picture_and_nothing_else(job):
    kept = attach(job, pdf(2))
    drawn = Image.open(io.BytesIO(services.certificate_page(job, kept.sha256, "PDF", 2)))
    assert drawn.format == "PNG"
    assert max(drawn.size) == looking.LONGEST_SIDE
    assert drawn.height > drawn.width


def test_a_pdf_that_takes_too_long_is_refused_and_nothing_is_kept(job, monkeypatch):
    before = ledger(job)
    monkeypatch.setattr(looking, "PAGE_LIMITS", replace(looking.PAGE_LIMITS, seconds=0))
    with pytest.raises(Refused, match="takes more than 0 s to open"):
        attach(job, pdf())
    assert ledger(job) == before


def test_a_page_that_ends_its_reader_is_refused(job):
    kept = attach(job, pdf(2))
    with pytest.raises(Refused, match="Page 3 of the certificate cannot be drawn"):
        services.certificate_page(job, kept.sha256, "PDF", 3)


def test_a_certificate_of_40_mb_is_kept_whole(job):
    content = pdf(1, 40 * 1024 * 1024)
    assert len(content) > 39 * 1024 * 1024
    kept = attach(job, content)
    assert services.attachment(job, kept.sha256) == content


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("big.pdf", b"%PDF-1.7\n" + bytes(looking.MOST_BYTES), "at most 64 MB are kept"),
        ("false.pdf", b"MZ\x90\0 this program cannot be run", "neither a PDF nor a PNG or JPEG"),
        ("page.pdf", b"<html><script>alert(1)</script></html>", "neither a PDF nor a PNG or JPEG"),
        ("broken.pdf", b"%PDF-1.7\nnot a document", "cannot be opened as one"),
        ("torn.png", picture()[:30], "neither a PDF nor a PNG or JPEG"),
        ("empty.pdf", b"", "is empty"),
    ],
)
def test_what_is_no_certificate_is_refused_and_nothing_is_kept(job, name, content, told):
    before = ledger(job)
    with pytest.raises(Refused, match=told):
        attach(job, content, name)
    assert ledger(job) == before


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("../../etc/passwd.pdf", "passwd.pdf"),
        ("..\\..\\windows\\MC-5.pdf", "MC-5.pdf"),
        ("MC\x00-5\x1b[31m\n.pdf", "MC_-5_[31m_.pdf"),
        ("MC-5\u202efdp.exe", "MC-5_fdp.exe"),
        ("..", "certificate"),
        ("x" * 400 + ".pdf", "x" * 116 + ".pdf"),
    ],
)
def test_a_name_is_made_harmless_and_is_never_a_path(job, name, shown):
    before = {path for path in job.parent.rglob("*") if path.is_file()}
    kept = attach(job, pdf(), name)
    assert kept.name == shown
    new = {path for path in job.parent.rglob("*") if path.is_file()} - before
    assert new == {job / "attachments" / kept.sha256}


def test_a_certificate_nobody_knows_is_named_with_the_nearest(job):
    before = ledger(job)
    with pytest.raises(
        WrongUse, match=r"no certificate MC-S on the register\. Nearest known: MC-5"
    ):
        attach(job, pdf(), certificate="MC-S")
    assert ledger(job) == before


def test_the_same_file_twice_is_refused_and_shows_another_certificate_too(job):
    content = pdf()
    attach(job, content)
    with pytest.raises(Refused, match="already linked to certificate MC-5"):
        attach(job, content, "again.pdf")
    assert attach(job, content, "again.pdf", "MC-6").name == "again.pdf"


def test_a_backup_takes_it_along(job, tmp_path):
    kept = attach(job, pdf())
    services.backup(job, tmp_path / "copy")
    assert services.attachment(tmp_path / "copy", kept.sha256) == services.attachment(
        job, kept.sha256
    )

"""Papers: a PDF or a picture is kept and not read; the ledger knows who handed it in."""

import pytest

from core import services
from core.readers.documents import paper
from tests.services.small import ledger, log, small_project

PDF = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n"
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"
PAPERS = {
    "PDF": [PDF],
    "picture": [
        PNG,
        b"\xff\xd8\xff\xe1\0\x10Exif",
        b"II*\0\x08\0\0\0",
        b"MM\0*\0\0\0\x08",
        b"\0\0\0\x18ftypheic\0\0\0\0mif1heic",
    ],
    "": [b"", b"Pile,Run\n", b"PK\x03\x04", b"MMM,1\n", b"IInstrument\n", b"\0\0\0\x18ftypmp42"],
}


@pytest.fixture
def project(tmp_path):
    return small_project(tmp_path)


def take(project, *contents, **choice):
    made = services.ImportChoice(**choice)
    return services.import_contents(project, contents, by="Bo Invented", choice=made)


@pytest.mark.parametrize("kind", PAPERS)
def test_papers_are_known_by_their_first_bytes(kind):
    assert {paper(content) for content in PAPERS[kind]} == {kind}


def test_a_paper_is_kept_under_an_entry_without_rows_and_the_rest_goes_in(project):
    report = take(project, ("certificate.pdf", PDF), ("log.csv", log().encode()))
    assert not report.refused, report.problems
    entries = services.history(project).tail(2)
    assert entries["act"].tolist() == ["file", "attachment"]
    assert entries["source"].tolist() == ["log.csv", "certificate.pdf"]
    assert entries["rows"].tolist() == [11, 0]
    assert report.entries == entries["entry_no"].tolist()
    assert services.attachment(project, entries["sha256"].iloc[1]) == PDF
    remark = report.notices[report.notices["file"].eq("certificate.pdf")]["notice"].item()
    assert remark.startswith("kept as attachment")
    assert "pilewright templates FOLDER" in remark


def test_the_same_paper_again_writes_nothing_until_its_entry_is_withdrawn(project):
    entry = take(project, ("photo.png", PNG)).entries[0]
    before = ledger(project)
    report = take(project, ("photo.png", PNG), ("copy.png", PNG))
    assert (report.refused, report.entries) == (False, [])
    assert report.notices["notice"].tolist() == ["already stored", "already stored"]
    assert ledger(project) == before
    services.withdraw(project, entry, "Ada Invented", "another job's photo")
    assert len(take(project, ("photo.png", PNG)).entries) == 1


def test_a_dry_run_and_a_refused_command_keep_no_paper(project):
    before = ledger(project)
    assert not take(project, ("photo.png", PNG), dry_run=True).refused
    assert ledger(project) == before
    bad = log("102").replace("0.6,2.0", "0.6,two").encode()
    assert take(project, ("photo.png", PNG), ("log.csv", bad)).refused
    assert ledger(project) == before


@pytest.mark.parametrize("name", ["log.csv", "log.XLSX", "schedule.ods"])
def test_a_paper_under_the_name_of_a_table_is_a_problem(project, name):
    before = ledger(project)
    report = take(project, (name, PDF))
    assert report.refused
    problem = report.problems.iloc[0]
    assert (problem["kind"], problem["file"]) == ("not a table", name)
    assert ledger(project) == before


def test_verify_misses_a_paper_that_is_gone(project):
    take(project, ("photo.png", PNG))
    entry = services.history(project).iloc[-1]
    assert services.verify(project)[0] == []
    (project / "attachments" / entry["sha256"]).unlink()
    (fault,) = services.verify(project)[0]
    assert fault.startswith(f"Entry {entry['entry_no']}: ")
    assert "photo.png" in fault

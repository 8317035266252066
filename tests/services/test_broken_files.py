"""A broken file of each kind stops the whole command: rows, chain and attachments as they were."""

import io

import openpyxl
import pytest

from core import services
from tests.services.small import SCHEDULE, ledger, log, small_project

GOOD = ("log_2.csv", log("102").encode())


def book(text: str) -> bytes:
    """A workbook with the rows of a CSV text: pile numbers as text, numbers as numbers."""
    made = openpyxl.Workbook()
    for line in text.splitlines():
        pile, *rest = line.split(",")
        made.active.append([pile, *map(_cell, rest)])
    target = io.BytesIO()
    made.save(target)
    return target.getvalue()


def _cell(text: str) -> str | float:
    try:
        return float(text)
    except ValueError:
        return text


LOG_103 = book(log("103"))
OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
BROKEN = {
    "empty.csv": b"",
    "blanks.csv": b"\r\n \r\n",
    "letter.csv": b"Dear Sir,\nplease find enclosed.\n",
    "garbled.csv": bytes(range(256)) * 8,
    "zeros.csv": bytes(4096),
    "half of a row.csv": log("103").encode()[:-30],
    "open quote.csv": log("103").replace("103,1", '"103,1', 1).encode(),
    "heading only.csv": log("103").splitlines()[0].encode(),
    "no unit.csv": log("103").replace("Depth (m)", "Depth").encode(),
    "bad number.csv": log("103").replace("0.6,2.0", "0.6,two").encode(),
    "bad schedule.csv": SCHEDULE.replace("100.0", "a hundred").encode(),
    "twice.csv": (log("103") + log("103").splitlines()[-1] + "\n").encode(),
    "really a paper.csv": b"%PDF-1.7\n",
    "web page.csv": b"<html><body><table><tr><td>Pile</td></tr></table></body></html>",
    "half copied.xlsx": LOG_103[: len(LOG_103) // 2],
    "last byte missing.xlsx": LOG_103[:-1],
    "empty.xlsx": b"",
    "empty sheet.xlsx": book(""),
    "locked with a password.xlsx": OLD + bytes(500) + "EncryptedPackage".encode("utf-16-le"),
    "half copied.xls": OLD + bytes(200),
    "bad cell.xlsx": book(log("103").replace("0.6,2.0", "0.6,#REF!")),
    "really text.xlsx": b"Dear Sir,\nplease find enclosed.\n",
}


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    """One project for all: nothing is written to it."""
    return small_project(tmp_path_factory.mktemp("broken"), log())


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_leaves_everything_as_it_was_and_is_named(project, name):
    before = ledger(project)
    report = services.import_contents(project, [GOOD, (name, BROKEN[name])], by="Bo Invented")
    assert report.refused
    assert set(report.problems["file"]) == {name}
    for row in report.problems.to_dict("records"):
        assert services.problem_sentence(row).startswith(name)
        assert row["remedy"].endswith(".")
        assert len(f"{row['problem']} {row['remedy']}".split()) <= 40
    assert report.entries == []
    assert ledger(project) == before


def test_the_good_file_among_them_is_good(project):
    choice = services.ImportChoice(dry_run=True)
    report = services.import_contents(
        project, [GOOD, ("log_3.xlsx", LOG_103)], by="Bo Invented", choice=choice
    )
    assert not report.refused, report.problems["problem"].tolist()
    assert report.rows["added"] == 22

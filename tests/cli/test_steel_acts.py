"""`pilewright quarantine` and `attach`: what they say, and what they refuse."""

import pytest
from typer.testing import CliRunner

from core import services
from core.cli import app
from tests.services.small import state
from tests.services.steel_job import steel_job
from tests.services.test_certificate_files import pdf

BY = ("--by", "Ada Invented")


@pytest.fixture
def job(tmp_path):
    return steel_job(tmp_path)


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def test_a_heat_goes_into_quarantine_and_out_again(job):
    told = run("quarantine", job, "--heat", "9K0001", *BY, "--reason", "called back")
    assert told.exit_code == 0
    assert "heat 9K0001 of Mill X is in quarantine; used in 1 pile" in told.stdout
    assert "No longer criteria met or accepted: 101" in told.stdout
    assert state(services.assess(job)) == "engineer review"
    told = run("quarantine", job, "--heat", "9K0001", *BY, "--reason", "retested", "--release")
    assert "is released" in told.stdout
    assert "Criteria met or accepted now: 101" in told.stdout


def test_a_file_is_attached_and_a_false_one_refused(job, tmp_path):
    scan = tmp_path / "MC-5.pdf"
    scan.write_bytes(pdf(2))
    told = run("attach", job, scan, "--certificate", "MC-5", *BY)
    assert (told.exit_code, "MC-5.pdf (PDF, 2 pages) shows MC-5." in told.stdout) == (0, True)
    scan.write_bytes(b"no paper at all")
    assert run("attach", job, scan, "--certificate", "MC-5", *BY).exit_code != 0
    assert run("attach", job, tmp_path / "none.pdf", "--certificate", "MC-5", *BY).exit_code != 0

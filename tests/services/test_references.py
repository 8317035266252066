"""Rows that mean nothing without another record: refused with their place, or left out alone."""

import pytest

from core import records, services
from tests.services.references import NO_PARENT_LEFT, ORPHANS, PARENTS
from tests.services.small import CERTIFICATES, INSTRUMENTS, SCHEDULE, ledger, started, take_in
from tests.services.steel_job import settings

NEEDY = list(ORPHANS)  # test_every_kind.py has a case of every kind that needs another


@pytest.fixture
def project(tmp_path):
    first = [("schedule.csv", SCHEDULE), ("instruments.csv", INSTRUMENTS)]
    return started(tmp_path, settings(), *first, ("calibrations.csv", CERTIFICATES), *PARENTS)


@pytest.mark.parametrize("dry_run", [False, True])
@pytest.mark.parametrize("kind", NEEDY)
def test_a_row_whose_parent_is_unknown_stops_the_import(project, kind, dry_run):
    orphan, before = ORPHANS[kind], ledger(project)
    report = take_in(project, ("orphans.csv", orphan.text), dry_run=dry_run)
    assert report.refused
    problem = report.problems.iloc[0]
    place = [problem[name] for name in ("file", "row", "column", "value")]
    assert place == ["orphans.csv", 3, orphan.column, orphan.value]
    parent = records.KIND[kind].needs[0].parent.word
    assert f"needs its {parent}" in problem["problem"]
    sentence = services.problem_sentence(problem)
    assert sentence.startswith(f"orphans.csv, row 3, column {orphan.column}, “{orphan.value}”")
    assert "or correct the number" in sentence
    assert ledger(project) == before


@pytest.mark.parametrize("kind", NEEDY)
def test_leaving_out_bad_rows_takes_the_others(project, kind):
    report = take_in(project, ("orphans.csv", ORPHANS[kind].text), skip_bad_rows=True)
    assert not report.refused
    assert report.rows["skipped"] == len(report.problems) >= 1
    assert report.rows["added"] + report.rows["corroborated"] >= 1


@pytest.mark.parametrize("dry_run", [False, True])
@pytest.mark.parametrize("kind", NO_PARENT_LEFT)
def test_leaving_out_bad_rows_when_no_row_of_the_parent_is_left(project, kind, dry_run):
    before = ledger(project)
    file = ("faulty.csv", NO_PARENT_LEFT[kind])
    report = take_in(project, file, skip_bad_rows=True, dry_run=dry_run)
    assert not report.refused
    assert report.rows["added"] == 0
    assert report.rows["skipped"] == len(NO_PARENT_LEFT[kind].splitlines()) - 1
    assert len(report.problems)
    assert ledger(project) == before


def test_a_row_of_a_conflicting_run_is_left_out_with_it(project):
    take_in(project, ("other.csv", "Pile,Run,Date\n102,1,2026-03-03\n"))
    log = "Pile,Run,Date,Depth (m),Torque (kN·m)\n102,1,2026-03-04,0.3,1.0\n"
    report = take_in(project, ("log_2.csv", log), skip_bad_rows=True)
    assert report.rows["added"] == 0
    assert report.rows["skipped"] == 2

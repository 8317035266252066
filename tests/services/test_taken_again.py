"""A workbook again, corrected, withdrawn and back: what stands, and what stood on that day."""

import pytest

from core import services
from tests.services.small import ledger, log, small_project, state
from tests.services.test_broken_files import book
from tests.services.test_import import torque_at

WEAK = log(torques=[1.0] * 10)


def take(project, text, **choice):
    made = services.ImportChoice(**choice)
    return services.import_contents(
        project, [("log.xlsx", book(text))], by="Bo Invented", choice=made
    )


@pytest.fixture
def project(tmp_path):
    folder = small_project(tmp_path)
    report = take(folder, log())
    assert not report.refused, report.problems["problem"].tolist()
    assert report.rows["added"] == 11
    return folder


def last(folder):
    return int(services.history(folder)["entry_no"].iloc[-1])


def test_the_same_workbook_again_adds_nothing_even_when_it_was_saved_again(project):
    before = ledger(project)
    report = take(project, log())
    assert (report.entries, report.rows["unchanged"]) == ([], 11)
    assert report.notices["notice"].tolist() == ["every row is a duplicate"]
    assert ledger(project) == before


def test_a_corrected_workbook_changes_the_answer_and_the_day_before_keeps_it(project):
    then = last(project)
    assert state(services.assess(project)) == "criteria met"
    report = take(project, WEAK)
    assert (report.rows["superseded"], report.rows["unchanged"]) == (9, 2)
    assert state(services.assess(project)) == "engineer review"
    assert state(services.assess(project, then)) == "criteria met"


def test_a_wrong_depth_corrected_leaves_a_ghost_row_until_it_is_replaced(project):
    corrected = log().replace(",0.9,3.0", ",0.8,3.0")
    report = take(project, corrected)
    assert report.missing_keys["key"].tolist() == ["101 / 1 / 900"]
    assert (torque_at(project, 800), torque_at(project, 900)) == ([3000.0], [3000.0])
    report = take(project, corrected, replace=True)
    assert report.rows["removed"] == 1
    assert (torque_at(project, 800), torque_at(project, 900)) == ([3000.0], [])
    assert torque_at(project, 900, last(project) - 1) == [3000.0]


def test_withdrawing_the_file_with_the_wrong_depth_leaves_no_ghost_row_either(project):
    services.withdraw(project, last(project), "Ada Invented", "a wrong depth")
    take(project, log().replace(",0.9,3.0", ",0.8,3.0"))
    assert (torque_at(project, 800), torque_at(project, 900)) == ([3000.0], [])


def test_a_withdrawn_workbook_goes_in_again_as_it_is(project):
    entry = last(project)
    services.withdraw(project, entry, "Ada Invented", "wrong job")
    assert state(services.assess(project)) == "not started"
    report = take(project, log())
    assert report.rows["added"] == 11
    assert state(services.assess(project)) == "criteria met"
    assert services.verify(project)[0] == []

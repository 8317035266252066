"""The review of a survey, from its files: before concrete covers the head, with name and day."""

import pytest

from core import services
from tests.services.small import CERTIFICATES, INSTRUMENTS, log, started, state, take_in
from tests.services.survey_job import HEAD, SCHEDULE, settings

GOOD = "101,after cut-off,2026-03-20,100.050,200.000,5.000,,0,0"
ADA = "Ada Invented"
POURED = "Pile,Stage,Date,Reference\n101,concreted over,{day},pour card 4\n"


def project(tmp_path, by="", on="", assessed_on="2026-03-31"):
    """A job that asks for a review within five days, with a survey of 20 March."""
    text = settings(review=True).replace("2026-03-31", assessed_on)
    survey = HEAD.strip() + f",Reviewed by,Reviewed on\n{GOOD},{by},{on}\n"
    return started(
        tmp_path, text, ("schedule.csv", SCHEDULE), ("instruments.csv", INSTRUMENTS),
        ("certificates.csv", CERTIFICATES), ("log.csv", log(day="2026-03-19")),
        ("survey.csv", survey),
    )  # fmt: skip


def judged(tmp_path, *pour, **given):
    folder = project(tmp_path, **given)
    for day in pour:
        take_in(folder, ("stages.csv", POURED.format(day=day)))
    return services.assess(folder)


def finding(assessment):
    found = assessment.findings
    return found[found["subject"].eq("101") & found["kind"].eq("survey reviewed")].iloc[0]


def test_a_reviewed_survey_is_met(tmp_path):
    assessment = judged(tmp_path, by=ADA, on="2026-03-23")
    assert finding(assessment)["result"] == "met"
    assert state(assessment) == "criteria met"


@pytest.mark.parametrize(
    ("assessed_on", "result"), [("2026-03-24", "not yet due"), ("2026-03-25", "no evidence")]
)
def test_a_survey_that_nobody_reviewed_is_no_evidence_once_it_is_due(tmp_path, assessed_on, result):
    assessment = judged(tmp_path, assessed_on=assessed_on)
    assert finding(assessment)["result"] == result
    expected = "criteria met" if result == "not yet due" else "record incomplete"
    assert state(assessment) == expected


@pytest.mark.parametrize(
    ("poured", "result"),
    [("2026-03-22", "not met"), ("2026-03-23", "met"), ("2026-03-24", "met")],
)
def test_concrete_before_the_review_is_not_met_at_once_and_for_good(tmp_path, poured, result):
    assessment = judged(tmp_path, poured, by=ADA, on="2026-03-23", assessed_on="2026-03-24")
    found = finding(assessment)
    assert found["result"] == result
    assert state(assessment) == ("criteria met" if result == "met" else "engineer review")
    assert found["due_on"].date().isoformat() == poured
    rows = assessment.evidence("101").query("kind == 'survey reviewed'")
    assert set(rows["file"]) == {"stages.csv", "survey.csv"}


def test_concrete_over_a_survey_without_review_is_one_finding_and_so_is_none_at_all(tmp_path):
    bare = judged(tmp_path, "2026-03-22")
    assert finding(bare)["note"] == (
        "concreted over on 2026-03-22, survey after cut-off of 2026-03-20: no review recorded"
    )
    never = judged(tmp_path / "b", "2026-03-19", by=ADA, on="2026-03-23")
    assert finding(never)["result"] == "not met"
    assert finding(never)["note"] == "concreted over on 2026-03-19, no survey before"
    assert "covered without survey" not in set(never.findings["kind"])


def test_a_review_of_a_later_day_than_the_judging_one_is_not_known_yet(tmp_path):
    assessment = judged(tmp_path, by=ADA, on="2026-03-28", assessed_on="2026-03-27")
    assert finding(assessment)["result"] == "no evidence"


def test_a_newer_survey_needs_a_review_of_its_own(tmp_path):
    folder = project(tmp_path, by=ADA, on="2026-03-23")
    again = GOOD.replace("after cut-off", "re-survey").replace("03-20", "03-25")
    take_in(folder, ("again.csv", HEAD + again + "\n"))
    assert finding(services.assess(folder))["result"] == "no evidence"
    take_in(folder, ("stages.csv", POURED.format(day="2026-03-24")))
    assert finding(services.assess(folder))["result"] == "met"
